"""Lettering inside the bodies of parts: a value in a resistor's box, a name in a block.

The class map calls a body's inside body, so what is lettered there is told by its ink: small blobs that stand
free of the outline, in bodies of kinds that are lettered inside.
"""

from __future__ import annotations

from typing import Final

import cv2
import numpy as np
from numpy.typing import NDArray

from tracer.reader.layers import Layers, Pixel

__all__ = ["blobs_inside", "body_regions"]

_HOLDING: Final = frozenset({"resistor", "block", "meter", "fuse", "relay coil", "other", "thermistor"})
_MOSTLY: Final = 0.7  # share of a blob's ink that the class map calls body
_TALLEST: Final = 1.25  # usual letters
_WIDEST: Final = 5.0  # … of letters that have run together
_LEAST: Final = 0.35
_CELL: Final = 4  # grid px to a cell of the kind map


def body_regions(layers: Layers) -> NDArray[np.int32]:
    """Number the bodies from 1, all that their outlines hold filled in, (h, w) int32; 0 is outside.

    Parameters
    ----------
    layers : Layers
    """
    body = np.asarray(layers.classes == Pixel.BODY, dtype=np.uint8)
    regions = np.zeros(body.shape, np.int32)
    outlines, _ = cv2.findContours(body, cv2.RETR_EXTERNAL, cv2.CHAIN_APPROX_SIMPLE)
    for number, outline in enumerate(outlines, start=1):
        cv2.drawContours(regions, [outline], 0, number, cv2.FILLED)
    return regions


def blobs_inside(
    layers: Layers,
    blobs: NDArray[np.int32],
    stats: NDArray[np.int32],
    regions: NDArray[np.int32],
    usual: float,
) -> NDArray[np.bool_]:
    """Tell which blobs of ink are letters inside a body.

    Parameters
    ----------
    layers : Layers
    blobs : (h, w) int32
        Blob of each pixel, 0 paper.
    stats : (n, 5) int32
        Left, top, width, height and area of each blob, the paper's first, as OpenCV gives them.
    regions : (h, w) int32
        As `body_regions` gives them.
    usual : float
        The usual size of a letter, grid px.

    Returns
    -------
    (n,) bool
    """
    holding = np.array([name in _HOLDING for name in layers.kind_names])
    wide, tall = stats[:, cv2.CC_STAT_WIDTH], stats[:, cv2.CC_STAT_HEIGHT]
    body = np.bincount(blobs[layers.classes == Pixel.BODY], minlength=len(stats))
    some = body >= _MOSTLY * stats[:, cv2.CC_STAT_AREA]
    some &= (np.minimum(wide, tall) <= _TALLEST * usual) & (np.maximum(wide, tall) <= _WIDEST * usual)
    some &= np.maximum(wide, tall) >= _LEAST * usual
    some[0] = False
    for number in np.nonzero(some)[0]:
        left, top, across, down = (int(value) for value in stats[number, :4])
        y, x = top + down // 2, left + across // 2
        kind = layers.kinds[
            min(y // _CELL, len(layers.kinds) - 1), min(x // _CELL, layers.kinds.shape[1] - 1)
        ]
        around = regions[max(top - 1, 0) : top + down + 1, max(left - 1, 0) : left + across + 1]
        some[number] = bool(holding[kind]) and bool((around > 0).all())
    return some

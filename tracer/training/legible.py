"""What of a spoilt sheet's truth can still be read from its ink."""

from __future__ import annotations

from dataclasses import replace
from typing import Final

import numpy as np
from numpy.typing import NDArray

from tracer.training.truth import Conductor, DrawnPart, SheetTruth

__all__ = ["legible"]

_BLOCK: Final = 32  # px; over which paper has one grey
_BREAK: Final = 6.0  # strokes of wire without a trace of ink that no eye bridges
_WIRE_KEPT: Final = 0.5  # of a conductor's length that must still show
_BODY_KEPT: Final = 0.4  # of a body's ink that must still show


def legible(clean: SheetTruth, spoilt: SheetTruth) -> SheetTruth:
    """Drop from `spoilt` the bodies and conductors whose ink has gone.

    Parameters
    ----------
    clean : SheetTruth
        The same sheet, moved but not spoilt.
    spoilt : SheetTruth
        Its truth is that of `clean`; only the picture differs.

    Returns
    -------
    SheetTruth
        The picture and the maps untouched. A body that has gone takes its terminals along; a conductor
        goes where a long piece of it has left no trace, or half of it.
    """
    dark = _dark(spoilt.image)
    parts = tuple(part for part in spoilt.parts if _body_shows(part, clean.image < 128, dark))
    known = {part.number for part in parts}
    conductors = tuple(
        replace(each, ends=tuple(end for end in each.ends if end.part in known))
        for each in spoilt.conductors
        if _wire_shows(each, dark, spoilt.stroke)
    )
    return replace(spoilt, parts=parts, conductors=conductors)


def _dark(image: NDArray[np.uint8]) -> NDArray[np.bool_]:
    """Which pixels are clearly darker than the paper around them."""
    height, width = image.shape
    rows, columns = -(-height // _BLOCK), -(-width // _BLOCK)
    padded = np.pad(image, ((0, rows * _BLOCK - height), (0, columns * _BLOCK - width)), mode="edge")
    blocks = padded.reshape(rows, _BLOCK, columns, _BLOCK).swapaxes(1, 2).reshape(rows, columns, -1)
    rank = int(0.85 * blocks.shape[2])
    paper = np.partition(blocks, rank, axis=2)[:, :, rank].astype(np.float32)
    least = np.repeat(np.repeat(0.75 * paper, _BLOCK, 0), _BLOCK, 1)[:height, :width]
    found: NDArray[np.bool_] = image < least
    return found


def _body_shows(part: DrawnPart, ink: NDArray[np.bool_], dark: NDArray[np.bool_]) -> bool:
    x0, y0, x1, y1 = part.box
    rows, columns = slice(max(0, int(y0)), max(0, int(y1) + 1)), slice(max(0, int(x0)), max(0, int(x1) + 1))
    drawn = ink[rows, columns]
    return bool(dark[rows, columns][drawn].mean() >= _BODY_KEPT) if drawn.any() else True


def _wire_shows(conductor: Conductor, dark: NDArray[np.bool_], stroke: float) -> bool:
    """Whether ink is left along a conductor's track, but for breaks that an eye bridges."""
    track = conductor.track
    if not len(track):
        return True
    bare = ~_inky(track, dark, stroke)
    on_page = (track >= 0).all(axis=1) & (track < (dark.shape[1], dark.shape[0])).all(axis=1)
    bare &= on_page
    if not on_page.any():
        return False
    if bare[on_page].mean() > 1.0 - _WIRE_KEPT:
        return False
    step = np.hypot(*np.diff(track, axis=0).T)
    run = 0.0
    for index in np.flatnonzero(bare[1:]):
        run = run + step[index] if bare[index] and step[index] < 2.0 * stroke else 0.0
        if run > _BREAK * stroke:
            return False
    return True


def _inky(places: NDArray[np.float64], dark: NDArray[np.bool_], stroke: float) -> NDArray[np.bool_]:
    """Whether there is ink within most of a stroke of each of (n, 2) px."""
    height, width = dark.shape
    found = np.zeros(len(places), dtype=np.intp)
    for dx in (-0.7, 0.0, 0.7):
        for dy in (-0.7, 0.0, 0.7):
            x = np.clip(np.rint(places[:, 0] + dx * stroke), 0, width - 1).astype(np.intp)
            y = np.clip(np.rint(places[:, 1] + dy * stroke), 0, height - 1).astype(np.intp)
            found += dark[y, x]
    inky: NDArray[np.bool_] = found >= 2
    return inky

"""Scaling and turning a levelled page onto the reader's grid."""

from __future__ import annotations

from math import ceil, cos, radians, sin
from typing import Final

import cv2
import numpy as np
from numpy.typing import NDArray

from tracer.scan.transform import PlaneMap, identity, scale_at, scaling, turning

__all__ = ["fetch", "rescale", "turn_back"]

_WHITE: Final = 255


def rescale(levelled: NDArray[np.uint8], scale: float) -> tuple[NDArray[np.uint8], PlaneMap]:
    """Resize a page by about `scale`.

    Parameters
    ----------
    levelled : (H, W) uint8
    scale : float
        Wanted factor; the sides are rounded to whole pixels, and the map says by how much exactly.

    Returns
    -------
    (h, w) uint8, and the map from the page to it.

    Examples
    --------
    >>> small, there = rescale(np.full((30, 50), 255, np.uint8), 0.5)
    >>> small.shape
    (15, 25)
    """
    height, width = levelled.shape
    size = (max(1, round(width * scale)), max(1, round(height * scale)))
    if size == (width, height):
        return levelled, identity()
    how = cv2.INTER_AREA if scale < 1 else cv2.INTER_CUBIC
    grid = cv2.resize(levelled, size, interpolation=how)
    return np.asarray(grid, dtype=np.uint8), scaling(size[0] / width, size[1] / height)


def turn_back(levelled: NDArray[np.uint8], degrees: float) -> tuple[NDArray[np.uint8], PlaneMap]:
    """Turn a page that lies `degrees` clockwise back upright, on a sheet large enough for its corners.

    Parameters
    ----------
    levelled : (H, W) uint8
    degrees : float
        As `tracer.scan.skew.measure_skew` gives them.

    Returns
    -------
    (h, w) uint8, and the map from the page to it.
    """
    height, width = levelled.shape
    c, s = abs(cos(radians(degrees))), abs(sin(radians(degrees)))
    new_width, new_height = ceil(width * c + height * s), ceil(width * s + height * c)
    centre = ((width - 1) / 2, (height - 1) / 2)
    there = turning(-degrees, centre, ((new_width - 1) / 2, (new_height - 1) / 2))
    upright = cv2.warpAffine(
        levelled, there, (new_width, new_height), flags=cv2.INTER_CUBIC, borderValue=_WHITE
    )
    return np.asarray(upright, dtype=np.uint8), there


def fetch(levelled: NDArray[np.uint8], there: PlaneMap, shape: tuple[int, int]) -> NDArray[np.uint8]:
    """Fill a grid of `shape` (h, w) from a page, `there` being the map from the grid to the page.

    A page with several pixels to one of the grid is blurred first, so that thin strokes do not fall between
    them; what lies beyond the page is white.
    """
    height, width = shape
    scale = scale_at(there, width / 2, height / 2)
    if scale > 1.3:
        levelled = np.asarray(cv2.GaussianBlur(levelled, (0, 0), 0.4 * scale), dtype=np.uint8)
    flags = cv2.INTER_LINEAR | cv2.WARP_INVERSE_MAP
    if len(there) == 2:
        grid = cv2.warpAffine(levelled, there, (width, height), flags=flags, borderValue=_WHITE)
    else:
        grid = cv2.warpPerspective(levelled, there, (width, height), flags=flags, borderValue=_WHITE)
    return np.asarray(grid, dtype=np.uint8)

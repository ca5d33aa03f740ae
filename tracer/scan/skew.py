"""How far a sheet was turned on the glass."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import cv2
import numpy as np
from numpy.typing import NDArray

__all__ = ["Skew", "measure_skew"]

_WIDEST: Final = 8.0  # degrees to either side that are looked at
_COARSE: Final = 0.1  # a long line's peak is little wider than this
_FINE: Final = 0.025
_APART: Final = 1.2  # degrees; from here another angle is a rival and no part of the same peak
_SIDE: Final = 1600  # px of the reduced page
_MOST_POINTS: Final = 150_000
_LEAST_POINTS: Final = 300
_INK_BELOW: Final = 128


@dataclass(frozen=True, slots=True)
class Skew:
    """The turn of a sheet.

    Attributes
    ----------
    degrees : float
        Clockwise on the screen: positive when level lines fall to the right.
    confidence : float
        0 (another angle would do as well) to 1 (no other angle comes near).
    """

    degrees: float
    confidence: float


def measure_skew(levelled: NDArray[np.uint8]) -> Skew:
    """Find the angle at which lines pile up most sharply along rows and columns.

    Parameters
    ----------
    levelled : (H, W) uint8
        Ink dark on white.

    Returns
    -------
    Skew
        Zero with confidence 0 for a page with next to no ink.

    Notes
    -----
    Projection profiles after W. Postl (1986), "Detection of linear oblique structures and skew
    scan in digitized documents": the sum of squared differences of neighbouring profile sums is
    largest along the lines. Both directions of the drawing are summed.

    Examples
    --------
    >>> page = np.full((400, 400), 255, np.uint8)
    >>> page[100:103, 20:380] = page[20:380, 200:203] = 0
    >>> measure_skew(page).degrees
    0.0
    """
    x, y = _ink_points(levelled)
    if x.size < _LEAST_POINTS:
        return Skew(0.0, 0.0)
    coarse = np.arange(-_WIDEST, _WIDEST + _COARSE / 2, _COARSE)
    scores = np.array([_sharpness(x, y, angle) for angle in coarse])
    peak = int(scores.argmax())
    fine = coarse[peak] + np.arange(-4 * _COARSE, 4 * _COARSE + _FINE / 2, _FINE)
    fine_scores = np.array([_sharpness(x, y, angle) for angle in fine])
    top = int(fine_scores.argmax())
    rivals = scores[np.abs(coarse - coarse[peak]) >= _APART]
    confidence = 1.0 - float(rivals.max()) / float(scores[peak])
    near = np.maximum(fine_scores - 0.7 * fine_scores[top], 0.0)  # the peak's middle, not its ragged tip
    degrees = round(float((fine * near).sum() / near.sum()), 2)
    return Skew(degrees if degrees else 0.0, round(min(max(confidence, 0.0), 1.0), 3))


def _ink_points(levelled: NDArray[np.uint8]) -> tuple[NDArray[np.float32], NDArray[np.float32]]:
    """Take the edges of the ink of the reduced page, about its middle; px of the reduced page.

    Solid areas have no direction inside, so only their edges are kept.
    """
    if levelled.size == 0:
        return np.empty(0, np.float32), np.empty(0, np.float32)
    factor = max(1.0, max(levelled.shape) / _SIDE)
    size = (max(1, round(levelled.shape[1] / factor)), max(1, round(levelled.shape[0] / factor)))
    small = cv2.resize(levelled, size, interpolation=cv2.INTER_AREA)
    # Thin lines turn grey when reduced, so the bar for ink falls with the reduction.
    ink = (small < 255 - (255 - _INK_BELOW) / factor).astype(np.uint8)
    ink -= cv2.erode(ink, np.ones((3, 3), np.uint8))
    rows, columns = np.nonzero(ink)
    step = max(1, rows.size // _MOST_POINTS)
    x = columns[::step].astype(np.float32) - size[0] / 2
    y = rows[::step].astype(np.float32) - size[1] / 2
    return x, y


def _sharpness(x: NDArray[np.float32], y: NDArray[np.float32], degrees: float) -> float:
    cos, sin = np.float32(np.cos(np.radians(degrees))), np.float32(np.sin(np.radians(degrees)))
    total = 0.0
    for across in (y * cos - x * sin, x * cos + y * sin):
        bins = (across + (0.5 - across.min())).astype(np.intp)
        profile = np.bincount(bins).astype(np.float64)
        total += float((np.diff(profile) ** 2).sum())
    return total

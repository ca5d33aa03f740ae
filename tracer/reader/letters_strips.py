"""Strips for the recogniser, sampled from the page's own pixels.

The grid of the class map is as fine as its strokes need, and too coarse for the small letters of a sheet of
thick ones. Words are found on the grid; what is read of them comes from the page.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import ceil
from typing import Final

import cv2
import numpy as np
from numpy.typing import NDArray

from tracer.reader.letters_network import LETTER_ROWS, MARGIN, ROWS, WIDEST
from tracer.scan.transform import PlaneMap, chain, scale_at, scaling

__all__ = ["PageInk", "strip_of"]

_LEAST_SHARE: Final = 0.62  # of a usual letter: a lone dash is not blown up to a letter's height
_FINE: Final = 1.25  # page px to one of a strip from which on a strip is sampled finer and brought down
_WHITE: Final = 255


@dataclass(frozen=True, slots=True, eq=False)
class PageInk:
    """A levelled page and how the grid lies on it.

    Attributes
    ----------
    levelled : (H, W) uint8
        Ink 0 on paper 255.
    to_page : (2, 3) or (3, 3) float64
        Map from grid to page pixels.
    """

    levelled: NDArray[np.uint8]
    to_page: PlaneMap


def strip_of(
    ink: PageInk, corner: tuple[int, int], kept: NDArray[np.bool_], turned: int | None, usual: float
) -> NDArray[np.float32]:
    """Cut a word out of the page at the recogniser's size.

    Parameters
    ----------
    ink : PageInk
    corner : (int, int)
        x, y of the first pixel of `kept`, grid px.
    kept : (h, w) bool
        Which pixels of the grid are the word's own; the others become paper.
    turned : int or None
        How the word is turned to be read, a code of `cv2.rotate`.
    usual : float
        The usual size of a letter, grid px.

    Returns
    -------
    (32, W) float32
        1 paper, 0 ink, paper before and behind.
    """
    high, wide = kept.shape if turned is None else kept.shape[::-1]
    scale = LETTER_ROWS / max(high, _LEAST_SHARE * usual)
    rows, columns = max(1, min(ROWS, round(high * scale))), max(2, min(WIDEST, round(wide * scale)))
    size = (columns, rows) if turned is None else (rows, columns)
    grey = _sampled(ink, corner, (kept.shape[1], kept.shape[0]), size)
    own = cv2.resize(kept.astype(np.float32), size, interpolation=cv2.INTER_LINEAR)
    shown = 1.0 - (1.0 - grey.astype(np.float32) / _WHITE) * own
    if turned is not None:
        shown = np.asarray(cv2.rotate(shown, turned), dtype=np.float32)
    strip = np.ones((ROWS, MARGIN + columns + MARGIN), np.float32)
    top = (ROWS - rows) // 2
    strip[top : top + rows, MARGIN : MARGIN + columns] = shown
    return strip


def _sampled(
    ink: PageInk, corner: tuple[int, int], extent: tuple[int, int], size: tuple[int, int]
) -> NDArray[np.uint8]:
    """Bring a box of the grid, `extent` wide and high, from the page to `size`, (rows, columns) uint8."""
    middle = corner[0] + extent[0] / 2, corner[1] + extent[1] / 2
    across, down = extent[0] / size[0], extent[1] / size[1]
    finer = max(across, down) * scale_at(ink.to_page, *middle)
    times = ceil(finer) if finer > _FINE else 1
    place = scaling(across / times, down / times)
    place[:, 2] += corner
    there = chain(place, ink.to_page)
    warp = cv2.warpAffine if len(there) == 2 else cv2.warpPerspective
    flags = (cv2.INTER_LINEAR if finer >= 1 else cv2.INTER_CUBIC) | cv2.WARP_INVERSE_MAP
    shape = (size[0] * times, size[1] * times)
    grey = warp(ink.levelled, there, shape, flags=flags, borderValue=_WHITE)
    if times > 1:
        grey = cv2.resize(grey, size, interpolation=cv2.INTER_AREA)
    return np.asarray(grey, dtype=np.uint8)

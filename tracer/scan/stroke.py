"""The usual width of the lines that conductors are drawn with."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

__all__ = ["DEFAULT_STROKE", "Stroke", "usual_stroke"]

DEFAULT_STROKE: Final = 3.0
"""Width assumed for a page without lines, px."""

_TILE: Final = 768
_MOST_TILES: Final = 20  # the fullest of the page; more would not move the answer
_INK_BELOW: Final = 144  # grey below which a levelled pixel takes part in a line
_SLIMNESS: Final = 4  # a line runs on for at least this many times its width
_LEAST_LENGTH: Final = 12  # px; shorter runs are lettering or specks
_THICKEST: Final = 40  # px; wider is no line
_FRINGE: Final = 2  # px of grey edge on either side that belong to the line
_BINS_PER_PIXEL: Final = 4
_LEAST_RUNS: Final = 40


@dataclass(frozen=True, slots=True)
class Stroke:
    """The usual stroke of a page.

    Attributes
    ----------
    width : float
        px.
    runs : int
        Cross-cuts of lines that were measured; 0 means that `width` is the default.
    """

    width: float
    runs: int


def usual_stroke(levelled: NDArray[np.uint8]) -> Stroke:
    """Measure the usual stroke width of a levelled page.

    Parameters
    ----------
    levelled : (H, W) uint8
        Ink dark on white, as `tracer.scan.level.level` gives it.

    Returns
    -------
    Stroke
        `DEFAULT_STROKE` for a page without lines.

    Notes
    -----
    Every cross-cut through a nearly upright or nearly level line is measured, as the darkness
    summed across it (so that grey edges count for their part). Each part of the page casts its
    votes with the square root of their number, so that a frame or a few thick bars do not
    outvote the wires; the answer is the mean of the cuts around the commonest width.

    Examples
    --------
    >>> page = np.full((200, 300), 255, np.uint8)
    >>> page[50:54, 20:280] = 0
    >>> usual_stroke(page)
    Stroke(width=4.0, runs=260)
    >>> usual_stroke(np.full((200, 300), 255, np.uint8))
    Stroke(width=3.0, runs=0)
    """
    size = _THICKEST * _BINS_PER_PIXEL + 1
    votes, cuts, sums = np.zeros(size), np.zeros(size), np.zeros(size)
    for tile in _fullest_tiles(levelled):
        for turned in (tile, np.ascontiguousarray(tile.T)):
            widths = _cross_cuts(turned)
            bins = np.minimum(np.rint(widths * _BINS_PER_PIXEL).astype(int), size - 1)
            counts = np.bincount(bins, minlength=size)
            votes += np.sqrt(counts)
            cuts += counts
            sums += np.bincount(bins, weights=widths, minlength=size)
    if cuts.sum() < _LEAST_RUNS:
        return Stroke(DEFAULT_STROKE, 0)
    smooth = np.convolve(votes, np.array([1, 2, 3, 4, 3, 2, 1]) / 16, mode="same")
    mode = int(smooth.argmax())
    near = slice(int(np.floor(mode * 0.7)), int(np.ceil(mode * 1.35)) + 1)
    return Stroke(round(float(sums[near].sum() / cuts[near].sum()), 2), int(cuts.sum()))


def _fullest_tiles(levelled: NDArray[np.uint8]) -> list[NDArray[np.uint8]]:
    """Cut the page and keep the parts with most ink."""
    height, width = levelled.shape
    tiles = [
        levelled[top : top + _TILE, left : left + _TILE]
        for top in range(0, height, _TILE)
        for left in range(0, width, _TILE)
    ]
    ink = [int(np.count_nonzero(tile[::3, ::3] < _INK_BELOW)) for tile in tiles]
    fullest = np.argsort(ink)[::-1][:_MOST_TILES]
    return [tiles[index] for index in fullest if ink[index]]


def _cross_cuts(tile: NDArray[np.uint8]) -> NDArray[np.float64]:
    """Measure the nearly upright lines of a tile row by row; widths in px."""
    height, width = tile.shape
    ink = np.zeros((height, width + 2), np.int8)
    ink[:, 1:-1] = tile < _INK_BELOW
    edges = np.diff(ink, axis=1)
    rows, starts = np.nonzero(edges == 1)
    ends = np.nonzero(edges == -1)[1]
    lengths = ends - starts
    clear = (starts > _FRINGE) & (ends < width - _FRINGE) & (lengths <= _THICKEST)
    rows, starts, ends, lengths = rows[clear], starts[clear], ends[clear], lengths[clear]
    upright = _run_through(ink[:, 1:-1], rows, (starts + ends) // 2)
    line = upright >= np.maximum(_SLIMNESS * lengths, _LEAST_LENGTH)
    rows, starts, ends = rows[line], starts[line], ends[line]
    darkness = np.zeros((height, width + 1), np.int32)
    np.cumsum(255 - tile, axis=1, dtype=np.int32, out=darkness[:, 1:])
    summed = darkness[rows, ends + _FRINGE] - darkness[rows, starts - _FRINGE]
    return np.asarray(summed / 255.0)


def _run_through(
    ink: NDArray[np.int8], rows: NDArray[np.intp], columns: NDArray[np.intp]
) -> NDArray[np.int32]:
    """Count the unbroken ink above and below each given pixel, itself included."""
    height, width = ink.shape
    since_gap = np.zeros((height, width), np.int16)
    until_gap = np.zeros((height, width), np.int16)
    count = np.zeros(width, np.int16)
    for row in range(height):
        count = (count + 1) * ink[row]
        since_gap[row] = count
    count = np.zeros(width, np.int16)
    for row in range(height - 1, -1, -1):
        count = (count + 1) * ink[row]
        until_gap[row] = count
    return since_gap[rows, columns].astype(np.int32) + until_gap[rows, columns] - 1

"""Levelling the light: grey paper, shadows and faint print become dark ink on white."""

from __future__ import annotations

from typing import Final

import cv2
import numpy as np
from numpy.typing import NDArray

__all__ = ["is_two_toned", "level"]

_CELLS: Final = 128  # the paper is measured on a grid of about this many cells along the longer side
_PAPER_SHARE: Final = 80  # percentile of a cell taken as its paper: ink rarely covers a fifth
_SAMPLES: Final = 16  # pixels looked at along each side of a cell
_LEAST_SIDE: Final = 24  # px; a smaller cell could lie inside a stroke
_STRIP: Final = 512  # rows worked on at once, so that no second full page is held
_NOT_PAPER: Final = 0.4  # a cell darker than this share of the page's paper is solid ink or no paper at all
_PAPER_FROM: Final = 150  # grey after the division; what is darker is ink, or the table a sheet lies on
_LEAST_CONTRAST: Final = 24  # grey steps between paper and ink below which a page counts as blank
_LEAST_INK: Final = 12  # pixels
_WHITE_MARGIN: Final = 3.0  # standard deviations of paper noise that are cleared to white
_INK_MARGIN: Final = 6.0  # standard deviations below the paper where ink begins
_QUARTER_IN_DEVIATIONS: Final = 0.6745  # from median to quartile of a normal distribution


def level(grey: NDArray[np.uint8]) -> NDArray[np.uint8]:
    """Divide the page by its paper and stretch what is left from ink 0 to paper 255.

    A page of pure black and white is given back as it is (turned over if it is mostly black).
    A light drawing on dark paper is turned over. A blank page comes back white, its noise not
    blown up.

    Parameters
    ----------
    grey : (H, W) uint8
        0 black to 255 white.

    Returns
    -------
    (H, W) uint8
        The same array where nothing had to be done.

    Notes
    -----
    Paper is the 80th percentile of each cell of a coarse grid; cells of solid ink are filled in
    from their neighbours. The division undoes uneven light as a reflectance model has it
    (image = light × reflectance).

    Examples
    --------
    >>> shaded = np.tile(np.linspace(180, 220, 400).astype(np.uint8), (300, 1))
    >>> shaded[150:153] //= 4
    >>> flat = level(shaded)
    >>> bool((flat[100] > 240).all()), bool((flat[151] < 40).all())
    (True, True)
    """
    if grey.size == 0:
        return grey
    if is_two_toned(grey):
        return 255 - grey if np.count_nonzero(grey) * 2 < grey.size else grey
    if _is_negative(grey):
        grey = 255 - grey
    flat = _divide(grey, _paper(grey))
    return _stretch(flat)


def is_two_toned(grey: NDArray[np.uint8]) -> bool:
    """Whether every pixel is pure black or pure white, as in a 1-bit scan."""
    counts = _histogram(grey)
    return bool(counts[0] + counts[255] == grey.size)


def _histogram(grey: NDArray[np.uint8]) -> NDArray[np.float32]:
    return np.asarray(cv2.calcHist([grey], [0], None, [256], [0, 256]), dtype=np.float32).ravel()


def _is_negative(grey: NDArray[np.uint8]) -> bool:
    """Whether the drawing is light on dark: thin detail stands out brighter than what surrounds it."""
    step = max(1, max(grey.shape) // 2000)
    sample = np.ascontiguousarray(grey[::step, ::step])
    if np.median(sample) > 140:
        return False
    detail = sample.astype(np.int16) - cv2.medianBlur(sample, 15)
    lighter = np.maximum(detail - 20, 0).sum(dtype=np.int64)
    darker = np.maximum(-detail - 20, 0).sum(dtype=np.int64)
    return bool(lighter > 3 * darker)


def _paper(grey: NDArray[np.uint8]) -> NDArray[np.uint8]:
    """Estimate the tone of the bare paper on a coarse grid, (rows, columns) uint8."""
    height, width = grey.shape
    side = max(_LEAST_SIDE, max(height, width) / _CELLS)
    rows, columns = max(1, round(height / side)), max(1, round(width / side))
    sample = cv2.resize(grey, (columns * _SAMPLES, rows * _SAMPLES), interpolation=cv2.INTER_NEAREST)
    cells = sample.reshape(rows, _SAMPLES, columns, _SAMPLES).swapaxes(1, 2).reshape(rows, columns, -1)
    rank = cells.shape[2] * _PAPER_SHARE // 100
    paper = np.partition(cells, rank, axis=2)[:, :, rank]
    return _fill_dark_cells(paper.astype(np.float32))


def _fill_dark_cells(cells: NDArray[np.float32]) -> NDArray[np.uint8]:
    """Replace cells of solid ink by the paper around them and smooth the rest."""
    typical = float(np.median(cells))
    known = (cells >= _NOT_PAPER * typical).astype(np.float32)
    smooth = cells.copy()
    if known.min() < 1.0:
        for sigma in (1.5, 6.0, 24.0, 96.0):
            weight = cv2.GaussianBlur(known, (0, 0), sigma)
            around = cv2.GaussianBlur(cells * known, (0, 0), sigma) / np.maximum(weight, 1e-6)
            fill = (known < 1.0) & (weight > 1e-3)
            smooth[fill] = around[fill]
            known[fill] = 1.0
            cells = smooth
    if min(cells.shape) >= 3:
        smooth = np.asarray(cv2.GaussianBlur(cv2.medianBlur(smooth, 3), (0, 0), 1.0), dtype=np.float32)
    return np.asarray(np.clip(np.rint(smooth), 1, 255), dtype=np.uint8)


def _divide(grey: NDArray[np.uint8], paper: NDArray[np.uint8]) -> NDArray[np.uint8]:
    """Divide by the paper, brought to full size strip by strip."""
    height, width = grey.shape
    rows = paper.shape[0]
    flat = np.empty_like(grey)
    wide = cv2.resize(paper, (width, rows), interpolation=cv2.INTER_LINEAR)
    for top in range(0, height, _STRIP):
        bottom = min(top + _STRIP, height)
        centres = (np.arange(top, bottom, dtype=np.float32) + 0.5) * (rows / height) - 0.5
        centres = np.clip(centres, 0, rows - 1)
        above = np.floor(centres).astype(np.int32)
        below = np.minimum(above + 1, rows - 1)
        share = (centres - above)[:, None]
        light = wide[above] * (1.0 - share) + wide[below] * share
        cv2.divide(grey[top:bottom], light.astype(np.uint8), dst=flat[top:bottom], scale=255)
    return flat


def _stretch(flat: NDArray[np.uint8]) -> NDArray[np.uint8]:
    """Bring the usual ink to 0 and the paper with its noise to 255, in place."""
    counts = _histogram(flat)
    bright = np.cumsum(np.where(np.arange(256) >= _PAPER_FROM, counts, 0.0))
    paper, quarter = (float(np.searchsorted(bright, share * bright[-1])) for share in (0.5, 0.25))
    spread = max((paper - quarter) / _QUARTER_IN_DEVIATIONS, 1.0)
    darkest_paper = int(paper - max(_INK_MARGIN * spread, _LEAST_CONTRAST))
    dark = counts[: max(darkest_paper, 0)]
    if dark.sum() < _LEAST_INK:
        flat.fill(255)
        return flat
    black = float(np.searchsorted(np.cumsum(dark), 0.25 * dark.sum()))
    white = max(paper - _WHITE_MARGIN * spread, black + 1.0)
    tones = np.arange(256)
    table = np.clip((tones - black) * (255.0 / (white - black)), 0, 255).astype(np.uint8)
    cv2.LUT(flat, table, dst=flat)
    return flat

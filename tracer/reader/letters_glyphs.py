"""The marks of lettering on a page: ink that the reader calls lettering, whole letter by whole letter."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import cv2
import numpy as np
from cv2.typing import MatLike
from numpy.typing import NDArray

from tracer.reader.layers import Layers, Pixel
from tracer.reader.letters_inside import blobs_inside, body_regions
from tracer.scan.straighten import fetch
from tracer.scan.transform import identity

__all__ = ["INK_BELOW", "Glyphs", "find_glyphs", "grid_ink"]

INK_BELOW: Final = 170
"""Grey below which a levelled pixel counts as ink."""

_MOSTLY: Final = 0.5  # share of a blob that must be lettering for all of it to be taken
_PARTLY: Final = 0.12  # … and of one that stands alone and is no larger than a letter
_LEAST: Final = 0.2  # strokes squared; less ink is a speck
_LARGEST: Final = 45.0  # strokes; no letter is as large
_STACKED: Final = 1.5  # usual letters; a taller blob may be letters of two lines
_PITCH: Final = 1.25  # … from line to line
_MOST_LINES: Final = 4
_WIDEST: Final = 8.0  # usual letters of a blob that is cut into lines
_VALLEY: Final = 0.75  # ink of a row between two lines, as a part of the mean
_MARK: Final = 2.2  # strokes; what is no larger says nothing of the size of letters


@dataclass(frozen=True, slots=True, eq=False)
class Glyphs:
    """Blobs of lettering on the reader's grid.

    Attributes
    ----------
    labels : (h, w) int32
        Number of the glyph from 1 that a pixel belongs to, else 0.
    boxes : (n, 4) int32
        x0, y0, x1, y1, half-open, of glyph number ``row + 1``.
    usual : float
        The usual size of a letter, grid px.
    stroke : float
        The usual stroke, grid px.
    inside : (n,) int32
        Number of the body that the glyph stands in, 0 outside of all.
    """

    labels: NDArray[np.int32]
    boxes: NDArray[np.int32]
    usual: float
    stroke: float
    inside: NDArray[np.int32]


def grid_ink(levelled: NDArray[np.uint8], layers: Layers) -> NDArray[np.uint8]:
    """Bring a levelled page to the grid of the class map, (h, w) uint8, 0 ink to 255 paper."""
    height, width = layers.classes.shape
    unmoved = len(layers.to_page) == 2 and np.allclose(layers.to_page, identity(), atol=1e-6)
    if levelled.shape == (height, width) and unmoved:
        return levelled
    return fetch(levelled, layers.to_page, (height, width))


def find_glyphs(grey: NDArray[np.uint8], layers: Layers) -> Glyphs:
    """Find the blobs of lettering.

    A blob of ink that is mostly lettering is taken whole, so that a letter does not lose a stroke that the
    class map gives to something else; one no larger than a letter is taken whole on less. Of a blob that is
    mostly wire or body, such as a letter that touches one, only what the class map calls lettering is taken.
    Letters that stand free inside a body are taken whole too.
    Lettering of the class map without ink counts too: the reader sees on where a stroke has faded.

    Parameters
    ----------
    grey : (h, w) uint8
        The levelled page on the grid, as `grid_ink` gives it.
    layers : Layers
    """
    stroke = max(layers.stroke / layers.scale, 1.0)
    ink = np.asarray(grey < INK_BELOW, dtype=np.uint8)
    lettering = layers.classes == Pixel.LETTERING
    _, blobs, stats, _ = cv2.connectedComponentsWithStats(ink, connectivity=8)
    count = len(stats)
    inside = np.bincount(blobs[lettering & (ink > 0)], minlength=count)
    size = np.maximum(stats[:, cv2.CC_STAT_WIDTH], stats[:, cv2.CC_STAT_HEIGHT])
    whole = (inside >= _MOSTLY * stats[:, cv2.CC_STAT_AREA]) & (size <= _LARGEST * stroke)
    usual = _usual_size(stats[whole], stroke)
    body = np.bincount(blobs[(layers.classes == Pixel.BODY) & (ink > 0)], minlength=count)
    area = stats[:, cv2.CC_STAT_AREA]
    whole |= (inside >= _PARTLY * area) & (size <= 1.3 * usual) & (body <= _PARTLY * area)
    regions = body_regions(layers)
    whole |= blobs_inside(layers, np.asarray(blobs), np.asarray(stats), regions, usual)
    whole[0] = False
    mask = np.asarray(whole[blobs] | lettering, dtype=np.uint8)
    _part_stacked(mask, grey, stroke)
    _, labels, found, _ = cv2.connectedComponentsWithStats(mask, connectivity=8)
    size = np.maximum(found[:, cv2.CC_STAT_WIDTH], found[:, cv2.CC_STAT_HEIGHT])
    kept = (found[:, cv2.CC_STAT_AREA] >= _LEAST * stroke**2) & (size <= _LARGEST * stroke)
    kept[0] = False
    numbers = np.zeros(len(found), np.int32)
    numbers[kept] = np.arange(1, int(kept.sum()) + 1)
    boxes = np.asarray(found[kept][:, :4], dtype=np.int32)  # left, top, width, height
    boxes[:, 2:] += boxes[:, :2]
    middles = (boxes[:, :2] + boxes[:, 2:]) // 2
    inside = regions[middles[:, 1], middles[:, 0]]
    return Glyphs(numbers[labels], boxes, _usual_size(found[kept], stroke), stroke, inside)


def _usual_size(stats: MatLike, stroke: float) -> float:
    """Height of a capital: rather more than the median, since small letters count for half.

    A blob is as large as it is tall: letters run together along the line. Only where nearly all are a little
    wider than tall is the lettering turned, and their widths tell.
    """
    wide, tall = stats[:, cv2.CC_STAT_WIDTH], stats[:, cv2.CC_STAT_HEIGHT]
    letters = np.maximum(wide, tall) > _MARK * stroke
    if not letters.any():
        return 5.0 * stroke
    wide, tall = wide[letters], tall[letters]
    lying = (wide > 1.05 * tall) & (wide <= 1.6 * tall)
    turned = lying.mean() >= 0.6 and (tall > 1.05 * wide).mean() <= 0.15
    sizes = wide if turned else tall[tall > _MARK * stroke]
    return float(np.percentile(sizes, 70)) if len(sizes) else 5.0 * stroke


def _part_stacked(mask: NDArray[np.uint8], grey: NDArray[np.uint8], stroke: float) -> None:
    """Cut letters of one line from those of the next where their ink has run together, in place."""
    _, labels, found, _ = cv2.connectedComponentsWithStats(mask, connectivity=8)
    usual = _usual_size(found[1:], stroke)
    tall = found[:, cv2.CC_STAT_HEIGHT]
    for number in np.nonzero((tall >= _STACKED * usual) & (tall <= _MOST_LINES * _PITCH * usual))[0]:
        x, y, wide, high = (int(value) for value in found[number, :4])
        if number == 0 or wide > _WIDEST * usual:
            continue
        own = labels[y : y + high, x : x + wide] == number
        dark = np.where(own, 255.0 - grey[y : y + high, x : x + wide], 0.0).sum(axis=1) / 255.0
        lines = max(2, round(high / (_PITCH * usual)))
        for line in range(1, lines):
            middle, reach = line * high / lines, 0.34 * high / lines
            first, last = round(middle - reach), round(middle + reach) + 1
            row = first + int(dark[first:last].argmin())
            thin = own[row].sum() <= 2.0 * stroke and wide <= 3 * usual
            if thin or (wide >= 1.2 * usual and dark[row] <= _VALLEY * dark.mean()):
                mask[y + row, x : x + wide][own[row]] = 0

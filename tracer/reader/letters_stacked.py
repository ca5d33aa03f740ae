"""Lines of lettering that stand so close that their ink has run together, cut apart.

A word as tall as two lines, with letters in it that are as tall as one, is two lines with a few letters that
touch; so is one with hardly any ink half way down. It is cut along the row that has the least.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from typing import Final

import cv2
import numpy as np
from numpy.typing import NDArray

from tracer.reader.letters_glyphs import Glyphs
from tracer.reader.letters_lines import FoundWord

__all__ = ["part_lines", "two_lines"]

_TALL: Final = 1.45  # usual letters; words as tall are looked at
_PITCH: Final = 1.2  # … from line to line
_MOST: Final = 4  # lines
_REACH: Final = 0.3  # of a line to both sides of where it should end
_OF_ONE: Final = (0.45, 0.72)  # of the height of two lines; letters of one
_VALLEY: Final = 0.6  # ink of the row that is cut, as a part of the mean
_LINES_LEAST: Final = 8.5  # strokes; two lines are taller
_WIDE: Final = 0.6  # of the height of both
_SHALLOW: Final = 0.8  # ink of the row between them, as a part of the mean, where both ways are read
_DEEP: Final = 0.45  # … where no letter is of one line alone


def part_lines(words: Iterable[FoundWord], glyphs: Glyphs, grey: NDArray[np.uint8]) -> Glyphs:
    """Cut glyphs that belong to two lines; those of all other words stay as they are.

    Parameters
    ----------
    words : iterable of FoundWord
        As gathered from `glyphs`.
    glyphs : Glyphs
    grey : (h, w) uint8
        The levelled page on the grid.

    Returns
    -------
    Glyphs
        The same where nothing is cut.
    """
    cuts = [(word, row) for word in words for row in _rows(word, glyphs, grey)]
    if not cuts:
        return glyphs
    labels, boxes = glyphs.labels.copy(), [tuple(int(v) for v in box) for box in glyphs.boxes]
    inside = [int(body) for body in glyphs.inside]
    for word, row in cuts:
        for number in range(1, len(boxes) + 1):
            x0, y0, x1, y1 = boxes[number - 1]
            if not (y0 < row < y1 and word.box[0] <= x0 and x1 <= word.box[2] and y0 >= word.box[1] - 1):
                continue
            lower = labels[row:y1, x0:x1]
            own = lower == number
            if not own.any():
                continue
            boxes.append((0, 0, 0, 0))
            inside.append(inside[number - 1])
            lower[own] = len(boxes)
            for changed in (number, len(boxes)):
                boxes[changed - 1] = _box_of(labels[y0:y1, x0:x1] == changed, x0, y0)
    return replace(glyphs, labels=labels, boxes=np.array(boxes, np.int32), inside=np.array(inside, np.int32))


def _box_of(own: NDArray[np.bool_], left: int, top: int) -> tuple[int, int, int, int]:
    x, y, wide, tall = cv2.boundingRect(own.astype(np.uint8))
    return left + x, top + y, left + x + wide, top + y + tall


def _rows(word: FoundWord, glyphs: Glyphs, grey: NDArray[np.uint8]) -> list[int]:
    """Rows of the grid along which a word is cut; none where it is one line."""
    x0, y0, x1, y1 = word.box
    high = y1 - y0
    if word.turned or high < _TALL * glyphs.usual or high > _MOST * _PITCH * glyphs.usual:
        return []
    lines = max(2, round(high / (_PITCH * glyphs.usual)))
    own = np.isin(glyphs.labels[y0:y1, x0:x1], word.glyphs)
    dark = np.where(own, 255.0 - grey[y0:y1, x0:x1], 0.0).sum(axis=1)
    tall = np.array([glyphs.boxes[number - 1][3] - glyphs.boxes[number - 1][1] for number in word.glyphs])
    low, most = (share * 2 * high / lines for share in _OF_ONE)
    valley = _VALLEY if ((tall >= low) & (tall <= most)).any() else _DEEP
    found = []
    for line in range(1, lines):
        middle, reach = line * high / lines, _REACH * high / lines
        first, last = round(middle - reach), round(middle + reach) + 1
        row = first + int(dark[first:last].argmin())
        if dark[row] > valley * dark.mean():
            return []
        found.append(y0 + row)
    return found


def two_lines(word: FoundWord, glyphs: Glyphs, grey: NDArray[np.uint8]) -> tuple[FoundWord, FoundWord] | None:
    """Part a level word into an upper and a lower one at a row of little ink half way down, if there is one.

    Where most lettering of a sheet has run together, line with line, nothing tells how tall one is: both ways
    must be read to tell which is meant. The halves have the glyphs of the whole, and each a box of its own.
    """
    x0, y0, x1, y1 = word.box
    high = y1 - y0
    if word.turned or high < _LINES_LEAST * glyphs.stroke or x1 - x0 < _WIDE * high:
        return None
    own = np.isin(glyphs.labels[y0:y1, x0:x1], word.glyphs)
    dark = np.where(own, 255.0 - grey[y0:y1, x0:x1], 0.0).sum(axis=1)
    first, last = round((0.5 - _REACH / 2) * high), round((0.5 + _REACH / 2) * high) + 1
    row = first + int(dark[first:last].argmin())
    if dark[row] > _SHALLOW * dark.mean():
        return None
    halves = []
    for top, bottom in ((0, row), (row, high)):
        columns, rows = np.nonzero(own[top:bottom].any(axis=0))[0], np.nonzero(own[top:bottom].any(axis=1))[0]
        if not len(columns):
            return None
        box = (x0 + int(columns[0]), y0 + top + int(rows[0]), x0 + int(columns[-1]) + 1,
               y0 + top + int(rows[-1]) + 1)  # fmt: skip
        halves.append(replace(word, box=box))
    return halves[0], halves[1]

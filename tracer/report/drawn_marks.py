"""Marks on a tinted sheet: a ringed letter where a person said something without a reading."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from types import MappingProxyType

import cv2
import numpy as np
from numpy.typing import NDArray

from tracer.job.records import Mark, MarkKind

__all__ = ["MARK_LETTERS", "draw_marks", "marks_in_words"]

MARK_LETTERS: Mapping[MarkKind, str] = MappingProxyType(
    {
        MarkKind.REPLACED: "R",
        MarkKind.CHECKED_OUT: "C",
        MarkKind.SEEN: "S",
        MarkKind.TRUSTED: "T",
        MarkKind.LATER: "L",
    }
)
"""One letter for each kind of mark; a mark never counts as carried, so it has no tint."""

_INK = (43, 33, 25)
_SHIFT = 3  # OpenCV takes coordinates in eighths of a pixel


def draw_marks(image: NDArray[np.uint8], marks: Iterable[Mark], stroke: float) -> None:
    """Draw each mark into `image`, (H, W, 3) uint8, in place.

    Parameters
    ----------
    image : (H, W, 3) uint8
    marks : iterable of Mark
        Those of this sheet, page px.
    stroke : float
        Usual stroke width of the sheet, px.
    """
    radius = 4.5 * stroke
    line = max(1, round(stroke * 0.7))
    for mark in marks:
        centre = (round(mark.x * (1 << _SHIFT)), round(mark.y * (1 << _SHIFT)))
        size = round(radius * (1 << _SHIFT))
        cv2.circle(image, centre, size, (255, 255, 255), -1, cv2.LINE_AA, _SHIFT)
        cv2.circle(image, centre, size, _INK, line, cv2.LINE_AA, _SHIFT)
        letter, font = MARK_LETTERS[mark.kind], cv2.FONT_HERSHEY_SIMPLEX
        scale = radius / 18
        (width, height), _ = cv2.getTextSize(letter, font, scale, line)
        start = (round(mark.x - width / 2), round(mark.y + height / 2))
        cv2.putText(image, letter, start, font, scale, _INK, line, cv2.LINE_AA)


def marks_in_words(marks: Iterable[Mark]) -> str:
    """Return what the letters on a sheet mean, or nothing for a sheet without marks.

    Examples
    --------
    >>> marks_in_words([Mark(1, 5, 5, MarkKind.SEEN, "2020-01-01")])
    'Marked without a reading, not counted as carried: S seen by eye.'
    """
    used = {mark.kind for mark in marks}
    listed = ", ".join(f"{letter} {kind}" for kind, letter in MARK_LETTERS.items() if kind in used)
    return f"Marked without a reading, not counted as carried: {listed}." if listed else ""

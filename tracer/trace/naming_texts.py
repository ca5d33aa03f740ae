"""What is lettered on a sheet, as pieces that may name something: words, pairs of words and whole lines."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Final

import numpy as np

from tracer.reader.text_line import TextLine, Word

__all__ = ["Box", "Text", "gap", "texts_of"]

_MOST_READINGS: Final = 8

Box = tuple[float, float, float, float] | tuple[int, int, int, int]
"""x0, y0, x1, y1, page px."""


@dataclass(frozen=True, slots=True)
class Text:
    """A word, or a whole line such as "1 meg".

    Attributes
    ----------
    text : str
        As it was read.
    box : (float, float, float, float)
        x0, y0, x1, y1, page px.
    height : float
        Of its letters, page px.
    confidence : float
        Of its least sure word, 0 to 1.
    words : frozenset of (int, int)
        Which words it is made of, as (line, place in it); a word is given away once.
    gap : float
        The widest between two of them, in letter heights.
    readings : tuple of (str, float)
        What it may say, with the chance of each; empty where only `text` is known.
    """

    text: str
    box: tuple[float, float, float, float]
    height: float
    confidence: float
    words: frozenset[tuple[int, int]]
    gap: float
    readings: tuple[tuple[str, float], ...] = ()


def texts_of(lines: Sequence[TextLine]) -> list[Text]:
    """Give every word, every two that follow each other, and every whole line."""
    found = []
    for number, line in enumerate(lines):
        count = len(line.words)
        spans = {(start, start + 1) for start in range(count)} | {
            (start, start + 2) for start in range(count - 1)
        }
        for start, end in sorted(spans | {(0, count)}):
            words = line.words[start:end]
            points = np.array([corner for word in words for corner in word.box])
            (x0, y0), (x1, y1) = points.min(axis=0), points.max(axis=0)
            found.append(
                Text(
                    " ".join(word.text for word in words),
                    (float(x0), float(y0), float(x1), float(y1)),
                    line.height,
                    min(word.confidence for word in words),
                    frozenset((number, index) for index in range(start, end)),
                    _widest_gap(words) / line.height,
                    _readings(words),
                )
            )
    return found


def _readings(words: Sequence[Word]) -> tuple[tuple[str, float], ...]:
    """What words that follow each other may say together, the likeliest of each with those of the others."""
    if not any(word.texts for word in words):
        return ()
    found: list[tuple[str, float]] = [("", 1.0)]
    for word in words:
        told = word.texts or ((word.text, word.confidence),)
        found = [(f"{text} {more}".strip(), chance * other) for text, chance in found for more, other in told]
        found = sorted(found, key=lambda pair: -pair[1])[:_MOST_READINGS]
    return tuple(found)


def _widest_gap(words: Sequence[Word]) -> float:
    """Between words that follow each other, px."""
    return max((float(np.hypot(*np.subtract(b.box[0], a.box[1]))) for a, b in pairwise(words)), default=0.0)


def gap(a: Box, b: Box) -> float:
    """Distance between two boxes, px; 0 where they overlap."""
    across = max(a[0] - b[2], b[0] - a[2], 0.0)
    down = max(a[1] - b[3], b[1] - a[3], 0.0)
    return float(np.hypot(across, down))

"""Lettering that was read: signs, words and lines, with how sure the reading is of each."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TypeAlias

__all__ = ["Quad", "Sign", "TextLine", "Word"]

Quad: TypeAlias = tuple[tuple[float, float], tuple[float, float], tuple[float, float], tuple[float, float]]
"""Four corners, page px, as one reads: where the text begins at the top, its end at the top, and on round."""


@dataclass(frozen=True, slots=True)
class Sign:
    """One sign of a word; `confidence` is its chance, `place` where along the word it stands, both 0 to 1."""

    text: str
    confidence: float
    place: float = 0.0


@dataclass(frozen=True, slots=True)
class Word:
    """Signs that stand together, as they were read; `box` is on the page."""

    text: str
    box: Quad
    confidence: float
    signs: tuple[Sign, ...]


@dataclass(frozen=True, slots=True)
class TextLine:
    """Words on one base line.

    Attributes
    ----------
    text : str
        The line with plain slips of reading put right where only one form makes sense; see
        `tracer.reader.letters_grammar`.
    box : Quad
        Its corners, page px.
    angle : float
        Degrees clockwise as seen from level lettering: about 0, -90 (reads upwards) or 90.
    confidence : float
        Of its least sure sign, 0 to 1.
    raw : str
        The line exactly as it was read.
    words : tuple of Word
        Its words as they were read, in reading order.
    height : float
        Of its letters, page px.
    """

    text: str
    box: Quad
    angle: float
    confidence: float
    raw: str
    words: tuple[Word, ...]
    height: float

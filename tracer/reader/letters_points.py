"""Points that the recogniser passed over: a value read without its point is ten or a hundred times too large.

A small mark by itself on the base line, before or between digits, is taken for a point that was not read. It
is put in where it is as stout as a stroke, and makes the reading unsure where it may as well be a speck.
"""

from __future__ import annotations

from dataclasses import replace
from typing import Final

import numpy as np
from numpy.typing import NDArray

from tracer.reader.letters_glyphs import Glyphs
from tracer.reader.letters_lines import FoundWord
from tracer.reader.text_line import Sign

__all__ = ["with_points"]

_LETTER: Final = 0.6  # of a word's height; what is as tall is a letter
_LARGEST: Final = 0.32  # of a letter's height
_SPECK: Final = 0.45  # strokes; smaller marks say nothing
_STOUT: Final = 1.0  # strokes; as wide or as tall as a point
_ON_LINE: Final = 0.14  # letter heights from the foot of the letters
_PUT_IN: Final = 0.6  # how sure a point is that was put in
_UNSURE: Final = 0.45  # … and a reading that passes over what may be one
_MARKS: Final = {".": 1, ",": 1, ":": 2, "-": 1, "'": 1, '"': 2, "=": 2, "%": 2, "±": 2, "i": 1, "j": 1}


def with_points(word: FoundWord, signs: tuple[Sign, ...], glyphs: Glyphs) -> tuple[Sign, ...]:
    """Give the signs of a level word with the point that was passed over, if any, or unsure of one.

    Parameters
    ----------
    word : FoundWord
    signs : tuple of Sign
        As they were read.
    glyphs : Glyphs
        Of the page.
    """
    if word.turned or not signs[0].text.isdigit():
        return signs
    marks, letters = _marks(word, glyphs)
    told = sum(_MARKS.get(sign.text, 0) for sign in signs)
    if len(marks) != told + 1 or told:
        return signs
    (mark,) = marks
    left, right = float(letters[:, 0].min()), float(letters[:, 2].max())
    place = (float(mark[0] + mark[2]) / 2 - word.box[0]) / max(word.box[2] - word.box[0], 1)
    after = next((number for number, sign in enumerate(signs) if sign.place > place), len(signs))
    if after == len(signs) or float(mark[0]) > right:
        return signs
    if not (
        signs[after].text.isdigit() and (signs[after - 1].text.isdigit() if after else mark[2] <= left + 1)
    ):
        return signs
    if max(mark[2] - mark[0], mark[3] - mark[1]) >= _STOUT * glyphs.stroke:
        return (*signs[:after], Sign(".", _PUT_IN, round(place, 3)), *signs[after:])
    doubted = replace(signs[after], confidence=min(signs[after].confidence, _UNSURE))
    return (*signs[:after], doubted, *signs[after + 1 :])


def _marks(word: FoundWord, glyphs: Glyphs) -> tuple[NDArray[np.int32], NDArray[np.int32]]:
    """Boxes of the small marks on a word's base line, and of its letters."""
    own = glyphs.boxes[np.array(word.glyphs) - 1]
    tall, wide = own[:, 3] - own[:, 1], own[:, 2] - own[:, 0]
    is_letter = tall >= _LETTER * word.height
    if not is_letter.any():
        return own[:0], own
    letters = own[is_letter]
    high = float(np.median(letters[:, 3] - letters[:, 1]))
    foot = float(np.median(letters[:, 3]))
    small = ~is_letter & (np.maximum(tall, wide) <= _LARGEST * high)
    small &= np.minimum(tall, wide) >= _SPECK * glyphs.stroke
    return own[small & (np.abs(own[:, 3] - foot) <= _ON_LINE * high)], letters

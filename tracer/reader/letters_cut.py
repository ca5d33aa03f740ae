"""Cutting words out of a page and reading them: each way round, with and without what runs through it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import Final, TypeAlias

import cv2
import numpy as np
from numpy.typing import NDArray

from tracer.reader.layers import Layers, Pixel
from tracer.reader.letters_glyphs import INK_BELOW, Glyphs
from tracer.reader.letters_lines import FoundWord, halves
from tracer.reader.letters_network import LetterWeights, read_strips
from tracer.reader.letters_points import with_points
from tracer.reader.letters_strips import PageInk, strip_of
from tracer.reader.text_line import Sign

__all__ = ["ReadWords", "foreign_ink", "read_words", "sureness"]

_UNSURE: Final = 0.2  # words less sure than this are no words
_THROUGH: Final = 0.06  # ink of a wire in a word's box, as a part of the word's own
_MOSTLY_FOREIGN: Final = 1.5
_UNSURE_INSIDE: Final = 0.5  # … inside bodies, where strokes of the part itself may look like letters
_BETTER: Final = 0.02  # by how much surer must two halves be than the whole

ReadWords: TypeAlias = dict[FoundWord, tuple[tuple[Sign, ...], bool]]
"""Each word's signs, and whether it is turned to read downwards."""


def read_words(
    words: Sequence[FoundWord],
    ink: PageInk,
    grey: NDArray[np.uint8],
    glyphs: Glyphs,
    foreign: NDArray[np.bool_],
    weights: LetterWeights,
) -> ReadWords:
    """Read words; those that say nothing are left out, and one that reads better as two words is two.

    Parameters
    ----------
    words : sequence of FoundWord
    ink : PageInk
        The levelled page itself.
    grey : (h, w) uint8
        The levelled page on the grid.
    glyphs : Glyphs
    foreign : (h, w) bool
        As `foreign_ink` gives it.
    weights : LetterWeights
    """
    parted = {word: pair for word in words if (pair := halves(word, glyphs)) is not None}
    every = [*words, *(half for pair in parted.values() for half in pair)]
    read = _read_each(every, ink, grey, glyphs, foreign, weights)
    found: ReadWords = {}
    for word in words:
        shown = [word]
        if word in parted and _two_read_better(word, parted[word], read):
            shown = list(parted[word])
        for each in shown:
            if each in read:
                best, signs, downwards = read[each]
                found[best] = (with_points(best, signs, glyphs), downwards)
    return found


def _two_read_better(
    word: FoundWord,
    pair: tuple[FoundWord, FoundWord],
    read: Mapping[FoundWord, tuple[FoundWord, tuple[Sign, ...], bool]],
) -> bool:
    if not all(half in read and len(read[half][1]) >= 2 for half in pair):
        return False
    return word not in read or min(_mean(read[half][1]) for half in pair) >= _mean(read[word][1]) + _BETTER


def _read_each(
    words: Sequence[FoundWord],
    ink: PageInk,
    grey: NDArray[np.uint8],
    glyphs: Glyphs,
    foreign: NDArray[np.bool_],
    weights: LetterWeights,
) -> dict[FoundWord, tuple[FoundWord, tuple[Sign, ...], bool]]:
    """For each word as found: the word as it is best read, its signs, and whether that is downwards."""
    strips, owners = [], []
    for word in words:
        corner = (max(word.box[0] - 1, 0), max(word.box[1] - 1, 0))
        for kept in _cuts(word, grey, glyphs, foreign):
            for turned, downwards in _ways(word):
                way = cv2.ROTATE_90_COUNTERCLOCKWISE if downwards else cv2.ROTATE_90_CLOCKWISE
                strips.append(strip_of(ink, corner, kept, way if turned else None, glyphs.usual))
                owners.append((word, replace(word, turned=turned), downwards))
    best: dict[FoundWord, tuple[FoundWord, tuple[Sign, ...], bool]] = {}
    for (word, shown_word, downwards), signs in zip(owners, read_strips(strips, weights), strict=True):
        worse = word in best and _mean(best[word][1]) >= _mean(signs) if signs else True
        if signs and sureness(signs) >= _least(word, signs) and not worse:
            best[word] = (shown_word, signs, downwards)
    return best


def _least(word: FoundWord, signs: tuple[Sign, ...]) -> float:
    """How sure a word must be to be kept."""
    if not word.inside:
        return _UNSURE
    return _UNSURE_INSIDE if any(sign.text.isalnum() for sign in signs) or len(signs) == 1 else 1.1


def _ways(word: FoundWord) -> tuple[tuple[bool, bool], ...]:
    """The ways to try a word: whether turned, and whether it then reads downwards."""
    if not word.turned:
        return ((False, False),)
    upright = ((False, False),) if len(word.glyphs) == 1 else ()
    return (*upright, (True, False), (True, True))


def _cuts(
    word: FoundWord, grey: NDArray[np.uint8], glyphs: Glyphs, foreign: NDArray[np.bool_]
) -> tuple[NDArray[np.bool_], ...]:
    """Tell what of a word's box is its own, from a pixel before and above it to one behind and below.

    Faint and small ink within the box stays; ink of wires, bodies and other words goes.

    Where a wire or a body runs through the word, and takes a stroke of a letter with it, the word is cut out
    a second time with that ink.
    """
    (x0, y0), (x1, y1) = np.maximum(np.array(word.box[:2]) - 1, 0), np.array(word.box[2:]) + 1
    labels = glyphs.labels[y0:y1, x0:x1]
    own = np.isin(labels, word.glyphs)
    near = cv2.dilate(own.astype(np.uint8), np.ones((3, 3), np.uint8)) > 0
    other = foreign[y0:y1, x0:x1] | ((labels > 0) & ~own)
    kept = near | ~other
    through = ~kept & (labels == 0) & (grey[y0:y1, x0:x1] < INK_BELOW)
    if word.inside or not _THROUGH * own.sum() < through.sum() < _MOSTLY_FOREIGN * own.sum():
        return (kept,)
    return kept, kept | (labels == 0)


def foreign_ink(layers: Layers, glyphs: Glyphs) -> NDArray[np.bool_]:
    """Where ink and its grey edges belong to anything but lettering, (h, w) bool."""
    other = (layers.classes != Pixel.BACKGROUND) & (layers.classes != Pixel.LETTERING) & (glyphs.labels == 0)
    return np.asarray(cv2.dilate(other.astype(np.uint8), np.ones((5, 5), np.uint8)) > 0)


def sureness(signs: tuple[Sign, ...]) -> float:
    """The chance of the least sure sign."""
    return min(sign.confidence for sign in signs)


def _mean(signs: tuple[Sign, ...]) -> float:
    return sum(sign.confidence for sign in signs) / len(signs)

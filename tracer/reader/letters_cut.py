"""Cutting words out of a page and reading them: each way round, with and without what runs through it."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise
from typing import Final, TypeAlias

import cv2
import numpy as np
from numpy.typing import NDArray

from tracer.reader.layers import Layers, Pixel
from tracer.reader.letters_decode import likely_texts
from tracer.reader.letters_glyphs import INK_BELOW, Glyphs
from tracer.reader.letters_grammar import as_reference
from tracer.reader.letters_lines import FoundWord, halves, joined, sign_before, words_in_lines
from tracer.reader.letters_network import LetterWeights, StripRead, read_strips
from tracer.reader.letters_points import with_points
from tracer.reader.letters_stacked import two_lines
from tracer.reader.letters_strips import PageInk, strip_of
from tracer.reader.text_line import Sign

__all__ = ["ReadWord", "ReadWords", "foreign_ink", "read_words", "sureness"]

_UNSURE: Final = 0.2  # words less sure than this are no words
_THROUGH: Final = 0.06  # ink of a wire in a word's box, as a part of the word's own
_MOSTLY_FOREIGN: Final = 1.5
_UNSURE_INSIDE: Final = 0.5  # … inside bodies, where strokes of the part itself may look like letters
_PLAINLY: Final = 0.5  # cost of a reference as `as_reference` tells it
_CROSSED: Final = 0.7  # of a word's height; ink of a wire that may be a letter
_BETTER: Final = 0.02  # by how much surer must two halves be than the whole


@dataclass(frozen=True, slots=True)
class ReadWord:
    """A word's signs, whether it is turned to read downwards, and the likeliest texts with their chances."""

    signs: tuple[Sign, ...]
    downwards: bool
    texts: tuple[tuple[str, float], ...]


ReadWords: TypeAlias = dict[FoundWord, ReadWord]


@dataclass(frozen=True, slots=True, eq=False)
class _Best:
    """A word as it is best read: the word as it is turned then, its strip, and whether that is downwards."""

    word: FoundWord
    strip: StripRead
    downwards: bool

    @property
    def signs(self) -> tuple[Sign, ...]:
        return self.strip.signs


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
    signed = {word: pair for word in words if (pair := sign_before(word, glyphs)) is not None}
    stacked = {word: pair for word in words if (pair := two_lines(word, glyphs, grey)) is not None}
    crossed = {joined(*pair): pair for pair in _crossed(words, grey, glyphs, foreign)}
    pairs = (*parted.values(), *signed.values(), *stacked.values())
    every = list(dict.fromkeys([*words, *crossed, *(half for pair in pairs for half in pair)]))
    read = _read_each(every, ink, grey, glyphs, foreign, weights)
    found: ReadWords = {}
    whole = {word: pair for word, pair in crossed.items() if _is_whole(word, pair, read)}
    halved = {half for pair in whole.values() for half in pair}
    for word in (*whole, *(word for word in words if word not in halved)):
        shown = [word]
        if word in signed and _is_named(signed[word][1], read):
            shown = list(signed[word])
        elif word in stacked and _lines_read_better(word, stacked[word], read):
            shown = list(stacked[word])
        elif word in parted and _two_read_better(word, parted[word], read):
            shown = list(parted[word])
        for each in shown:
            if each in read:
                best = read[each]
                texts = likely_texts(best.strip.chances, weights.alphabet)
                signs = with_points(best.word, best.signs, glyphs)
                found[best.word] = ReadWord(signs, best.downwards, _as_shown(signs, texts))
    return found


def _as_shown(signs: tuple[Sign, ...], texts: tuple[tuple[str, float], ...]) -> tuple[tuple[str, float], ...]:
    """Put the text that is shown among the likely ones; it may have been given a point."""
    shown = "".join(sign.text for sign in signs)
    held = {text.strip(): chance for text, chance in texts if text.strip()}
    if shown not in held:
        held = {shown: held.pop(shown.replace(".", ""), sureness(signs)), **held}
    return tuple(held.items())


def _crossed(
    words: Sequence[FoundWord], grey: NDArray[np.uint8], glyphs: Glyphs, foreign: NDArray[np.bool_]
) -> Iterator[tuple[FoundWord, FoundWord]]:
    """Yield neighbours on a line with ink between them, as tall as a letter, that was taken for a wire's."""
    for line in words_in_lines(tuple(word for word in words if not word.turned)):
        for one, other in pairwise(line):
            x0, x1 = one.box[2], other.box[0]
            y0, y1 = max(one.box[1], other.box[1]), min(one.box[3], other.box[3])
            if not 0 < x1 - x0 <= one.height or y1 <= y0:
                continue
            between = (
                foreign[y0:y1, x0:x1] & (grey[y0:y1, x0:x1] < INK_BELOW) & (glyphs.labels[y0:y1, x0:x1] == 0)
            )
            if between.any(axis=1).mean() >= _CROSSED:
                yield one, other


def _is_whole(word: FoundWord, pair: tuple[FoundWord, FoundWord], read: Mapping[FoundWord, _Best]) -> bool:
    """Whether two words read surely as one reference, with a letter more than they have."""
    if not _is_named(word, read) or sureness(read[word].signs) < _PLAINLY:
        return False
    return len(read[word].signs) > sum(len(read[half].signs) for half in pair if half in read)


def _lines_read_better(
    word: FoundWord, pair: tuple[FoundWord, FoundWord], read: Mapping[FoundWord, _Best]
) -> bool:
    """Whether two lines are read as surely as both of them taken for one."""
    if not all(half in read for half in pair):
        return False
    both = sum(_mean(read[half].signs) for half in pair) / 2
    return word not in read or both >= _mean(read[word].signs)


def _is_named(word: FoundWord, read: Mapping[FoundWord, _Best]) -> bool:
    """Whether a word reads plainly as a reference, so that a small sign before it is no part of it."""
    fit = as_reference("".join(sign.text for sign in read[word].signs)) if word in read else None
    return fit is not None and fit.cost < _PLAINLY


def _two_read_better(
    word: FoundWord,
    pair: tuple[FoundWord, FoundWord],
    read: Mapping[FoundWord, _Best],
) -> bool:
    if not all(half in read and len(read[half].signs) >= 2 for half in pair):
        return False
    least = min(_mean(read[half].signs) for half in pair)
    return word not in read or least >= _mean(read[word].signs) + _BETTER


def _read_each(
    words: Sequence[FoundWord],
    ink: PageInk,
    grey: NDArray[np.uint8],
    glyphs: Glyphs,
    foreign: NDArray[np.bool_],
    weights: LetterWeights,
) -> dict[FoundWord, _Best]:
    """Read each word every way that it may be meant, and keep the best."""
    strips, owners = [], []
    for word in words:
        corner = (max(word.box[0] - 1, 0), max(word.box[1] - 1, 0))
        for kept in _cuts(word, grey, glyphs, foreign):
            for turned, downwards in _ways(word):
                way = cv2.ROTATE_90_COUNTERCLOCKWISE if downwards else cv2.ROTATE_90_CLOCKWISE
                strips.append(strip_of(ink, corner, kept, way if turned else None, glyphs.usual))
                owners.append((word, replace(word, turned=turned), downwards))
    best: dict[FoundWord, _Best] = {}
    for (word, shown_word, downwards), strip in zip(owners, read_strips(strips, weights), strict=True):
        signs = strip.signs
        worse = word in best and _mean(best[word].signs) >= _mean(signs) if signs else True
        if signs and sureness(signs) >= _least(word, signs) and not worse:
            best[word] = _Best(shown_word, strip, downwards)
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

"""Gathering glyphs into words and words into lines, level or turned by a quarter.

The shortest gaps close first: letters of a word stand nearer to each other than to the line below, so each
group finds its own direction before it meets another.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray
from scipy.spatial import cKDTree

from tracer.reader.letters_glyphs import Glyphs

__all__ = ["FoundWord", "find_words", "halves", "joined", "sign_before", "words_in_lines"]

_LETTER_GAP: Final = 0.6  # of a letter's size; more parts two words
_WORD_GAP: Final = 1.15  # of a letter's size; more parts two lines
_SHARED: Final = 0.5  # of the smaller one's extent across the line
_MARK: Final = 0.5  # of a letter's size: points, dashes, accents
_TURNED_COSTS: Final = 1.25  # upright stacks of level lines are far commoner than turned lettering
_TURNED_LEAST: Final = 3  # letters; fewer on top of each other are lines of one letter
_NEAREST: Final = 10
_SPECK: Final = 0.3  # of the largest letter; a mark that is larger is a dash or a stroke gone astray
_SIGNED_LEAST: Final = 3  # glyphs of a word that may begin with a sign of its own
_SIGN: Final = (0.3, 0.85)  # of the letters' height; the size of a plus
_PARTED_LEAST: Final = 4  # glyphs of a word that may be two
_PARTED_GAP: Final = 0.25  # of a letter's size; the least gap between two words
_PARTED_MORE: Final = 1.6  # times as wide as any other gap

Boxes = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class FoundWord:
    """Glyphs of one word: numbers from 1, box x0, y0, x1, y1 (half-open, grid px), whether it is turned.

    `inside` is the number of the body that it stands in, 0 outside of all.
    """

    glyphs: tuple[int, ...]
    box: tuple[int, int, int, int]
    turned: bool
    inside: int = 0

    @property
    def height(self) -> int:
        """Of its letters, grid px."""
        return self.box[2] - self.box[0] if self.turned else self.box[3] - self.box[1]


@dataclass(slots=True)
class _Groups:
    """Disjoint sets of glyphs, each with its direction: 0 not known, 1 level, 2 turned."""

    parent: list[int]
    way: list[int]

    def find(self, item: int) -> int:
        while self.parent[item] != item:
            self.parent[item] = self.parent[self.parent[item]]
            item = self.parent[item]
        return item

    def join(self, one: int, two: int, way: int) -> None:
        a, b = self.find(one), self.find(two)
        ways = {self.way[a], self.way[b], way} - {0}
        if a != b and len(ways) <= 1:
            self.parent[b] = a
            self.way[a] = max(ways, default=0)

    def sets(self) -> list[list[int]]:
        found: dict[int, list[int]] = {}
        for item in range(len(self.parent)):
            found.setdefault(self.find(item), []).append(item)
        return list(found.values())


def find_words(glyphs: Glyphs) -> tuple[FoundWord, ...]:
    """Gather glyphs into words, those of mere marks left out."""
    boxes = glyphs.boxes.astype(np.float64)
    if not len(boxes):
        return ()
    pieces = _pieces(boxes, glyphs)
    whole = _outlines(boxes, pieces)
    groups = _Groups(list(range(len(whole))), _plain_ways(whole, glyphs.usual))
    inside = [int(glyphs.inside[piece[0]]) for piece in pieces]
    for one, two, way in _closest_first(whole, glyphs.usual):
        if inside[one] == inside[two]:
            groups.join(one, two, way)
    words = []
    for members in groups.sets():
        way = groups.way[groups.find(members[0])]
        turned = way == 2 and _is_turned(whole[members], glyphs.usual)
        parts = [[member] for member in members] if way == 2 and not turned else [members]
        for part in parts:
            word = _word([glyph for piece in part for glyph in pieces[piece]], boxes, turned, inside[part[0]])
            if _is_lettering(word, glyphs):
                words.append(word)
    return tuple(words)


def halves(word: FoundWord, glyphs: Glyphs) -> tuple[FoundWord, FoundWord] | None:
    """Part a level word at its one wide gap, if any: two words may stand close together."""
    if word.turned or len(word.glyphs) < _PARTED_LEAST:
        return None
    own = glyphs.boxes[np.array(word.glyphs) - 1].astype(np.float64)
    order = own[:, 0].argsort()
    right = np.maximum.accumulate(own[order, 2])
    gaps = own[order[1:], 0] - right[:-1]
    at = int(gaps.argmax())
    others = np.delete(gaps, at)
    wide = gaps[at] >= _PARTED_GAP * glyphs.usual and gaps[at] >= _PARTED_MORE * max(float(others.max()), 1.0)
    if not wide or min(at + 1, len(gaps) - at) < 2:
        return None
    boxes = glyphs.boxes.astype(np.float64)
    left, rest = ([word.glyphs[index] - 1 for index in some] for some in (order[: at + 1], order[at + 1 :]))
    return _word(left, boxes, False, word.inside), _word(rest, boxes, False, word.inside)


def sign_before(word: FoundWord, glyphs: Glyphs) -> tuple[FoundWord, FoundWord] | None:
    """Part a level word from a small sign before it, if any: an electrolytic's plus beside its name."""
    if word.turned or len(word.glyphs) < _SIGNED_LEAST:
        return None
    own = glyphs.boxes[np.array(word.glyphs) - 1].astype(np.float64)
    order = own[:, 0].argsort()
    first, high = own[order[0]], float((own[order[1:], 3] - own[order[1:], 1]).max())
    wide, tall = first[2] - first[0], first[3] - first[1]
    small = _SIGN[0] * high <= max(wide, tall) <= _SIGN[1] * high and max(wide, tall) <= 1.7 * min(wide, tall)
    if not small or own[order[1:], 0].min() < first[2]:
        return None
    boxes = glyphs.boxes.astype(np.float64)
    sign, rest = ([word.glyphs[index] - 1 for index in some] for some in (order[:1], order[1:]))
    return _word(sign, boxes, False, word.inside), _word(rest, boxes, False, word.inside)


def joined(one: FoundWord, other: FoundWord) -> FoundWord:
    """Give two words as one."""
    low, high = np.minimum(one.box[:2], other.box[:2]), np.maximum(one.box[2:], other.box[2:])
    box = (int(low[0]), int(low[1]), int(high[0]), int(high[1]))
    return FoundWord(tuple(sorted({*one.glyphs, *other.glyphs})), box, one.turned, one.inside)


def words_in_lines(words: tuple[FoundWord, ...]) -> tuple[tuple[FoundWord, ...], ...]:
    """Put words that follow each other on one base line together, in reading order."""
    if not words:
        return ()
    groups = _Groups(list(range(len(words))), [0] * len(words))
    frames = np.array([_reading_frame(word) for word in words])
    tree = cKDTree(np.array([((f[0] + f[2]) / 2, (f[1] + f[3]) / 2) for f in frames]))
    near = max(word.height for word in words) * 2 + float((frames[:, 2] - frames[:, 0]).max())
    for one, two in sorted(tree.query_pairs(near)):
        alike = words[one].turned == words[two].turned and words[one].inside == words[two].inside
        if alike and _follows(frames[one], frames[two]):
            groups.join(one, two, 0)
    lines = [sorted(members, key=lambda member: float(frames[member][0])) for members in groups.sets()]
    return tuple(tuple(words[member] for member in members) for members in lines)


def _reading_frame(word: FoundWord) -> tuple[float, float, float, float]:
    """A word's box as it is read, turned lettering taken to read upwards."""
    x0, y0, x1, y1 = word.box
    return (-y1, x0, -y0, x1) if word.turned else (x0, y0, x1, y1)


def _follows(a: Boxes, b: Boxes) -> bool:
    tall = (a[3] - a[1], b[3] - b[1])
    shared = min(a[3], b[3]) - max(a[1], b[1])
    gap = max(a[0], b[0]) - min(a[2], b[2])
    return bool(
        min(tall) >= 0.6 * max(tall) and shared >= 0.7 * min(tall) and -0.3 <= gap / max(tall) <= _WORD_GAP
    )


def _neighbours(boxes: Boxes) -> NDArray[np.intp]:
    """Pairs (n, 2) of boxes that may be neighbours, the lower number first."""
    middles = (boxes[:, :2] + boxes[:, 2:]) / 2
    count = min(_NEAREST + 1, len(boxes))
    _, near = cKDTree(middles).query(middles, k=count)
    near = np.asarray(near).reshape(len(boxes), count)
    rows = np.repeat(np.arange(len(boxes)), count)
    pairs = np.sort(np.stack([rows, near.ravel()], axis=1), axis=1)
    return np.asarray(np.unique(pairs[pairs[:, 0] < pairs[:, 1]], axis=0))


def _gaps(boxes: Boxes, pairs: NDArray[np.intp]) -> tuple[Boxes, Boxes]:
    """Gap and overlap between pairs of boxes, (n, 2): along x and along y; an overlap is a gap below zero."""
    a, b = boxes[pairs[:, 0]], boxes[pairs[:, 1]]
    gap = np.maximum(a[:, :2], b[:, :2]) - np.minimum(a[:, 2:], b[:, 2:])
    extent = np.minimum(a[:, 2:] - a[:, :2], b[:, 2:] - b[:, :2])
    return gap, -gap / np.maximum(extent, 1.0)


def _pieces(boxes: Boxes, glyphs: Glyphs) -> list[list[int]]:
    """Put the pieces of one letter together: broken strokes, the dot of an i, the bars of an equals sign."""
    groups = _Groups(list(range(len(boxes))), [0] * len(boxes))
    pairs = _neighbours(boxes)
    gap, shared = _gaps(boxes, pairs)
    a, b = boxes[pairs[:, 0]], boxes[pairs[:, 1]]
    both = np.maximum(a[:, 2:], b[:, 2:]) - np.minimum(a[:, :2], b[:, :2])
    stacked = (shared[:, 0] >= 0.6) & (gap[:, 1] < 0.45 * glyphs.usual) & (both[:, 1] <= 1.1 * glyphs.usual)
    touching = (gap.max(axis=1) <= 0.5 * glyphs.stroke) & (both.max(axis=1) <= 1.1 * glyphs.usual)
    for one, two in pairs[(stacked & (both[:, 0] <= 1.1 * glyphs.usual)) | touching]:
        groups.join(int(one), int(two), 0)
    return groups.sets()


def _outlines(boxes: Boxes, pieces: list[list[int]]) -> Boxes:
    return np.array(
        [np.concatenate([boxes[piece, :2].min(axis=0), boxes[piece, 2:].max(axis=0)]) for piece in pieces]
    )


def _plain_ways(boxes: Boxes, usual: float) -> list[int]:
    """Letters run together tell their direction: a blob as tall as a letter and wider than one is level."""
    wide, tall = (boxes[:, 2:] - boxes[:, :2]).T / usual
    level = (tall > 0.72) & (tall < 1.3) & (wide >= 1.12)
    turned = (wide > 0.35) & (wide < 1.3) & (tall >= 1.3) & (tall >= 1.5 * wide)
    return [int(way) for way in np.where(level, 1, np.where(turned, 2, 0))]


def _is_turned(boxes: Boxes, usual: float) -> bool:
    """Whether letters on top of each other are a turned word, and not lines of one letter each."""
    sizes = (boxes[:, 2:] - boxes[:, :2]).max(axis=1)
    wide, tall = boxes[:, 2:].max(axis=0) - boxes[:, :2].min(axis=0)
    letters = int((sizes > _MARK * usual).sum())
    return bool((letters >= _TURNED_LEAST or (letters == 1 and len(boxes) == 1)) and tall >= 1.5 * wide)


def _closest_first(boxes: Boxes, usual: float) -> Iterable[tuple[int, int, int]]:
    """Neighbouring letters, the closest first: both numbers, and 1 beside or 2 below each other."""
    pairs = _neighbours(boxes)
    if not len(pairs):
        return []
    gap, shared = _gaps(boxes, pairs)
    sizes = (boxes[:, 2:] - boxes[:, :2]).max(axis=1)
    larger = sizes[pairs].max(axis=1)
    smaller = sizes[pairs].min(axis=1)
    size = np.clip(larger, 0.5 * usual, None)
    alike = (smaller >= 0.45 * larger) | (smaller <= _MARK * larger)
    found = []
    for way, along, across, penalty in ((1, 0, 1, 1.0), (2, 1, 0, _TURNED_COSTS)):
        cost = np.maximum(gap[:, along], 0.0) / size
        close = (
            (cost <= _LETTER_GAP) & (shared[:, across] >= _SHARED) & (gap[:, along] >= -0.4 * size) & alike
        )
        found += [
            (float(cost[i]) * penalty, int(pairs[i, 0]), int(pairs[i, 1]), way) for i in np.nonzero(close)[0]
        ]
    return [(one, two, way) for _, one, two, way in sorted(found)]


def _word(members: list[int], boxes: Boxes, turned: bool, inside: int) -> FoundWord:
    members = _without_specks(members, boxes) if not turned else members
    own = boxes[members]
    low, high = own[:, :2].min(axis=0), own[:, 2:].max(axis=0)
    return FoundWord(
        tuple(member + 1 for member in sorted(members)),
        (int(low[0]), int(low[1]), int(high[0]), int(high[1])),
        turned,
        inside,
    )


def _without_specks(members: list[int], boxes: Boxes) -> list[int]:
    """Leave out marks high before or behind the letters, and those above or below all of them."""
    own = boxes[members]
    top, bottom = own[:, 1].min(), own[:, 3].max()
    sizes = (own[:, 2:] - own[:, :2]).max(axis=1)
    letters = sizes > _MARK * sizes.max()
    if not letters.any():
        return members
    start, end = own[letters, 0].min(), own[letters, 2].max()
    middle = (own[:, 1] + own[:, 3]) / 2
    speck = ~letters & (own[:, 2] <= start) & (middle < top + 0.36 * (bottom - top))
    speck |= (
        ~letters
        & (own[:, 0] >= end)
        & (middle < top + 0.5 * (bottom - top))
        & (sizes <= _SPECK * sizes.max())
    )
    tall = letters & (own[:, 3] - own[:, 1] > _MARK * sizes.max())
    if tall.any():
        low, high = own[tall, 1].min(), own[tall, 3].max()
        aside = (own[:, 3] < low) | (own[:, 1] > high)
        speck |= ~letters & aside & (sizes <= _SPECK * sizes.max())
    return [member for member, out in zip(members, speck, strict=True) if not out]


def _is_lettering(word: FoundWord, glyphs: Glyphs) -> bool:
    """Whether anything in the word is as large as a letter."""
    wide, tall = word.box[2] - word.box[0], word.box[3] - word.box[1]
    return max(wide, tall) >= max(0.45 * glyphs.usual, 1.8 * glyphs.stroke)

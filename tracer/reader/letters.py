"""Reading the lettering of a page: references, values, pins and notes, each with how sure the reading is."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from typing import Final

import cv2
import numpy as np
from numpy.typing import NDArray

from tracer.progress import NullProgress, Progress, checkpoint
from tracer.reader.layers import Layers, Pixel
from tracer.reader.letters_glyphs import INK_BELOW, Glyphs, find_glyphs, grid_ink
from tracer.reader.letters_grammar import put_right
from tracer.reader.letters_lines import FoundWord, find_words, words_in_lines
from tracer.reader.letters_network import LetterWeights, load_letters, read_strips, scaled_strip
from tracer.reader.text_line import Quad, Sign, TextLine, Word
from tracer.scan.level import level
from tracer.scan.page import Page
from tracer.scan.transform import apply

__all__ = ["read_lettering"]

_STAGE: Final = "reading the lettering"
_UNSURE: Final = 0.2  # words less sure than this are no words
_THROUGH: Final = 0.06  # ink of a wire in a word's box, as a part of the word's own
_MOSTLY_FOREIGN: Final = 1.5
_UNSURE_INSIDE: Final = 0.5  # … inside bodies, where strokes of the part itself may look like letters
_WATCH_NOTHING: Final = NullProgress()


@cache
def _installed() -> LetterWeights | None:
    return load_letters()


def read_lettering(
    page: Page, layers: Layers, progress: Progress = _WATCH_NOTHING, *, weights: LetterWeights | None = None
) -> tuple[TextLine, ...]:
    """Read all lettering on a page that runs level or turned by a quarter.

    Parameters
    ----------
    page : Page
    layers : Layers
        What the reader said of its pixels.
    progress : Progress
        Watches the work; asked between its steps whether to stop.
    weights : LetterWeights, optional
        The installed ones unless given.

    Returns
    -------
    tuple of TextLine
        From the top of the page to its foot; empty where the recogniser is not installed.

    Raises
    ------
    WeightsDamaged, Cancelled
    """
    weights = weights or _installed()
    if weights is None:
        return ()
    checkpoint(progress, _STAGE, 0.0)
    grey = grid_ink(level(page.grey), layers)
    glyphs = find_glyphs(grey, layers)
    words = find_words(glyphs)
    checkpoint(progress, _STAGE, 0.3)
    read = _read_words(words, grey, glyphs, _foreign_ink(layers, glyphs), weights)
    progress.advance(_STAGE, 1.0)
    lines = [
        _line(line, read, layers) for line in words_in_lines(tuple(word for word in words if word in read))
    ]
    return tuple(sorted(lines, key=lambda line: (line.box[0][1], line.box[0][0])))


def _read_words(
    words: tuple[FoundWord, ...],
    grey: NDArray[np.uint8],
    glyphs: Glyphs,
    foreign: NDArray[np.bool_],
    weights: LetterWeights,
) -> dict[FoundWord, tuple[tuple[Sign, ...], bool]]:
    """Each word's signs, and whether it is turned to read downwards; words that say nothing are left out."""
    strips, owners = [], []
    for word in words:
        for cut in _cuts(word, grey, glyphs, foreign):
            for turned, downwards in _ways(word):
                way = cv2.ROTATE_90_COUNTERCLOCKWISE if downwards else cv2.ROTATE_90_CLOCKWISE
                shown = np.asarray(cv2.rotate(cut, way), dtype=np.uint8) if turned else cut
                strips.append(scaled_strip(shown, glyphs.usual))
                owners.append((word, replace(word, turned=turned), downwards))
    best: dict[FoundWord, tuple[FoundWord, tuple[Sign, ...], bool]] = {}
    for (word, shown_word, downwards), signs in zip(owners, read_strips(strips, weights), strict=True):
        worse = word in best and _mean(best[word][1]) >= _mean(signs) if signs else True
        if signs and _sureness(signs) >= _least(word, signs) and not worse:
            best[word] = (shown_word, signs, downwards)
    return {word: (signs, downwards) for word, signs, downwards in best.values()}


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
) -> tuple[NDArray[np.uint8], ...]:
    """Cut a word out. Faint and small ink within its box stays; ink of wires, bodies and other words goes.

    Where a wire or a body runs through the word, and takes a stroke of a letter with it, the word is cut out
    a second time with that ink.
    """
    (x0, y0), (x1, y1) = np.maximum(np.array(word.box[:2]) - 1, 0), np.array(word.box[2:]) + 1
    labels = glyphs.labels[y0:y1, x0:x1]
    own = np.isin(labels, word.glyphs)
    near = cv2.dilate(own.astype(np.uint8), np.ones((3, 3), np.uint8)) > 0
    other = foreign[y0:y1, x0:x1] | ((labels > 0) & ~own)
    kept = near | ~other
    cut = np.where(kept, grey[y0:y1, x0:x1], 255).astype(np.uint8)
    through = ~kept & (labels == 0) & (grey[y0:y1, x0:x1] < INK_BELOW)
    if word.inside or not _THROUGH * own.sum() < through.sum() < _MOSTLY_FOREIGN * own.sum():
        return (cut,)
    return cut, np.where(kept | (labels == 0), grey[y0:y1, x0:x1], 255).astype(np.uint8)


def _foreign_ink(layers: Layers, glyphs: Glyphs) -> NDArray[np.bool_]:
    """Where ink and its grey edges belong to anything but lettering, (h, w) bool."""
    other = (layers.classes != Pixel.BACKGROUND) & (layers.classes != Pixel.LETTERING) & (glyphs.labels == 0)
    return np.asarray(cv2.dilate(other.astype(np.uint8), np.ones((5, 5), np.uint8)) > 0)


def _sureness(signs: tuple[Sign, ...]) -> float:
    return min(sign.confidence for sign in signs)


def _mean(signs: tuple[Sign, ...]) -> float:
    return sum(sign.confidence for sign in signs) / len(signs)


def _line(
    words: tuple[FoundWord, ...], read: dict[FoundWord, tuple[tuple[Sign, ...], bool]], layers: Layers
) -> TextLine:
    downwards = read[words[0]][1]
    ordered = tuple(reversed(words)) if downwards else words
    told = [piece for word in ordered for piece in _pieces(word, read[word][0], downwards, layers)]
    low = np.array([word.box for word in words])
    around = (int(low[:, 0].min()), int(low[:, 1].min()), int(low[:, 2].max()), int(low[:, 3].max()))
    box = _quad(around, words[0].turned, downwards, layers)
    (ax, ay), (bx, by) = box[0], box[1]
    return TextLine(
        text=put_right(word.text for word in told),
        box=box,
        angle=float(np.degrees(np.arctan2(by - ay, bx - ax))),
        confidence=min(word.confidence for word in told),
        raw=" ".join(word.text for word in told),
        words=tuple(told),
        height=max(word.height for word in words) * layers.scale,
    )


def _pieces(word: FoundWord, signs: tuple[Sign, ...], downwards: bool, layers: Layers) -> list[Word]:
    """A word as it was found, parted where a space was read in it."""
    spaces = [number for number, sign in enumerate(signs) if sign.text == " "]
    edges = [-1, *spaces, len(signs)]
    cuts = [0.0, *(signs[space].place for space in spaces), 1.0]
    found = []
    for number in range(len(edges) - 1):
        own = signs[edges[number] + 1 : edges[number + 1]]
        if own:
            box = _stretch(word, cuts[number], cuts[number + 1], downwards)
            text = "".join(sign.text for sign in own)
            found.append(Word(text, _quad(box, word.turned, downwards, layers), _sureness(own), own))
    return found


def _stretch(word: FoundWord, start: float, end: float, downwards: bool) -> tuple[int, int, int, int]:
    """The part of a word's box from one share of its length to another, in the order of reading."""
    x0, y0, x1, y1 = word.box
    if not word.turned:
        return round(x0 + start * (x1 - x0)), y0, round(x0 + end * (x1 - x0)), y1
    if not downwards:
        start, end = 1 - end, 1 - start
    return x0, round(y0 + start * (y1 - y0)), x1, round(y0 + end * (y1 - y0))


def _quad(box: tuple[int, int, int, int], turned: bool, downwards: bool, layers: Layers) -> Quad:
    """A box on the grid as four corners on the page, in the order of reading."""
    x0, y0, x1, y1 = (edge - 0.5 for edge in box)
    corners = [(x0, y0), (x1, y0), (x1, y1), (x0, y1)]
    first = 0 if not turned else (1 if downwards else 3)
    corners = corners[first:] + corners[:first]
    placed = apply(layers.to_page, corners)
    a, b, c, d = ((round(float(x), 1), round(float(y), 1)) for x, y in placed)
    return a, b, c, d

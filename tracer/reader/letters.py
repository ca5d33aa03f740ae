"""Reading the lettering of a page: references, values, pins and notes, each with how sure the reading is."""

from __future__ import annotations

from functools import cache
from typing import Final

import numpy as np

from tracer.progress import NullProgress, Progress, checkpoint
from tracer.reader.layers import Layers
from tracer.reader.letters_cut import ReadWord, ReadWords, foreign_ink, read_words, sureness
from tracer.reader.letters_glyphs import find_glyphs, grid_ink
from tracer.reader.letters_grammar import put_right
from tracer.reader.letters_lines import FoundWord, find_words, words_in_lines
from tracer.reader.letters_network import LetterWeights, load_letters
from tracer.reader.letters_stacked import part_lines
from tracer.reader.letters_strips import PageInk
from tracer.reader.text_line import Quad, TextLine, Word
from tracer.scan.level import level
from tracer.scan.page import Page
from tracer.scan.transform import apply

__all__ = ["read_lettering"]

_STAGE: Final = "reading the lettering"
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
    levelled = level(page.grey)
    grey = grid_ink(levelled, layers)
    glyphs = find_glyphs(grey, layers)
    glyphs = part_lines(find_words(glyphs), glyphs, grey)
    words = find_words(glyphs)
    ink = PageInk(levelled, layers.to_page)
    checkpoint(progress, _STAGE, 0.3)
    read = read_words(words, ink, grey, glyphs, foreign_ink(layers, glyphs), weights)
    progress.advance(_STAGE, 1.0)
    lines = [_line(line, read, layers) for line in words_in_lines(tuple(read))]
    return tuple(sorted(lines, key=lambda line: (line.box[0][1], line.box[0][0])))


def _line(words: tuple[FoundWord, ...], read: ReadWords, layers: Layers) -> TextLine:
    downwards = read[words[0]].downwards
    ordered = tuple(reversed(words)) if downwards else words
    told = [piece for word in ordered for piece in _pieces(word, read[word], downwards, layers)]
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


def _pieces(word: FoundWord, read: ReadWord, downwards: bool, layers: Layers) -> list[Word]:
    """A word as it was found, parted where a space was read in it."""
    signs = read.signs
    spaces = [number for number, sign in enumerate(signs) if sign.text == " "]
    edges = [-1, *spaces, len(signs)]
    cuts = [0.0, *(signs[space].place for space in spaces), 1.0]
    split = [(text.split(), chance) for text, chance in read.texts]
    found: list[Word] = []
    for number in range(len(edges) - 1):
        own = signs[edges[number] + 1 : edges[number + 1]]
        if own:
            box = _stretch(word, cuts[number], cuts[number + 1], downwards)
            text = "".join(sign.text for sign in own)
            alike = [(parts[len(found)], chance) for parts, chance in split if len(parts) == len(split[0][0])]
            quad = _quad(box, word.turned, downwards, layers)
            found.append(Word(text, quad, sureness(own), own, _summed(alike)))
    return found


def _summed(texts: list[tuple[str, float]]) -> tuple[tuple[str, float], ...]:
    chances: dict[str, float] = {}
    for text, chance in texts:
        chances[text] = chances.get(text, 0.0) + chance
    return tuple((text, round(chance, 4)) for text, chance in chances.items())


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

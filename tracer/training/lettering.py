"""Lettering: single strokes as a draughtsman's stencil or a hand draws them, and printed type.

The single-stroke alphabet below is our own, on a grid four wide and six high, y down.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from types import MappingProxyType
from typing import Final

import numpy as np
from PIL import Image, ImageDraw, ImageFont

from tracer.training.strokes import Points

__all__ = ["LETTERS", "Lettering", "letter_strokes", "print_mask", "printed_faces", "stroke_forms"]

# Each letter: polylines parted by "/", each a run of xy digit pairs; y is 0 at the top, 6 at the base line.
_ALPHABET: Final = {
    "0": "10 30 41 45 36 16 05 01 10",
    "1": "11 20 26 /16 36",
    "2": "01 10 30 41 42 06 46",
    "3": "00 40 22 32 43 45 36 16 05",
    "4": "36 30 04 44",
    "5": "40 00 03 32 43 45 36 16 05",
    "6": "40 20 02 05 16 36 45 44 33 13 04",
    "7": "00 40 16",
    "8": "10 30 41 42 33 13 02 01 10 /13 04 05 16 36 45 44 33",
    "9": "42 33 13 02 01 10 30 41 44 26 16",
    "A": "06 20 46 /14 34",
    "B": "00 06 36 45 44 33 03 /00 30 41 42 33",
    "C": "41 30 10 01 05 16 36 45",
    "D": "00 06 26 44 42 20 00",
    "E": "40 00 06 46 /03 33",
    "F": "40 00 06 /03 33",
    "G": "41 30 10 01 05 16 36 45 43 23",
    "H": "00 06 /40 46 /03 43",
    "I": "20 26",
    "J": "40 45 36 16 05",
    "K": "00 06 /40 03 46",
    "L": "00 06 46",
    "M": "06 00 23 40 46",
    "N": "06 00 46 40",
    "O": "10 30 41 45 36 16 05 01 10",
    "P": "06 00 30 41 42 33 03",
    "Q": "10 30 41 45 36 16 05 01 10 /34 46",
    "R": "06 00 30 41 42 33 03 /23 46",
    "S": "41 30 10 01 02 13 33 44 45 36 16 05",
    "T": "00 40 /20 26",
    "U": "00 05 16 36 45 40",
    "V": "00 26 40",
    "W": "00 16 22 36 40",
    "X": "00 46 /40 06",
    "Y": "00 23 40 /23 26",
    "Z": "00 40 06 46",
    "a": "42 46 /43 32 12 03 05 16 36 45",
    "b": "00 06 /03 12 32 43 45 36 16 05",
    "c": "43 32 12 03 05 16 36 45",
    "d": "40 46 /43 32 12 03 05 16 36 45",
    "e": "04 44 43 32 12 03 05 16 46",
    "f": "40 30 21 26 /12 32",
    "g": "42 47 38 18 /43 32 12 03 05 16 36 45",
    "h": "00 06 /03 12 32 43 46",
    "i": "22 26 /20 20",
    "j": "32 37 28 18 /30 30",
    "k": "00 06 /42 04 46",
    "l": "20 26",
    "m": "02 06 /03 12 23 26 /23 32 43 46",
    "n": "02 06 /03 12 32 43 46",
    "o": "12 32 43 45 36 16 05 03 12",
    "p": "02 08 /03 12 32 43 45 36 16 05",
    "q": "42 48 /43 32 12 03 05 16 36 45",
    "r": "12 16 /13 22 42",
    "s": "42 12 03 14 34 45 36 06",
    "t": "20 25 36 /02 42",
    "u": "02 05 16 36 45 /42 46",
    "v": "02 26 42",
    "w": "02 16 24 36 42",
    "x": "02 46 /42 06",
    "y": "02 25 /42 18",
    "z": "02 42 06 46",
    "Ω": "06 16 14 02 11 20 31 42 34 36 46",
    "µ": "02 08 /05 16 36 45 /42 46",
    ".": "16 26",
    ",": "26 17",
    "-": "13 33",
    "+": "03 43 /21 25",
    "/": "06 40",
    "(": "30 12 14 36",
    ")": "10 32 34 16",
    "=": "02 42 /04 44",
    "%": "00 10 11 01 00 /40 06 /35 45 46 36 35",
    "&": "46 12 11 20 31 05 16 26 44",
    ":": "22 22 /25 25",
    " ": "",
    "~": "03 12 33 42",
    "?": "01 10 30 41 23 24 /26 26",
    "±": "02 42 /20 24 /06 46",
    "°": "10 30 31 11 10",
    "'": "20 21",
    "*": "03 43 /11 35 /31 15",
    "#": "10 16 /30 36 /02 42 /04 44",
    ";": "22 22 /26 17",
    "_": "06 46",
}

LETTERS: Final = "".join(_ALPHABET)

_FONT_FOLDERS: Final = ("/usr/share/fonts", "/usr/local/share/fonts")
_WANTED: Final = (
    "DejaVuSans",
    "DejaVuSansMono",
    "DejaVuSerif",
    "DejaVuSansCondensed",
    "LiberationSans-Regular",
    "LiberationMono-Regular",
    "LiberationSansNarrow-Regular",
    "LiberationSerif-Regular",
)


@dataclass(frozen=True, slots=True)
class Lettering:
    """How a sheet is lettered.

    Attributes
    ----------
    face : str
        ``"stroke"`` for the single-stroke alphabet, ``"built in"`` for Pillow's own face, else a font file.
    slant : float
        Lean to the right per unit of height (stroke alphabet).
    narrow : float
        Width of a letter as a part of its height.
    jitter : float
        How far a hand strays, in parts of the height.
    weight : float
        Pen width in usual strokes (stroke alphabet).
    """

    face: str = "stroke"
    slant: float = 0.0
    narrow: float = 0.62
    jitter: float = 0.0
    weight: float = 0.9


def stroke_forms() -> Mapping[str, str]:
    """For each sign of the single-stroke alphabet its polylines, parted by "/"."""
    return MappingProxyType(_ALPHABET)


@cache
def _shapes(letter: str) -> tuple[Points, ...]:
    shapes = []
    for run in _ALPHABET.get(letter, "").split("/"):
        pairs = [(int(pair[0]), int(pair[1])) for pair in run.split()]
        if pairs:
            shapes.append(np.array(pairs, dtype=np.float64) / 6.0)
    return tuple(shapes)


def letter_strokes(text: str, height: float, style: Lettering, rng: np.random.Generator) -> list[Points]:
    """Polylines of `text`, centred on (0, 0), `height` px tall.

    Letters that the alphabet lacks are drawn as their capital, and left out if that lacks too.
    """
    pieces: list[Points] = []
    advance = 0.0
    for letter in text:
        shown = letter if letter in _ALPHABET else letter.upper()
        for shape in _shapes(shown):
            points = shape * np.array([style.narrow * 1.2, 1.0])
            points = points + rng.normal(0.0, style.jitter, points.shape)
            points[:, 0] += advance + (0.5 - points[:, 1]) * style.slant
            pieces.append(points)
        advance += style.narrow * (0.75 if shown in "I.,'i:" else 1.12) * (1 + rng.normal(0, style.jitter))
    middle = np.array([(advance - style.narrow * 0.3) / 2, 0.5])
    return [(piece - middle) * height for piece in pieces]


@cache
def printed_faces() -> tuple[str, ...]:
    """Font files to print with, ``"built in"`` always among them."""
    found = []
    for folder in _FONT_FOLDERS:
        if Path(folder).is_dir():
            found += [str(path) for path in sorted(Path(folder).rglob("*.ttf")) if path.stem in _WANTED]
    return ("built in", *found)


@cache
def _font(face: str, size: int) -> ImageFont.FreeTypeFont | ImageFont.ImageFont:
    if face == "built in":
        return ImageFont.load_default(size)
    return ImageFont.truetype(face, size)


def print_mask(text: str, height: float, face: str) -> Image.Image:
    """`text` in a printed face, capitals `height` px tall, as a tight "L" mask (255 is ink)."""
    font = _font(face, max(6, round(height * 1.38)))
    if face == "built in":
        text = text.replace("Ω", " ohms").replace("µ", "u")  # it has no Greek
    left, top, right, bottom = font.getbbox(text)
    mask = Image.new("L", (max(1, int(right - left) + 2), max(1, int(bottom - top) + 2)))
    ImageDraw.Draw(mask).text((1 - left, 1 - top), text, fill=255, font=font)
    return mask

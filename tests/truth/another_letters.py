"""Lettering of the sheets drawn by another hand: a round single-stroke alphabet and a typewriter's face.

The alphabet was made for these sheets: stems, bowls cut round, five wide and seven high. The other face is
Computer Modern Typewriter as matplotlib carries it, taken as outlines. The training prints with neither.
"""

from __future__ import annotations

from functools import cache
from pathlib import Path

import matplotlib
import numpy as np
from another_ink import Fill, Points, Stroke, corners_rounded
from matplotlib.font_manager import FontProperties
from matplotlib.textpath import TextPath

__all__ = ["lettered", "width_of"]

_HIGH = 7.0
# x then y of each place, y down from the cap line; "~" before a stroke rounds its corners; "/" parts strokes.
_SIGNS = {
    "0": "~20 00 07 47 40 20",
    "1": "02 20 /20 27",
    "2": "~02 00 40 43 04 07 /07 47",
    "3": "~01 00 40 43 23 /~23 43 47 07 06",
    "4": "30 05 45 /33 37",
    "5": "40 00 /00 03 /~03 42 48 07 06",
    "6": "~40 10 03 07 47 44 04",
    "7": "00 40 17",
    "8": "~23 03 00 40 43 23 /~23 03 07 47 43 23",
    "9": "~20 00 03 23 43 40 20 /~42 45 37 17",
    "A": "07 20 47 /14 34",
    "B": "00 07 /~00 40 43 03 /~03 43 47 07",
    "C": "~41 40 00 07 47 46",
    "D": "00 07 /~00 40 47 07",
    "E": "40 00 07 47 /03 33",
    "F": "40 00 07 /03 33",
    "G": "~41 40 00 07 47 44 /44 24",
    "H": "00 07 /40 47 /03 43",
    "I": "20 27",
    "J": "40 45 /~45 47 07 05",
    "K": "00 07 /40 04 /14 47",
    "L": "00 07 47",
    "M": "07 00 24 40 47",
    "N": "07 00 47 40",
    "O": "~20 00 07 47 40 20",
    "P": "00 07 /~00 40 44 04",
    "Q": "~20 00 07 47 40 20 /25 47",
    "R": "00 07 /~00 40 44 04 /14 47",
    "S": "~41 40 00 03 43 47 07 06",
    "T": "00 40 /20 27",
    "U": "00 05 /~05 07 47 45 /45 40",
    "V": "00 27 40",
    "W": "00 17 22 37 40",
    "X": "00 47 /40 07",
    "Y": "00 23 40 /23 27",
    "Z": "00 40 07 47",
    "k": "00 07 /32 05 /14 37",
    "p": "02 09 /~02 42 47 07",
    "n": "02 07 /~04 02 42 47",
    "v": "02 17 32",
    "u": "02 05 /~05 07 37 35 /32 37",
    "µ": "02 09 /~05 07 37 35 /32 37",
    "m": "02 07 /~03 02 22 27 /~23 22 42 47",
    ".": "16 17",
    ",": "26 18",
    "-": "04 34",
    "+": "04 44 /22 26",
    "/": "07 40",
    "(": "~20 00 09 29",
    ")": "~00 20 29 09",
    "=": "03 33 /05 35",
    "%": "07 40 /00 01 /46 47",
    ":": "12 13 /16 17",
    "'": "10 12",
    "Ω": "07 17 /~17 04 00 40 44 37 /37 47",
    "*": "12 35 /15 32 /03 44",
}
_NARROW = {"1": 2.2, "I": 2.0, ".": 1.6, ",": 2.0, ":": 1.6, "'": 1.4, "(": 2.4, ")": 2.4, " ": 3.0}
_ADVANCE = 5.6
_TYPE = Path(matplotlib.get_data_path()) / "fonts" / "ttf" / "cmtt10.ttf"
_TYPED_ADVANCE = 0.82  # of the height of a capital
_CAPITAL = 0.611  # of the face's size


@cache
def _strokes_of(sign: str) -> tuple[Points, ...]:
    found = []
    for text in _SIGNS.get(sign, "").split("/"):
        round_it = text.startswith("~")
        places = np.array([[float(pair[0]), float(pair[1])] for pair in text.removeprefix("~").split()])
        if len(places):
            found.append(corners_rounded(places, 3) if round_it else places)
    return tuple(found)


@cache
def _typed(sign: str) -> tuple[Points, ...]:
    if sign == " ":
        return ()
    path = TextPath((0, 0), sign, size=100, prop=FontProperties(fname=str(_TYPE)))
    return tuple(np.asarray(ring, np.float64) / (100 * _CAPITAL) for ring in path.to_polygons())


def _known(sign: str, *, typed: bool) -> str:
    if typed:
        return "u" if sign == "µ" else sign
    return sign if sign in _SIGNS or sign == " " else sign.upper()


def width_of(text: str, high: float, manner: str) -> float:
    """How long a line of lettering gets, mm, for capitals `high` mm."""
    if manner == "type":
        return len(text) * _TYPED_ADVANCE * high
    return sum(_NARROW.get(sign, 4.0) + 1.6 for sign in text) * high / _HIGH - 1.6 * high / _HIGH


def lettered(
    text: str, x: float, y: float, high: float, manner: str, seed: int, pen: float, *, upright: bool = False
) -> list[Stroke | Fill]:
    """Letter a line from its left end (x, y), the middle of its capitals.

    `manner` is ``"stencil"``, ``"hand"`` or ``"type"``; an `upright` line runs up the sheet from (x, y).
    """
    rng = np.random.default_rng(seed)
    shapes: list[Stroke | Fill] = []
    at, scale = 0.0, high / _HIGH
    loose = {"stencil": 0.0, "hand": 0.32, "type": 0.06}[manner]
    lean = rng.uniform(-0.05, 0.25) if manner == "hand" else 0.0

    def placed(places: Points) -> Points:
        turned = np.stack([places[:, 1], -places[:, 0]], axis=1) if upright else places
        moved: Points = turned + np.array([x, y])
        return moved

    for raw in text:
        sign = _known(raw, typed=manner == "type")
        off = rng.normal(0, loose * high / 7, 2)
        if manner == "type":
            rings = tuple(placed(ring * [high, -high] + [at, high / 2] + off) for ring in _typed(sign))
            if rings:
                shapes.append(Fill(rings, "lettering"))
            at += _TYPED_ADVANCE * high
            continue
        for line in _strokes_of(sign):
            narrow = 0.5 if sign == "I" else 0.0
            moved = line - [2 * narrow, 0]
            if manner == "hand":
                moved = moved + rng.normal(0, loose, (1, 2)) + rng.normal(0, 0.16, moved.shape)
            moved = np.stack(
                [moved[:, 0] + lean * (_HIGH / 2 - moved[:, 1]), moved[:, 1] - _HIGH / 2], axis=1
            )
            shapes.append(Stroke(placed(moved * scale + [at, 0] + off), pen, "lettering"))
        at += (_NARROW.get(sign, 4.0) + 1.6) * scale
    return shapes

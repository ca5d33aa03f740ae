"""Other ways to letter a sign in single strokes: slashed noughts, open fours, barred sevens, a hasty hand."""

from __future__ import annotations

from typing import Final

import numpy as np

from tracer.training.lettering import Lettering, letter_strokes
from tracer.training.strokes import Points

__all__ = ["alternate_strokes"]

# Polylines parted by "/" on a grid four wide and six high, y down, as in `tracer.training.lettering`.
_ALTERNATES: Final = {
    "0": ("10 30 41 45 36 16 05 01 10 /40 06", "20 31 42 44 35 26 15 04 02 11 20"),
    "1": ("20 26", "02 20 26"),
    "2": ("01 10 30 41 42 06 16 46", "00 30 41 42 33 13 06 46"),
    "3": ("00 30 41 32 22 33 44 35 06", "00 40 23 34 45 36 06"),
    "4": ("00 03 43 /30 36", "10 04 44 /32 36", "00 03 43 /40 46"),
    "5": ("40 10 03 32 43 45 36 06", "00 03 33 44 35 06 /00 40"),
    "6": ("30 03 05 16 36 45 44 33 13 04", "20 03 05 16 36 44 33 04"),
    "7": ("00 40 16 /13 33", "01 00 40 22 26"),
    "8": ("41 30 10 01 45 36 16 05 41", "20 31 13 05 26 45 33 11 20"),
    "9": ("40 10 01 02 13 33 42 40 46", "41 30 10 01 02 13 42 40 36"),
    "A": ("06 01 20 41 46 /03 43",),
    "B": ("00 06 36 45 33 03 /00 30 41 33",),
    "C": ("40 10 02 04 16 46",),
    "G": ("41 30 10 01 05 16 36 45 43 33", "40 10 02 04 16 46 43 23"),
    "I": ("10 30 /20 26 /16 36",),
    "K": ("00 06 /40 03 /13 46", "00 06 /42 04 46"),
    "M": ("06 10 23 30 46", "06 01 10 20 26 /21 30 41 46"),
    "R": ("00 06 /00 30 41 33 03 46", "06 00 40 42 03 46"),
    "S": ("40 10 02 33 45 36 06",),
    "V": ("00 26 41 40",),
    "Z": ("00 40 06 46 /13 33",),
    "k": ("00 06 /32 04 36",),
    "u": ("02 05 16 36 45 42",),
    "n": ("06 02 /03 12 32 43 46",),
}  # fmt: skip


def alternate_strokes(text: str, height: float, style: Lettering, rng: np.random.Generator) -> list[Points]:
    """Polylines of `text` centred on (0, 0), `height` px tall, some signs in another form, none of one size.

    Each form is kept throughout the text, as one hand keeps it.
    """
    chosen = {sign: forms[int(rng.integers(len(forms)))] for sign, forms in _ALTERNATES.items()}
    kept = {sign for sign in chosen if rng.random() < 0.5}
    uneven = float(rng.choice([0.0, 0.04, 0.1]))
    pieces: list[Points] = []
    advance = 0.0
    for sign in text:
        size = float(np.exp(rng.normal(0, uneven)))
        wide = style.narrow * (0.75 if sign in "I.,'i:" else 1.12)
        shapes = _shaped(chosen[sign], style, rng) if sign in kept else _usual(sign, wide, style, rng)
        middle = np.array([advance, 0.5 + float(rng.normal(0, uneven * 0.6))])
        pieces += [shape * size + middle for shape in shapes]
        advance += wide * size * (1 + float(rng.normal(0, style.jitter)))
    centre = np.array([advance / 2, 0.5])
    return [(piece - centre) * height for piece in pieces]


def _shaped(form: str, style: Lettering, rng: np.random.Generator) -> list[Points]:
    """One sign's strokes, its left edge at 0 and its middle at height 0."""
    shapes = []
    for run in form.split("/"):
        points = np.array([(int(pair[0]), int(pair[1])) for pair in run.split()], dtype=np.float64) / 6.0
        points = points * np.array([style.narrow * 1.2, 1.0]) + rng.normal(0.0, style.jitter, points.shape)
        points[:, 0] += (0.5 - points[:, 1]) * style.slant
        shapes.append(points - np.array([0.0, 0.5]))
    return shapes


def _usual(sign: str, wide: float, style: Lettering, rng: np.random.Generator) -> list[Points]:
    shift = np.array([(wide - style.narrow * 0.3) / 2, 0.0])
    return [piece + shift for piece in letter_strokes(sign, 1.0, style, rng)]

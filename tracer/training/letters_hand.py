"""A freehand: single-stroke capitals as a pen in a hurry makes them, each writer with habits of his own.

A writer keeps the forms he has chosen, leans one way, lets loops fall open or letters touch; what he cannot
keep is the exact size, place and shape of anything. The forms are our own, on a grid four wide and six high.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final

import numpy as np

from tracer.training.letters_forms import FORMS
from tracer.training.strokes import Points

__all__ = ["Hand", "freehand_strokes", "random_hand", "rounded"]

_LOW: Final = frozenset("acegmnopqrsuvwxyz")
_WAVES: Final = 6
_REACH: Final = 0.7  # heights; farther strokes are not run together


@dataclass(frozen=True, slots=True)
class Hand:
    """A writer. Lengths are parts of a capital's height.

    Attributes
    ----------
    forms : mapping
        For each sign the polylines that this writer makes of it, parted by "/".
    slant, lean : float
        Of all letters to the right per unit of height, and how much each strays from that.
    narrow : float
        Width of a letter.
    gap, spread : float
        Between letters (below zero they overlap), and how unevenly.
    uneven, bounce : float
        How much sizes and base lines differ from letter to letter.
    stray, apart : float
        How far a corner strays, and a whole stroke of a letter from the others.
    rounding : int
        How many times corners are cut.
    wobble : float
        Of the pen along its way.
    joined : float
        Chance that the pen stays down between strokes.
    small : float
        Height of the letters after a word's first; 1 where all are alike.
    pen, press : float
        Width of the pen, and how much it differs from stroke to stroke.
    """

    forms: Mapping[str, str]
    slant: float
    lean: float
    narrow: float
    gap: float
    spread: float
    uneven: float
    bounce: float
    stray: float
    apart: float
    rounding: int
    wobble: float
    joined: float
    small: float
    pen: float
    press: float


def random_hand(rng: np.random.Generator) -> Hand:
    """Make up a writer."""
    haste = float(rng.uniform(0.15, 1.0))
    return Hand(
        forms={sign: ways[int(rng.integers(len(ways)))] for sign, ways in FORMS.items()},
        slant=float(rng.normal(0.03, 0.13)),
        lean=0.09 * haste * float(rng.random()),
        narrow=float(rng.uniform(0.38, 0.85)),
        gap=float(rng.choice([-0.04, 0.03, 0.1, 0.16, 0.22, 0.32], p=(0.1, 0.14, 0.22, 0.23, 0.17, 0.14))),
        spread=0.1 * haste,
        uneven=0.16 * haste * float(rng.random()),
        bounce=0.09 * haste * float(rng.random()),
        stray=0.015 + 0.06 * haste * float(rng.random()),
        apart=0.07 * haste * float(rng.random()),
        rounding=int(rng.integers(0, 4)),
        wobble=0.03 * haste * float(rng.random()),
        joined=float(rng.choice([0.0, 0.05, 0.25], p=(0.5, 0.3, 0.2))),
        small=float(rng.choice([1.0, rng.uniform(0.65, 0.85)], p=(0.7, 0.3))),
        pen=float(rng.uniform(0.07, 0.24)),
        press=0.25 * haste * float(rng.random()),
    )


def freehand_strokes(text: str, hand: Hand, rng: np.random.Generator) -> list[tuple[Points, float]]:
    """Polylines of `text` with the pen's width for each, a capital one unit high, in the order of writing."""
    found: list[tuple[Points, float]] = []
    edge, last = 0.0, None
    for number, sign in enumerate(text):
        if sign == " ":
            edge, last = edge + float(rng.uniform(0.3, 0.7)), None
            continue
        small = (
            number > 0 and text[number - 1].isalpha() and sign.isupper() and not any(map(str.isdigit, text))
        )
        shapes = _letter(sign, hand, hand.small if small else 1.0, rng)
        left = min(float(shape[:, 0].min()) for shape in shapes)
        right = max(float(shape[:, 0].max()) for shape in shapes)
        shift = np.array([edge - left, 0.0])
        for shape in shapes:
            placed = shape + shift
            pen = hand.pen * float(np.exp(rng.normal(0, hand.press))) if hand.press else hand.pen
            near = last is not None and float(np.hypot(*(placed[0] - last))) < _REACH
            if last is not None and near and rng.random() < hand.joined:
                found.append((np.stack([last, placed[0]]), 0.7 * pen))
            found.append((placed, pen))
            last = placed[-1]
        pause = hand.gap + hand.pen * 0.8 + float(rng.normal(0, hand.spread)) * 0.7
        edge += right - left + max(pause, -0.06)
    return _wobbled(found, hand.wobble, rng) if hand.wobble > 0.004 else found


def rounded(piece: Points, times: int, cut: float = 0.25) -> Points:
    """Cut a polyline's corners `times` times (Chaikin 1974), its ends kept."""
    for _ in range(times if len(piece) > 2 else 0):
        first, last = piece[:1], piece[-1:]
        near, far = (1 - cut) * piece[:-1] + cut * piece[1:], cut * piece[:-1] + (1 - cut) * piece[1:]
        piece = np.concatenate([first, np.stack([near, far], axis=1).reshape(-1, 2), last])
    return piece


def _letter(sign: str, hand: Hand, size: float, rng: np.random.Generator) -> list[Points]:
    """One sign's strokes on a base line at height 0, y down."""
    size *= float(np.exp(rng.normal(0, hand.uneven)))
    wide = hand.narrow * 1.2 * size * float(np.exp(rng.normal(0, hand.uneven * 0.7)))
    lean = hand.slant + float(rng.normal(0, hand.lean))
    drop = float(rng.normal(0, hand.bounce))
    stray = hand.stray * (0.6 if sign in _LOW else 1.0)
    shapes = []
    for number, run in enumerate(hand.forms[sign].split("/")):
        points = np.array([(ord(pair[0]) - 48, ord(pair[1]) - 48) for pair in run.split()], np.float64) / 6.0
        points += rng.normal(0.0, stray, points.shape)
        if number:
            points += rng.normal(0.0, hand.apart, 2)
        points[:, 1] -= 1.0
        points *= np.array([wide, size])
        points[:, 0] -= points[:, 1] * lean
        points[:, 1] += drop
        shapes.append(rounded(points, hand.rounding))
    return shapes


def _wobbled(
    strokes: list[tuple[Points, float]], strength: float, rng: np.random.Generator
) -> list[tuple[Points, float]]:
    """Shake the pen: a few waves over the paper move what was written, most strokes bent by them."""
    waves = rng.normal(0.0, 1.0, (2, _WAVES)) * rng.uniform(3.0, 16.0, _WAVES)
    phases = rng.uniform(0, 2 * np.pi, (2, _WAVES))
    push = strength * rng.normal(0.0, 0.7, (2, _WAVES)).T
    found = []
    for points, pen in strokes:
        dense = _dense(points)
        along = dense @ waves
        moved = dense + np.stack(
            [np.sin(along + phases[0]) @ push[:, 0], np.sin(along + phases[1]) @ push[:, 1]], axis=1
        )
        found.append((moved, pen))
    return found


def _dense(points: Points) -> Points:
    """Points no farther apart than a sixth of the height or so."""
    if len(points) > 6:
        return points
    steps = np.linspace(0, len(points) - 1, 5 * (len(points) - 1) + 1)
    at = np.arange(len(points))
    return np.stack([np.interp(steps, at, points[:, 0]), np.interp(steps, at, points[:, 1])], axis=1)

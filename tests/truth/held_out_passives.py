"""Resistors, capacitors, windings in other manners than the training draws them."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
from held_out_strokes import area, bow, box, ends, line

from tracer.training.strokes import Stroke
from tracer.training.symbols.symbol import Inscription, Symbol, Terminal

__all__ = ["capacitor", "coil", "electrolytic", "pot", "resistor", "transformer"]


def resistor(manner: int) -> Symbol:
    """A square meander, many small teeth, or a long slim box."""
    if manner == 0:
        xs, points = np.linspace(-2.5, 2.5, 9), [(-2.5, 0.0)]
        for place, (left, right) in enumerate(pairwise(xs)):
            y = -0.9 if place % 2 == 0 else 0.9
            points += [(float(left), y), (float(right), y)]
        return Symbol("resistor", (line(*points, (2.5, 0.0)),), (area(-2.5, -0.9, 2.5, 0.9),), ends(2.5))
    if manner == 1:
        xs = np.linspace(-2.6, 2.6, 15)
        ys = [0.0, *(0.85 * (-1.0) ** step for step in range(13)), 0.0]
        zigzag = Stroke(np.stack([xs, ys], 1), 1.0)
        return Symbol("resistor", (zigzag,), (area(-2.6, -0.85, 2.6, 0.85),), ends(2.6))
    outline = box(-2.9, -0.6, 2.9, 0.6)
    return Symbol("resistor", (outline,), (outline.points,), ends(2.9))


def pot(manner: int) -> Symbol:
    """A resistor with a hooked arrow on its middle."""
    track = resistor(manner)
    half, high = track.extent[2], track.extent[3]
    arrow = (line((0, 2.6), (0, high)), line((-0.4, high + 0.9), (0, high + 0.05), (0.4, high + 0.9)))
    region = (*track.region, area(-0.5, high, 0.5, 2.6))
    first, last = ends(half)
    return Symbol("pot", (*track.strokes, *arrow), region, (first, Terminal("w", 0, 2.6, 0, 1), last))


def capacitor(manner: int) -> Symbol:
    """Hollow plates, a long thin plate by a short thick one, or a plate by a half ring."""
    if manner == 0:
        plates = (box(-0.75, -1.7, -0.35, 1.7), box(0.35, -1.7, 0.75, 1.7))
        return Symbol("capacitor", plates, (area(-0.75, -1.7, 0.75, 1.7),), ends(0.75))
    if manner == 1:
        plates = (line((-0.45, -2.0), (-0.45, 2.0)), line((0.45, -1.2), (0.45, 1.2), width=2.2))
        return Symbol("capacitor", plates, (area(-0.55, -2.0, 0.75, 2.0),), ends(0.6))
    plates = (line((-0.55, -1.6), (-0.55, 1.6)), bow(-0.9, 0, 1.45, 2.3, -42, 42))
    return Symbol("capacitor", plates, (area(-0.65, -1.6, 0.65, 1.6),), ends(0.65))


def electrolytic(manner: int) -> Symbol:
    """A plate inside a can, a black block before a bracket, or a hatched plate by a thin one."""
    plus = (Inscription(-1.5, -1.5, "+", 1.1),)
    if manner == 0:
        strokes = (
            line((0.1, -1.8), (0.9, -1.8), (0.9, 1.8), (0.1, 1.8)),
            line((0.2, -1.1), (0.2, 1.1), width=2.0),
            line((-0.6, 0), (0.2, 0)),
        )
        ends = (Terminal("1", -0.6, 0, -1, 0), Terminal("2", 1.0, 0, 1, 0))
        return Symbol("capacitor", strokes, (area(-0.3, -1.8, 1.0, 1.8),), (ends[0], ends[1]), plus)
    if manner == 1:
        strokes = (
            box(-0.9, -1.6, -0.3, 1.6, fill=1.0),
            line((0.1, -1.6), (0.5, -1.6), (0.5, 1.6), (0.1, 1.6)),
        )
        ends = (Terminal("1", -0.9, 0, -1, 0), Terminal("2", 0.6, 0, 1, 0))
        return Symbol("capacitor", strokes, (area(-0.9, -1.6, 0.6, 1.6),), ends, plus)
    hatch = tuple(line((-0.9, y + 0.5), (-0.35, y)) for y in np.linspace(-1.6, 1.0, 6))
    strokes = (box(-0.9, -1.7, -0.35, 1.7), *hatch, line((0.35, -1.7), (0.35, 1.7), width=1.4))
    ends = (Terminal("1", -0.9, 0, -1, 0), Terminal("2", 0.45, 0, 1, 0))
    return Symbol("capacitor", strokes, (area(-0.9, -1.7, 0.45, 1.7),), ends, plus)


def _winding(manner: int, half: float) -> tuple[Stroke, ...]:
    """A winding along y = 0: running loops, deep bumps on stalks, or a black bar."""
    if manner == 0:
        turn = np.linspace(0, 2 * np.pi * 6, 120)
        x = np.linspace(-half + 0.3, half - 0.3, 120) - 0.3 * np.cos(turn) + 0.0
        loops = np.stack([x, -0.8 * np.sin(turn) - 0.2], 1)
        return (Stroke(np.vstack([[(-half, 0.0)], loops, [(half, 0.0)]]), 1.0),)
    if manner == 1:
        step = 2 * half / 5
        pieces = [bow(-half + step * (k + 0.5), -0.3, step / 2, 1.1, 180, 360).points for k in range(5)]
        return (Stroke(np.vstack([[(-half, 0.0)], *pieces, [(half, 0.0)]]), 1.0),)
    return (box(-half, -0.55, half, 0.55, fill=1.0),)


def coil(manner: int) -> Symbol:
    """One winding by itself."""
    low, high = ((-1.1, 0.7), (-1.5, 0.1), (-0.6, 0.6))[manner]
    return Symbol("coil", _winding(manner, 2.6), (area(-2.6, low, 2.6, high),), ends(2.6))


def transformer(manner: int) -> Symbol:
    """Two upright windings with three core lines, one heavy one or none between them."""
    upright = np.array([[0.0, -1.0], [1.0, 0.0]])
    strokes: list[Stroke] = []
    for side in (-1.0, 1.0):
        for piece in _winding(manner, 3.0):
            moved = piece.moved(upright, np.array([0.0, 0.0]), 1.0)
            flip = np.array([side * -1.0, 1.0])
            strokes.append(Stroke(moved.points * flip + np.array([side * 2.0, 0.0]), moved.width, moved.fill))
    for x in ((-0.4, 0.0, 0.4), (0.0,), ())[manner]:
        strokes.append(line((x, -3.2), (x, 3.2), width=1.0 if manner == 0 else 2.4))
    far, high = ((2.0, 3.0), (2.0, 3.0), (2.55, 2.5))[manner]
    ends = tuple(
        Terminal(name, side * far, high * up, side, 0.0)
        for name, side, up in (("p1", -1.0, -1.0), ("p2", -1.0, 1.0), ("s1", 1.0, -1.0), ("s2", 1.0, 1.0))
    )
    reach = (2.3, 2.0, 2.6)[manner]
    return Symbol("transformer", tuple(strokes), (area(-reach, -3.2, reach, 3.2),), ends)

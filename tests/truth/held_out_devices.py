"""Diodes, transistors, valves and amplifiers in other manners than the training draws them."""

from __future__ import annotations

import numpy as np
from held_out_strokes import area, bow, box, ends, line, ring

from tracer.training.strokes import Stroke
from tracer.training.symbols.symbol import Inscription, Symbol, Terminal

__all__ = ["amplifier", "bridge", "diode", "pentode", "transistor", "triode"]


def diode(manner: int) -> Symbol:
    """A hollow flag with its lead through it, a black arrow on a heavy bar, or one within a ring."""
    if manner == 0:
        strokes = [
            line((-0.9, -1.2), (0.9, 0), (-0.9, 1.2), (-0.9, -1.2)),
            line((0.9, -1.2), (0.9, 1.2)),
            line((-0.9, 0), (0.9, 0)),
        ]
    else:
        strokes = [
            line((-0.8, -0.9), (0.8, 0), (-0.8, 0.9), (-0.8, -0.9), fill=1.0),
            line((0.9, -1.0), (0.9, 1.0), width=2.0),
        ]
    if manner < 2:
        return Symbol("diode", tuple(strokes), (area(-0.9, -1.2, 1.0, 1.2),), ends(0.95, ("a", "k")))
    rim = ring(0, 0, 1.9)
    strokes += [rim, line((-1.9, 0), (-0.8, 0)), line((0.9, 0), (1.9, 0))]
    return Symbol("diode", tuple(strokes), (rim.points,), ends(1.9, ("a", "k")))


def bridge(manner: int) -> Symbol:
    """A box with one diode drawn in it, four leads; or a lozenge with one diode."""
    arrow = (
        line((-0.9, 0.9), (0.9, 0), (-0.9, -0.9), (-0.9, 0.9)),
        line((0.9, -0.9), (0.9, 0.9)),
        line((-1.8, 0), (1.8, 0)),
    )
    outline = box(-2.8, -2.8, 2.8, 2.8)
    if manner == 2:
        outline = line((-3.4, 0), (0, -3.4), (3.4, 0), (0, 3.4), (-3.4, 0))
    reach = 3.4 if manner == 2 else 2.8
    ends = tuple(
        Terminal(name, dx * reach, dy * reach, dx, dy)
        for name, dx, dy in (("ac1", 0, -1), ("+", 1, 0), ("ac2", 0, 1), ("-", -1, 0))
    )
    marks = (Inscription(reach + 0.8, -0.9, "+", 1.0),)
    return Symbol("bridge", (outline, *arrow), (outline.points,), ends, marks)


def transistor(manner: int) -> Symbol:
    """Without an envelope and with steep legs, within a ring with a long bar, or within a half-open ring."""
    bar = line((-0.4, -1.3), (-0.4, 1.3), width=2.4 if manner == 0 else 1.2)
    legs = (line((-0.4, -0.6), (1.2, -1.5), (1.2, -2.2)), line((-0.4, 0.6), (1.2, 1.5), (1.2, 2.2)))
    head = line((1.2, 1.5), (0.35, 1.45), (0.75, 0.8), (1.2, 1.5), fill=1.0)
    base = line((-2.3, 0), (-0.4, 0))
    if manner == 0:
        hull = np.array([(-0.9, -1.4), (1.4, -1.9), (1.4, 1.9), (-0.9, 1.4)])
        ends = (Terminal("e", 1.2, 1.8, 0, 1), Terminal("b", -0.8, 0, -1, 0), Terminal("c", 1.2, -1.8, 0, -1))
        return Symbol("transistor", (bar, *legs, head, base), (hull,), ends)
    rim = ring(0.2, 0, 2.3) if manner == 1 else bow(0.2, 0, 2.3, 2.3, -60, 240, 1.6)
    foot = float(np.sqrt(2.3**2 - 1.0))
    legs = (line((-0.4, -0.6), (1.2, -1.4), (1.2, -foot)), line((-0.4, 0.6), (1.2, 1.4), (1.2, foot)))
    ends = (Terminal("e", 1.2, foot, 0, 1), Terminal("b", -2.1, 0, -1, 0), Terminal("c", 1.2, -foot, 0, -1))
    return Symbol("transistor", (bar, *legs, head, base, rim), (ring(0.2, 0, 2.3).points,), ends)


def _valve(manner: int, grids: int) -> Symbol:
    """A ring or a barrel: a hooded anode, rows of dots or waves for grids, a bowed cathode."""
    high = 3.0 + 0.7 * (grids - 1)
    wide = 3.0 if manner != 1 else 2.5
    outline = bow(0, 0, wide, high, 0, 360, (1.0, 2.4, 1.6)[manner])
    strokes = [
        outline,
        line((0, -high), (0, -high + 1.2)),
        line((-1.3, -high + 1.7), (-1.3, -high + 1.2), (1.3, -high + 1.2), (1.3, -high + 1.7)),
    ]
    ends = [Terminal("a", 0, -high, 0, -1)]
    rows = np.linspace(-high + 2.4, high - 2.4, grids)
    for place, y in enumerate(rows[::-1], start=1):
        side = -1.0 if place % 2 else 1.0
        edge = side * wide * float(np.sqrt(max(1 - (y / high) ** 2, 0.05)))
        if manner == 0:
            strokes += [ring(x, float(y), 0.16, fill=1.0) for x in np.linspace(-1.3, 1.3, 5)]
        else:
            xs = np.linspace(-1.4, 1.4, 15)
            strokes.append(Stroke(np.stack([xs, y + 0.22 * np.sin(xs * 9)], 1), 1.0))
        strokes.append(line((side * 1.4, float(y)), (edge, float(y))))
        ends.append(Terminal(f"g{place}", edge, float(y), side, 0.0))
    low = high - 1.5
    foot = high * float(np.sqrt(1 - (1.1 / wide) ** 2))
    strokes += [bow(0, low + 0.5, 1.1, 0.8, 180, 360), line((-1.1, low + 0.5), (-1.1, foot))]
    ends.append(Terminal("k", -1.1, foot, 0, 1))
    return Symbol("valve", tuple(strokes), (outline.points,), tuple(ends))


def triode(manner: int) -> Symbol:
    """One grid: ``a``, ``g1`` on the left, ``k``."""
    return _valve(manner, 1)


def pentode(manner: int) -> Symbol:
    """Three grids: ``g1`` and ``g3`` on the left, ``g2`` on the right."""
    return _valve(manner, 3)


def amplifier(manner: int) -> Symbol:
    """A slender triangle, a blunt one, or a box with a triangle in it: ``+``, ``-``, ``out``."""
    if manner == 0:
        outline = line((-3.2, -2.6), (3.6, 0), (-3.2, 2.6), (-3.2, -2.6))
        right, left = 3.6, -3.2
    elif manner == 1:
        outline = line((-2.8, -3.0), (2.0, -0.6), (2.4, 0), (2.0, 0.6), (-2.8, 3.0), (-2.8, -3.0), width=1.6)
        right, left = 2.4, -2.8
    else:
        outline, right, left = box(-2.6, -3.0, 2.6, 3.0), 2.6, -2.6
    strokes = (
        (outline, line((-0.6, -1.0), (0.8, 0.0), (-0.6, 1.0), (-0.6, -1.0))) if manner == 2 else (outline,)
    )
    marks = (Inscription(left + 0.9, -1.4, "-", 1.1), Inscription(left + 0.9, 1.4, "+", 1.1))
    ends = (
        Terminal("-", left, -1.4, -1, 0),
        Terminal("+", left, 1.4, -1, 0),
        Terminal("out", right, 0, 1, 0),
    )
    return Symbol("block", strokes, (outline.points,), ends, marks)

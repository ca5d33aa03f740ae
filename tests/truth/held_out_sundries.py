"""Contacts, chassis signs, lamps and the like in other manners than the training draws them."""

from __future__ import annotations

import numpy as np
from held_out_strokes import area, bow, box, ends, line, ring

from tracer.training.strokes import Stroke
from tracer.training.symbols.symbol import Inscription, Symbol, Terminal

__all__ = ["battery", "chassis", "contact", "fuse", "label", "lamp", "meter", "speaker"]


def contact(manner: int) -> Symbol:
    """A slanting blade without rings, a closed one on black dots, or a bent blade with a hook."""
    if manner == 0:
        strokes = (line((-1.9, 0), (-1.0, 0), (1.1, -1.3)), line((1.0, 0), (1.9, 0)))
        return Symbol("contact", strokes, (area(-1.2, -1.3, 1.3, 0.3),), ends(1.3, ("common", "make")))
    if manner == 1:
        strokes = (
            ring(-1.6, 0, 0.4, fill=1.0),
            ring(1.6, 0, 0.4, fill=1.0),
            line((-1.6, -0.55), (2.1, -0.55)),
        )
        return Symbol("contact", strokes, (area(-2.0, -0.7, 2.1, 0.4),), ends(2.0, ("common", "make")))
    strokes = (
        ring(-1.5, 0, 0.35, fill=0.0),
        line((-1.2, -0.2), (0.6, -1.2), (1.6, -0.9)),
        line((1.2, -0.5), (1.6, 0.0), (1.9, 0.0)),
    )
    return Symbol("contact", strokes, (area(-1.85, -1.2, 1.8, 0.35),), ends(1.85, ("common", "make")))


def chassis(manner: int) -> Symbol:
    """A comb with upright teeth, a black triangle, or a bar with short strokes that lean the other way."""
    end = (Terminal("1", 0, 0, 0, -1),)
    if manner == 0:
        strokes = (
            line((-1.3, 0), (1.3, 0), width=1.5),
            *(line((x, 0), (x, 0.8)) for x in (-1.1, -0.4, 0.4, 1.1)),
        )
    elif manner == 1:
        strokes = (line((-1.0, 0), (1.0, 0), (0, 1.2), (-1.0, 0), fill=1.0),)
    else:
        strokes = (line((-1.4, 0), (1.4, 0)), *(line((x, 0), (x + 0.6, 0.8)) for x in (-1.3, -0.4, 0.5)))
    high = (0.8, 1.2, 0.8)[manner]
    return Symbol("chassis", strokes, (area(-1.3, -0.1, 1.3, high),), end)


def label(manner: int) -> Symbol:
    """What ends a rail: an open ring, a black square, or an arrow head."""
    end = (Terminal("1", -0.5, 0, -1, 0),)
    strokes = (
        ring(0, 0, 0.5),
        box(-0.45, -0.45, 0.45, 0.45, fill=1.0),
        line((-0.5, -0.5), (0.6, 0), (-0.5, 0.5), (-0.5, -0.5), fill=1.0),
    )
    return Symbol("label", (strokes[manner],), (area(-0.5, -0.5, 0.5, 0.5),), end)


def lamp(manner: int) -> Symbol:
    """A ring with a standing cross, or with a bowed wire in it."""
    rim = ring(0, 0, 1.5)
    inner = (line((-1.06, -1.06), (1.06, 1.06)), line((-1.06, 1.06), (1.06, -1.06)))
    if manner:
        inner = (line((-1.5, 0), (-0.5, 0)), bow(0, 0, 0.5, 0.9, 180, 360))
        inner = (*inner, line((0.5, 0), (1.5, 0)))
    return Symbol("lamp", (rim, *inner), (rim.points,), ends(1.5))


def speaker(manner: int) -> Symbol:
    """A small box and a wide horn to the right; leads on the left."""
    strokes = (box(-1.6, -1.5, -0.4, 1.5), line((-0.4, -1.2), (1.4, -2.8), (1.4, 2.8), (-0.4, 1.2)))
    ends = (Terminal("1", -1.6, -1.0, -1, 0), Terminal("2", -1.6, 1.0, -1, 0))
    return Symbol("speaker", strokes, (area(-1.6, -2.8, 1.4, 2.8),), ends)


def meter(manner: int) -> Symbol:
    """A ring with a needle, or with a letter."""
    rim = ring(0, 0, 2.0, (1.0, 2.0, 1.0)[manner])
    if manner == 1:
        return Symbol("meter", (rim,), (rim.points,), ends(2.0), (Inscription(0, 0, "mA", 1.2),))
    needle = (line((-0.9, 0.9), (0.9, -0.9)), line((0.2, -0.8), (0.9, -0.9), (0.8, -0.2)))
    return Symbol("meter", (rim, *needle), (rim.points,), ends(2.0))


def fuse(manner: int) -> Symbol:
    """A capsule with its wire, or an S between dots."""
    if manner != 1:
        outline = np.vstack([bow(1.4, 0, 0.7, 0.7, -90, 90).points, bow(-1.4, 0, 0.7, 0.7, 90, 270).points])
        outline = np.vstack([outline, outline[:1]])
        strokes = (Stroke(outline, 1.0), line((-2.1, 0), (2.1, 0)))
        return Symbol("fuse", strokes, (area(-2.1, -0.7, 2.1, 0.7),), ends(2.1))
    wave = Stroke(np.stack([np.linspace(-1.8, 1.8, 25), 0.7 * np.sin(np.linspace(0, 2 * np.pi, 25))], 1), 1.0)
    strokes = (wave, ring(-1.9, 0, 0.3, fill=1.0), ring(1.9, 0, 0.3, fill=1.0))
    return Symbol("fuse", strokes, (area(-2.2, -0.7, 2.2, 0.7),), ends(2.2))


def battery(manner: int) -> Symbol:
    """Two cells, or three with heavy short plates."""
    strokes, xs = [], np.arange(2 + (manner > 0)) * 1.1 - 0.8
    for x in xs:
        strokes.append(line((float(x), -1.7), (float(x), 1.7)))
        strokes.append(line((float(x) + 0.5, -0.8), (float(x) + 0.5, 0.8), width=2.2 if manner else 1.0))
    left, right = float(xs[0]), float(xs[-1]) + 0.5
    ends = (Terminal("+", left, 0, -1, 0), Terminal("-", right, 0, 1, 0))
    return Symbol("battery", tuple(strokes), (area(left, -1.7, right, 1.7),), ends)

"""Jacks, plugs and sockets."""

from __future__ import annotations

import numpy as np

from tracer.training.strokes import Stroke, arc, box, circle, line, polygon
from tracer.training.symbols.symbol import Inscription, Symbol, Terminal, disc, rectangle, symbol

__all__: list[str] = []


@symbol("jack.spring")
def spring_jack(rng: np.random.Generator, switched: bool | None = None) -> Symbol:
    """A sleeve bar and bent springs: ``sleeve``, ``tip``, ``ring``, with break contacts at times."""
    high, wide = rng.uniform(1.3, 1.9), rng.uniform(2.2, 3.2)
    switched = bool(rng.random() < 0.4) if switched is None else switched
    sleeve = box(-wide, -high, -wide + 0.7, high, fill=float(rng.choice([0.0, 1.0])))
    tip = line((wide, high * 0.55), (0.2, high * 0.55), (-0.4, high * 0.15), (-0.9, high * 0.55))
    strokes: list[Stroke] = [
        sleeve,
        tip,
        line((-wide + 0.35, -high), (-wide + 0.35, -high - 0.4), (wide, -high - 0.4)),
    ]
    terminals = [Terminal("sleeve", wide, -high - 0.4, 1, 0), Terminal("tip", wide, high * 0.55, 1, 0)]
    bottom = high
    if switched:
        bottom = high + 0.9
        strokes.append(line((0.6, bottom), (wide, bottom)))
        strokes.append(polygon((0.6, bottom), (0.3, high * 0.65), (0.9, high * 0.65), fill=1.0))
        terminals.append(Terminal("break", wide, bottom, 1, 0))
    elif rng.random() < 0.4:
        strokes.append(line((wide, -high * 0.4), (0.2, -high * 0.4), (-0.4, 0), (-0.9, -high * 0.4)))
        terminals.append(Terminal("ring", wide, -high * 0.4, 1, 0))
    return Symbol("jack", tuple(strokes), (rectangle(-wide, -high - 0.4, wide, bottom),), tuple(terminals))


@symbol("jack.coaxial")
def coaxial(rng: np.random.Generator) -> Symbol:
    """A ring around a centre pin: ``tip`` and ``sleeve``."""
    radius = rng.uniform(1.1, 1.6)
    filled = circle(0, 0, 0.35, fill=float(rng.choice([0.0, 1.0])))
    outer = circle(0, 0, radius) if rng.random() < 0.7 else arc(0, 0, radius, 40, 320)
    strokes = (outer, filled, line((0.35, 0), (radius, 0)))
    terminals = (Terminal("tip", radius, 0, 1, 0), Terminal("sleeve", 0, radius, 0, 1))
    return Symbol("jack", strokes, (disc(0, 0, radius),), terminals)


@symbol("jack.din")
def din(rng: np.random.Generator) -> Symbol:
    """A round socket with pins on an arc."""
    radius = rng.uniform(2.2, 2.8)
    count = int(rng.choice([3, 5]))
    strokes: list[Stroke] = [circle(0, 0, radius)]
    terminals: list[Terminal] = []
    for number, angle in enumerate(np.linspace(180, 0, count), 1):
        x, y = 0.62 * radius * np.cos(np.deg2rad(angle)), 0.55 * radius * np.sin(np.deg2rad(angle))
        strokes.append(circle(float(x), float(y), 0.28, fill=1.0))
        foot = float(np.sqrt(radius**2 - x**2))
        strokes.append(line((float(x), float(y)), (float(x), foot)))
        terminals.append(Terminal(str(number), float(x), foot, 0, 1))
    return Symbol("jack", tuple(strokes), (disc(0, 0, radius),), tuple(terminals))


@symbol("plug.pins")
def pins(rng: np.random.Generator, ways: int | None = None, names: tuple[str, ...] | None = None) -> Symbol:
    """A column of plug pins, chevrons or small circles, in a box or bare; leads to the right."""
    ways = int(rng.integers(2, 7)) if ways is None else ways
    pitch = rng.uniform(1.6, 2.4)
    names = names or tuple(str(n + 1) for n in range(ways))
    top = -(ways - 1) * pitch / 2
    hand = rng.integers(0, 4)
    strokes: list[Stroke] = []
    for way in range(ways):
        y = top + way * pitch
        if hand == 0:
            strokes.append(circle(0.6, y, 0.38, fill=float(rng.choice([0.0, 1.0]))))
        elif hand == 1:
            strokes += [
                line((0.2, y - 0.5), (1.0, y), (0.2, y + 0.5)),
                line((-0.4, y - 0.5), (0.4, y), (-0.4, y + 0.5)),
            ]
        elif hand == 2:
            strokes.append(box(-0.2, y - 0.25, 1.0, y + 0.25, fill=1.0))
        else:
            strokes.append(Stroke(arc(0.6, y, 0.5, 90, 270).points, 1.0))
            strokes.append(line((0.1, y), (1.0, y)))
    marks = tuple(Inscription(-1.1, top + way * pitch, names[way], 0.9) for way in range(ways))
    left = -0.6 if hand == 1 else -0.3
    if rng.random() < 0.5:
        left = -1.8
        strokes.append(box(left, top - 0.9, 1.0, -top + 0.9))
    region = (rectangle(left, top - 0.9, 1.0, -top + 0.9),)
    terminals = tuple(Terminal(names[way], 1.0, top + way * pitch, 1, 0) for way in range(ways))
    return Symbol("plug", tuple(strokes), region, terminals, marks)


@symbol("plug.mains")
def mains_plug(rng: np.random.Generator) -> Symbol:
    """Two or three pins of a mains plug: ``live``, ``neutral``, ``earth``."""
    earth = bool(rng.random() < 0.5)
    names = ("live", "neutral", "earth")[: 3 if earth else 2]
    ys = np.linspace(-1.3, 1.3, len(names))
    strokes: list[Stroke] = []
    terminals: list[Terminal] = []
    for name, y in zip(names, ys, strict=True):
        strokes.append(box(-1.6, float(y) - 0.25, -0.2, float(y) + 0.25, fill=1.0))
        strokes.append(line((-0.2, float(y)), (1.2, float(y))))
        terminals.append(Terminal(name, 1.2, float(y), 1, 0))
    strokes.append(box(-0.2, -2.0, 0.9, 2.0))
    return Symbol("plug", tuple(strokes), (rectangle(-1.6, -2.0, 1.2, 2.0),), tuple(terminals))

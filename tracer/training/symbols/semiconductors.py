"""Diodes, metal rectifiers, bridges, transistors, crystals."""

from __future__ import annotations

import numpy as np

from tracer.training.strokes import Stroke, arc, arrow_head, box, circle, line, polygon
from tracer.training.symbols.symbol import Inscription, Symbol, Terminal, disc, rectangle, symbol, two_ended

__all__: list[str] = []


@symbol("diode.triangle")
def diode(rng: np.random.Generator) -> Symbol:
    """Triangle and bar: hollow, crossed by the lead or black; with wings a Zener, with arrows a lamp."""
    half, height = rng.uniform(0.8, 1.3), rng.uniform(0.8, 1.2)
    filled = rng.random()
    triangle = polygon((-half, -height), (half, 0), (-half, height), fill=1.0 if filled < 0.4 else None)
    strokes = [triangle]
    if filled > 0.75:
        strokes.append(line((-half, 0), (half, 0)))
    if rng.random() < 0.2:
        wing = 0.3
        strokes.append(line((half - wing, -height), (half, -height), (half, height), (half + wing, height)))
    else:
        strokes.append(line((half, -height), (half, height)))
    region = [rectangle(-half, -height, half, height)]
    if rng.random() < 0.15:
        for shift in (0.0, 0.8):
            strokes.append(line((shift - 0.2, -height * 0.9), (shift + 0.5, -height - 0.9)))
            strokes += arrow_head((shift + 0.5, -height - 0.9), (0.7, -1), 0.4, solid=True)
        region.append(rectangle(-0.2, -height - 0.9, 1.3, -0.3))
    if rng.random() < 0.15:
        radius = float(np.hypot(half, height)) + 0.5
        strokes += [circle(0, 0, radius), line((-radius, 0), (-half, 0)), line((half, 0), (radius, 0))]
        return Symbol("diode", tuple(strokes), (*region, disc(0, 0, radius)), two_ended(radius, ("a", "k")))
    return Symbol("diode", tuple(strokes), tuple(region), two_ended(half, ("a", "k")))


@symbol("rectifier.metal")
def metal_rectifier(rng: np.random.Generator) -> Symbol:
    """A big black arrow against a plate, or a pile of plates."""
    half, height = rng.uniform(1.1, 1.6), rng.uniform(1.1, 1.6)
    if rng.random() < 0.6:
        strokes = [polygon((-half, -height), (half, 0), (-half, height), fill=1.0)]
        strokes.append(line((half, -height), (half, height), width=rng.uniform(1.5, 3.0)))
    else:
        strokes = [line((x, -height), (x, height), width=1.5) for x in np.linspace(-half, half, 5)]
        strokes.append(line((-half, 0), (half, 0)))
        strokes += arrow_head((half * 0.8, 0), (1, 0), height, solid=True)
    return Symbol(
        "rectifier", tuple(strokes), (rectangle(-half, -height, half, height),), two_ended(half, ("a", "k"))
    )


def _turned(strokes: list[Stroke], angle: float, x: float, y: float) -> list[Stroke]:
    turn = np.deg2rad(angle)
    matrix = np.array([[np.cos(turn), -np.sin(turn)], [np.sin(turn), np.cos(turn)]])
    return [stroke.moved(matrix, np.array([x, y]), 1.0) for stroke in strokes]


@symbol("bridge.diamond")
def bridge(rng: np.random.Generator) -> Symbol:
    """Four diodes on the sides of a square stood on its corner."""
    reach = rng.uniform(3.0, 4.4)
    small = rng.uniform(0.45, 0.65)
    fill = 1.0 if rng.random() < 0.5 else None
    one = [
        polygon((-small, -small), (small, 0), (-small, small), fill=fill),
        line((small, -small), (small, small)),
    ]
    corners = [(0.0, -reach), (reach, 0.0), (0.0, reach), (-reach, 0.0)]
    outline = polygon(*corners)
    strokes = [outline]
    for (x, y), angle in zip(
        [(-reach / 2, -reach / 2), (reach / 2, -reach / 2), (-reach / 2, reach / 2), (reach / 2, reach / 2)],
        [-45, 45, 45, -45],
        strict=True,
    ):
        strokes += _turned(one, angle, x, y)
    dots = [circle(x, y, 0.3, fill=1.0) for x, y in corners] if rng.random() < 0.4 else []
    names = [("ac1", 0, -1), ("+", 1, 0), ("ac2", 0, 1), ("-", -1, 0)]
    terminals = tuple(Terminal(name, reach * dx, reach * dy, dx, dy) for name, dx, dy in names)
    marks: tuple[Inscription, ...] = (
        Inscription(reach + 0.6, -0.9, "+", 1.0),
        Inscription(-reach - 0.6, -0.9, "-", 1.0),
    )
    if rng.random() < 0.5:
        marks = (*marks, Inscription(1.0, -reach - 0.5, "~", 1.0), Inscription(1.0, reach + 0.5, "~", 1.0))
    middles = [(sx * reach / 2, sy * reach / 2) for sx in (-1, 1) for sy in (-1, 1)]
    region = (outline.points, *(disc(x, y, 1.5 * small) for x, y in middles))
    return Symbol("bridge", (*strokes, *dots), region, terminals, marks if rng.random() < 0.7 else ())


@symbol("bridge.box")
def bridge_box(rng: np.random.Generator) -> Symbol:
    """A square with one diode inside."""
    half = rng.uniform(1.8, 2.6)
    inner = [polygon((-0.7, -0.7), (0.7, 0), (-0.7, 0.7), fill=1.0), line((0.7, -0.7), (0.7, 0.7))]
    names = [("ac1", 0, -1), ("+", 1, 0), ("ac2", 0, 1), ("-", -1, 0)]
    terminals = tuple(Terminal(name, half * dx, half * dy, dx, dy) for name, dx, dy in names)
    if rng.random() < 0.5:
        outline = polygon((0, -half), (half, 0), (0, half), (-half, 0))
    else:
        outline = box(-half, -half, half, half)
    return Symbol("bridge", (outline, *inner), (outline.points,), terminals)


@symbol("transistor.bipolar")
def bipolar(rng: np.random.Generator, circled: bool | None = None) -> Symbol:
    """Base bar, slanting collector and emitter, arrow on the emitter; with or without its circle."""
    circled = bool(rng.random() < 0.7) if circled is None else circled
    radius = rng.uniform(1.7, 2.3)
    bar, x0 = radius * 0.55, -radius * 0.3
    x1 = radius * 0.45
    y1 = float(np.sqrt(radius**2 - x1**2))
    away = rng.random() < 0.6
    inner, outer = np.array([x0, bar * 0.45]), np.array([x1, y1 * 0.85])
    tip, along = (outer, outer - inner) if away else (inner, inner - outer)
    strokes = [
        line((x0, -bar), (x0, bar), width=rng.choice([1.0, 1.6, 2.4])),
        line((-radius, 0), (x0, 0)),
        line((x0, -bar * 0.45), (x1, -y1 * 0.85), (x1, -y1)),
        line((x0, bar * 0.45), (x1, y1 * 0.85), (x1, y1)),
        *arrow_head(
            (float(tip[0]), float(tip[1])), (float(along[0]), float(along[1])), radius * 0.4, solid=True
        ),
    ]
    terminals = (Terminal("e", x1, y1, 0, 1), Terminal("b", -radius, 0, -1, 0), Terminal("c", x1, -y1, 0, -1))
    if circled:
        strokes.append(circle(0, 0, radius, rng.choice([1.0, 1.0, 1.8])))
        return Symbol("transistor", tuple(strokes), (disc(0, 0, radius),), terminals)
    hull = np.array([(-radius, -0.3), (x0, -bar), (x1 + 0.3, -y1), (x1 + 0.3, y1), (x0, bar), (-radius, 0.3)])
    return Symbol("transistor", tuple(strokes), (hull,), terminals)


@symbol("transistor.field")
def field_effect(rng: np.random.Generator) -> Symbol:
    """Channel bar with gate arrow; terminals named like the bipolar one's."""
    radius = rng.uniform(1.8, 2.3)
    x0, x1 = -0.2, radius * 0.5
    y1 = float(np.sqrt(radius**2 - x1**2))
    strokes = [
        circle(0, 0, radius),
        line((x0, -1.0), (x0, 1.0), width=1.8),
        line((x0, -0.7), (x1, -0.7), (x1, -y1)),
        line((x0, 0.7), (x1, 0.7), (x1, y1)),
        line((-radius, 0), (x0, 0)),
        *arrow_head((x0, 0), (1, 0) if rng.random() < 0.5 else (-1, 0), 0.7, solid=True),
    ]
    terminals = (Terminal("e", x1, y1, 0, 1), Terminal("b", -radius, 0, -1, 0), Terminal("c", x1, -y1, 0, -1))
    return Symbol("transistor", tuple(strokes), (disc(0, 0, radius),), terminals)


@symbol("crystal.plates")
def crystal(rng: np.random.Generator) -> Symbol:
    """A box between two plates."""
    half, height = rng.uniform(0.4, 0.6), rng.uniform(1.1, 1.6)
    edge = half + rng.uniform(0.45, 0.6)
    strokes = (
        box(-half, -height, half, height),
        line((-edge, -height * 0.7), (-edge, height * 0.7)),
        line((edge, -height * 0.7), (edge, height * 0.7)),
    )
    return Symbol("crystal", strokes, (rectangle(-edge, -height, edge, height),), two_ended(edge))


@symbol("diode.varactor")
def doubled_diode(rng: np.random.Generator) -> Symbol:
    """A diode whose bar is doubled, or bent like a tunnel diode's."""
    half, height = rng.uniform(0.9, 1.2), rng.uniform(0.9, 1.2)
    strokes = [polygon((-half, -height), (half, 0), (-half, height)), line((half, -height), (half, height))]
    if rng.random() < 0.5:
        strokes.append(line((half + 0.5, -height), (half + 0.5, height)))
        half_end = half + 0.5
    else:
        strokes.append(arc(half + 0.1, 0, 0.3, -90, 90))
        half_end = half + 0.4
    region = (rectangle(-half, -height, half_end, height),)
    terminals = (Terminal("a", -half, 0, -1, 0), Terminal("k", half_end, 0, 1, 0))
    return Symbol("diode", tuple(strokes), region, terminals)

"""Chassis and earth signs, supply labels, flags, terminal circles, off-sheet arrows, test points."""

from __future__ import annotations

import numpy as np

from tracer.training.strokes import Stroke, arrow_head, circle, line, polygon
from tracer.training.symbols.symbol import Inscription, Symbol, Terminal, disc, rectangle, symbol

__all__: list[str] = []

_UP = (Terminal("1", 0.0, 0.0, 0.0, -1.0),)


@symbol("chassis.bars")
def earth_bars(rng: np.random.Generator) -> Symbol:
    """Three bars, each shorter than the last."""
    wide, pitch = rng.uniform(0.9, 1.6), rng.uniform(0.4, 0.65)
    strokes = [
        line((-wide * f, index * pitch), (wide * f, index * pitch)) for index, f in enumerate((1, 0.6, 0.2))
    ]
    return Symbol("chassis", tuple(strokes), (rectangle(-wide, 0, wide, 2 * pitch),), _UP)


@symbol("chassis.rake")
def chassis_rake(rng: np.random.Generator) -> Symbol:
    """A bar with slanting teeth, or a hatched block."""
    wide, deep = rng.uniform(1.0, 1.8), rng.uniform(0.6, 1.1)
    strokes = [line((-wide, 0), (wide, 0), width=float(rng.choice([1.0, 1.0, 2.0])))]
    count = int(rng.integers(3, 6))
    lean = rng.uniform(0.3, 0.6)
    strokes += [line((float(x), 0), (float(x) - lean, deep)) for x in np.linspace(-wide + 0.1, wide, count)]
    return Symbol("chassis", tuple(strokes), (rectangle(-wide - lean, 0, wide, deep),), _UP)


@symbol("chassis.triangle")
def chassis_triangle(rng: np.random.Generator) -> Symbol:
    """A hollow or black triangle on its tip."""
    wide, deep = rng.uniform(0.6, 1.1), rng.uniform(0.7, 1.2)
    outline = polygon((-wide, 0), (wide, 0), (0, deep), fill=1.0 if rng.random() < 0.3 else None)
    return Symbol("chassis", (outline,), (outline.points,), _UP)


@symbol("chassis.bar")
def chassis_bar(rng: np.random.Generator) -> Symbol:
    """One thick short bar."""
    wide = rng.uniform(0.9, 1.6)
    strokes = (line((-wide, 0.1), (wide, 0.1), width=float(rng.choice([2.0, 3.0, 4.0]))),)
    return Symbol("chassis", strokes, (rectangle(-wide, 0, wide, 0.25),), _UP)


@symbol("label.circle")
def terminal_circle(rng: np.random.Generator) -> Symbol:
    """A small terminal circle, hollow or black, at the end of a wire."""
    radius = rng.uniform(0.28, 0.5)
    shape = circle(0, radius, radius, fill=1.0 if rng.random() < 0.25 else 0.0)
    return Symbol("label", (shape,), (disc(0, radius, radius),), _UP)


@symbol("label.arrow")
def off_sheet_arrow(rng: np.random.Generator) -> Symbol:
    """An arrow head at the end of a wire that goes on elsewhere."""
    size = rng.uniform(0.9, 1.4)
    strokes = [
        line((0, 0), (0, size)),
        *arrow_head((0, size), (0, 1), size * 0.95, solid=bool(rng.random() < 0.6)),
    ]
    return Symbol("label", tuple(strokes), (np.array([(-size * 0.42, 0), (size * 0.42, 0), (0, size)]),), _UP)


@symbol("label.flag")
def flag(rng: np.random.Generator, text: str | None = None) -> Symbol:
    """A pointed flag with the rail's name inside; the wire enters at its tip or its tail."""
    text = text or str(rng.choice(["HT1", "+250V", "A", "B4", "TO PU", "12V", "AGC", "X1", "GRID", "1/C3"]))
    half, high = 0.55 * len(text) + 0.6, 0.9
    point = 0.8 if rng.random() < 0.7 else 0.0
    if point:
        outline = polygon(
            (0, 0), (point, -high), (2 * half + point, -high), (2 * half + point, high), (point, high)
        )
    else:
        outline = polygon((0, -high), (2 * half, -high), (2 * half, high), (0, high))
    terminals = (Terminal("1", 0, 0, -1, 0),)
    return Symbol(
        "label", (outline,), (outline.points,), terminals, (Inscription(half + point, 0, text, 1.1),)
    )


@symbol("label.bar")
def supply_bar(rng: np.random.Generator) -> Symbol:
    """The short bar or cap that ends a supply wire."""
    wide = rng.uniform(0.6, 1.1)
    strokes: tuple[Stroke, ...] = (line((-wide, 0.08), (wide, 0.08)),)
    return Symbol("label", strokes, (rectangle(-wide, 0, wide, 0.16),), _UP)


@symbol("label.point")
def test_point(rng: np.random.Generator) -> Symbol:
    """A numbered ring: a test point or a continued-on number."""
    radius = rng.uniform(0.9, 1.3)
    text = str(int(rng.integers(1, 30))) if rng.random() < 0.7 else str(rng.choice(["A", "B", "TP", "X"]))
    shape = circle(0, radius, radius)
    return Symbol("label", (shape,), (disc(0, radius, radius),), _UP, (Inscription(0, radius, text, 0.95),))

"""More earth and chassis signs, supply ends, flags and terminals."""

from __future__ import annotations

import numpy as np

from tracer.training.strokes import Stroke, arc, arrow_head, box, circle, line, polygon
from tracer.training.symbols.symbol import Inscription, Symbol, Terminal, disc, rectangle, symbol

__all__: list[str] = []

_UP = (Terminal("1", 0.0, 0.0, 0.0, -1.0),)


@symbol("chassis.arrow")
def earth_arrow(rng: np.random.Generator) -> Symbol:
    """A hollow arrow head on a stalk, pointing down, as freehand sheets draw earth."""
    wide, stalk, deep = rng.uniform(0.5, 1.0), rng.uniform(0.3, 0.9), rng.uniform(0.6, 1.1)
    strokes = (line((0, 0), (0, stalk)), polygon((-wide, stalk), (wide, stalk), (0, stalk + deep)))
    region = (
        rectangle(-0.35, 0, 0.35, stalk),
        np.array(
            [
                (-wide, stalk),
                (wide, stalk),
                (wide, stalk + deep * 0.45),
                (0, stalk + deep),
                (-wide, stalk + deep * 0.45),
            ]
        ),
    )
    return Symbol("chassis", tuple(strokes), region, _UP)


@symbol("chassis.block")
def chassis_block(rng: np.random.Generator) -> Symbol:
    """A flat black or hatched slab, or a thin tray."""
    wide, deep = rng.uniform(0.8, 1.7), rng.uniform(0.25, 0.6)
    pick = rng.random()
    strokes: list[Stroke] = [box(-wide, 0, wide, deep, fill=1.0 if pick < 0.5 else None)]
    if pick > 0.75:
        for x in np.linspace(-wide + deep, wide, int(rng.integers(3, 7))):
            strokes.append(line((float(x), 0), (float(x) - deep, deep)))
    return Symbol("chassis", tuple(strokes), (rectangle(-wide, 0, wide, deep),), _UP)


@symbol("chassis.rungs")
def many_rungs(rng: np.random.Generator) -> Symbol:
    """Three to five bars that narrow to a point, close or wide apart, some heavy, a stalk before them."""
    count, wide = int(rng.integers(2, 6)), rng.uniform(0.7, 1.7)
    pitch, stalk = rng.uniform(0.38, 0.65), rng.uniform(0.0, 0.8)
    heavy = float(rng.choice([1.0, 1.0, 1.6]))
    strokes: list[Stroke] = [line((0, 0), (0, stalk))] if stalk > 0.1 else []
    stalk = stalk if stalk > 0.1 else 0.0
    for index in range(count):
        reach = wide * (1 - index / count)
        strokes.append(line((-reach, stalk + index * pitch), (reach, stalk + index * pitch), width=heavy))
    region = [rectangle(-wide, stalk, wide, stalk + (count - 1) * pitch)]
    if stalk:
        region.append(rectangle(-0.3, 0, 0.3, stalk))
    return Symbol("chassis", tuple(strokes), tuple(region), _UP)


@symbol("chassis.fork")
def chassis_fork(rng: np.random.Generator) -> Symbol:
    """A bar with two, three or four teeth, straight or slanting, or a cup with teeth."""
    wide, deep = rng.uniform(0.8, 1.6), rng.uniform(0.4, 1.0)
    count, lean = int(rng.integers(2, 5)), float(rng.choice([0.0, 0.35, 0.6]))
    strokes: list[Stroke] = [line((-wide, 0), (wide, 0))]
    for x in np.linspace(-wide, wide, count):
        strokes.append(line((float(x), 0), (float(x) - lean, deep)))
    return Symbol("chassis", tuple(strokes), (rectangle(-wide - lean, 0, wide, deep),), _UP)


@symbol("chassis.ringed")
def ringed_earth(rng: np.random.Generator) -> Symbol:
    """The safety earth: three bars in a ring."""
    radius = rng.uniform(1.1, 1.5)
    strokes: list[Stroke] = [circle(0, radius, radius), line((0, 0), (0, radius * 0.8))]
    for index, reach in enumerate((0.7, 0.45, 0.18)):
        y = radius * (0.8 + 0.3 * index)
        strokes.append(line((-reach * radius, y), (reach * radius, y)))
    return Symbol("chassis", tuple(strokes), (disc(0, radius, radius),), _UP)


@symbol("label.ring")
def large_ring(rng: np.random.Generator) -> Symbol:
    """A terminal as a larger ring: open, double, dotted in its middle or slashed."""
    radius = rng.uniform(0.4, 0.75)
    strokes: list[Stroke] = [circle(0, radius, radius, fill=0.0)]
    pick = rng.random()
    if pick < 0.25:
        strokes.append(circle(0, radius, radius * 0.5))
    elif pick < 0.45:
        strokes.append(circle(0, radius, radius * 0.3, fill=1.0))
    elif pick < 0.65:
        d = radius * 0.9
        strokes.append(line((-d, radius + d), (d, radius - d)))
    return Symbol("label", tuple(strokes), (disc(0, radius, radius),), _UP)


@symbol("label.spot")
def black_spot(rng: np.random.Generator) -> Symbol:
    """A black terminal spot, or a black square, at the end of a wire."""
    radius = rng.uniform(0.3, 0.5)
    if rng.random() < 0.8:
        return Symbol("label", (circle(0, radius, radius, fill=1.0),), (disc(0, radius, radius),), _UP)
    square = box(-radius, 0, radius, 2 * radius, fill=1.0 if rng.random() < 0.5 else 0.0)
    return Symbol("label", (square,), (rectangle(-radius, 0, radius, 2 * radius),), _UP)


@symbol("label.chevron")
def chevron(rng: np.random.Generator) -> Symbol:
    """An open or double arrow head at the end of a wire, forwards or backwards (a fishtail)."""
    wide, deep = rng.uniform(0.4, 0.8), rng.uniform(0.5, 1.0)
    strokes: list[Stroke] = [line((0, 0), (0, deep))]
    tail = bool(rng.random() < 0.3)
    for shift in (0.0, 0.5)[: 1 + int(rng.random() < 0.3)]:
        if tail:
            strokes.append(line((-wide, deep + shift), (0, shift + deep * 0.3), (wide, deep + shift)))
        else:
            strokes.append(line((-wide, shift), (0, deep + shift), (wide, shift)))
    low = deep + 0.5
    region = (rectangle(-wide, 0, wide, low if len(strokes) > 2 else deep),)
    return Symbol("label", tuple(strokes), region, _UP)


@symbol("label.box")
def lettered_box(rng: np.random.Generator) -> Symbol:
    """A reference to another sheet in a box, a hexagon or between brackets."""
    text = str(rng.choice(["A", "B2", "HT", "TO 4", "5", "+12", "L", "R", "SK3/2", "C/7", "AF", "REC"]))
    half, high = 0.42 * len(text) + 0.5, rng.uniform(0.75, 1.0)
    if rng.random() < 0.6:
        outline = box(0, -high, 2 * half, high)
    else:
        outline = polygon(
            (0, 0), (0.5, -high), (2 * half, -high), (2 * half + 0.5, 0), (2 * half, high), (0.5, high)
        )
    middle = float(outline.points[:, 0].max()) / 2
    ends = (Terminal("1", 0.0, 0.0, -1.0, 0.0),)
    return Symbol("label", (outline,), (outline.points,), ends, (Inscription(middle, 0.0, text, 1.0),))


@symbol("label.pennant")
def pennant(rng: np.random.Generator) -> Symbol:
    """A small flag or triangle on the wire's end for a test point or a voltage."""
    high, wide = rng.uniform(0.9, 1.5), rng.uniform(0.8, 1.4)
    fill = 1.0 if rng.random() < 0.4 else None
    flag = polygon((0, high), (wide, high * 0.6), (0, high * 0.2), fill=fill)
    strokes = (line((0, 0), (0, high)), flag)
    region = (np.array([(-0.2, 0), (0.2, 0), (wide, high * 0.6), (0.2, high), (-0.2, high)]),)
    return Symbol("label", strokes, region, _UP)


@symbol("label.dart")
def supply_dart(rng: np.random.Generator) -> Symbol:
    """A slim black or open arrow that ends a supply, with a ring or a bar behind its head at times."""
    long, wide = rng.uniform(0.8, 1.6), rng.uniform(0.25, 0.45)
    strokes: list[Stroke] = [line((0, 0), (0, long))]
    strokes += arrow_head((0, long), (0, 1), wide * 2.2, solid=bool(rng.random() < 0.6))
    if rng.random() < 0.25:
        strokes.append(line((-wide, 0.1), (wide, 0.1)))
    return Symbol("label", tuple(strokes), (rectangle(-wide, 0, wide, long),), _UP)


@symbol("label.cup")
def half_ring(rng: np.random.Generator) -> Symbol:
    """A half ring or a fork: a socket of a single wire."""
    radius = rng.uniform(0.4, 0.7)
    cup = (
        arc(0, radius, radius, 180, 360)
        if rng.random() < 0.6
        else line((-radius, radius), (0, 0), (radius, radius))
    )
    return Symbol("label", (cup,), (rectangle(-radius, 0, radius, radius),), _UP)

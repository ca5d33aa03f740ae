"""More semiconductors: open and chained diodes, stacks, bridges, thyristors; crystals and cells."""

from __future__ import annotations

import numpy as np

from tracer.training.strokes import Points, Stroke, arc, arrow_head, box, circle, line, polygon
from tracer.training.symbols.symbol import Inscription, Symbol, Terminal, disc, rectangle, symbol, two_ended

__all__: list[str] = []


def _light(x: float, y: float, inwards: bool) -> list[Stroke]:
    """Two little arrows above (x, y), away from it or towards it."""
    strokes: list[Stroke] = []
    for shift in (0.0, 0.7):
        low, high = (x + shift, y - 0.1), (x + shift + 0.7, y - 1.0)
        start, tip = (high, low) if inwards else (low, high)
        strokes.append(line(start, tip))
        strokes += arrow_head(tip, (tip[0] - start[0], tip[1] - start[1]), 0.45, solid=True)
    return strokes


def _bar(rng: np.random.Generator, x: float, height: float, style: str) -> tuple[list[Stroke], float]:
    """The cathode of a diode: plain, bent as a Z or S, doubled; where it ends."""
    if style == "z":
        wing = rng.uniform(0.25, 0.5)
        return [line((x - wing, -height), (x, -height), (x, height), (x + wing, height))], x + 0.05
    if style == "slant":
        wing = rng.uniform(0.3, 0.5)
        return [
            line((x - wing, -height - 0.1), (x, -height * 0.7), (x, height * 0.7), (x + wing, height + 0.1))
        ], x
    if style == "half":
        return [line((x - 0.45, height), (x, height), (x, -height))], x
    if style == "double":
        return [line((x, -height), (x, height)), line((x + 0.45, -height), (x + 0.45, height))], x + 0.45
    return [line((x, -height), (x, height), width=float(rng.choice([1.0, 1.0, 1.8])))], x


@symbol("diode.open")
def open_diode(rng: np.random.Generator) -> Symbol:
    """A hollow triangle, slim or wide, with any cathode: plain, Zener, doubled; light at times."""
    half, height = rng.uniform(0.55, 1.7), rng.uniform(0.5, 1.5)
    style = str(rng.choice(["plain", "plain", "plain", "z", "slant", "half", "double"]))
    fill = 1.0 if rng.random() < 0.3 else None
    bar, edge = _bar(rng, half, height, style)
    strokes = [polygon((-half, -height), (half, 0), (-half, height), fill=fill), *bar]
    if style == "double" or (fill is None and rng.random() < 0.2):
        strokes.append(line((-half, 0), (edge, 0)))
    region: list[Points] = [rectangle(-half, -height - 0.1, max(edge, half), height + 0.1)]
    if rng.random() < 0.2:
        strokes += _light(-0.2, -height, bool(rng.random() < 0.4))
        region.append(rectangle(-0.4, -height - 1.1, 1.4, 0.0))
    ends = (Terminal("a", -half, 0.0, -1.0, 0.0), Terminal("k", max(edge, half), 0.0, 1.0, 0.0))
    return Symbol("diode", tuple(strokes), tuple(region), ends)


@symbol("diode.ringed")
def ringed_diode(rng: np.random.Generator) -> Symbol:
    """A diode in a ring: a light, a photodiode, a Zener, as later sheets draw them."""
    half, height = rng.uniform(0.6, 0.9), rng.uniform(0.6, 0.9)
    radius = float(np.hypot(half, height)) + rng.uniform(0.25, 0.6)
    bar, edge = _bar(rng, half, height, str(rng.choice(["plain", "z", "half"])))
    fill = 1.0 if rng.random() < 0.4 else None
    strokes = [circle(0, 0, radius), polygon((-half, -height), (half, 0), (-half, height), fill=fill), *bar]
    strokes += [line((-radius, 0), (-half, 0)), line((edge, 0), (radius, 0))]
    region: list[Points] = [disc(0, 0, radius)]
    if rng.random() < 0.6:
        strokes += _light(-0.4, -radius * 0.9, bool(rng.random() < 0.4))
        region.append(rectangle(-0.5, -radius * 0.9 - 1.1, 1.1, -radius * 0.6))
    return Symbol("diode", tuple(strokes), tuple(region), two_ended(radius, ("a", "k")))


@symbol("diode.chain")
def touching_diodes(rng: np.random.Generator) -> Symbol:
    """Two to four diodes touching in a row: a stabiliser stick, a bias chain in one case."""
    count, half, height = int(rng.integers(2, 5)), rng.uniform(0.5, 0.8), rng.uniform(0.6, 1.0)
    fill = 1.0 if rng.random() < 0.25 else None  # black ones are rectifier stacks more often
    total = count * half
    strokes: list[Stroke] = []
    for index in range(count):
        x = -total + (2 * index + 1) * half
        strokes.append(polygon((x - half, -height), (x + half, 0), (x - half, height), fill=fill))
        strokes.append(line((x + half, -height), (x + half, height)))
    return Symbol(
        "diode", tuple(strokes), (rectangle(-total, -height, total, height),), two_ended(total, ("a", "k"))
    )


@symbol("rectifier.stack")
def stack(rng: np.random.Generator) -> Symbol:
    """Arrow and bar repeated, or a comb of plates with an arrow over it: a metal rectifier."""
    count, half, height = int(rng.integers(2, 5)), rng.uniform(0.6, 1.1), rng.uniform(1.0, 1.6)
    total = count * (half + 0.15)
    strokes: list[Stroke] = []
    if rng.random() < 0.7:
        for index in range(count):
            x = -total + (2 * index + 1) * (half + 0.15)
            strokes.append(
                polygon((x - half, -height * 0.8), (x + half, 0), (x - half, height * 0.8), fill=1.0)
            )
            strokes.append(box(x + half, -height, x + half + 0.25, height, fill=1.0))
        edge = total + 0.1
        region = [rectangle(-total, -height, edge, height)]
    else:
        total = max(total, 1.2)
        edge = total
        strokes.append(line((-total, 0), (total, 0)))
        strokes += [
            line((float(x), -height), (float(x), height))
            for x in np.linspace(-total * 0.8, total * 0.8, 3 + count)
        ]
        region = [rectangle(-total, -height, total, height)]
    ends = (Terminal("a", -total, 0.0, -1.0, 0.0), Terminal("k", edge, 0.0, 1.0, 0.0))
    return Symbol("rectifier", tuple(strokes), tuple(region), ends)


@symbol("rectifier.wedge")
def wedge(rng: np.random.Generator) -> Symbol:
    """A long slim wedge against a heavy plate, or a black wedge in a box."""
    half, height = rng.uniform(1.0, 2.0), rng.uniform(0.6, 1.1)
    strokes = [
        polygon((-half, -height), (half, 0), (-half, height), fill=1.0 if rng.random() < 0.6 else None)
    ]
    strokes.append(box(half, -height * 1.2, half + 0.4, height * 1.2, fill=1.0))
    region = (rectangle(-half, -height * 1.2, half + 0.4, height * 1.2),)
    ends = (Terminal("a", -half, 0.0, -1.0, 0.0), Terminal("k", half + 0.4, 0.0, 1.0, 0.0))
    return Symbol("rectifier", tuple(strokes), region, ends)


@symbol("bridge.block")
def bridge_block(rng: np.random.Generator) -> Symbol:
    """A rectifier block: a box lettered ~ ~ + - at its leads, with a diode inside or without."""
    half = rng.uniform(1.8, 2.8)
    strokes = [box(-half, -half, half, half)]
    if rng.random() < 0.5:
        strokes += [polygon((-0.6, -0.6), (0.5, 0), (-0.6, 0.6), fill=1.0), line((0.5, -0.6), (0.5, 0.6))]
    names = (("ac1", -1, -0.5, "~"), ("ac2", -1, 0.5, "~"), ("+", 1, -0.5, "+"), ("-", 1, 0.5, "-"))
    ends = tuple(
        Terminal(name, half * side, 2 * part * half * 0.6, side, 0.0) for name, side, part, _ in names
    )
    marks = tuple(
        Inscription(side * (half - 0.6), 2 * part * half * 0.6, sign, 1.0) for _, side, part, sign in names
    )
    return Symbol("bridge", tuple(strokes), (rectangle(-half, -half, half, half),), ends, marks)


@symbol("bridge.square")
def bridge_square(rng: np.random.Generator) -> Symbol:
    """A small diamond with one diode inside it along its way, leads at its corners."""
    half = rng.uniform(1.8, 3.0)
    small = half * rng.uniform(0.25, 0.35)
    fill = 1.0 if rng.random() < 0.6 else None
    strokes = [polygon((0, -half), (half, 0), (0, half), (-half, 0), width=float(rng.choice([1.0, 1.6])))]
    strokes += [
        polygon((-small, -small), (small, 0), (-small, small), fill=fill),
        line((small, -small), (small, small)),
    ]
    if rng.random() < 0.4:
        strokes += [line((-half, 0), (-small, 0)), line((small, 0), (half, 0))]
    ways = (("ac1", 0.0, -1.0), ("+", 1.0, 0.0), ("ac2", 0.0, 1.0), ("-", -1.0, 0.0))
    ends = tuple(Terminal(name, half * dx, half * dy, dx, dy) for name, dx, dy in ways)
    return Symbol("bridge", tuple(strokes), (strokes[0].points,), ends)


@symbol("other.thyristor")
def thyristor(rng: np.random.Generator) -> Symbol:
    """A diode with a gate at its cathode, or two back to back, ringed or bare."""
    half, height = rng.uniform(0.7, 1.1), rng.uniform(0.7, 1.1)
    both = bool(rng.random() < 0.3)
    strokes: list[Stroke] = []
    top = -2.2 * height if both else -height
    if both:
        strokes.append(polygon((half, -2.1 * height), (-half, -1.05 * height), (half, 0.0)))
        strokes.append(polygon((-half, 0.0), (half, 1.05 * height), (-half, 2.1 * height)))
        strokes += [
            line((-half, -2.1 * height), (-half, 2.1 * height)),
            line((half, -2.1 * height), (half, 2.1 * height)),
        ]
    else:
        fill = 1.0 if rng.random() < 0.4 else None
        strokes.append(polygon((-half, -height), (half, 0), (-half, height), fill=fill))
        strokes.append(line((half, -height), (half, height)))
    low = -top
    foot = (half + 0.8, low + rng.uniform(0.2, 0.8))
    strokes.append(line((half, 0.15 * low), (half + 0.8, 0.7 * low), foot))
    edge = half + 0.8
    strokes.append(line((half, 0.0), (edge, 0.0)))
    region = (rectangle(-half, top, half, low), rectangle(half - 0.1, 0.0, edge, foot[1]))
    ends = (
        Terminal("a", -half, 0.0, -1.0, 0.0),
        Terminal("k", edge, 0.0, 1.0, 0.0),
        Terminal("g", foot[0], foot[1], 0.0, 1.0),
    )
    return Symbol("other", tuple(strokes), region, ends)


@symbol("crystal.slab")
def crystal_slab(rng: np.random.Generator) -> Symbol:
    """A slab between plates: slim, thick, lettered or hatched."""
    half, height = rng.uniform(0.3, 0.8), rng.uniform(0.8, 1.8)
    edge = half + rng.uniform(0.3, 0.6)
    plate = height * rng.uniform(0.6, 1.1)
    heavy = float(rng.choice([1.0, 1.0, 2.0]))
    strokes = [box(-half, -height, half, height), line((-edge, -plate), (-edge, plate), width=heavy),
               line((edge, -plate), (edge, plate), width=heavy)]  # fmt: skip
    if rng.random() < 0.2:
        strokes += [
            line((-half, float(y)), (half, float(y) - 0.5)) for y in np.linspace(-height + 0.6, height, 4)
        ]
    tall = max(plate, height)
    return Symbol("crystal", tuple(strokes), (rectangle(-edge, -tall, edge, tall),), two_ended(edge))


@symbol("other.cell")
def photocell(rng: np.random.Generator) -> Symbol:
    """A cell or a spark gap: a plate and a curve in a ring; two points facing."""
    radius = rng.uniform(1.4, 1.9)
    if rng.random() < 0.6:
        strokes: tuple[Stroke, ...] = (
            circle(0, 0, radius),
            arc(0.5, 0, 0.9, 110, 250),
            line((-radius, 0), (-0.4, 0)),
            circle(0.6, 0, 0.16, fill=1.0),
            line((0.6, 0), (radius, 0)),
        )
        return Symbol("other", strokes, (disc(0, 0, radius),), two_ended(radius))
    points = [
        part
        for side in (-1.0, 1.0)
        for part in (
            line((side, 0), (side * 0.3, 0)),
            *arrow_head((side * 0.2, 0), (-side, 0), 0.8, solid=True),
        )
    ]
    return Symbol("other", tuple(points), (rectangle(-1.0, -0.4, 1.0, 0.4),), two_ended(1.0))

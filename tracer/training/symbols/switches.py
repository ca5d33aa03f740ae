"""Contacts: open blades, two small circles, wafer rows, slide rows, relay contacts."""

from __future__ import annotations

import numpy as np

from tracer.training.strokes import Stroke, arrow_head, box, circle, line
from tracer.training.symbols.symbol import Symbol, Terminal, rectangle, symbol, two_ended

__all__: list[str] = []


@symbol("contact.blade")
def blade(rng: np.random.Generator, open_: bool | None = None) -> Symbol:
    """A blade between two small circles or bare ends: ``common`` and ``make``."""
    half, ring = rng.uniform(1.2, 2.2), float(rng.choice([0.0, 0.3, 0.35, 0.45]))
    open_ = bool(rng.random() < 0.8) if open_ is None else open_
    strokes: list[Stroke] = []
    fill = float(rng.choice([0.0, 1.0]))
    for x in (-half, half):
        if ring:
            strokes.append(circle(x, 0, ring, fill=fill))
    lift = -rng.uniform(0.7, 1.4) if open_ else -ring * 0.8
    side = float(rng.choice([1.0, -1.0]))
    strokes.append(line((-half + ring * 0.7, 0), (half * 0.9, lift * side)))
    edge = half + ring
    low, high = min(lift * side, -0.45), max(lift * side, 0.45)
    ends = two_ended(edge, ("common", "make"))
    return Symbol("contact", tuple(strokes), (rectangle(-edge, low, edge, high),), ends)


@symbol("contact.push")
def push(rng: np.random.Generator) -> Symbol:
    """A bridge above two small circles, with its button."""
    half, ring = rng.uniform(1.0, 1.6), rng.uniform(0.28, 0.4)
    gap = rng.uniform(0.5, 0.9)
    strokes = [circle(-half, 0, ring, fill=0.0), circle(half, 0, ring, fill=0.0)]
    strokes += [line((-half, -gap), (half, -gap)), line((0, -gap), (0, -gap - 0.8))]
    edge = half + ring
    region = (rectangle(-edge, -gap - 0.8, edge, 0.4),)
    return Symbol("contact", tuple(strokes), region, two_ended(edge, ("common", "make")))


@symbol("contact.change")
def changeover(rng: np.random.Generator) -> Symbol:
    """One common and two throws."""
    half, rise, ring = rng.uniform(1.4, 2.2), rng.uniform(0.8, 1.3), float(rng.choice([0.0, 0.3, 0.4]))
    strokes: list[Stroke] = []
    if ring:
        strokes = [circle(x, y, ring, fill=0.0) for x, y in ((-half, 0), (half, -rise), (half, rise))]
    up = float(rng.choice([-1.0, 1.0]))
    strokes.append(line((-half + ring * 0.7, 0), (half - ring, up * rise * 0.9)))
    if rng.random() < 0.4:
        strokes += arrow_head((half - ring, up * rise * 0.9), (2 * half, up * rise), 0.6, solid=True)
    edge = half + ring
    terminals = (
        Terminal("common", -edge, 0, -1, 0),
        Terminal("make", edge, up * rise, 1, 0),
        Terminal("break", edge, -up * rise, 1, 0),
    )
    return Symbol("contact", tuple(strokes), (rectangle(-edge, -rise - ring, edge, rise + ring),), terminals)


@symbol("contact.wafer")
def wafer(rng: np.random.Generator, ways: int | None = None, pitch: float | None = None) -> Symbol:
    """A row of fixed contacts and a wiper to one of them: ``common`` and ``1``… top to bottom."""
    ways = int(rng.integers(3, 8)) if ways is None else ways
    pitch = rng.uniform(1.4, 2.4) if pitch is None else pitch
    ring = rng.uniform(0.26, 0.42)
    reach = rng.uniform(1.6, 3.0)
    fill = float(rng.choice([0.0, 1.0]))
    top = -(ways - 1) * pitch / 2
    strokes: list[Stroke] = [circle(-reach, 0, ring, fill=fill)]
    terminals = [Terminal("common", -reach - ring, 0, -1, 0)]
    for way in range(ways):
        y = top + way * pitch
        strokes.append(circle(0, y, ring, fill=fill))
        terminals.append(Terminal(str(way + 1), ring, y, 1, 0))
    at = top + int(rng.integers(0, ways)) * pitch
    strokes.append(line((-reach + ring * 0.7, 0), (-ring * 1.4, at)))
    strokes += arrow_head((-ring * 1.2, at), (reach, at), 0.7, solid=bool(rng.random() < 0.5))
    region = (rectangle(-reach - ring, top - ring, ring, -top + ring),)
    return Symbol("contact", tuple(strokes), region, tuple(terminals))


@symbol("contact.slide")
def slide(rng: np.random.Generator) -> Symbol:
    """A row of small circles with a slider bridging two of them; leads above or below."""
    count = int(rng.integers(3, 7))
    pitch, ring = rng.uniform(1.5, 2.2), rng.uniform(0.28, 0.4)
    left = -(count - 1) * pitch / 2
    strokes: list[Stroke] = []
    terminals: list[Terminal] = []
    for index in range(count):
        x, side = left + index * pitch, (-1.0 if index % 2 else 1.0)
        strokes.append(circle(x, 0, ring, fill=0.0))
        terminals.append(Terminal(str(index + 1), x, side * ring, 0, side))
    at = int(rng.integers(0, count - 1))
    strokes.append(box(left + at * pitch - 0.5, -0.55, left + (at + 1) * pitch + 0.5, 0.55))
    region = (
        rectangle(left - ring, -ring, -left + ring, ring),
        rectangle(left + at * pitch - 0.5, -0.55, left + (at + 1) * pitch + 0.5, 0.55),
    )
    terminals = [
        Terminal(t.name, t.x, (0.55 if at <= index <= at + 1 else ring) * t.dy, 0, t.dy)
        for index, t in enumerate(terminals)
    ]
    return Symbol("contact", tuple(strokes), region, tuple(terminals))


@symbol("contact.relay")
def relay_contact(rng: np.random.Generator) -> Symbol:
    """An arm against a filled or hollow triangle: contacts as drawn beside relays."""
    half = rng.uniform(1.2, 1.8)
    fill = float(rng.choice([0.0, 1.0]))
    tip = Stroke(
        np.array([(half - 0.9, -0.7), (half, -0.7), (half - 0.45, -0.05), (half - 0.9, -0.7)]), 1.0, fill
    )
    strokes = (line((-half, 0), (half, 0.0)), tip, line((half - 0.45, -0.7), (half - 0.45, -1.3)))
    terminals = (Terminal("common", -half, 0, -1, 0), Terminal("make", half - 0.45, -1.3, 0, -1))
    return Symbol("contact", strokes, (rectangle(-half, -1.3, half, 0.2),), terminals)

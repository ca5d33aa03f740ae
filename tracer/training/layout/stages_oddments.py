"""Any registered symbol as a stage of a row: its leads go where they point."""

from __future__ import annotations

from functools import cache
from typing import Final

import numpy as np

from tracer.training.layout.stages_meet import Blocked
from tracer.training.layout.stages_pen import Pen, Place
from tracer.training.layout.stages_row import Row, enter, foot, head, supply
from tracer.training.symbols.symbol import SYMBOLS, Symbol, build
from tracer.training.truth import PartTerminal

__all__ = ["connector", "oddment"]

_KINDS: Final = (
    "valve", "transistor", "jack", "plug", "speaker", "meter", "relay coil", "crystal", "thermistor",
    "battery", "coil", "transformer", "pot", "capacitor", "resistor", "diode", "rectifier", "bridge", "neon",
    "lamp", "fuse", "contact", "block", "other",
)  # fmt: skip


@cache
def _names() -> tuple[tuple[str, ...], ...]:
    """The registered names of each kind."""
    return tuple(tuple(name for name in SYMBOLS if name.split(".")[0] == kind) for kind in _KINDS)


def _closest(made: Symbol) -> float:
    """The least distance between two leads that leave the same way, units."""
    least = 9.0
    for index, one in enumerate(made.terminals):
        for other in made.terminals[index + 1 :]:
            if one.dx * other.dx + one.dy * other.dy > 0.5:
                least = min(least, float(np.hypot(one.x - other.x, one.y - other.y)))
    return least


def oddment(pen: Pen, row: Row, x: float, port: Place | None) -> tuple[float, Place | None]:
    """Some symbol, its left lead fed, its right lead the way on, the others to supply, earth or elsewhere."""
    kinds = _names()
    names = kinds[int(pen.rng.integers(0, len(kinds)))]
    if not names:
        raise Blocked
    name = str(pen.rng.choice(names))
    made = build(name, np.random.default_rng(pen.manner.hand + int(pen.rng.integers(0, 3))))
    size = max(1.0, 4.8 * pen.stroke / (pen.u * _closest(made)))
    if size > 2.2 or len(made.terminals) > 14:
        raise Blocked
    unit = pen.u * size
    entry = [t for t in made.terminals if t.dx < -0.9]
    level = row.low if port is None or not entry else port[1]
    y = level - (entry[0].y * unit if entry else 0.0)
    lead = pen.step if pen.chance(0.4) else pen.span(4, 6)
    part = pen.put(name, x + lead - made.extent[0] * unit, y, made=made, scale=size)
    left = [lead for lead in part.leads if lead.dx < -0.9]
    if left:
        kind = ["R"] if lead > pen.span(6, 6) and pen.chance(0.6) else []
        enter(pen, row, x, port, (left[0].x, left[0].y), *kind)
    elif port is not None:
        pen.loose(port, (1.0, 0.0))
    out: Place | None = None
    for each in part.leads:
        if left and each.name == left[0].name:
            continue
        if each.dx > 0.9 and out is None:
            tip = (each.x + pen.span(2, 4), each.y)
            if pen.attempt(pen.wire, (each.x, each.y), tip):
                out = tip
                continue
        _lead_off(pen, row, each)
    right = part.box[2] + pen.span(3, 5)
    return max(right, out[0] if out else right), out


def _lead_off(pen: Pen, row: Row, lead: PartTerminal) -> None:
    """A lead of an oddment, somewhere sensible for the way it points."""
    at, way = (lead.x, lead.y), (lead.dx, lead.dy)
    if max(abs(way[0]), abs(way[1])) < 0.9 or pen.chance(0.12):
        return
    pick = pen.rng.random()
    if way[1] < -0.9 and pick < 0.7:
        if not pen.attempt(head, pen, row, at, *(["R"] if pen.chance(0.5) else [])):
            pen.attempt(supply, pen, at, way)
    elif way[1] > 0.9 and pick < 0.7:
        if not pen.attempt(foot, pen, row, at, *(["R"] if pen.chance(0.4) else [])):
            pen.attempt(supply, pen, at, way)
    elif pick < 0.85:
        tip = (at[0] + way[0] * pen.span(1.8, 3), at[1] + way[1] * pen.span(1.8, 3))
        if pen.attempt(pen.wire, at, tip):
            pen.loose(tip, way)
    else:
        pen.loose(at, way)


def connector(pen: Pen) -> None:
    """A column of rings or pins at an edge of the page, its wires to be led into the circuit."""
    left = pen.chance(0.5)
    count = int(pen.rng.integers(3, 12))
    pitch = max(1.5 * pen.high, 5.0 * pen.stroke)
    edge = pen.manner.margin + pen.span(5, 7)
    x = edge if left else pen.drawing.width - edge
    top = float(pen.rng.uniform(0.1, 0.7)) * pen.drawing.height
    way, letter = (1.0 if left else -1.0, 0.0), str(pen.rng.choice(["A", "B", "PL", "SK", "", "T"]))
    for index in range(count):
        at = (x, top + index * pitch)
        name = f"{letter}{index + 1}"

        def one(at: Place = at, name: str = name) -> None:
            pen.sign(
                "label.circle", (at[0] + way[0] * 2 * pen.u, at[1]), (-way[0], 0.0), lead=2 * pen.u, text=name
            )

        if pen.attempt(one):
            pen.loose((at[0] + way[0] * 2 * pen.u, at[1]), way)

"""Tuners: ganged sections, windings in cans, ratio detectors, band contacts (common practice)."""

from __future__ import annotations

from itertools import pairwise
from typing import Final

from tracer.training.layout.stages_meet import Blocked
from tracer.training.layout.stages_pen import Pen, Place, Put
from tracer.training.layout.stages_row import Row, Stage, enter, foot, head, supply
from tracer.training.layout.stages_solid import common_emitter
from tracer.training.layout.stages_tuned import aerial_coils, if_can

__all__ = ["TUNER", "band_contacts"]

_UP: Final = (0.0, -1.0)
_DOWN: Final = (0.0, 1.0)
_RIGHT: Final = (1.0, 0.0)
_LEFT: Final = (-1.0, 0.0)


def _screen(pen: Pen, x0: float, y0: float, x1: float, y1: float) -> None:
    """A can round what stands there: dashed, or a whole line that the leads pass through."""
    path = ((x0, y0), (x1, y0), (x1, y1), (x0, y1), (x0, y0))
    whole = pen.drawing.style.crossing == "plain" and pen.chance(0.4)
    if not (whole and pen.attempt(pen.wire, *path)):
        pen.dashed(*path)


def _earth(pen: Pen, at: Place) -> None:
    """An earth sign below a level wire."""
    pen.sign("earth", at, _DOWN, lead=4.0 * pen.stroke)


def ganged_section(pen: Pen, row: Row, x: float, port: Place | None) -> tuple[float, Place | None]:
    """A coil, one part of the tuning gang and a trimmer side by side, on a common foot."""
    level = row.low if port is None else port[1]
    coil = x + pen.span(3, 5) + pen.breadth("L")
    pitch = pen.breadth("CV") + max(pen.breadth("CV"), pen.breadth("L")) + 4.5 * pen.stroke
    columns = [coil, coil + pitch, coil + 2 * pitch][: 2 if pen.chance(0.3) else 3]
    base = level + max(pen.length("L"), pen.length("CV")) + 10 * pen.stroke
    enter(pen, row, x, port, (coil, level), *([] if port else ["C"] if pen.chance(0.3) else []))
    kinds = ("L", "CV", "C" if pen.chance(0.4) else "CV")
    for one, other in pairwise(columns):
        pen.wire((one, level), (other, level))
        pen.wire((one, base), (other, base))
    gangs: list[Put] = []
    for column, kind in zip(columns, kinds, strict=False):
        gangs += pen.link((column, level), (column, base), kind)
    row.gangs.append((gangs[1].x, gangs[1].y))
    if pen.chance(0.5):
        _earth(pen, (columns[-1], base)) if not pen.attempt(foot, pen, row, (columns[-1], base)) else None
    else:
        _earth(pen, (coil, base))
    right = columns[-1] + pen.breadth("CV") + 2.4 * pen.stroke
    if pen.chance(0.4):
        _screen(pen, coil - pen.breadth("L") - 2.6 * pen.stroke, level - 5.6 * pen.stroke, right,
                base + 5.6 * pen.stroke)  # fmt: skip
    after = (right + pen.span(2, 4), level)
    pen.wire((columns[-1], level), after)
    return after[0], after


def canned_windings(pen: Pen, row: Row, x: float, port: Place | None) -> tuple[float, Place | None]:
    """Two windings in one can: the first in a collector's way to the supply, the second to the next stage."""
    if port is None:
        raise Blocked
    name, made = pen.manner.build("transformer.slugs", pen.rng, hand=int(pen.rng.integers(0, 3)))
    if len(made.terminals) < 4:
        raise Blocked
    size = max(1.1, 4.6 * pen.stroke / (1.9 * pen.u))
    unit = pen.u * size
    first = made.terminals[0]
    part = pen.put(
        name, x + pen.span(3, 5) - made.extent[0] * unit, port[1] - first.y * unit, made=made, scale=size
    )
    left = [lead for lead in part.leads if lead.name.startswith("L")]
    right = [lead for lead in part.leads if lead.name.startswith("R")]
    pen.wire(port, (left[0].x, left[0].y))
    low = (left[-1].x - pen.span(1.5, 2.0), left[-1].y)
    pen.wire((left[-1].x, left[-1].y), low)
    if pen.chance(0.6):
        down = (low[0], low[1] + pen.span(2.4, 3.4))
        pen.wire(low, down)
        pen.attempt(supply, pen, down, _DOWN, "C")
    else:
        pen.attempt(foot, pen, row, low, "C")
    tail = (right[-1].x + pen.span(1.8, 2.6), right[-1].y)
    pen.wire((right[-1].x, right[-1].y), tail)
    pen.attempt(foot, pen, row, tail, *(["R"] if pen.chance(0.5) else []))
    after = (right[0].x + pen.span(4, 6), right[0].y)
    pen.wire((right[0].x, right[0].y), after)
    if pen.chance(0.4):
        pen.dashed((part.box[0] - pen.u, part.box[1] - pen.u), (part.box[2] + pen.u, part.box[1] - pen.u))
    return after[0] + pen.u, after


def ratio_detector(pen: Pen, row: Row, x: float, port: Place | None) -> tuple[float, Place | None]:
    """A tapped winding, two diodes that face opposite ways, their loads, the large capacitor across."""
    name, made = pen.manner.build("transformer.pair", pen.rng, left=(2,), right=(3,), spread=1.5, hand=3)
    size = max(1.0, 5.6 * pen.stroke / (2.4 * pen.u))
    unit = pen.u * size
    level = row.low if port is None else port[1]
    at_x = x + pen.span(4, 6) - made.extent[0] * unit
    part = pen.put(name, at_x, level - made.terminals[0].y * unit, made=made, scale=size)
    (ax, ay), (bx, by) = part.at("L1.1"), part.at("L1.2")
    enter(pen, row, x, port, (ax, ay))
    pen.attempt(supply, pen, (bx, by), _DOWN, via=(bx - pen.span(1.6, 2.2), by))
    top, tap, bottom = (part.at(f"R1.{number}") for number in (1, 2, 3))
    spread = max(bottom[1] - top[1], 2 * pen.length("R") + 14 * pen.stroke)
    high, low = tap[1] - spread / 2, tap[1] + spread / 2
    lane = top[0] + pen.span(1.8, 2.4)
    diodes = lane + pen.length("D") + 8 * pen.stroke
    for (tx, ty), y, mirror in ((top, high, False), (bottom, low, True)):
        pen.wire((tx, ty), (lane, ty), (lane, y))
        pen.link((lane, y), (diodes, y), "D", mirror=mirror)
    columns = [diodes + index * pen.column for index in range(int(pen.rng.integers(1, 4)))]
    for index, column in enumerate(columns):
        if index:
            for y in (high, low):
                pen.wire((columns[index - 1], y), (column, y))
        middle = (column, tap[1])
        kinds = ("R", "C", "E")[index]
        if kinds == "E":
            pen.link((column, high), (column, low), "E")
            continue
        pen.link((column, high), middle, kinds)
        pen.link(middle, (column, low), kinds)
        if index:
            pen.wire((columns[index - 1], tap[1]), middle)
    foot_at = (columns[-1], low)
    pen.attempt(supply, pen, foot_at, _DOWN)
    out = (lane + pen.span(1.0, 2.0), tap[1])
    pen.attempt(pen.wire, tap, out)
    after = (columns[-1] + pen.span(3, 5), high)
    pen.wire((columns[-1], high), after)
    return after[0] + pen.u, after


def band_contacts(pen: Pen, top: float) -> float:
    """Contacts of one switch in a row, a dashed link through them, parts at both ends; gives the lowest y."""
    left, right = pen.limits(top, top + 24 * pen.u)
    x, bottom = left + pen.span(6, 10), top
    while x < right - 20 * pen.u:
        count = int(pen.rng.integers(3, 11))
        found: list[float] = []

        def draw(x: float = x, count: int = count, found: list[float] = found) -> None:
            found[:] = [*_contact_row(pen, x, top + pen.span(2, 4), count, right)]

        if pen.attempt(draw):
            x, bottom = found[0] + pen.span(5, 9), max(bottom, found[1])
        else:
            x += 8 * pen.u
    return bottom + pen.span(3, 5)


def _contact_row(pen: Pen, x: float, top: float, count: int, right: float) -> tuple[float, float]:
    above, below = (
        ("R", "L", "C", "") if pen.chance(0.5) else ("",),
        ("R", "C", "CV", "L", "") if pen.chance(0.6) else ("",),
    )
    pitch = 2 * pen.breadth("S", "R", "C", "L") + 4.0 * pen.stroke
    count = min(count, int((right - x - 6 * pen.u) / pitch))
    if count < 3:
        raise Blocked
    rise = max((pen.length(kind) for kind in above if kind), default=0.0) + 9 * pen.stroke
    fall = max((pen.length(kind) for kind in below if kind), default=0.0) + 9 * pen.stroke
    upper, middle = top + rise, top + rise + pen.length("S") + 9 * pen.stroke
    low = middle + fall
    xs = [x + index * pitch for index in range(count)]
    throws: list[Put] = []
    for at in xs:
        kind = str(pen.rng.choice(above))
        pen.link((at, top), (at, upper), *([kind] if kind else []))
        throws += pen.link((at, upper), (at, middle), "S")
        kind = str(pen.rng.choice(below))
        pen.link((at, middle), (at, low), *([kind] if kind else []))
    pen.dashed((xs[0] - pen.span(2, 4), throws[0].y), (xs[-1] + pen.span(1, 4), throws[0].y))
    _common(pen, xs, low, _DOWN)
    if pen.chance(0.6):
        _common(pen, xs, top, _UP)
    else:
        for at in xs:
            pen.loose((at, top), _UP) if pen.chance(0.6) else pen.attempt(
                pen.sign, "label.circle", (at, top), _UP
            )
    return xs[-1], low + 6 * pen.u


def _common(pen: Pen, xs: list[float], y: float, way: Place) -> None:
    """Join neighbours at one end of a row of contacts: all of them, or some here and some there."""
    start = 0
    while start < len(xs):
        end = len(xs) - 1 if pen.chance(0.5) else min(len(xs) - 1, start + int(pen.rng.integers(0, 4)))
        if end > start:
            pen.attempt(pen.wire, (xs[start], y), (xs[end], y))
        at = (xs[end], y)
        if pen.chance(0.6):
            pen.attempt(supply, pen, at, way)
        else:
            pen.loose(at, way)
        start = end + 1


def tuned_transistor(pen: Pen, row: Row, x: float, port: Place | None) -> tuple[float, Place | None]:
    """A transistor whose collector goes on into a can; its supply comes through the winding."""
    base = (x + pen.length("C") + pen.column / 2 + 9 * pen.stroke, row.low)
    enter(pen, row, x, port, base, "C")
    pen.attempt(head, pen, row, base, "R", lean=0.75)
    pen.attempt(foot, pen, row, base, "R")
    size = max(1.0, pen.manner.valve)
    _, made = pen.manner.build("TR", pen.rng)
    lead = next(each for each in made.terminals if each.name == "b")
    part = pen.put(
        "transistor", base[0] + pen.span(3, 4) - lead.x * pen.u * size, row.low, made=made, scale=size
    )
    pen.wire(base, part.at("b"))
    (cx, cy), (ex, ey) = part.at("c"), part.at("e")
    collector, emitter = (cx, cy - pen.span(1.8, 2.4)), (ex, ey + pen.span(1.8, 2.4))
    pen.wire((cx, cy), collector)
    pen.wire((ex, ey), emitter)
    foot(pen, row, emitter, "R")
    corner = (ex + pen.column, emitter[1])

    def bypass() -> None:
        pen.wire(emitter, corner)
        foot(pen, row, corner, "C")

    right = corner[0] + pen.column / 2 if pen.attempt(bypass) else part.box[2] + 2 * pen.u
    return right, collector


TUNER: Final[tuple[Stage, ...]] = (
    ganged_section, tuned_transistor, canned_windings, ganged_section, tuned_transistor, canned_windings,
    tuned_transistor, ratio_detector, common_emitter, aerial_coils, tuned_transistor, if_can,
)  # fmt: skip

"""Op-amp stages and what stands between them, one function each (common practice)."""

from __future__ import annotations

from typing import Final

from tracer.training.layout.stages_pen import Pen, Place, Put
from tracer.training.layout.stages_row import PLUS, Row, enter, supply

__all__ = ["limiter", "op_amp", "pass_filter"]

_UP: Final = (0.0, -1.0)
_DOWN: Final = (0.0, 1.0)
_LEFT: Final = (-1.0, 0.0)


def _opamp(pen: Pen, x: float, level: float, *, mirror: bool = False) -> Put:
    """An op-amp whose left edge (or right, if mirrored) is at `x` and whose output lies on `level`."""
    hand = int(pen.rng.integers(0, 4))
    _, made = pen.manner.build("block.triangle", pen.rng, pins={}, hand=hand)
    size = pen.manner.size_of(made)
    unit = pen.u * size
    middle = x + (1.0 if not mirror else -1.0) * -made.extent[0] * unit
    put = pen.put("block.triangle", middle, level, made=made, scale=size, mirror=mirror)
    pen.pins(put)
    return put


def op_amp(pen: Pen, row: Row, x: float, port: Place | None) -> tuple[float, Place | None]:
    """An inverting or other stage: input resistor, feedback over the top, the other input to earth."""
    inverting = pen.chance(0.75)
    node_x = x + pen.step
    amp = _opamp(pen, node_x + pen.span(3.5, 6.5), row.low)
    signal, other = ("-", "+") if inverting else ("+", "-")
    sx, sy = amp.at(signal)
    node = (node_x, sy)
    enter(pen, row, x, port, node, "R" if pen.chance(0.85) else "C")
    pen.wire(node, (sx, sy))
    out = amp.at("out")
    after = (out[0] + pen.span(2.5, 4), out[1])
    pen.wire(out, after)
    ox, oy = amp.at(other)
    upper = oy < sy
    if inverting:
        _feedback(pen, node, after, amp, up=not upper)
        way = _UP if upper else _DOWN

        def ground() -> None:
            stub = (ox - pen.span(1.6, 2.2), oy)
            pen.wire((ox, oy), stub)
            supply(pen, stub, _DOWN if not upper else way, *(["R"] if pen.chance(0.35) else []))

        if not pen.attempt(ground):
            pen.attempt(pen.sign, "earth", (ox, oy), _LEFT, lead=pen.u)
    else:
        stub = (ox - pen.span(2, 2.6), oy)
        pen.wire((ox, oy), stub)
        _feedback(pen, stub, after, amp, up=upper)
        pen.attempt(supply, pen, stub, _DOWN if not upper else _UP, "R")
    for name, way in (("v+", _UP), ("v-", _DOWN)):
        if name in amp.terminals:
            at = amp.at(name)
            if pen.chance(0.6):
                pen.attempt(supply, pen, at, way)
            else:
                pen.loose(at, way)
    if pen.chance(0.2):
        pen.attempt(supply, pen, node, _DOWN, "R")
    return after[0] + pen.u, after


def _feedback(pen: Pen, node: Place, after: Place, amp: Put, *, up: bool) -> None:
    """Resistor, capacitor or diodes from the output back to an input, over or under the triangle."""
    sign = -1.0 if up else 1.0
    edge = amp.box[1] if up else amp.box[3]
    level = edge + sign * (pen.breadth("R") + 3.2 * pen.stroke)
    kinds = [["R"], ["R"], ["C"], ["R"], ["P"]][int(pen.rng.integers(0, 5))]
    pen.wire(node, (node[0], level))
    pen.wire(after, (after[0], level))
    pen.link((node[0], level), (after[0], level), *kinds)
    if pen.chance(0.5):
        second = level + sign * (pen.breadth("R") + pen.breadth("C", "D") + 3.5 * pen.stroke)

        def beside() -> None:
            a, b = (node[0], level), (after[0], level)
            if pen.chance(0.5):
                a, b = (node[0] + 1.0 * pen.u, level), (after[0] - 1.0 * pen.u, level)
            pen.wire(a, (a[0], second))
            pen.wire(b, (b[0], second))
            pen.link((a[0], second), (b[0], second), "C" if pen.chance(0.6) else "D")

        pen.attempt(beside)


def limiter(pen: Pen, row: Row, x: float, port: Place | None) -> tuple[float, Place | None]:
    """Two diodes back to back, side by side in line, with a shunt to earth."""
    level = row.low if port is None else port[1]
    one = (x + 2 * pen.u, level)
    two = (one[0] + pen.length("D") + pen.span(4, 6), level)
    half = pen.breadth("D") + 1.6 * pen.stroke
    if port is None:
        enter(pen, row, x, None, one)
    else:
        pen.wire(port, one)
    for sign, mirror in ((-1.0, False), (1.0, True)):
        y = level + sign * half
        pen.wire(one, (one[0], y))
        pen.wire(two, (two[0], y))
        pen.link((one[0], y), (two[0], y), "D", mirror=mirror)
    after = (two[0] + 3 * pen.u, level)
    pen.wire(two, after)
    pen.attempt(supply, pen, (two[0] + 2 * pen.u, level), _DOWN, "R")
    return after[0] + pen.u, after


def pass_filter(pen: Pen, row: Row, x: float, port: Place | None) -> tuple[float, Place | None]:
    """Resistors in line, each node with a capacitor, resistor or control to earth or a supply."""
    level = row.low if port is None else port[1]
    here = (x, level) if port is None else port
    if port is None:
        pen.label(*here, str(pen.rng.choice(PLUS)), *_LEFT, sure=True)
    for _ in range(int(pen.rng.integers(1, 4))):
        there = (here[0] + pen.step, level)
        pen.link(here, there, str(pen.rng.choice(["R", "R", "R", "C", "E", "D"])))
        way = _DOWN if pen.chance(0.75) else _UP
        kinds = [["C"], ["R"], ["C"], ["R", "C"], ["E"]][int(pen.rng.integers(0, 5))]
        pen.attempt(supply, pen, there, way, *kinds)
        here = there
    after = (here[0] + 2 * pen.u, level)
    pen.wire(here, after)
    return after[0] + pen.u, after

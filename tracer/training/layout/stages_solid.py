"""Transistor and op-amp stages of amplifiers and synthesizers, one function each (common practice)."""

from __future__ import annotations

from typing import Final

from tracer.training.layout.stages_meet import Blocked
from tracer.training.layout.stages_opamps import limiter, op_amp, pass_filter
from tracer.training.layout.stages_pen import Pen, Place, Put
from tracer.training.layout.stages_row import Row, Stage, enter, foot, head, supply, volts

__all__ = ["OPAMPS", "TRANSISTORS", "common_emitter", "long_tailed_pair"]

_UP: Final = (0.0, -1.0)
_DOWN: Final = (0.0, 1.0)
_LEFT: Final = (-1.0, 0.0)
_RIGHT: Final = (1.0, 0.0)


def _transistor(pen: Pen, x: float, level: float, *, mirror: bool = False, turn: float = 0.0) -> Put:
    """A transistor whose base lies on `level`, its base terminal at `x`."""
    size = max(1.0, pen.manner.valve)
    _, made = pen.manner.build("TR", pen.rng)
    base = next(t for t in made.terminals if t.name == "b")
    sign = -1.0 if mirror else 1.0
    put = pen.put("transistor", x - sign * base.x * pen.u * size, level, made=made, scale=size, mirror=mirror)
    if pen.chance(0.3):
        pen.pins(put)
    return put


def common_emitter(pen: Pen, row: Row, x: float, port: Place | None) -> tuple[float, Place | None]:
    """Base divider, collector and emitter resistors, bypass; out at the collector or emitter."""
    base = (x + pen.length("C", "E") + pen.column / 2 + 9 * pen.stroke, row.low)
    enter(pen, row, x, port, base, "E" if pen.chance(0.5) else "C" if pen.chance(0.7) else "R")
    if pen.chance(0.8):
        pen.attempt(head, pen, row, base, "R", lean=0.75)
    if pen.chance(0.8):
        pen.attempt(foot, pen, row, base, "R")
    part = _transistor(pen, base[0] + pen.span(2.5, 4), row.low)
    pen.wire(base, part.at("b"))
    (cx, cy), (ex, ey) = part.at("c"), part.at("e")
    collector, emitter = (cx, cy - pen.span(1.8, 2.4)), (ex, ey + pen.span(1.8, 2.4))
    pen.wire((cx, cy), collector)
    pen.wire((ex, ey), emitter)
    follower = pen.chance(0.25)
    head(pen, row, collector, *([] if follower else ["R"]))
    foot(pen, row, emitter, *(["R"] if follower or pen.chance(0.8) else []))
    volts(pen, collector, high=False)
    right = part.box[2] + 2 * pen.u
    if not follower and pen.chance(0.6):
        corner = (ex + pen.column, emitter[1])

        def bypass() -> None:
            pen.wire(emitter, corner)
            foot(pen, row, corner, "E")

        if pen.attempt(bypass):
            right = corner[0] + pen.column / 2
    return right, emitter if follower else collector


def long_tailed_pair(pen: Pen, row: Row, x: float, port: Place | None) -> tuple[float, Place | None]:
    """Two transistors face to face over a common tail; out at the second collector."""
    base = (x + pen.step * 0.9, row.low)
    enter(pen, row, x, port, base, "R" if pen.chance(0.6) else "C")
    if pen.chance(0.7):
        foot(pen, row, base, "R")
    one = _transistor(pen, base[0] + pen.span(2.2, 3), row.low)
    pen.wire(base, one.at("b"))
    gap = pen.column + pen.span(0, 3)
    width = one.at("b")[0] - one.at("e")[0]
    other_b = one.at("e")[0] + gap - width
    two = _transistor(pen, other_b, row.low, mirror=True)
    tail_y = one.at("e")[1] + pen.span(1.8, 2.6)
    (e1, y1), (e2, y2) = one.at("e"), two.at("e")
    pen.wire((e1, y1), (e1, tail_y), (e2, tail_y), (e2, y2))
    middle = ((e1 + e2) / 2, tail_y)
    supply(pen, middle, _DOWN, "R")
    tops = []
    for part in (one, two):
        cx, cy = part.at("c")
        node = (cx, cy - pen.span(1.8, 2.2))
        pen.wire((cx, cy), node)
        head(pen, row, node, *(["R"] if pen.chance(0.85) or part is two else []))
        tops.append(node)
    bx, by = two.at("b")
    out = (bx + pen.span(2, 3), by)
    pen.wire((bx, by), out)
    supply(pen, out, _DOWN, *(["R"] if pen.chance(0.7) else []))
    return out[0] + pen.column / 2, tops[1]


def mirror_pair(pen: Pen, row: Row, x: float, port: Place | None) -> tuple[float, Place | None]:
    """A current mirror: bases joined, one collector tied to them."""
    if port is not None:
        raise Blocked
    one = _transistor(pen, x + pen.span(8, 9), row.low, mirror=True)
    gap = pen.span(5, 6)
    two = _transistor(pen, one.at("b")[0] + gap, row.low)
    node = (one.at("b")[0] + gap / 2, row.low)
    pen.wire(one.at("b"), node)
    pen.wire(node, two.at("b"))
    (cx, cy) = one.at("c")
    tie = (cx, cy - pen.span(2, 2.4))
    pen.wire((cx, cy), tie)
    pen.wire(tie, (node[0], tie[1]), node)
    head(pen, row, tie, "R")
    for part in (one, two):
        at = part.at("e")
        pen.attempt(supply, pen, at, _DOWN, *(["R"] if pen.chance(0.5) else []))
    (dx, dy) = two.at("c")
    out = (dx, dy - pen.span(2, 2.4))
    pen.wire((dx, dy), out)
    return two.box[2] + 3 * pen.u, out


OPAMPS: Final[tuple[Stage, ...]] = (
    op_amp,
    op_amp,
    op_amp,
    op_amp,
    pass_filter,
    pass_filter,
    limiter,
    common_emitter,
    long_tailed_pair,
)
TRANSISTORS: Final[tuple[Stage, ...]] = (
    common_emitter, common_emitter, common_emitter, long_tailed_pair, mirror_pair, pass_filter, pass_filter,
    limiter,
)  # fmt: skip

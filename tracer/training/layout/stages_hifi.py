"""Two channels one above the other, ganged controls, output pairs, ladder filters (common practice)."""

from __future__ import annotations

from collections.abc import Callable
from typing import Final

import numpy as np

from tracer.training.layout.stages_pen import Pen, Place, Put
from tracer.training.layout.stages_row import Row, Stage, attempt_stage, enter, foot, head, supply
from tracer.training.layout.stages_solid import common_emitter, long_tailed_pair
from tracer.training.layout.stages_valves import tone_network

__all__ = ["ladder_filter", "two_channels"]

_UP: Final = (0.0, -1.0)
_DOWN: Final = (0.0, 1.0)
_LEFT: Final = (-1.0, 0.0)
_RIGHT: Final = (1.0, 0.0)


def _transistor(pen: Pen, x: float, level: float, *, mirror: bool = False) -> Put:
    """A transistor whose base terminal lies at (x, level)."""
    size = max(1.0, pen.manner.valve)
    _, made = pen.manner.build("TR", pen.rng)
    base = next(each for each in made.terminals if each.name == "b")
    sign = -1.0 if mirror else 1.0
    return pen.put(
        "transistor", x - sign * base.x * pen.u * size, level, made=made, scale=size, mirror=mirror
    )


def volume_control(pen: Pen, row: Row, x: float, port: Place | None) -> tuple[float, Place | None]:
    """A control from the last output to earth, its wiper going on; one half of a ganged pair."""
    level = row.low if port is None else port[1]
    top = (x + pen.column, level)
    enter(pen, row, x, port, top)
    low = (top[0], level + pen.length("P") + 9 * pen.stroke)
    (pot,) = pen.link(top, low, "P", zigzag=True, below=False, hand=7)
    pen.attempt(foot, pen, row, low, *(["R"] if pen.chance(0.3) else []))
    wiper = pot.leads[1]
    out = (wiper.x + pen.span(3, 5), wiper.y)
    pen.wire((wiper.x, wiper.y), out)
    row.gangs.append((pot.x, pot.y))
    return out[0] + pen.u, out


def selector(pen: Pen, row: Row, x: float, port: Place | None) -> tuple[float, Place | None]:
    """Inputs, each with its resistor, on the ways of a wafer whose arm goes on."""
    ways = int(pen.rng.integers(3, 6))
    pitch = (2 * pen.breadth("R") + 3.6 * pen.stroke) / pen.u
    name, made = pen.manner.build("contact.wafer", pen.rng, ways=ways, pitch=pitch, hand=2)
    level = row.low if port is None else port[1]
    part = pen.put(
        name, x + pen.step + pen.span(2, 3) + made.extent[2] * pen.u, level, made=made, mirror=True
    )
    for lead in part.leads[1:]:
        end = (lead.x - pen.step, lead.y)
        pen.attempt(
            pen.link, end, (lead.x, lead.y), *(["R"] if pen.chance(0.6) else ["C"] if pen.chance(0.5) else [])
        )
        pen.attempt(
            pen.sign,
            "label.circle",
            end,
            _LEFT,
            text=str(pen.rng.choice(["PU", "TAPE", "AUX", "RADIO", "MIC"])),
        )
    arm = part.leads[0]
    out = (arm.x + pen.span(3, 5), arm.y)
    pen.wire((arm.x, arm.y), out)
    row.gangs.append((part.x, part.box[3]))
    return out[0] + pen.u, out


def output_pair(pen: Pen, row: Row, x: float, port: Place | None) -> tuple[float, Place | None]:
    """Two transistors one above the other between the rails, with small resistors in their emitters."""
    level = row.low if port is None else port[1]
    base = x + pen.span(5, 7)
    rise = pen.length("R") + 0.5 * pen.length("D") + 13 * pen.stroke
    upper, lower = level - rise, level + rise
    enter(pen, row, x, port, (base, level))
    one, two = (_transistor(pen, base + pen.span(2.5, 3.0), y) for y in (upper, lower))
    pen.link((base, level), (base, upper), *(["D"] if pen.chance(0.6) else []))
    pen.link((base, level), (base, lower), *(["R"] if pen.chance(0.4) else []))
    pen.wire((base, upper), one.at("b"))
    pen.wire((base, lower), two.at("b"))
    ex, ey = one.at("e")
    cx, cy = two.at("c")
    middle = (ex, level)
    pen.link((ex, ey), middle, *(["R"] if pen.chance(0.6) else []))
    pen.link(middle, (cx, level), *[]) if abs(cx - ex) > 1.0 else None
    pen.link((cx, level), (cx, cy), *(["R"] if pen.chance(0.6) else []))
    head(pen, row, one.at("c"))
    pen.attempt(foot, pen, row, two.at("e")) or pen.attempt(supply, pen, two.at("e"), _DOWN)
    out = (max(one.box[2], two.box[2]) + pen.span(3, 4), level)
    pen.wire(middle if cx <= ex + 1.0 else (cx, level), out)
    if pen.chance(0.6):
        after = (out[0] + pen.length("E") + 9 * pen.stroke + pen.u, level)
        pen.link(out, after, "E")
        pen.attempt(supply, pen, after, _DOWN, "R")
        return after[0] + pen.column / 2, after
    return out[0] + pen.u, out


def two_channels(pen: Pen, top: float) -> float:
    """The same stages drawn twice, one channel above the other, their controls ganged; gives the lowest y."""
    u, close = pen.u, pen.manner.close
    stages: tuple[Stage, ...] = (common_emitter, volume_control, tone_network, common_emitter, selector,
                                 volume_control, long_tailed_pair, output_pair)  # fmt: skip
    start = int(pen.rng.integers(0, len(stages)))
    order = [selector, *[stages[(start + n) % len(stages)] for n in range(12)]]
    seed, rng = int(pen.rng.integers(0, 1 << 30)), pen.rng
    high = 34.0 * u * close
    gangs: list[list[Place]] = []
    for index in range(2):
        supply_y = top + 2 * u + index * high
        left, right = pen.limits(supply_y, supply_y + high)
        low = supply_y + 15 * u * close
        left, earth = left + 6 * u, low + 14 * u * close
        row = Row(supply_y, supply_y + 8 * u * close, low, low + 10 * u, earth, left, right - 4 * u, left, [])
        if row.earth > pen.drawing.height - pen.manner.margin:
            break
        pen.rng = np.random.default_rng(seed)
        gangs.append(_channel(pen, row, order))
        pen.rng = rng
    for one, other in zip(*gangs, strict=False) if len(gangs) == 2 else ():
        pen.dashed(one, (one[0], other[1]), other) if abs(one[0] - other[0]) > 1.0 else pen.dashed(one, other)
    return top + len(gangs) * high + 2 * u


def _channel(pen: Pen, row: Row, order: list[Callable[..., tuple[float, Place | None]]]) -> list[Place]:
    """One channel, stage after stage; gives the middles of what is ganged."""
    x, here = row.left, None
    if pen.manner.common_earth:
        pen.attempt(pen.wire, (row.left, row.earth), (row.right, row.earth))
    pen.attempt(pen.wire, (row.left, row.supply), (row.right, row.supply))
    nodes: list[Place] = []
    for stage in order:
        kept = len(row.gangs)
        after = attempt_stage(pen, row, stage, x, here)
        if after is not None:
            x, here = after
            nodes += [here] if here else []
        else:
            del row.gangs[kept:]
    if here is not None:
        pen.attempt(pen.sign, "label.circle", here, _RIGHT, lead=2 * pen.u, text="OUT")
    if len(nodes) > 2 and pen.chance(0.7):
        _feedback(pen, row, nodes[-1], nodes[int(pen.rng.integers(0, len(nodes) - 2))])
    return row.gangs


def _feedback(pen: Pen, row: Row, late: Place, early: Place) -> None:
    """A line back from a late stage to an early one, over or under all that stands between."""
    for _ in range(4):
        level = row.supply - pen.span(1.2, 3) if pen.chance(0.4) else row.earth + pen.span(1.6, 4)
        a, b = (late[0], level), (early[0], level)
        kinds = ["R"] if pen.chance(0.7) else []

        def draw(a: Place = a, b: Place = b, kinds: list[str] = kinds) -> None:
            pen.wire(late, a)
            pen.link(b, a, *kinds)
            pen.wire(b, early)

        if pen.attempt(draw):
            return


def ladder_filter(pen: Pen, row: Row, x: float, port: Place | None) -> tuple[float, Place | None]:
    """Pairs of transistors stacked, a capacitor across each pair, bases on a chain of resistors."""
    rungs = int(pen.rng.integers(2, 5))
    size = max(1.0, pen.manner.valve)
    _, made = pen.manner.build("TR", pen.rng)
    tall = (made.extent[3] - made.extent[1]) * pen.u * size
    pitch = max(tall + 9.5 * pen.stroke, pen.length("R") + 9 * pen.stroke)
    left = x + pen.span(4, 6)
    gap = pen.length("C") + 14 * pen.stroke + 2 * made.extent[2] * pen.u * size
    bottom = row.low + pitch
    chain = left + 2 * (made.extent[2] - made.extent[0]) * pen.u * size + gap + pen.span(3, 4)
    before: list[Place] = []
    nodes: list[Place] = []
    for rung in range(rungs):
        level = bottom - rung * pitch
        one = _transistor(pen, left, level)
        width = one.at("e")[0] - left
        two = _transistor(pen, left + 2 * width + gap, level, mirror=True)
        for part, below in zip((one, two), before, strict=False):
            pen.wire(part.at("e"), below)
        before = []
        for part in (one, two):
            cx, cy = part.at("c")
            before.append((cx, cy - (pitch - tall) / 2))
            pen.wire((cx, cy), before[-1])
        pen.link(before[0], before[1], "C")
        node = (chain, level)
        pen.wire(two.at("b"), node)
        if nodes:
            pen.link(nodes[-1], node, "R")
        nodes.append(node)
        if rung == 0:
            for part in (one, two):
                ex, ey = part.at("e")
                pen.attempt(supply, pen, (ex, ey), _DOWN, "R")
        stub = (left - pen.span(1.6, 2.2), level)
        if pen.attempt(pen.wire, one.at("b"), stub):
            pen.loose(stub, _LEFT)
    pen.attempt(head, pen, row, nodes[-1], "R")
    for at in before:
        pen.attempt(head, pen, row, at, *(["R"] if pen.chance(0.6) else []))
    return chain + pen.column, before[1]

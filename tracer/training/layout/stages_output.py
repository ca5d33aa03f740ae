"""Output stages: a valve or a push-pull pair, the transformer, the loudspeaker (common practice)."""

from __future__ import annotations

from tracer.training.layout.stages_electrodes import upright_valve
from tracer.training.layout.stages_meet import Blocked
from tracer.training.layout.stages_pen import Pen, Place, Put
from tracer.training.layout.stages_row import Row, enter, foot, volts

__all__ = ["push_pull", "single_ended"]


def _transformer(pen: Pen, x: float, level: float, leads: int) -> Put:
    """An output transformer with its first lead on `level`."""
    name, made = pen.manner.build("transformer.pair", pen.rng, left=(leads,), right=(2,), spread=1.3, hand=5)
    size = max(1.0, 5.2 * pen.stroke / (2.4 * pen.u))
    unit = pen.u * size
    return pen.put(name, x - made.extent[0] * unit, level - made.terminals[0].y * unit, made=made, scale=size)


def _speaker(pen: Pen, coil: Put) -> float:
    """The loudspeaker on the secondary; gives the right edge."""
    (ax, ay), (bx, by) = coil.at("R1.1"), coil.at("R1.2")
    x = ax + pen.span(4, 6)
    if pen.chance(0.3):
        for at in ((ax, ay), (bx, by)):
            pen.sign(
                "label.circle", at, (1.0, 0.0), lead=pen.span(1.5, 2.5), text="LS" if at[1] == ay else ""
            )
        return x + 3 * pen.u
    name, made = pen.manner.build("speaker.cone", pen.rng)
    first = made.terminals[0].x * pen.u
    part = pen.put(name, x, (ay + by) / 2, turn=90.0, made=made)
    del first
    leads = sorted(part.leads, key=lambda lead: lead.y)
    for (cx, cy), lead in (((ax, ay), leads[0]), ((bx, by), leads[1])):
        pen.wire((cx, cy), (lead.x, cy), (lead.x, lead.y))
    if pen.chance(0.3):
        pen.attempt(pen.sign, "earth", (x - 2.2 * pen.u, by), (0.0, 1.0))
    return part.box[2]


def single_ended(pen: Pen, row: Row, x: float, port: Place | None) -> tuple[float, Place | None]:
    """One output valve with the transformer in its anode."""
    u = pen.u
    grid = (x + pen.length("C") + 9 * pen.stroke + pen.column / 2, row.low)
    valve = upright_valve(pen, row.low, grid[0] + 3 * u, int(pen.rng.choice([1, 2, 3])))
    enter(pen, row, x, port, grid, "C")
    pen.wire(grid, valve.at("g1"))
    foot(pen, row, grid, "R")
    kx, ky = valve.at("k")
    node = (kx, ky + pen.span(2.2, 3))
    pen.wire((kx, ky), node)
    foot(pen, row, node, "R")
    aside = (kx + pen.column, node[1])

    def bypass() -> None:
        pen.wire(node, aside)
        foot(pen, row, aside, "E")

    pen.attempt(bypass)
    ax, ay = valve.at("a")
    coil = _transformer(pen, valve.box[2] + pen.column / 2 + 2 * u, row.supply + pen.span(4, 5), 2)
    (px, py), (qx, qy) = coil.at("L1.1"), coil.at("L1.2")
    low = min(qy, ay - 2 * u)
    if low < qy - 0.1:
        raise Blocked
    pen.wire((ax, ay), (ax, qy), (qx, qy))
    volts(pen, (ax, qy))
    up = px - pen.span(2, 3)
    pen.wire((px, py), (up, py), (up, row.supply))
    if "g2" in valve.terminals:
        gx, gy = valve.at("g2")
        column = gx + pen.span(2.4, 3)

        def screen() -> None:
            pen.wire((gx, gy), (column, gy))
            pen.link((column, gy), (column, row.supply), *(["R"] if pen.chance(0.6) else []))

        pen.attempt(screen)
    return _speaker(pen, coil) + 2 * u, None


def push_pull(pen: Pen, row: Row, x: float, port: Place | None) -> tuple[float, Place | None]:
    """Two valves one above the other on a centre-tapped transformer, a common cathode resistor."""
    u = pen.u
    grids = int(pen.rng.choice([1, 3]))
    low = row.earth - pen.span(14, 16)
    high = row.supply + pen.span(8.5, 10)
    if low - high < 14 * u:
        raise Blocked
    gx = x + pen.length("C", "R") + 9 * pen.stroke + pen.column / 2
    pair = [upright_valve(pen, level, gx + 4 * u, grids) for level in (high, low)]
    for level, valve in zip((high, low), pair, strict=True):
        grid = (gx, level)
        if level == low and port is not None:
            enter(pen, row, x, port, grid, "C")
        else:
            enter(pen, row, x, None, grid, "C")
        pen.wire(grid, valve.at("g1"))
        end = (gx, level + pen.length("R") + 10 * pen.stroke)
        pen.link(grid, end, "R")
        pen.sign("earth", end, (0.0, 1.0))
    coil = _transformer(pen, pair[0].box[2] + pen.column + 3 * u, (high + low) / 2 - 4 * u, 3)
    (ax, ay), (bx, by) = pair[0].at("a"), pair[1].at("a")
    top, tap, bottom = coil.at("L1.1"), coil.at("L1.2"), coil.at("L1.3")
    lane = coil.box[0] - pen.span(2.0, 2.4)
    pen.wire((ax, ay), (ax, ay - 2 * u), (lane, ay - 2 * u), (lane, top[1]), top)
    pen.wire((bx, by), (bx, bottom[1]), bottom) if bottom[1] < by - 2 * u else pen.wire(
        (bx, by), (bx, by - 2 * u), (lane, by - 2 * u), (lane, bottom[1]), bottom
    )
    feed = lane - pen.span(2.0, 2.6)
    pen.wire(tap, (feed, tap[1]), (feed, row.supply))
    (kx, ky), (jx, jy) = pair[0].at("k"), pair[1].at("k")
    column = max(pair[0].box[2], pair[1].box[2]) + pen.span(2.0, 2.6)
    node = (column, jy + 2.4 * u)
    pen.wire((jx, jy), (jx, node[1]), node)
    pen.attempt(pen.wire, (kx, ky), (kx, ky + 2 * u), (column, ky + 2 * u), node)
    foot(pen, row, node, "R")
    return _speaker(pen, coil) + 2 * u, None

"""The tuned stages of a receiver, from aerial to detector, one function each (common practice)."""

from __future__ import annotations

from tracer.training.layout.stages_electrodes import cathode_bias, screen_feed, upright_valve
from tracer.training.layout.stages_meet import Blocked
from tracer.training.layout.stages_pen import Pen, Place
from tracer.training.layout.stages_row import Row, enter, foot, volts

__all__ = ["aerial_coils", "detector", "frequency_changer", "if_amplifier", "if_can"]


def if_can(pen: Pen, row: Row, x: float, port: Place | None) -> tuple[float, Place | None]:
    """Two tuned windings with their capacitors in a dashed screen, between supply and bias line."""
    u, close = pen.u, pen.manner.close
    if port is None:
        raise Blocked
    left = x + 3.5 * u + pen.breadth("C")
    beside = pen.breadth("L") + pen.breadth("CV", "C") + 4 * pen.stroke
    coil = left + beside
    second = coil + 2 * pen.breadth("L") + pen.span(1.4, 2.6)
    outer = second + beside
    low = port[1]
    top = low - pen.length("L") - 9 * pen.stroke
    if top < row.supply + 2.2 * u:
        low += row.supply + 2.2 * u - top
        top = row.supply + 2.2 * u
    kind = "CV" if pen.chance(0.4) else "C"
    pen.link((coil, top), (coil, low), "L", mirror=False)
    pen.link((second, top), (second, low), "L", mirror=True)
    for column, inner in ((left, coil), (outer, second)):
        pen.wire((inner, top), (column, top))
        pen.wire((inner, low), (column, low))
        pen.link((column, top), (column, low), kind)
    pen.wire(port, (left - 2 * u, port[1]), (left - 2 * u, low), (left, low)) if low > port[
        1
    ] + u else pen.wire(port, (left, low))
    pen.wire((coil, top), (coil, row.supply))
    x0, y0, x1, y1 = left - 2.6 * u, top - 1.2 * u, outer + 2.6 * u, low + 1.2 * u
    pen.dashed((x0, y0), (x1, y0), (x1, y1), (x0, y1), (x0, y0))
    tap = (second, low + pen.span(2.5, 3.5))
    pen.wire((second, low), tap)
    if pen.chance(0.7):
        pen.wire(tap, (second, row.bias))
        row.bias_feet.append(second)
    else:
        foot(pen, row, tap, "R")
    out = (outer, top)
    after = (outer + 5 * u * close, top)
    pen.wire(out, after)
    return after[0] + u, after


def if_amplifier(pen: Pen, row: Row, x: float, port: Place | None) -> tuple[float, Place | None]:
    """A pentode fed straight from the winding before it."""
    return _tuned(pen, row, x, port, 3)


def frequency_changer(pen: Pen, row: Row, x: float, port: Place | None) -> tuple[float, Place | None]:
    """A valve of many grids with its oscillator coil below."""
    return _tuned(pen, row, x, port, int(pen.rng.choice([4, 5])))


def _tuned(pen: Pen, row: Row, x: float, port: Place | None, grids: int) -> tuple[float, Place | None]:
    u, close = pen.u, pen.manner.close
    grid = (x + 3.0 * u, row.low)
    valve = upright_valve(pen, row.low, grid[0] + 3.0 * u * close, grids)
    if port is None:
        enter(pen, row, x, port, grid)
    else:
        pen.wire(port, (grid[0], port[1]), grid)
    pen.wire(grid, valve.at("g1"))
    ax, ay = valve.at("a")
    anode = (ax, min(row.high, ay - 1.6 * u))
    pen.wire((ax, ay), anode)
    volts(pen, anode)
    end = cathode_bias(pen, row, valve)
    right = screen_feed(pen, row, valve, max(valve.box[2], end))
    if grids >= 4:
        gx, gy = valve.at("g3")

        def oscillator() -> None:
            pen.wire((gx, gy), (gx + 3 * u, gy))
            pen.loose((gx + 3 * u, gy), (1.0, 0.0))

        pen.attempt(oscillator)
    return right + 2 * u, anode


def detector(pen: Pen, row: Row, x: float, port: Place | None) -> tuple[float, Place | None]:
    """Diode, its load and filter, and the volume control whose wiper goes on."""
    u = pen.u
    level = row.low - 2 * u if port is None else port[1]
    port = (x, level) if port is None else port
    one = (x + pen.length("D") + pen.column / 2 + 7 * pen.stroke, level)
    two = (one[0] + pen.step, level)
    pen.link(port, one, "D")
    pen.link(one, two, "R")
    for at in (one, two):
        pen.attempt(_drop, pen, row, at, "C")
    top = (two[0] + pen.column + 1.5 * u, level)
    pen.wire(two, top)
    track = (top[0], level + pen.span(10, 12))
    (pot,) = pen.link(top, track, "P", zigzag=True, below=False)
    foot(pen, row, track)
    wiper = pot.leads[1]
    out = (wiper.x + 3 * u, wiper.y)
    pen.wire((wiper.x, wiper.y), out)
    return out[0] + u, out


def _drop(pen: Pen, row: Row, at: Place, kind: str) -> None:
    end = (at[0], at[1] + pen.length(kind) + 11 * pen.stroke)
    pen.link(at, end, kind)
    pen.sign("earth", end, (0.0, 1.0))


def _aerial(pen: Pen, start: Place) -> None:
    tip = (start[0], start[1] - pen.span(5.5, 7))
    pen.put("other.aerial", *tip, named=False)
    pen.link(tip, start, *(["C"] if pen.chance(0.5) else []))


def aerial_coils(pen: Pen, row: Row, x: float, port: Place | None) -> tuple[float, Place | None]:
    """Aerial, wave-change contacts, a coil for each range with its trimmer."""
    u, close = pen.u, pen.manner.close
    ranges = int(pen.rng.integers(2, 5))
    pitch = pen.column + 5 * u + (close - 0.95) * 4 * u
    top = row.low
    start = (x + 3 * u, top)
    if port is None:
        pen.attempt(_aerial, pen, start)
    else:
        pen.wire(port, (start[0], port[1]), start)
    end = (start[0] + ranges * pitch + 3 * u, top)
    pen.wire(start, end)
    if pen.chance(0.5):
        level = top + 0.5 * pen.length("S") + 4 * pen.stroke
        first = start[0] + 0.6 * pitch
        pen.dashed((first - 2 * u, level), (first + (ranges - 1) * pitch + pen.span(1, 3), level))
    for index in range(ranges):
        at = start[0] + (index + 0.6) * pitch
        base = top + pen.length("S") + 8 * pen.stroke + pen.span(0, 1.5)
        end_y = base + pen.length("L") + 9 * pen.stroke
        pen.link((at, top), (at, base), "S")
        pen.link((at, base), (at, end_y), "L")
        pen.wire((at, end_y), (at, row.earth)) if pen.manner.common_earth else pen.sign(
            "earth", (at, end_y), (0.0, 1.0)
        )
        beside = at + pen.breadth("L") + pen.breadth("CV") + 5 * pen.stroke

        def trimmer(at: float = at, beside: float = beside, base: float = base, end_y: float = end_y) -> None:
            pen.wire((at, base), (beside, base))
            pen.link((beside, base), (beside, end_y), "CV")
            pen.wire((beside, end_y), (at, end_y))

        pen.attempt(trimmer)
    pen.attempt(_drop, pen, row, end, "CV")
    return end[0] + 2 * u, end

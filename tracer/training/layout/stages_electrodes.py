"""A valve as it stands in a row, and what its cathode and its screen grid need."""

from __future__ import annotations

from tracer.training.layout.stages_pen import Pen, Put
from tracer.training.layout.stages_row import Row, foot, head, volts

__all__ = ["cathode_bias", "screen_feed", "upright_valve"]


def upright_valve(pen: Pen, level: float, x: float, grids: int) -> Put:
    """A valve whose first grid lies on `level`, its left edge at `x`."""
    _, made = pen.manner.build("valve.envelope", pen.rng, grids=grids, heater=False, pins={})
    grid = next((t for t in made.terminals if t.name == "g1"), made.terminals[-1])
    unit = pen.u * pen.manner.valve
    put = pen.put("valve.envelope", x - made.extent[0] * unit, level - grid.y * unit, made=made,
                  scale=pen.manner.valve)  # fmt: skip
    pen.pins(put, most=10)
    return put


def cathode_bias(pen: Pen, row: Row, valve: Put) -> float:
    """Bias resistor with its electrolytic beside it; gives the rightmost x."""
    bypass_x = valve.at("k")[0] + pen.column
    kx, ky = valve.at("k")
    node = (kx, ky + pen.span(2.2, 3.2))
    pen.wire((kx, ky), node)
    volts(pen, node, high=False)
    foot(pen, row, node, "R")
    if pen.chance(0.2):
        return kx + pen.column / 2

    def bypass() -> None:
        corner = (bypass_x, node[1])
        pen.wire(node, corner)
        foot(pen, row, corner, "E" if pen.chance(0.7) else "C")

    return bypass_x + pen.column / 2 if pen.attempt(bypass) else kx + pen.column / 2


def screen_feed(pen: Pen, row: Row, valve: Put, right: float) -> float:
    """The screen grid's dropper and decoupling."""
    u = pen.u
    node = (right + max(2.4 * u, pen.column / 2), valve.at("g2")[1])

    def dropper() -> None:
        pen.wire(valve.at("g2"), node)
        head(pen, row, node, "R", lean=0.7)

    def decouple() -> None:
        pen.attempt(foot, pen, row, node, "C") or pen.link(node, (node[0], node[1] + 8 * u), "C")

    if pen.attempt(dropper):
        volts(pen, node)
        pen.attempt(decouple)
        return node[0] + pen.column / 2
    return right

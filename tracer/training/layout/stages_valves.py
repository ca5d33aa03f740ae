"""Valve stages as receivers and amplifiers have them, one function each (common practice)."""

from __future__ import annotations

from tracer.training.layout.stages_electrodes import cathode_bias, screen_feed, upright_valve
from tracer.training.layout.stages_output import push_pull, single_ended
from tracer.training.layout.stages_pen import Pen, Place
from tracer.training.layout.stages_row import Row, Stage, enter, foot, head, volts
from tracer.training.layout.stages_tuned import (
    aerial_coils,
    detector,
    frequency_changer,
    if_amplifier,
    if_can,
)

__all__ = ["AMPLIFIER", "RECEIVER", "tone_network", "voltage_amplifier"]


def _leak(pen: Pen, row: Row, at: Place) -> None:
    """A grid's way down: to earth, or to the bias line that runs the length of the row."""
    if (row.bias_feet and pen.chance(0.8)) or pen.chance(0.35):
        pen.link(at, (at[0], row.bias), "R")
        row.bias_feet.append(at[0])
    else:
        foot(pen, row, at, "R")


def voltage_amplifier(
    pen: Pen, row: Row, x: float, port: Place | None, *, grids: int | None = None, coupling: str = "C"
) -> tuple[float, Place | None]:
    """Coupling capacitor, grid leak, triode or pentode, loads, cathode bias; out at the anode."""
    close, u = pen.manner.close, pen.u
    grids = int(pen.rng.choice([1, 1, 3, 2])) if grids is None else grids
    grid = (x + pen.length("C") + 9 * pen.stroke + pen.column / 2, row.low)
    stopper = pen.chance(0.25)
    valve = upright_valve(pen, row.low, grid[0] + (pen.step if stopper else 3.0 * u * close), grids)
    enter(pen, row, x, port, grid, *([coupling] if coupling else []))
    pen.link(grid, valve.at("g1"), *(["R"] if stopper else []))
    _leak(pen, row, grid)
    ax, ay = valve.at("a")
    anode = (ax, min(row.high, ay - 1.6 * u))
    pen.wire((ax, ay), anode)
    volts(pen, anode)
    head(pen, row, anode, "R" if pen.chance(0.85) else "L")
    end = cathode_bias(pen, row, valve)
    right = max(valve.box[2], end)
    if grids >= 2:
        right = screen_feed(pen, row, valve, right)
    return max(right, valve.box[2]) + 1 * u, anode


def tone_network(pen: Pen, row: Row, x: float, port: Place | None) -> tuple[float, Place | None]:
    """Resistors in line with capacitors to earth, and a control across."""
    u = pen.u
    level = row.low if port is None else port[1]
    port = (x, level) if port is None else port
    here = port
    for index in range(int(pen.rng.integers(1, 4))):
        there = (here[0] + pen.step, level)
        pen.link(here, there, "R" if pen.chance(0.7) else "C")
        kinds = ["C"] if pen.chance(0.5) else ["R", "C"]
        if index == 0 or pen.chance(0.7):
            pen.attempt(foot, pen, row, there, *kinds)
        here = there
    after = (here[0] + 3 * u, level)
    pen.wire(here, after)
    return after[0] + u, after


RECEIVER: tuple[Stage, ...] = (
    aerial_coils, frequency_changer, if_can, if_amplifier, if_can, detector, voltage_amplifier, single_ended,
)  # fmt: skip
AMPLIFIER: tuple[Stage, ...] = (
    voltage_amplifier, voltage_amplifier, tone_network, voltage_amplifier, push_pull, voltage_amplifier,
    detector, voltage_amplifier, single_ended,
)  # fmt: skip

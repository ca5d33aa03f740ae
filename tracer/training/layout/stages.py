"""Sheets laid out as service sheets are: rows of stages, supplies, panels."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import Final

import numpy as np

from tracer.training.layout.stages_grid import blob_rows, dot_grid, jack_row, key_row
from tracer.training.layout.stages_hifi import ladder_filter, two_channels
from tracer.training.layout.stages_letter import ink
from tracer.training.layout.stages_manner import random_manner
from tracer.training.layout.stages_marks import add_marks
from tracer.training.layout.stages_oddments import connector, oddment
from tracer.training.layout.stages_page import add_notes, draw_corners, reserve_corners
from tracer.training.layout.stages_panel import bus_panel, switch_ladder
from tracer.training.layout.stages_pen import Pen
from tracer.training.layout.stages_power import heater_chain, power_supply
from tracer.training.layout.stages_routes import fill_gaps, long_wires, settle_loose
from tracer.training.layout.stages_row import Row, Stage, fill_row
from tracer.training.layout.stages_slants import crook_lettering, line_eyes, slant_wires
from tracer.training.layout.stages_solid import OPAMPS, TRANSISTORS
from tracer.training.layout.stages_tuner import TUNER, band_contacts
from tracer.training.layout.stages_valves import AMPLIFIER, RECEIVER
from tracer.training.sheet import SheetDrawing, SheetStyle

__all__ = ["LAYOUTS", "choose_layout", "draw_stages", "stages_style"]

_Band = Callable[[Pen, float], float]


def _row(pen: Pen, top: float, *, bias: bool) -> Row:
    u, close = pen.u, pen.manner.close
    supply = top + 2 * u
    high = supply + 12.0 * u * close
    low = high + pen.span(5.5, 7.5)
    bias_at = low + 12.5 * u * close
    earth = low + (21.0 if bias else 17.0) * u * close
    left, right = pen.limits(top, earth)
    left, right = left + pen.span(5, 9), right - 4 * u
    return Row(supply, high, low, bias_at, earth, left, right, left, [])


def _valves(pen: Pen, top: float) -> float:
    row = _row(pen, top, bias=True)
    names = RECEIVER if pen.chance(0.6) else AMPLIFIER
    start = int(pen.rng.integers(0, len(names)))

    def choose(number: int) -> Stage:
        return oddment if pen.chance(0.15) else names[(start + number) % len(names)]

    fill_row(pen, row, choose)
    return row.earth + 6 * pen.u


def _solid(pen: Pen, top: float) -> float:
    stages = OPAMPS if pen.chance(0.7) else TRANSISTORS
    row = _row(pen, top, bias=False)
    if pen.chance(0.6 if stages is OPAMPS else 0.3):
        level = top + pen.span(14, 17)
        row = replace(
            row,
            supply=level,
            high=level - pen.span(4, 6),
            low=level,
            earth=level + pen.span(14, 17),
            rails=False,
        )
    order = pen.rng.permutation(len(stages) * 3) % len(stages)

    def choose(number: int) -> Stage:
        if pen.chance(0.06):
            return ladder_filter
        return oddment if pen.chance(0.15) else stages[int(order[number % len(order)])]

    fill_row(pen, row, choose)
    return row.earth + 3 * pen.u


def _tuner(pen: Pen, top: float) -> float:
    row = _row(pen, top, bias=pen.chance(0.4))
    start = int(pen.rng.integers(0, len(TUNER)))

    def choose(number: int) -> Stage:
        return oddment if pen.chance(0.1) else TUNER[(start + number) % len(TUNER)]

    fill_row(pen, row, choose)
    return row.earth + 4 * pen.u


LAYOUTS: Final[dict[str, tuple[_Band, ...]]] = {
    "valves": (_valves, _valves, _valves, power_supply, heater_chain, switch_ladder),
    "solid": (_solid, _solid, _solid, _solid, power_supply, switch_ladder),
    "panel": (bus_panel, bus_panel, _solid, switch_ladder),
    "tuner": (_tuner, _tuner, _tuner, band_contacts, _valves),
    "hifi": (two_channels, two_channels, _solid, power_supply),
    "patch": (dot_grid, blob_rows, jack_row, key_row, _solid, bus_panel),
    "power": (power_supply, power_supply, _solid, _valves, heater_chain),
}


_ONCE: Final = (switch_ladder, heater_chain, band_contacts, dot_grid, blob_rows)  # never twice in a row


def choose_layout(rng: np.random.Generator) -> str:
    """``"motifs"`` half of the time, else one of `LAYOUTS`, panels twice as often as others."""
    return "motifs" if rng.random() < 0.5 else str(rng.choice([*sorted(LAYOUTS), "panel"]))


def stages_style(style: SheetStyle, rng: np.random.Generator) -> SheetStyle:
    """`style` with parts and lettering as small as they are on service sheets, beside the stroke."""
    unit = float(rng.uniform(1.8, 3.6))
    height = float(np.clip(unit * rng.uniform(1.3, 2.6), 3.0, 9.0))
    return replace(style, unit=style.stroke * unit, text_height=max(9.0, style.stroke * height))


def draw_stages(drawing: SheetDrawing, layout: str, rng: np.random.Generator, freehand: bool = False) -> None:
    """Draw the layout named `layout`."""
    pen = Pen(drawing, random_manner(rng, freehand), rng)
    corners = reserve_corners(pen)
    top = pen.manner.margin + pen.span(2, 8)
    bands = LAYOUTS[layout]
    last: _Band | None = None
    while top < drawing.height - 30 * pen.u:
        band = bands[int(rng.integers(0, len(bands)))]
        if band is last and band in _ONCE:
            continue
        top, last = band(pen, top), band
    for _ in range(int(rng.choice([0, 0, 1, 2]))):
        connector(pen)
    settle_loose(pen)
    long_wires(pen, int(rng.choice([2, 6, 10, 16, 24])))
    slant_wires(pen, int(rng.choice([0, 1, 3, 8])))
    fill_gaps(pen, 120)
    slant_wires(pen, int(rng.choice([0, 0, 2, 6])))
    line_eyes(pen, float(rng.choice([0.0, 0.0, 0.02, 0.08])))
    crook_lettering(pen, float(rng.choice([0.0, 0.1, 0.3])))
    if rng.random() < 0.2:
        pen.flip()
    if layout == "panel" and drawing.width == drawing.height and rng.random() < 0.25:
        pen.transpose()
    add_marks(pen)
    add_notes(pen)
    draw_corners(pen, corners)
    ink(pen)

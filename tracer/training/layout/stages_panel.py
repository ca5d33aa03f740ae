"""Panels: buses of long lines with rows of integrated circuits, controls, packs and connectors on them."""

from __future__ import annotations

from itertools import pairwise
from typing import Final

import numpy as np

from tracer.training.layout.stages_chips import circuits
from tracer.training.layout.stages_pen import Pen, Place
from tracer.training.layout.stages_row import supply
from tracer.training.strokes import Points

__all__ = ["bus_panel", "switch_ladder"]

_UP: Final = (0.0, -1.0)
_DOWN: Final = (0.0, 1.0)
_LEFT: Final = (-1.0, 0.0)
_RIGHT: Final = (1.0, 0.0)


def bus_panel(pen: Pen, top: float) -> float:
    """Lines from connector to connector, circuits above and below them; gives the lowest y."""
    u, stroke = pen.u, pen.stroke
    count = int(pen.rng.choice([3, 4, 5, 6, 7, 8, 9, 10, 12]))
    pitch = max(float(pen.rng.uniform(4.5, 7.0)), pen.reach + 2.9) * stroke
    above = pen.chance(0.8)
    first = top + (pen.span(34, 38) if above else pen.span(6, 9))
    levels = [first + index * pitch for index in range(count)]
    lines = _lines(pen, levels)
    if not lines:
        return top + 5 * u
    bottom = levels[-1]
    if above:
        circuits(pen, lines, first - pen.span(13, 15), up=True)
    below = pen.chance(0.8) and bottom + 40 * u < pen.drawing.height
    if below:
        circuits(pen, lines, bottom + pen.span(13, 15), up=False)
    _taps(pen, lines, levels)
    return bottom + (pen.span(34, 38) if below else pen.span(8, 10))


def _lines(pen: Pen, levels: list[float]) -> list[tuple[float, float, float]]:
    """The lines with their rings, fanned out at the ends; (start, end, level) of each straight stretch."""
    left, right = pen.limits(levels[0] - 3 * pen.u, levels[-1] + 3 * pen.u)
    left, right = left + pen.span(6, 9), right - pen.span(6, 9)
    wide = max(1.5 * pen.high, levels[1] - levels[0]) if pen.chance(0.7) else levels[1] - levels[0]
    middle, letter = (levels[0] + levels[-1]) / 2, str(pen.rng.choice(["A", "B", "D", "SW", "K", ""]))
    fan = min(pen.span(5, 12), (right - left) / 5)
    if right - left < 12 * pen.u:
        return []
    lines = []
    broken, tall = pen.chance(0.3), (len(levels) - 1) * wide / 2
    curve = _break_curve(pen, middle - tall, middle + tall)
    for index, level in enumerate(levels):
        ring = middle + (index - (len(levels) - 1) / 2) * wide
        stagger = abs(index - (len(levels) - 1) / 2) * 0.5 * wide
        start, end = left + fan + pen.span(0, 1), right - fan - pen.span(0, 1)
        aside = float(np.interp(ring, curve[:, 1], curve[:, 0])) if broken else 0.0
        off = float(pen.rng.uniform(-0.3, 1.2)) * pen.stroke if broken else 0.0
        path = [
            (left + aside + off, ring),
            (start - fan * 0.6 + stagger * 0.1, ring),
            (start, level),
            (end, level),
        ]
        if pen.chance(0.8):
            path += [(end + fan * 0.6, ring), (right + aside - off, ring)]

        def draw(path: list[Place] = path, index: int = index) -> None:
            pen.wire(*path)
            if broken:
                return
            for (x, y), way in ((path[0], _LEFT), (path[-1], _RIGHT)):
                name = (
                    f"{letter}{index}"
                    if letter
                    else str(pen.rng.choice(["+5", "CV", "GND", "CLK", "EN", "-5"]))
                )
                pen.attempt(pen.sign, "label.circle", (x, y), way, text=name)

        if pen.attempt(draw):
            lines.append((start, end, level))
    if broken and lines:
        for x in (left, right):
            pen.plan.whole.append(tuple((x + float(a), float(b)) for a, b in curve))
    return lines


def _break_curve(pen: Pen, top: float, bottom: float) -> Points:
    """The wavy line, (n, 2) with its middle at x = 0, where a ribbon of wires is broken off."""
    run = np.linspace(0.0, 1.0, 25)
    over = float(pen.rng.uniform(0.6, 2.0)) * pen.u
    turns = float(pen.rng.choice([0.5, 0.5, 1.0, 1.5]))
    bow = float(pen.rng.uniform(0.4, 1.6)) * pen.u * float(pen.rng.choice([-1.0, 1.0]))
    return np.stack([bow * np.sin(2 * np.pi * turns * run), top - over + run * (bottom - top + 2 * over)], 1)


def _taps(pen: Pen, lines: list[tuple[float, float, float]], levels: list[float]) -> None:
    """Wires that leave the bus for an off-sheet sign."""
    for _ in range(int(pen.rng.integers(1, 7))):
        start, end, level = lines[int(pen.rng.integers(0, len(lines)))]
        x = float(pen.rng.uniform(start, end))
        up = pen.chance(0.5)
        tip = (x, levels[0] - pen.span(3, 9) if up else levels[-1] + pen.span(3, 9))

        def draw(x: float = x, level: float = level, tip: Place = tip) -> None:
            pen.wire((x, level), tip)
            if pen.chance(0.5):
                out = (x + pen.span(3, 6), tip[1])
                pen.wire(tip, out)
                pen.sign(
                    "label.arrow",
                    out,
                    _RIGHT,
                    text=str(pen.rng.choice(["RP3/2", "EN", "A1", "CLK", "TO IC4"])),
                )
            else:
                pen.loose(tip, _UP if tip[1] < level else _DOWN)

        pen.attempt(draw)


def switch_ladder(pen: Pen, top: float) -> float:
    """Rotary wafers with a resistor or capacitor on each way, and ladders of contacts; gives the lowest y."""
    left, right = pen.limits(top, top + 24 * pen.u)
    x, bottom = left + pen.span(8, 11), top + 10 * pen.u
    while x < right - 25 * pen.u:
        found: list[tuple[float, float]] = []

        def draw(x: float = x, found: list[tuple[float, float]] = found) -> None:
            found.append(_wafer(pen, x, top))

        if pen.attempt(draw):
            x, bottom = found[0][0] + pen.span(3, 8), max(bottom, found[0][1])
        else:
            x += 6 * pen.u
    return bottom + pen.span(4, 6)


def _wafer(pen: Pen, x: float, top: float) -> tuple[float, float]:
    u, rng = pen.u, pen.rng
    ways = int(rng.integers(3, 8))
    series = pen.chance(0.3)
    pitch = (2 * pen.breadth("R", "C") + 3.4 * pen.stroke) / u
    if series:
        pitch, ways = (pen.length("R") + 8 * pen.stroke) / u, min(ways, 4)
    name, made = pen.manner.build("contact.wafer", rng, ways=ways, pitch=pitch, hand=int(rng.integers(0, 3)))
    part = pen.put(name, x - made.extent[0] * u, top + 4 * u - made.extent[1] * u, made=made)
    common = part.leads[0]
    tip = (common.x - pen.span(2, 4), common.y)
    pen.wire((common.x, common.y), tip)
    pen.loose(tip, _LEFT)
    end = part.box[2] + pen.step + pen.u
    feet: list[float] = []
    for lead in part.leads[1:]:
        kinds = [["R"], ["R"], ["C"], ["C"], ["CV"], ["L"], []][int(rng.integers(0, 7))] if not series else []

        def draw(lead_x: float = lead.x, y: float = lead.y, kinds: list[str] = kinds) -> None:
            pen.link((lead_x, y), (end, y), *kinds)

        if pen.attempt(draw):
            feet.append(lead.y)
    for one, other in pairwise(feet):
        kinds = ["R"] if series else []
        pen.attempt(pen.link, (end, one), (end, other), *kinds)
    if feet:
        pen.attempt(supply, pen, (end, feet[-1]), _DOWN, *(["R"] if pen.chance(0.5) else []))
        out = (end + pen.span(3, 6), feet[0])
        pen.attempt(pen.wire, (end, feet[0]), out)
        pen.loose(out, _RIGHT)
    return end + 7 * u, part.box[3] + 12 * u

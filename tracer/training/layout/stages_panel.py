"""Panels: buses of long lines with rows of integrated circuits, controls, packs and connectors on them."""

from __future__ import annotations

from itertools import pairwise
from typing import Final

from tracer.training.layout.stages_meet import Blocked
from tracer.training.layout.stages_pen import Pen, Place, Put
from tracer.training.layout.stages_row import supply

__all__ = ["bus_panel", "switch_ladder"]

_UP: Final = (0.0, -1.0)
_DOWN: Final = (0.0, 1.0)
_LEFT: Final = (-1.0, 0.0)
_RIGHT: Final = (1.0, 0.0)
_TURNED: Final = (
    "TUNE", "PITCH", "GLIDE", "ATTACK", "DECAY", "LEVEL", "RATE", "MOD", "BEND", "WAVE 1", "BASS", "TREBLE",
    "MIX", "VOLUME", "TONE", "NOISE", "SHAPE", "DEPTH", "FILTER", "GATE", "STEP", "RESET", "STORE", "HOLD",
)  # fmt: skip


def bus_panel(pen: Pen, top: float) -> float:
    """Lines from connector to connector, circuits above and below them; gives the lowest y."""
    u, stroke = pen.u, pen.stroke
    count = int(pen.rng.integers(3, 9))
    pitch = max(float(pen.rng.uniform(4.5, 7.0)), pen.reach + 2.9) * stroke
    above = pen.chance(0.8)
    first = top + (pen.span(34, 38) if above else pen.span(6, 9))
    levels = [first + index * pitch for index in range(count)]
    lines = _lines(pen, levels)
    if not lines:
        return top + 5 * u
    bottom = levels[-1]
    if above:
        _circuits(pen, lines, first - pen.span(13, 15), up=True)
    below = pen.chance(0.8) and bottom + 40 * u < pen.drawing.height
    if below:
        _circuits(pen, lines, bottom + pen.span(13, 15), up=False)
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
    for index, level in enumerate(levels):
        ring = middle + (index - (len(levels) - 1) / 2) * wide
        stagger = abs(index - (len(levels) - 1) / 2) * 0.5 * wide
        start, end = left + fan + pen.span(0, 1), right - fan - pen.span(0, 1)
        path = [(left, ring), (start - fan * 0.6 + stagger * 0.1, ring), (start, level), (end, level)]
        if pen.chance(0.8):
            path += [(end + fan * 0.6, ring), (right, ring)]

        def draw(path: list[Place] = path, index: int = index) -> None:
            pen.wire(*path)
            for (x, y), way in ((path[0], _LEFT), (path[-1], _RIGHT)):
                name = (
                    f"{letter}{index}"
                    if letter
                    else str(pen.rng.choice(["+5", "CV", "GND", "CLK", "EN", "-5"]))
                )
                pen.attempt(pen.sign, "label.circle", (x, y), way, text=name)

        if pen.attempt(draw):
            lines.append((start, end, level))
    return lines


def _circuits(pen: Pen, lines: list[tuple[float, float, float]], y: float, *, up: bool) -> None:
    """A row of integrated circuits beside the bus, each pin led to one of its lines."""
    u = pen.u
    x, end = lines[0][0] + 3 * u, lines[0][1]
    while x < end - 14 * u:
        far = [x]

        def draw(x: float = x, far: list[float] = far) -> None:
            far[0] = _circuit(pen, lines, x, y, end, up=up)

        x = far[0] + pen.span(5, 9) if pen.attempt(draw) and far[0] > x else x + 6 * u


def _circuit(
    pen: Pen, lines: list[tuple[float, float, float]], x: float, y: float, end: float, *, up: bool
) -> float:
    """One integrated circuit; gives its right edge."""
    u, rng = pen.u, pen.rng
    near, away = int(rng.integers(2, 9)), int(rng.integers(2, 9))
    pitch = max(5.0 * pen.stroke / u, float(rng.uniform(2.4, 3.2)))
    kind = int(rng.integers(0, 7))
    broadest = {0: "P", 1: "R", 2: "S", 4: "R", 5: "D", 6: "C"}.get(kind)
    if broadest is not None:
        pitch = max(pitch, (2 * pen.breadth(broadest) + 4.0 * pen.stroke) / u)
    sides = (int(rng.integers(0, 3)), int(rng.integers(0, 3)), *((away, near) if up else (near, away)))
    name, made = pen.manner.build("block.box", rng, sides=sides, pitch=pitch, hand=int(rng.integers(0, 4)))
    middle = x - made.extent[0] * u
    if middle + made.extent[2] * u > end - 3 * u:
        raise Blocked
    part = pen.put(name, middle, y, made=made)
    for lead in part.leads:
        at = (lead.x, lead.y)
        if abs(lead.dx) > 0.5:
            side = (lead.x + lead.dx * pen.span(1.8, 2.6), lead.y)
            pen.attempt(supply, pen, at, _UP if pen.chance(0.5) else _DOWN, via=side)
        elif (lead.dy > 0) == up:
            _to_bus(pen, at, lines, up=up)
    outer = [lead for lead in part.leads if abs(lead.dy) > 0.5 and (lead.dy > 0) != up]
    if outer:
        _outer_row(pen, part, [(lead.x, lead.y) for lead in outer], kind, up=up)
    return part.box[2]


def _to_bus(pen: Pen, at: Place, lines: list[tuple[float, float, float]], *, up: bool) -> None:
    """Lead a pin to a line of the bus, passing those before it."""
    order = pen.rng.permutation(len(lines))
    for index in order[:3]:
        start, end, level = lines[int(index)]
        if start < at[0] < end and pen.attempt(pen.wire, at, (at[0], level)):
            return
    pen.loose(at, _DOWN if up else _UP)


def _outer_row(pen: Pen, part: Put, pins: list[Place], kind: int, *, up: bool) -> None:
    """What stands on the pins away from the bus: controls, pull-up resistors, contacts, or names."""
    u, sign = pen.u, -1.0 if up else 1.0
    rows: dict[int, tuple[str, ...]] = {0: ("P",), 1: ("R",), 2: ("S",), 4: ("R", "S"), 5: ("D",), 6: ("C",)}
    parts = rows.get(kind)
    if parts is None:
        for at in pins:
            tip = (at[0], at[1] + sign * pen.span(1.8, 3.5))
            pen.attempt(pen.wire, at, tip)
            if pen.chance(0.5):
                way = (0.0, sign)
                pen.attempt(pen.sign, "label.arrow", tip, way)
            pen.label(tip[0], tip[1], str(pen.rng.choice(_TURNED)), 0.0, 1.6 * sign, size=0.8, angle=-90.0)
        return
    near = pins[0][1] + sign * 2.0 * u
    far = near + sign * sum(pen.length(each) + 7.5 * pen.stroke for each in parts)
    wired: list[float] = []
    for at in pins:

        def draw(at: Place = at) -> None:
            if parts == ("P",):
                low, high = (at[0] - 0.0, near), (at[0], far)
                pen.wire(at, low)
                pen.link(low, high, "P", zigzag=True, below=True, hand=7)
            else:
                pen.link(at, (at[0], far), *parts)

        if pen.attempt(draw):
            wired.append(at[0])
            if pen.chance(0.5):
                pen.label(
                    at[0],
                    far + sign * 0.5 * u,
                    str(pen.rng.choice(_TURNED)),
                    0.0,
                    sign,
                    size=0.75,
                    angle=-90.0,
                )
    if len(wired) > 1:
        edge = max(wired) + pen.span(2, 3.5)
        if pen.attempt(pen.wire, (min(wired), far), (edge, far)):
            pen.attempt(supply, pen, (edge, far), _UP if pen.chance(0.6) else _DOWN)


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

"""A row of integrated circuits beside a bus, with what hangs on their other pins (common practice)."""

from __future__ import annotations

from typing import Final

import numpy as np

from tracer.training.layout.stages_meet import Blocked
from tracer.training.layout.stages_pen import Pen, Place, Put
from tracer.training.layout.stages_row import supply

__all__ = ["circuits"]

_UP: Final = (0.0, -1.0)
_DOWN: Final = (0.0, 1.0)
_TURNED: Final = (
    "TUNE", "PITCH", "GLIDE", "ATTACK", "DECAY", "LEVEL", "RATE", "MOD", "BEND", "WAVE 1", "BASS", "TREBLE",
    "MIX", "VOLUME", "TONE", "NOISE", "SHAPE", "DEPTH", "FILTER", "GATE", "STEP", "RESET", "STORE", "HOLD",
)  # fmt: skip


def circuits(pen: Pen, lines: list[tuple[float, float, float]], y: float, *, up: bool) -> None:
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
    kind = int(rng.integers(0, 8))
    broadest = {0: "P", 1: "R", 2: "S", 4: "R", 5: "D", 6: "C", 7: "P"}.get(kind)
    if broadest is not None:
        pitch = max(pitch, (2 * pen.breadth(broadest) + (4.0 + 4.5 * (kind == 7)) * pen.stroke) / u)
    size = float(np.clip(0.8 * pen.high / u, 1.0, 1.9))  # the names inside as large as the lettering
    sides = (int(rng.integers(0, 3)), int(rng.integers(0, 3)), *((away, near) if up else (near, away)))
    if pen.manner.boxes == "block.drawn":
        pitch *= float(rng.uniform(1.0, 1.6))
    name, made = pen.manner.build(
        pen.manner.boxes, rng, sides=sides, pitch=pitch / size, hand=int(rng.integers(0, 4))
    )
    middle = x - made.extent[0] * u * size
    if middle + made.extent[2] * u * size > end - 3 * u:
        raise Blocked
    part = pen.put(name, middle, y, made=made, scale=size)
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
    if kind == 7:
        _wiper_row(pen, pins, up=up)
        return
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
                pen.link(at, (at[0], far), *parts, lean=0.7 if len(parts) == 1 else 0.5)

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
    if parts == ("R",) and len(wired) > 2 and pen.chance(0.5):
        _pack(pen, wired, near, far, sign)
    if len(wired) > 1:
        edge = max(wired) + pen.span(2, 3.5)
        if pen.attempt(pen.wire, (min(wired), far), (edge, far)):
            pen.attempt(supply, pen, (edge, far), _UP if pen.chance(0.6) else _DOWN)


def _pack(pen: Pen, xs: list[float], near: float, far: float, sign: float) -> None:
    """The outline of a pack round a row of resistors, which their leads pass; whole, or dashed."""
    aside, low, high = 5.0 * pen.stroke, near + sign * 1.2 * pen.u, far + sign * 5.0 * pen.stroke
    x0, x1 = min(xs) - aside, max(xs) + aside
    path = ((x0, low), (x1, low), (x1, high), (x0, high), (x0, low))
    whole = pen.drawing.style.crossing == "plain" and pen.chance(0.8)
    if not (whole and pen.attempt(pen.wire, *path)):
        pen.dashed(*path)


def _wiper_row(pen: Pen, pins: list[Place], *, up: bool) -> None:
    """Controls between two rails, each pin brought past the nearer rail to a wiper."""
    u, sign = pen.u, -1.0 if up else 1.0
    near = pins[0][1] + sign * 2.4 * u
    far = near + sign * (pen.length("P") + 9.0 * pen.stroke)
    top, bottom = min(near, far), max(near, far)
    found: list[float] = []
    for at in pins:

        def draw(at: Place = at, found: list[float] = found) -> None:
            _, made = pen.manner.build("P", pen.rng, zigzag=True, below=False, hand=7)
            reach = max(abs(t.y) for t in made.terminals) * u + 4.5 * pen.stroke
            (pot,) = pen.link(
                (at[0] - reach, top), (at[0] - reach, bottom), "P", zigzag=True, below=False, hand=7
            )
            wiper = pot.leads[1]
            pen.wire(at, (at[0], wiper.y), (wiper.x, wiper.y))
            found.append(at[0] - reach)

        if pen.attempt(draw):
            label = str(pen.rng.choice(_TURNED))
            pen.label(found[-1], far + sign * 0.5 * u, label, 0.0, sign, size=0.75, angle=-90.0)
    if len(found) < 2:
        return
    for level, way in ((near, _DOWN), (far, _UP)):
        edge = found[-1] + pen.span(4, 7)
        if pen.attempt(pen.wire, (found[0], level), (edge, level)):
            pen.attempt(supply, pen, (edge, level), way)

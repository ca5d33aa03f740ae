"""Parts that lie at a slope: bridges on a diamond, rings of diodes, deltas, stars, slanting arms."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from tracer.training.layout.board import Board, Place
from tracer.training.strokes import Points
from tracer.training.symbols import build
from tracer.training.symbols.symbol import Symbol
from tracer.training.truth import DrawnPart, PartTerminal

__all__ = ["Side", "place_diamond", "place_sides", "slopes"]

_ARMS = (
    "capacitor.plates",
    "capacitor.variable",
    "coil.plain",
    "pot.preset",
    "pot.rheostat",
    "thermistor.box",
    "lamp.cross",
    "capacitor.electrolytic",
    "crystal.plates",
    "fuse.box",
)
_ACROSS = (
    "meter.ring",
    "meter.ring",
    "meter.scale",
    "capacitor.electrolytic",
    "capacitor.plates",
    "coil.plain",
    "speaker.receiver",
    "battery.cells",
    "lamp.filament",
)


@dataclass(frozen=True, slots=True)
class Side:
    """From corner `start` to corner `end` (their places in a list), through `name`; None is bare wire."""

    start: int
    end: int
    name: str | None


def _fits(made: Symbol) -> bool:
    """Whether a symbol lies along one line: two leads, opposite, at the same height."""
    first, last = made.terminals[0], made.terminals[-1]
    return len(made.terminals) == 2 and first.dx < -0.9 and last.dx > 0.9 and abs(first.y - last.y) < 1e-6


def place_sides(
    board: Board,
    corners: Sequence[Place],
    sides: Sequence[Side],
    *,
    lettered: bool = True,
    shifted: bool = True,
) -> list[DrawnPart]:
    """Draw parts along the lines between `corners`, each with its leads, at whatever slope that is.

    Nothing is checked: the caller has found the room. A part too long for its side becomes bare wire.

    Parameters
    ----------
    corners : sequence of (x, y)
        Page px.
    sides : sequence of Side
        A part's first terminal looks to `start`.
    lettered : bool
        Write references and values beside the parts.
    shifted : bool
        Let parts stand anywhere on their side, not just in its middle.
    """
    unit, rng = board.drawing.style.unit, board.rng
    middle = np.mean(np.array(corners), axis=0)
    parts = []
    for side in sides:
        start, end = np.array(corners[side.start]), np.array(corners[side.end])
        way = end - start
        length = float(np.hypot(*way))
        made = build(side.name, rng) if side.name is not None else None
        if made is None or side.name is None or not _fits(made):
            board.run([(float(start[0]), float(start[1])), (float(end[0]), float(end[1]))], check=False)
            continue
        long = (made.terminals[-1].x - made.terminals[0].x) * unit
        spare = 0.5 * (length - long) - 3.2 * board.cell
        if spare < 0.0:
            board.run([(float(start[0]), float(start[1])), (float(end[0]), float(end[1]))], check=False)
            continue
        at = start + way * (0.5 + float(rng.uniform(-0.7, 0.7)) * spare / length * shifted)
        turn = float(np.rad2deg(np.arctan2(way[1], way[0])))
        foot = made.terminals[0].y * unit  # some leave beside their own middle
        x, y = at + np.array([way[1], -way[0]]) / length * foot
        reference, value = board.name_of(made.kind)
        part = board.drawing.place_symbol(
            made, side.name, float(x), float(y), turn=turn, reference=reference, value=value, text="none"
        )
        first, last = part.terminals[0], part.terminals[-1]
        board.run([(float(start[0]), float(start[1])), (first.x, first.y)], check=False)
        board.run([(last.x, last.y), (float(end[0]), float(end[1]))], check=False)
        if lettered:
            _letter_side(board, part, made, at, way / length, middle)
        parts.append(part)
    return parts


def _letter_side(
    board: Board, part: DrawnPart, made: Symbol, at: Points, way: Points, middle: Points
) -> None:
    """Reference and value beside a sloping part, away from the middle of the figure more often than not."""
    lines = [line for line in (part.reference, part.value) if line]
    if not lines or board.rng.random() < 0.15:
        return
    high = board.drawing.style.text_height
    out = np.array([-way[1], way[0]])
    if (out @ (at - middle) < 0) == (board.rng.random() < 0.94):
        out = -out
    wide, tall = 0.72 * high * max(len(line) for line in lines), 1.35 * high * len(lines)
    _, top, _, bottom = made.extent
    reach = max(-top, bottom) * board.drawing.style.unit + 0.45 * high
    x, y = at + out * (reach + abs(out[0]) * wide / 2 + abs(out[1]) * tall / 2)
    if not board.inside(x - wide / 2, y - tall / 2, x + wide / 2, y + tall / 2):
        return
    for index, line in enumerate(lines):
        board.drawing.text(float(x), float(y) + 1.35 * high * (index - (len(lines) - 1) / 2), line)
    board.take(x - wide / 2, y - tall / 2, x + wide / 2, y + tall / 2)


def _room(board: Board, wide: float, high: float) -> Place | None:
    """The middle of a free box, if one is found soon."""
    for _ in range(8):
        x = float(board.rng.uniform(wide / 2 + 15, max(wide / 2 + 16, board.drawing.width - wide / 2 - 15)))
        y = float(board.rng.uniform(high / 2 + 15, max(high / 2 + 16, board.drawing.height - high / 2 - 15)))
        if board.free(x - wide / 2, y - high / 2, x + wide / 2, y + high / 2):
            return x, y
    return None


def _leads(board: Board, corners: Sequence[Place], outward: Sequence[tuple[float, float]]) -> None:
    """A short lead out of each corner, left loose; and dots by the sheet's habit."""
    unit, rng = board.drawing.style.unit, board.rng
    dotted = bool(rng.random() < board.habits.dots * 0.8)
    for (x, y), (dx, dy) in zip(corners, outward, strict=True):
        if rng.random() < 0.1:
            continue
        reach = float(rng.uniform(1.2, 2.4)) * unit
        tip = (x + dx * reach, y + dy * reach)
        clear = board.meets([(x, y), tip]) is not None
        if (clear or rng.random() < 0.6) and board.run([(x, y), tip], check=False):
            board.loose.append(PartTerminal("", *tip, dx, dy))
        if dotted:
            board.drawing.dot(x, y)


def _arms(board: Board) -> list[Side]:
    """What stands on the four sides: diodes towards one corner or round the ring, resistors, a mixture."""
    rng, habits = board.rng, board.habits
    pick = rng.random()
    if pick < 0.4:
        diode = str(rng.choice([habits.diode, "diode.triangle", "diode.open", "rectifier.metal"]))
        if rng.random() < 0.75:  # corners run top, right, bottom, left; current goes left to right
            return [Side(0, 1, diode), Side(2, 1, diode), Side(3, 0, diode), Side(3, 2, diode)]
        return [Side(index, (index + 1) % 4, diode) for index in range(4)]
    names = [habits.resistor] * 4
    if pick > 0.7:
        names = [str(rng.choice([habits.resistor, habits.capacitor, *_ARMS])) for _ in range(4)]
    sides = [Side(index, (index + 1) % 4, name) for index, name in enumerate(names)]
    pick = rng.random()
    if pick < 0.12:
        return sides[:2]
    if pick < 0.18:
        return [*sides[:3], Side(3, 0, None)]
    return sides


def place_diamond(board: Board) -> None:
    """Four arms on a square stood on its corner, a lead out of each corner, often a part across."""
    unit, rng = board.drawing.style.unit, board.rng
    sides = _arms(board)
    kept = sorted({index for side in sides for index in (side.start, side.end)})
    bridged = len(kept) == 4 and bool(rng.random() < 0.5)
    wide = float(rng.uniform(8.5, 11.5) if bridged else rng.uniform(6.5, 11.0)) * unit
    high = wide * (1.0 if rng.random() < 0.6 else float(rng.uniform(0.8 if bridged else 0.65, 1.5)))
    middle = _room(board, 2 * wide + 5 * unit, 2 * high + 5 * unit)
    if middle is None:
        return
    x, y = middle
    corners = [(x, y - high), (x + wide, y), (x, y + high), (x - wide, y)]
    place_sides(board, corners, sides, shifted=not bridged)
    if bridged:
        level = bool(rng.random() < 0.6)
        across = Side(3, 1, str(rng.choice(_ACROSS))) if level else Side(0, 2, str(rng.choice(_ACROSS)))
        place_sides(board, corners, [across], lettered=wide > 9 * unit and rng.random() < 0.3)
        for corner in (across.start, across.end):  # five arms
            board.drawing.dot(*corners[corner])
    elif rng.random() < 0.2:
        board.drawing.text(x, y, str(rng.choice(["D1-D4", "BRIDGE", "4 x IN", "G.B."])))
    board.take(x - wide, y - high, x + wide, y + high)
    ways = [(0.0, -1.0), (1.0, 0.0), (0.0, 1.0), (-1.0, 0.0)]
    _leads(board, [corners[index] for index in kept], [ways[index] for index in kept])


def _triangle(board: Board) -> None:
    """Three parts on a triangle, or from its corners to the middle."""
    unit, rng = board.drawing.style.unit, board.rng
    wide, high = (float(value) * unit for value in rng.uniform(7.5, 11.0, size=2))
    middle = _room(board, 2 * wide + 5 * unit, 2 * high + 5 * unit)
    if middle is None:
        return
    x, y = middle
    up = float(rng.choice([-1.0, 1.0]))
    corners = [(x, y + up * high), (x + wide, y - up * high * 0.6), (x - wide, y - up * high * 0.6)]
    name = board.habits.coil if rng.random() < 0.4 else board.habits.resistor
    if rng.random() < 0.5:
        place_sides(board, corners, [Side(0, 1, name), Side(1, 2, name), Side(2, 0, name)])
    else:
        place_sides(board, [*corners, (x, y)], [Side(3, index, name) for index in range(3)])
        if rng.random() < 0.6:
            board.drawing.dot(x, y)
    board.take(x - wide, y - high, x + wide, y + high)
    _leads(board, corners, [(0.0, up), (1.0, 0.0), (-1.0, 0.0)])


def _arm(board: Board) -> None:
    """One part on a slanting wire, or two that cross as between the halves of a multivibrator."""
    unit, rng = board.drawing.style.unit, board.rng
    wide, high = (float(value) * unit for value in rng.uniform(4.0, 13.0, size=2))
    middle = _room(board, 2 * wide * 0.5 + 6 * unit, 2 * high * 0.5 + 6 * unit)
    if middle is None:
        return
    x, y = middle
    lean = float(rng.choice([-1.0, 1.0]))
    wide, high = wide / 2, high / 2
    name = str(rng.choice([board.habits.resistor, board.habits.capacitor, board.habits.diode, *_ARMS]))
    corners = [(x - wide, y - lean * high), (x + wide, y + lean * high)]
    place_sides(board, corners, [Side(0, 1, name) if rng.random() < 0.5 else Side(1, 0, name)])
    board.take(x - wide, y - high, x + wide, y + high)
    level = bool(rng.random() < 0.5)
    ways = [(-1.0, 0.0), (1.0, 0.0)] if level else [(0.0, -lean), (0.0, lean)]
    _leads(board, corners, ways)


def slopes(board: Board) -> None:
    """One figure with parts at a slope."""
    pick = board.rng.random()
    if pick < 0.5:
        place_diamond(board)
    elif pick < 0.6:
        _triangle(board)
    else:
        _arm(board)

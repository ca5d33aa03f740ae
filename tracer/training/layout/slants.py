"""Wires that are neither level nor upright, and rows of controls."""

from __future__ import annotations

from tracer.training.layout.board import Board
from tracer.training.truth import PartTerminal

__all__ = ["cross_coupled", "pot_row", "slanted_wire"]


def _corner(board: Board, wide: float, high: float) -> tuple[float, float] | None:
    """The upper left corner of a free box, if one is found soon."""
    for _ in range(6):
        x = (
            float(board.rng.uniform(20, board.drawing.width - wide - 20))
            if board.drawing.width > wide + 41
            else 20.0
        )
        y = (
            float(board.rng.uniform(20, board.drawing.height - high - 20))
            if board.drawing.height > high + 41
            else 20.0
        )
        if board.free(x, y, x + wide, y + high):
            return x, y
    return None


def cross_coupled(board: Board) -> None:
    """Two slanting wires that pass, as between the halves of a bistable pair."""
    unit, rng = board.drawing.style.unit, board.rng
    wide, high = (float(value) * unit for value in rng.uniform(6, 18, size=2))
    corner = _corner(board, wide, high)
    if corner is None:
        return
    x, y = corner
    stub = max(unit * float(rng.uniform(1, 3)), 2.5 * board.cell)
    pairs = [((x, y), (x + wide, y + high)), ((x, y + high), (x + wide, y))]
    for (x0, y0), (x1, y1) in pairs:
        down = 1.0 if y0 < y1 else -1.0
        if board.run([(x0, y0 - down * stub), (x0, y0), (x1, y1), (x1, y1 + down * stub)], mapped=False):
            board.loose.append(PartTerminal("", x0, y0 - down * stub, 0.0, -down))
            board.loose.append(PartTerminal("", x1, y1 + down * stub, 0.0, down))
    board.take(x, y, x + wide, y + high)


def slanted_wire(board: Board) -> None:
    """One wire at any slope, passing a few level or upright ones of its own, ended in rings or left bare."""
    unit, rng = board.drawing.style.unit, board.rng
    wide, high = (float(value) * unit for value in rng.uniform(3, 24, size=2))
    corner = _corner(board, wide, high)
    if corner is None:
        return
    x, y = corner
    ends = [(x, y), (x + wide, y + high)] if rng.random() < 0.5 else [(x, y + high), (x + wide, y)]
    steep = min(wide, high) / max(wide, high)
    bare = min(wide, high) > 14 * board.cell
    if rng.random() < 0.4:
        middle = (x + wide * float(rng.uniform(0.4, 0.6)), y + high / 2)
        laid = board.run([ends[0], middle, ends[1]], mapped=False)
    else:
        laid = board.run(ends, mapped=False)
    if not laid:
        return
    for part in rng.permutation([0.35, 0.65])[: int(rng.integers(0, 3)) if steep > 0.35 and bare else 0]:
        if rng.random() < 0.5:
            board.run([(x, y + part * high), (x + wide, y + part * high)], mapped=False)
        else:
            board.run([(x + part * wide, y), (x + part * wide, y + high)], mapped=False)
    board.take(x, y, x + wide, y + high)
    for tip, way in zip(ends, (-1.0, 1.0), strict=True):
        if rng.random() < 0.4:
            board.put(
                "label.circle", *tip, turn=90.0 if way < 0 else -90.0, loose=False, room=-2.0, text="none"
            )
        else:
            board.loose.append(PartTerminal("", *tip, way, 0.0))


def pot_row(board: Board) -> None:
    """A row of controls between two rails, each wiper brought down past the lower rail."""
    unit, rng = board.drawing.style.unit, board.rng
    count, pitch = int(rng.integers(3, 9)), float(rng.uniform(5.2, 8.5)) * unit
    wide, high = count * pitch + 2 * unit, 22 * unit
    corner = _corner(board, wide, high)
    if corner is None:
        return
    x, top = corner
    top += 4 * unit
    bottom = top + 11 * unit
    if not all(board.run([(x, level), (x + wide, level)], mapped=False) for level in (top, bottom)):
        return
    zigzag = bool(rng.random() < 0.6)
    for index in range(count):
        at = x + (index + 0.8) * pitch
        part = board.put(
            "pot.arrow",
            at,
            (top + bottom) / 2,
            turn=90.0,
            zigzag=zigzag,
            below=True,
            loose=False,
            room=0.3,
            text="none",
        )
        if part is None:
            continue
        first, wiper, last = part.terminals
        if board.run([(first.x, first.y), (first.x, top)], mapped=False):
            board.dot(first.x, top)
        if rng.random() < 0.8 and board.run([(last.x, last.y), (last.x, bottom)], mapped=False):
            board.dot(last.x, bottom)
        foot = bottom + float(rng.uniform(3, 7)) * unit
        turn_x = wiper.x + wiper.dx * max(0.8 * unit, 2.6 * board.cell)
        if board.run([(wiper.x, wiper.y), (turn_x, wiper.y), (turn_x, foot)], mapped=False):
            board.loose.append(PartTerminal("", turn_x, foot, 0.0, 1.0))
        if rng.random() < 0.7:
            height = 0.7 * board.drawing.style.text_height
            board.drawing.text(
                at, top - 2.2 * unit, f"VR{int(rng.integers(1, 40))}", height=height, angle=-90.0
            )
    board.take(x - unit, top - 4 * unit, x + wide, bottom)

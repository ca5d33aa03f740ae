"""Long parallel runs: buses with fanned ends, taps and rows of leads."""

from __future__ import annotations

import numpy as np

from tracer.training.layout.board import Board
from tracer.training.truth import PartTerminal

__all__ = ["bus", "pin_row"]


def bus(board: Board) -> None:
    """Several long wires side by side, level or upright, fanning out to terminal circles or loose ends."""
    rng, unit, pen = board.rng, board.drawing.style.unit, board.cell
    count = int(rng.integers(2, 9))
    least = max(3.4, board.drawing.style.dot_radius + 2.4 if rng.random() < 0.7 else 0.0)
    pitch = float(rng.uniform(least, 9.0)) * pen
    upright = bool(rng.random() < 0.4)
    long, wide = board.drawing.width, board.drawing.height
    if upright:
        long, wide = wide, long
    start, end = sorted(rng.uniform(0.03, 0.97, size=2) * long)
    if end - start < 0.3 * long:
        return
    first = float(rng.uniform(20, max(21, wide - count * pitch - 20)))
    fan = float(rng.uniform(1.2, 2.6)) if rng.random() < 0.5 else 1.0
    slope = float(rng.uniform(3, 8)) * unit
    lines: list[tuple[float, float, float]] = []
    dx, dy = (0.0, 1.0) if upright else (1.0, 0.0)
    names = str(rng.choice(["A", "B", "D", "SW", "+", ""]))
    for index in range(count):
        level = first + index * pitch
        far = first + (count - 1) * pitch / 2 + (index - (count - 1) / 2) * pitch * fan
        path = [(start, level), (end, level)]
        if fan > 1.0:
            path += [(end + slope, far), (end + slope + 2 * unit, far)]
            if rng.random() < 0.3:
                slope += pitch * float(rng.uniform(0.2, 1.0))
        if rng.random() < 0.25:
            path[0] = (start + float(rng.uniform(0, 0.3)) * (end - start), level)
        points = [(b, a) for a, b in path] if upright else path
        box = np.array(points)
        if not board.inside(*box.min(axis=0), *box.max(axis=0)):
            continue
        if len(lines) == 0 and not board.clear_run(points[:2]):
            return
        straight = board.clear_run(points[:2])
        if straight and (fan == 1.0 or board.free(*box[1:].min(axis=0), *box[1:].max(axis=0)) or index > 0):
            if not board.run(points, mapped=False):
                continue
            lines.append((path[0][0], end, level))
            tip = points[-1]
            if rng.random() < 0.6:
                turn = 0.0 if upright else -90.0
                board.put("label.circle", *tip, turn=turn, loose=False, room=-1.0, text="none")
                _name_end(board, tip, (dx, dy), names, index)
            else:
                board.loose.append(PartTerminal("", tip[0], tip[1], dx, dy))
    _taps(board, lines, upright)


def _name_end(
    board: Board, tip: tuple[float, float], way: tuple[float, float], names: str, index: int
) -> None:
    """Letter the end of one line of a bus, close to its ring."""
    if not names:
        return
    drawing = board.drawing
    height = 0.8 * drawing.style.text_height
    text = f"{names}{index}"
    away = drawing.style.unit * 1.4 + 0.4 * height * (len(text) if way[0] else 1)
    drawing.text(tip[0] + way[0] * away, tip[1] + way[1] * away, text, height=height)


def _taps(board: Board, lines: list[tuple[float, float, float]], upright: bool) -> None:
    """Wires that leave the bus at right angles, passing the lines beyond."""
    rng, unit = board.rng, board.drawing.style.unit
    if not lines:
        return
    edge_low, edge_high = min(level for *_, level in lines), max(level for *_, level in lines)
    for _ in range(int(rng.integers(1, 3 + 2 * len(lines)))):
        start, end, level = lines[int(rng.integers(0, len(lines)))]
        at = float(rng.uniform(start + 2 * unit, end - 2 * unit))
        down = bool(rng.random() < 0.5)
        reach = float(rng.uniform(2, 8)) * unit
        tip = edge_high + reach if down else edge_low - reach
        path = [(at, level), (at, tip)]
        points = [(b, a) for a, b in path] if upright else path
        if board.run(points):
            board.dot(*points[0])
            way = 1.0 if down else -1.0
            dx, dy = (way, 0.0) if upright else (0.0, way)
            board.loose.append(PartTerminal("", *points[1], dx, dy))


def pin_row(board: Board) -> None:
    """A block with a row of pins, each on a short lead of its own length, some signed or lettered."""
    rng, unit = board.rng, board.drawing.style.unit
    x = float(rng.uniform(40, board.drawing.width - 40))
    y = float(rng.uniform(40, board.drawing.height - 40))
    top, bottom = (int(n) for n in rng.integers(2, 9, size=2))
    sides = (int(rng.integers(0, 3)), int(rng.integers(0, 3)), top, bottom)
    part = board.put("block.box", x, y, sides=sides, pitch=float(rng.uniform(1.6, 2.8)), loose=False)
    if part is None:
        return
    reach = float(rng.uniform(2, 5)) * unit
    for terminal in part.terminals:
        pick = rng.random()
        length = reach if rng.random() < 0.7 else float(rng.uniform(1.5, 7)) * unit
        tip = (terminal.x + terminal.dx * length, terminal.y + terminal.dy * length)
        if pick < 0.3:
            board.loose.append(terminal)
        elif board.run([(terminal.x, terminal.y), tip]):
            if pick < 0.6:
                board.loose.append(PartTerminal("", *tip, terminal.dx, terminal.dy))
            elif pick < 0.85:
                turn = float(np.rad2deg(np.arctan2(terminal.dy, terminal.dx))) - 90.0
                sign = str(rng.choice(["label.circle", "label.arrow", board.habits.chassis, "label.bar"]))
                board.put(sign, *tip, turn=turn, loose=False, room=0.0, text="none")

"""Pieces of circuit as they stand on service sheets: stages, chains, ladders, rows."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from tracer.training.layout.board import Board
from tracer.training.layout.diamonds import slopes
from tracer.training.symbols import build, symbols_of
from tracer.training.truth import DrawnPart, PartTerminal

__all__ = ["MOTIFS", "two_leaded"]

_SCATTER = (
    "valve",
    "valve",
    "transistor",
    "block",
    "transformer",
    "transformer",
    "transformer",
    "coil",
    "coil",
    "diode",
    "pot",
    "contact",
    "jack",
    "plug",
    "lamp",
    "speaker",
    "meter",
    "battery",
    "crystal",
    "fuse",
    "bridge",
    "rectifier",
    "relay coil",
    "thermistor",
    "other",
    "resistor",
    "resistor",
    "capacitor",
    "capacitor",
    "contact",
)


def two_leaded(board: Board) -> str:
    """A two-leaded symbol, most often the sheet's own resistor or capacitor."""
    pick = board.rng.random()
    if pick < 0.38:
        return board.habits.resistor
    if pick < 0.68:
        return board.habits.capacitor
    return str(
        board.rng.choice(
            [
                board.habits.coil,
                board.habits.diode,
                board.habits.contact,
                "fuse.box",
                "fuse.wave",
                "fuse.bow",
                "fuse.capped",
                "pot.preset",
                "pot.rheostat",
                "resistor.rated",
                "resistor.peaks",
                "capacitor.electrolytic",
                "capacitor.variable",
                "capacitor.trimmer",
                "capacitor.hollow",
                "capacitor.heavy",
                "crystal.plates",
                "crystal.slab",
                "lamp.cross",
                "lamp.loop",
                "lamp.bare",
                "neon.plates",
                "rectifier.stack",
                "diode.ringed",
                "diode.chain",
                "meter.scale",
                "battery.long",
                "contact.closed",
                "lamp.filament",
                "battery.cells",
                "rectifier.metal",
                "thermistor.box",
                "contact.blade",
                "contact.push",
                "diode.triangle",
            ]
        )
    )


def _spot(board: Board) -> tuple[float, float]:
    return (
        float(board.rng.uniform(20, board.drawing.width - 20)),
        float(board.rng.uniform(20, board.drawing.height - 20)),
    )


def scatter(board: Board) -> None:
    """One part anywhere, any way round."""
    kind = str(board.rng.choice(_SCATTER))
    names = symbols_of(kind)
    x, y = _spot(board)
    turn = (
        90.0 * int(board.rng.integers(0, 4))
        if kind not in ("valve", "block") or board.rng.random() < 0.1
        else 0.0
    )
    if kind == "block" and board.rng.random() < 0.15:
        turn = 180.0
    board.put(str(board.rng.choice(names)), x, y, turn=turn, mirror=bool(board.rng.random() < 0.4))


def hang(
    board: Board, x: float, y: float, name: str, *, down: bool = True, end: str | None = None
) -> DrawnPart | None:
    """A part below (or above) the point (x, y), led to it, with a chassis or supply sign at its far end."""
    unit, sign = board.drawing.style.unit, 1.0 if down else -1.0
    lead = board.rng.uniform(1.5, 4.0) * unit
    made = build(name, board.rng)
    half = max(abs(made.terminals[0].x), 0.3) * unit
    lead = max(lead, 4.0 * board.cell)
    if len(made.terminals) < 2 or not board.clear_run([(x, y), (x, y + sign * (lead + 0.5))]):
        return None
    if board.meets([(x, y), (x, y + sign * lead)]) is None:
        return None
    part = board.put(name, x, y + sign * (lead + half), turn=90.0 * sign, loose=False, made=made, room=1.5)
    if part is None:
        return None
    first, *_, far = sorted(part.terminals, key=lambda t: sign * t.y)
    board.run([(x, y), (first.x, first.y)], check=False)
    board.dot(x, y)
    if end is None:
        board.loose.append(far)
        return part
    tail = max(board.rng.uniform(0.8, 2.5) * unit, 4.0 * board.cell)
    sign_at = (far.x, far.y + sign * tail)
    clear = board.meets([(far.x, far.y), sign_at]) is not None
    turn = 0.0 if down else 180.0
    if clear and board.put(end, *sign_at, turn=turn, loose=False, room=0.5, text="none") is not None:
        board.run([(far.x, far.y), sign_at], check=False)
    else:
        board.loose.append(far)
    return part


def chain(board: Board) -> None:
    """Parts in a row along a line, with others hung from the points between."""
    unit = board.drawing.style.unit
    x, y = _spot(board)
    count = int(board.rng.integers(2, 7))
    names = [two_leaded(board) for _ in range(count)]
    if board.rng.random() < 0.2:
        names = [board.habits.diode] * count
    upright = bool(board.rng.random() < 0.3)
    turn = 90.0 if upright else 0.0
    before: PartTerminal | None = None
    at = 0.0
    for name in names:
        made = build(name, board.rng)
        ends = made.terminals
        half = max(abs(ends[0].x), abs(ends[-1].x)) * unit
        at += half
        spot = (x, y + at) if upright else (x + at, y)
        flipped = bool(board.rng.random() < 0.25)
        part = board.put(name, *spot, turn=turn + 180 * flipped, made=made, loose=False, room=1.2)
        at += half
        gap = board.rng.uniform(1.2, 6.0) * unit
        at += gap
        if part is None:
            before = None
            continue
        first, *others, last = sorted(part.terminals, key=lambda t: t.y if upright else t.x)
        board.loose += others
        if before is not None and abs(first.x - before.x) + abs(first.y - before.y) > 2:
            lined = abs(first.y - before.y) < 0.5 or abs(first.x - before.x) < 0.5
            if lined and board.run([(before.x, before.y), (first.x, first.y)]):
                middle = ((before.x + first.x) / 2, (before.y + first.y) / 2)
                if not upright and board.rng.random() < 0.5:
                    end = str(board.rng.choice([board.habits.chassis, "label.circle", "label.arrow"]))
                    hang(board, *middle, two_leaded(board), down=bool(board.rng.random() < 0.75),
                         end=end if board.rng.random() < 0.7 else None)  # fmt: skip
            else:
                board.loose += [before, first]
        else:
            board.loose.append(first)
        before = last
    if before is not None:
        board.loose.append(before)


def rail(board: Board) -> None:
    """A long supply or chassis line with parts hung from it."""
    unit = board.drawing.style.unit
    y = float(board.rng.uniform(30, board.drawing.height - 30))
    x0 = float(board.rng.uniform(15, board.drawing.width * 0.4))
    x1 = float(board.rng.uniform(board.drawing.width * 0.6, board.drawing.width - 15))
    if not board.run([(x0, y), (x1, y)], width=float(board.rng.choice([1.0, 1.0, 1.0, 2.0]))):
        return
    x = x0 + board.rng.uniform(2, 8) * unit
    while x < x1 - 3 * unit:
        down = bool(board.rng.random() < 0.65)
        end = str(board.rng.choice([board.habits.chassis, "chassis.bars", "label.circle"]))
        hang(
            board, x, y, two_leaded(board), down=down, end=end if down and board.rng.random() < 0.5 else None
        )
        x += board.rng.uniform(5, 20) * unit
    end = str(board.rng.choice(["label.circle", "label.arrow", "label.flag", "label.bar"]))
    turn = -90.0 if end != "label.flag" else 0.0
    board.put(end, x1, y, turn=turn, loose=False, room=0.0, text="none")


def stage(board: Board) -> None:
    """A valve or transistor with its load, its cathode parts and its grid parts."""
    unit = board.drawing.style.unit
    x, y = _spot(board)
    pick = board.rng.random()
    if pick < 0.4:
        part = board.put("valve.envelope", x, y, grid_side=float(board.rng.choice([1.0, 1.0, -1.0])))
    elif pick < 0.65:
        name = str(
            board.rng.choice(
                ["valve.glass", "valve.glass", "valve.open", "valve.stacked", "valve.shared", "valve.beam"]
            )
        )
        part = board.put(name, x, y)
    else:
        name = str(
            board.rng.choice(
                [
                    "transistor.bipolar",
                    "transistor.bare",
                    "transistor.wide",
                    "transistor.gate",
                    "transistor.splayed",
                ]
            )
        )
        part = board.put(name, x, y, mirror=bool(board.rng.random() < 0.3))
    if part is None:
        return
    for terminal in part.terminals:
        if board.rng.random() < 0.25:
            continue
        reach = board.rng.uniform(1.5, 5.0) * unit
        at = (terminal.x + terminal.dx * reach, terminal.y + terminal.dy * reach)
        if not board.run([(terminal.x, terminal.y), at]):
            continue
        board.loose.remove(terminal)
        if terminal.dy > 0.5:
            hang(board, *at, board.habits.resistor, end=board.habits.chassis)
            side = at[0] + float(board.rng.choice([-1, 1])) * board.rng.uniform(4, 7) * unit
            if board.rng.random() < 0.6 and board.run([at, (side, at[1])]):
                board.dot(*at)
                hang(board, side, at[1], board.habits.capacitor, end=board.habits.chassis)
        elif terminal.dy < -0.5:
            hang(board, *at, board.habits.resistor, down=False)
            out = at[0] + float(board.rng.choice([-1, 1])) * board.rng.uniform(5, 12) * unit
            if board.rng.random() < 0.7 and board.run([at, (out, at[1])]):
                board.loose.append(PartTerminal("", out, at[1], float(np.sign(out - at[0])), 0.0))
        else:
            if board.rng.random() < 0.7:
                hang(board, *at, board.habits.resistor, end=board.habits.chassis)
            board.loose.append(PartTerminal("", *at, terminal.dx, 0.0))


def feedback(board: Board) -> None:
    """An op-amp with a part from its output back to an input."""
    unit = board.drawing.style.unit
    x, y = _spot(board)
    name = "block.amplifier" if board.rng.random() < 0.4 else "block.triangle"
    part = board.put(name, x, y)
    if part is None:
        return
    first, out = part.terminals[0], part.terminal("out")
    top = part.box[1] - board.rng.uniform(2.0, 4.0) * unit
    left, right = first.x - board.rng.uniform(1.2, 3) * unit, out[0] + board.rng.uniform(1.2, 3) * unit
    piece = board.put(two_leaded(board), x, top, loose=False, room=1.0)
    if piece is None:
        return
    near, *_, far = sorted(piece.terminals, key=lambda t: t.x)
    if near.dy or abs(near.y - top) > 0.5:
        board.loose += piece.terminals
        return
    if board.run([(near.x, near.y), (left, top), (left, first.y), (first.x, first.y)]):
        board.loose.remove(first)
        board.loose.append(PartTerminal("", left, first.y, -1.0, 0.0))
    if board.run([(far.x, far.y), (right, top), (right, out[1]), out]):
        board.loose = [t for t in board.loose if (t.x, t.y) != out]
        board.loose.append(PartTerminal("", right, out[1], 1.0, 0.0))


def side_by_side(board: Board) -> None:
    """Two parts in parallel: resistor and capacitor, a pair of diodes back to back."""
    unit = board.drawing.style.unit
    x, y = _spot(board)
    pitch = board.rng.uniform(2.6, 5.0) * unit
    one, other = two_leaded(board), two_leaded(board)
    if board.rng.random() < 0.4:
        one = other = board.habits.diode
    parts = [
        board.put(name, x, y + row * pitch, loose=False, room=0.4, mirror=bool(row), text="none")
        for row, name in enumerate((one, other))
    ]
    if parts[0] is None or parts[1] is None:
        board.loose += [t for part in parts if part is not None for t in part.terminals]
        return
    half = board.rng.uniform(4.5, 7.0) * unit
    for sign in (-1.0, 1.0):
        ends = [min(part.terminals, key=lambda t: -sign * t.x) for part in parts if part is not None]
        rim = x + sign * half
        if board.run([(ends[0].x, ends[0].y), (rim, ends[0].y), (rim, ends[1].y), (ends[1].x, ends[1].y)]):
            middle = (ends[0].y + ends[1].y) / 2 if board.rng.random() < 0.5 else ends[0].y
            board.loose.append(PartTerminal("", rim, middle, sign, 0.0))
        else:
            board.loose += ends


def switch_bank(board: Board) -> None:
    """Wafers or contacts in a column or row, ganged by a dashed line."""
    unit = board.drawing.style.unit
    x, y = _spot(board)
    count = int(board.rng.integers(2, 5))
    name = str(
        board.rng.choice(
            [
                "contact.wafer",
                "contact.change",
                "contact.blade",
                "contact.slide",
                "contact.push",
                "contact.throws",
                "contact.button",
                "contact.bars",
                "contact.bare",
            ]
        )
    )
    across = bool(board.rng.random() < 0.5)
    pitch = board.rng.uniform(6.0, 14.0) * unit
    placed = []
    for index in range(count):
        spot = (x + index * pitch, y) if across else (x, y + index * pitch)
        part = board.put(name, *spot, turn=float(board.rng.choice([0, 0, 90])) if across else 0.0)
        if part is not None:
            placed.append(((part.box[0] + part.box[2]) / 2, (part.box[1] + part.box[3]) / 2))
    if len(placed) > 1 and board.rng.random() < 0.7:
        board.drawing.furniture(
            placed, dash=(float(board.rng.uniform(2, 5)), float(board.rng.uniform(1.5, 3)))
        )


MOTIFS: tuple[tuple[Callable[[Board], None], float], ...] = (
    (scatter, 3.0),
    (chain, 3.0),
    (rail, 1.2),
    (stage, 3.0),
    (feedback, 0.8),
    (side_by_side, 0.8),
    (switch_bank, 0.8),
    (slopes, 1.3),
)

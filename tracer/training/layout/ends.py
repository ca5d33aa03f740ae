"""What becomes of loose leads: joined to each other, to a wire, signed, lettered, or left."""

from __future__ import annotations

from itertools import pairwise

import numpy as np

from tracer.training.layout.board import Board, Place
from tracer.training.truth import PartTerminal

__all__ = ["settle_ends"]

_SIGNS = (
    "label.arrow",
    "label.bar",
    "label.point",
    "label.ring",
    "label.spot",
    "label.chevron",
    "label.pennant",
    "label.dart",
    "label.cup",
)
_RAILS = (
    "+5",
    "-5v",
    "HT1",
    "+250V",
    "HT+",
    "A",
    "B3",
    "TO V2",
    "AGC",
    "GND",
    "E",
    "(+5)",
    "+12V",
    "6.3V",
    "LIVE",
    "N",
)


def settle_ends(board: Board, *, last: bool = False) -> None:
    """Join loose leads to each other and to wires; at `last` sign, letter or leave those that remain."""
    rng = board.rng
    order = [board.loose[index] for index in rng.permutation(len(board.loose))]
    board.loose = []
    waiting: list[PartTerminal] = []
    for lead in order:
        pick = rng.random()
        if pick < 0.6:
            if _partner(board, lead, waiting) is None:
                waiting.append(lead)
        elif pick < 0.8:
            if not _tee(board, lead):
                waiting.append(lead)
        elif pick < 0.93:
            _sign(board, lead)
        elif pick < 0.96:
            board.run([(lead.x, lead.y), _ahead(lead, float(rng.uniform(1, 4)) * board.drawing.style.unit)])
        else:
            waiting.append(lead)
    if not last:
        board.loose = waiting
        return
    for lead in waiting:
        if not _tee(board, lead):
            _sign(board, lead)


def _ahead(lead: PartTerminal, distance: float) -> Place:
    return lead.x + lead.dx * distance, lead.y + lead.dy * distance


def _partner(board: Board, lead: PartTerminal, waiting: list[PartTerminal]) -> PartTerminal | None:
    """Join `lead` to one of the waiting leads and take that one off the list."""
    near = sorted(waiting, key=lambda other: abs(other.x - lead.x) + abs(other.y - lead.y))
    for other in near[:7]:
        for path in _paths(board, lead, other):
            if board.run(path):
                waiting.remove(other)
                return other
    return None


def _paths(board: Board, lead: PartTerminal, other: PartTerminal) -> list[list[Place]]:
    """Ways from one lead to another, with few bends, each leaving as its lead leaves."""
    unit, rng = board.drawing.style.unit, board.rng
    paths: list[list[Place]] = []
    for _ in range(4):
        a = _ahead(lead, float(rng.uniform(1.0, 8.0)) * unit)
        b = _ahead(other, float(rng.uniform(1.0, 8.0)) * unit)
        one, two = bool(abs(lead.dx) > 0.5), bool(abs(other.dx) > 0.5)
        if one and two:
            paths.append([(lead.x, lead.y), (a[0], lead.y), (a[0], other.y), (other.x, other.y)])
            paths.append([(lead.x, lead.y), (b[0], lead.y), (b[0], other.y), (other.x, other.y)])
        elif not one and not two:
            paths.append([(lead.x, lead.y), (lead.x, a[1]), (other.x, a[1]), (other.x, other.y)])
            paths.append([(lead.x, lead.y), (lead.x, b[1]), (other.x, b[1]), (other.x, other.y)])
        elif one:
            paths.append([(lead.x, lead.y), (other.x, lead.y), (other.x, other.y)])
            paths.append(
                [(lead.x, lead.y), (a[0], lead.y), (a[0], b[1]), (other.x, b[1]), (other.x, other.y)]
            )
        else:
            paths.append([(lead.x, lead.y), (lead.x, other.y), (other.x, other.y)])
            paths.append(
                [(lead.x, lead.y), (lead.x, a[1]), (b[0], a[1]), (b[0], other.y), (other.x, other.y)]
            )
    good = []
    for path in paths:
        kept = [
            path[0],
            *[q for p, q in pairwise(path) if abs(p[0] - q[0]) + abs(p[1] - q[1]) > 1.0],
        ]
        if _leaves(lead, kept[0], kept[1]) and _leaves(other, kept[-1], kept[-2]) and kept[-1] == path[-1]:
            good.append(kept)
    return good


def _leaves(lead: PartTerminal, start: Place, then: Place) -> bool:
    return (then[0] - start[0]) * lead.dx + (then[1] - start[1]) * lead.dy > 2.0


def _tee(board: Board, lead: PartTerminal) -> bool:
    """Run `lead` straight, or round one bend, onto a wire that is there already."""
    rng, pen = board.rng, board.cell
    if not board.stretches:
        return False
    for index in rng.integers(0, len(board.stretches), size=24):
        (x0, y0), (x1, y1) = board.stretches[int(index)]
        level = abs(y1 - y0) < 1e-6
        low, high = sorted((x0, x1) if level else (y0, y1))
        if high - low < 8 * pen:
            continue
        at = float(rng.uniform(low + 4 * pen, high - 4 * pen))
        along = abs(lead.dy) > 0.5
        if level:
            path = (
                [(lead.x, lead.y), (lead.x, y0)]
                if along and low + 4 * pen < lead.x < high - 4 * pen
                else [(lead.x, lead.y), (at, lead.y), (at, y0)]
            )
        else:
            path = (
                [(lead.x, lead.y), (x0, lead.y)]
                if not along and low + 4 * pen < lead.y < high - 4 * pen
                else [(lead.x, lead.y), (lead.x, at), (x0, at)]
            )
        foot = path[-1]
        if (
            not _leaves(lead, path[0], path[1])
            or abs(foot[0] - path[-2][0]) + abs(foot[1] - path[-2][1]) < 4 * pen
        ):
            continue
        if board.node_free(*foot) and board.run(path):
            board.dot(*foot)
            return True
    return False


def _sign(board: Board, lead: PartTerminal) -> None:
    """End `lead` in a chassis sign, a label, or bare lettering."""
    rng, unit, high = board.rng, board.drawing.style.unit, board.drawing.style.text_height
    tip = _ahead(lead, max(float(rng.uniform(1.0, 5.0)) * unit, 4.0 * board.cell))
    if not board.run([(lead.x, lead.y), tip]):
        return
    pick = rng.random()
    turn = float(np.rad2deg(np.arctan2(lead.dy, lead.dx))) - 90.0
    if pick < 0.4:
        name = board.habits.chassis if rng.random() < 0.7 else "chassis.bars"
        board.put(name, *tip, turn=turn if rng.random() < 0.9 else 0.0, loose=False, room=0.0, text="none")
        return
    text = str(rng.choice(_RAILS))
    if pick < 0.55:
        board.put(
            "label.flag" if rng.random() < 0.6 else "label.box",
            *tip,
            turn=turn + 90.0,
            loose=False,
            room=0.0,
            text="none",
        )
        return
    if pick < 0.85:
        sign = "label.circle" if rng.random() < 0.35 else str(rng.choice(_SIGNS))
        board.put(sign, *tip, turn=turn, loose=False, room=0.0, text="none")
    wide = 0.4 * high * len(text)
    x, y = tip[0] + lead.dx * (wide + 1.5 * unit), tip[1] + lead.dy * (1.2 * unit + 0.8 * high)
    box = (x - wide, y - 0.6 * high, x + wide, y + 0.6 * high)
    if board.free(*box) or rng.random() < 0.1:
        board.drawing.text(x, y, text)
        board.take(*box)

"""Where wires meet, pass and belong together."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from tracer.training.strokes import Points

__all__ = ["Groups", "Meeting", "Wire", "meetings", "touching"]

_NEAR: Final = 0.75  # px; coordinates nearer than this are one place


@dataclass(frozen=True, slots=True, eq=False)
class Wire:
    """A polyline of wire on the ideal page, px."""

    points: Points
    width: float
    plain: bool = False  # a frame, a ruled table: drawn as wire, joins nothing
    ink: int | None = None  # grey, where it is fainter than the rest
    over: tuple[float, float] = (0.0, 0.0)  # px that the pen runs on past either end


@dataclass(frozen=True, slots=True)
class Meeting:
    """Two segments share the place (x, y): `first` and `second` are (wire, segment, part of its length)."""

    x: float
    y: float
    first: tuple[int, int, float]
    second: tuple[int, int, float]
    joined: bool


class Groups:
    """Sets of things joined one by one."""

    def __init__(self, count: int) -> None:
        self._parent = list(range(count))

    def find(self, item: int) -> int:
        """The name of the group of `item`."""
        while self._parent[item] != item:
            self._parent[item] = self._parent[self._parent[item]]
            item = self._parent[item]
        return item

    def join(self, one: int, other: int) -> None:
        """Put two items into one group."""
        self._parent[self.find(one)] = self.find(other)


def _segments(wires: list[Wire]) -> tuple[NDArray[np.float64], list[tuple[int, int, int]]]:
    rows, owners = [], []
    for number, wire in enumerate(wires):
        for index in range(len(wire.points) - 1):
            rows.append(np.concatenate([wire.points[index], wire.points[index + 1]]))
            owners.append((number, index, len(wire.points) - 2))
    return np.array(rows, dtype=np.float64).reshape(-1, 4), owners


def meetings(wires: list[Wire], dots: Points) -> list[Meeting]:
    """Every place where two wires touch or cross, and whether they join there.

    They join where one of them ends, where a bend of one lies on the other, or where a dot was set.

    Parameters
    ----------
    wires : list of Wire
    dots : (n, 2) float64
        Junction dots, px.
    """
    segments, owners = _segments(wires)
    if len(segments) < 2:
        return []
    start, way = segments[:, :2], segments[:, 2:] - segments[:, :2]
    length = np.maximum(np.hypot(way[:, 0], way[:, 1]), 1e-9)
    found: list[Meeting] = []
    for one in range(len(segments) - 1):
        others = slice(one + 1, None)
        gap, theirs = start[others] - start[one], way[others]
        turn = way[one, 0] * theirs[:, 1] - way[one, 1] * theirs[:, 0]
        flat = np.abs(turn) < 1e-6 * length[one] * length[others]
        safe = np.where(flat, 1.0, turn)
        mine = (gap[:, 0] * theirs[:, 1] - gap[:, 1] * theirs[:, 0]) / safe
        yours = (gap[:, 0] * way[one, 1] - gap[:, 1] * way[one, 0]) / safe
        slack, their_slack = _NEAR / length[one], _NEAR / length[others]
        touch = (
            ~flat & (mine > -slack) & (mine < 1 + slack) & (yours > -their_slack) & (yours < 1 + their_slack)
        )
        for index in np.flatnonzero(touch):
            other = one + 1 + int(index)
            meeting = _meeting(
                segments, owners, one, other, float(mine[index]), float(yours[index]), dots, length
            )
            if meeting is not None:
                found.append(meeting)
        found += _end_to_end(segments, owners, one, np.flatnonzero(flat) + one + 1)
    return found


def _meeting(
    segments: NDArray[np.float64],
    owners: list[tuple[int, int, int]],
    one: int,
    other: int,
    mine: float,
    yours: float,
    dots: Points,
    length: NDArray[np.float64],
) -> Meeting | None:
    (wire, index, _), (their_wire, their_index, _) = owners[one], owners[other]
    if wire == their_wire and abs(index - their_index) == 1:
        return None
    x, y = segments[one, :2] + np.clip(mine, 0, 1) * (segments[one, 2:] - segments[one, :2])
    at_end = min(mine, 1 - mine) * length[one] < _NEAR or min(yours, 1 - yours) * length[other] < _NEAR
    dotted = len(dots) > 0 and float(np.hypot(dots[:, 0] - x, dots[:, 1] - y).min()) < 2 * _NEAR
    first = (wire, index, min(max(mine, 0.0), 1.0))
    second = (their_wire, their_index, min(max(yours, 0.0), 1.0))
    return Meeting(float(x), float(y), first, second, bool(at_end or dotted))


def _end_to_end(
    segments: NDArray[np.float64], owners: list[tuple[int, int, int]], one: int, others: NDArray[np.intp]
) -> list[Meeting]:
    """Meetings of parallel segments, which can only touch with their ends."""
    found = []
    for mine in (0, 1):
        here = segments[one, 2 * mine : 2 * mine + 2]
        for yours in (0, 1):
            there = segments[others, 2 * yours : 2 * yours + 2]
            for other in others[np.hypot(there[:, 0] - here[0], there[:, 1] - here[1]) < _NEAR]:
                (wire, index, _), (their_wire, their_index, _) = owners[one], owners[other]
                if wire != their_wire:
                    first, second = (wire, index, float(mine)), (their_wire, their_index, float(yours))
                    found.append(Meeting(float(here[0]), float(here[1]), first, second, True))
    return found


def touching(wires: list[Wire], places: Points) -> list[list[int]]:
    """For each place of (n, 2), the numbers of the wires that pass within a hair of it."""
    segments, owners = _segments(wires)
    if not len(segments):
        return [[] for _ in places]
    start, way = segments[:, :2], segments[:, 2:] - segments[:, :2]
    square = np.maximum((way**2).sum(axis=1), 1e-9)
    found = []
    for place in places:
        part = np.clip(((place - start) * way).sum(axis=1) / square, 0, 1)
        foot = start + part[:, None] * way - place
        hits = np.flatnonzero(np.hypot(foot[:, 0], foot[:, 1]) < 1.5 * _NEAR)
        found.append(sorted({owners[hit][0] for hit in hits}))
    return found

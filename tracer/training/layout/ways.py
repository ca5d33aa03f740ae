"""What lies where, exactly: whether an eye could tell what a new wire or body joins and what it passes.

The truth of a drawn sheet says which wires are one conductor. It is only true if it shows: wires that do not
join keep paper between them, an end lies on a wire or well away from it, and every crossing has bare wire
around it. Lengths are in usual strokes unless a name says px.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from itertools import pairwise
from typing import Final, TypeAlias

import numpy as np
from numpy.typing import NDArray

from tracer.training.layout.geometry import Place, Row, apart_from, away_from, crossing_of
from tracer.training.strokes import Points

__all__ = ["Contact", "Lead", "Ways"]

_ONE: Final = 0.75  # px; nearer than this is one place
_BARE: Final = 1.5  # of paper between wires that do not join
_APART: Final = 2.6  # between the middles of such wires, at least
_END: Final = 3.2  # from a wire to a foreign end
_FACING: Final = 9.0  # between two ends that look at each other, as the halves of a broken wire do
_JOIN: Final = 3.2  # from a join to the next join, bend or end
_CROSS: Final = 3.9  # from a crossing to any join, bend, end or body
_CROSSES: Final = 3.4  # from crossing to crossing
_BEYOND: Final = 5.2  # from a crossing to a bare end; a shorter stub looks like a T drawn too long
_BODY: Final = 1.8  # from the edge of a wire to a body that it passes
_STEEP: Final = 0.42  # sine of the least angle at which wires may meet

Lead: TypeAlias = tuple[float, float, float, float]  # where a terminal lies and which way its lead leaves


@dataclass(frozen=True, slots=True)
class Contact:
    """Where a new wire meets one that is there.

    Attributes
    ----------
    x, y : float
        Px.
    crosses : bool
        They pass each other; otherwise an end of one lies on the other.
    inner : bool
        The new wire ends between the ends of the other.
    width : float
        Of the wider of the two, px.
    """

    x: float
    y: float
    crosses: bool
    inner: bool = False
    width: float = 0.0


@dataclass(slots=True)
class _Table:
    """Straight pieces in rows of x0, y0, x1, y1, half width; `owner` is -1 for a ruled line."""

    rows: Row = field(default_factory=lambda: np.zeros((64, 5)))
    owner: NDArray[np.intp] = field(default_factory=lambda: np.zeros(64, dtype=np.intp))
    loose: NDArray[np.bool_] = field(default_factory=lambda: np.zeros((64, 2), dtype=bool))
    count: int = 0

    def add(self, row: Sequence[float], owner: int, loose: tuple[bool, bool] = (False, False)) -> None:
        if self.count == len(self.rows):
            self.rows = np.concatenate([self.rows, np.zeros_like(self.rows)])
            self.owner = np.concatenate([self.owner, np.zeros_like(self.owner)])
            self.loose = np.concatenate([self.loose, np.zeros_like(self.loose)])
        self.rows[self.count], self.owner[self.count], self.loose[self.count] = row, owner, loose
        self.count += 1

    def near(self, x0: float, y0: float, x1: float, y1: float, reach: float) -> NDArray[np.intp]:
        """The rows whose boxes come within `reach` px of a box."""
        left, right = (x0, x1) if x0 < x1 else (x1, x0)
        top, bottom = (y0, y1) if y0 < y1 else (y1, y0)
        r = self.rows[: self.count]
        return np.flatnonzero(
            (np.minimum(r[:, 0], r[:, 2]) < right + reach)
            & (np.maximum(r[:, 0], r[:, 2]) > left - reach)
            & (np.minimum(r[:, 1], r[:, 3]) < bottom + reach)
            & (np.maximum(r[:, 1], r[:, 3]) > top - reach)
        )


class Ways:
    """Wires, ruled lines, bodies, joins and crossings so far, px.

    Parameters
    ----------
    stroke : float
        The usual stroke, px.
    wobble : float
        How far a hand-drawn wire strays, px.
    dot : float
        The usual radius of a junction dot, strokes.
    """

    def __init__(self, stroke: float, wobble: float, dot: float) -> None:
        self._stroke, self._wobble, self._dot = stroke, wobble, dot
        self._lines, self._edges = _Table(), _Table()
        self._nodes = _Table()  # joins, bends and ends; owner 1 where wires cross unjoined
        self._terminals: list[list[Lead]] = []
        self._feet = _Table()  # all terminals
        self._wires = 0

    def _nodes_near(
        self, x0: float, y0: float, x1: float, y1: float, reach: float
    ) -> list[tuple[float, float, bool]]:
        """x, y of the nodes within `reach` px of a box, and whether wires cross there unjoined."""
        found = self._nodes.near(x0, y0, x1, y1, reach)
        places = self._nodes.rows[found, :2].tolist()
        return [(x, y, bool(what)) for (x, y), what in zip(places, self._nodes.owner[found], strict=True)]

    def add_wire(self, points: Sequence[Place], width: float, contacts: Sequence[Contact] = ()) -> None:
        """Remember a wire `width` px wide that is drawn."""
        last = len(points) - 2
        for index, ((x0, y0), (x1, y1)) in enumerate(pairwise(points)):
            self._lines.add((x0, y0, x1, y1, width / 2), self._wires, (index == 0, index == last))
        for x, y in points:
            self._nodes.add((x, y, x, y, 0.0), 0)
        for each in contacts:
            self._nodes.add((each.x, each.y, each.x, each.y, 0.0), int(each.crosses))
        self._wires += 1

    def add_rule(self, points: Sequence[Place], width: float) -> None:
        """Remember a ruled line, which nothing may touch."""
        for (x0, y0), (x1, y1) in pairwise(points):
            self._lines.add((x0, y0, x1, y1, width / 2), -1)

    def add_body(self, corners: Points, terminals: Sequence[Lead], fat: float = 0.0) -> None:
        """Remember a body with its outline of `corners`, its pen `fat` px thicker than usual."""
        for (x0, y0), (x1, y1) in pairwise([*corners, corners[0]]):
            self._edges.add((x0, y0, x1, y1, fat / 2), len(self._terminals))
        for x, y, _, _ in terminals:
            self._feet.add((x, y, x, y, 0.0), len(self._terminals))
        self._terminals.append(list(terminals))

    def body_fits(self, corners: Points, terminals: Sequence[Lead]) -> bool:
        """Whether a body has paper around it; only wires that end at its terminals may touch it."""
        need = _BODY * self._stroke
        for (x0, y0), (x1, y1) in pairwise([*corners, corners[0]]):
            for index in self._lines.near(x0, y0, x1, y1, need + 4 * self._stroke):
                row = self._lines.rows[index]
                if self._lines.owner[index] >= 0 and (_at(row[:2], terminals) or _at(row[2:4], terminals)):
                    continue
                if apart_from((x0, y0, x1, y1), row) < need + row[4]:
                    return False
            for x, y, crosses in self._nodes_near(x0, y0, x1, y1, _CROSS * self._stroke):
                if crosses and away_from(x, y, (x0, y0, x1, y1)) < (_CROSS - 0.6) * self._stroke:
                    return False
        return True

    def contacts(self, points: Sequence[Place], width: float) -> list[Contact] | None:
        """Where a wire through `points`, `width` px wide, would meet others; None if no eye could follow it.

        A wire meets others only by crossing them well clear of anything else or by ending on them.
        """
        if not self._passes_bodies(points, width):
            return None
        found: list[Contact] = []
        last = len(points) - 2
        for index, ((x0, y0), (x1, y1)) in enumerate(pairwise(points)):
            if np.hypot(x1 - x0, y1 - y0) < (3.6 if last == 0 else 2.4) * self._stroke:
                return None
            row = np.array([x0, y0, x1, y1, width / 2])
            for other in self._lines.near(x0, y0, x1, y1, _FACING * self._stroke):
                if not self._pair(row, (index == 0, index == last), int(other), found):
                    return None
        return found if self._contacts_clear(points, width, found) else None

    def arms(self, x: float, y: float) -> int:
        """How many pieces of wire lead away from (x, y)."""
        count = 0
        for index in self._lines.near(x, y, x, y, 2 * _ONE):
            row = self._lines.rows[index]
            if self._lines.owner[index] >= 0 and away_from(x, y, row) < 2 * _ONE:
                ends = min(np.hypot(row[0] - x, row[1] - y), np.hypot(row[2] - x, row[3] - y))
                count += 1 if ends < 2 * _ONE else 2
        return count

    def lone(self, tip: Place, far: Place) -> bool:
        """Whether nothing but the wire at `tip` lies between there and `far`."""
        for table in (self._lines, self._edges):
            for index in table.near(*tip, *far, 0.0):
                row = table.rows[index]
                if away_from(*tip, row) > 2 * _ONE and apart_from((*tip, *far), row) < self._stroke:
                    return False
        return True

    def _pair(self, row: Row, mine: tuple[bool, bool], other: int, found: list[Contact]) -> bool:
        """Judge one pair of straight pieces; adds where they meet to `found`, False if they must not."""
        theirs = self._lines.rows[other]
        half = row[4] + theirs[4]
        if self._lines.owner[other] < 0:
            return bool(apart_from(row, theirs) > half + 2.0 * self._stroke + 2 * self._wobble)
        flags = (*mine, *(bool(flag) for flag in self._lines.loose[other]))
        ends = ((row[0], row[1]), (row[2], row[3]), (theirs[0], theirs[1]), (theirs[2], theirs[3]))
        away = [away_from(x, y, theirs if n < 2 else row) for n, (x, y) in enumerate(ends)]
        way, their_way = row[2:4] - row[:2], theirs[2:4] - theirs[:2]
        length, their_length = float(np.hypot(*way)), float(np.hypot(*their_way))
        turn = float(way[0] * their_way[1] - way[1] * their_way[0]) / (length * their_length)
        if min(away) < _ONE:
            return self._touch(ends, flags, away, (way / length, their_way / their_length), found)
        place = crossing_of(row, theirs) if abs(turn) > 0.05 else None
        if place is not None:
            found.append(Contact(*place, True, width=2 * max(row[4], theirs[4])))
            return abs(turn) > _STEEP and all(
                np.hypot(end[0] - place[0], end[1] - place[1])
                > (_BEYOND if flag and self._bare(end) else _CROSS) * self._stroke
                for end, flag in zip(ends, flags, strict=True)
            )
        least = max(half + _BARE * self._stroke + 2.0 * self._wobble, _APART * self._stroke)
        nearest = int(np.argmin(away))
        if flags[nearest]:
            least = max(least, half + (_END - 1.0) * self._stroke + self._wobble)
        if away[nearest] < least:
            return False
        return not (abs(turn) < 0.3 and self._facing(ends, flags, way / length))

    def _facing(self, ends: Sequence[Place], flags: Sequence[bool], way: Row) -> bool:
        """Whether two bare ends look at each other over so little paper that they seem one broken wire."""
        for mine in (0, 1):
            for yours in (2, 3):
                if not (flags[mine] and flags[yours]) or self._held(ends[mine]) or self._held(ends[yours]):
                    continue
                gap = np.subtract(ends[yours], ends[mine])
                ahead = float(gap @ way) * (1 if mine else -1)
                aside = abs(float(gap[0] * way[1] - gap[1] * way[0]))
                if 0 < ahead < _FACING * self._stroke and aside < 2.2 * self._stroke:
                    return True
        return False

    def _bare(self, end: Place) -> bool:
        """Whether an end joins nothing so far."""
        return len(self._nodes.near(*end, *end, _ONE)) < 2 and not self._held(end)

    def _held(self, place: Place) -> bool:
        """Whether an end lies on a terminal."""
        return len(self._feet.near(*place, *place, 2 * _ONE)) > 0

    def _touch(
        self, ends: Sequence[Place], flags: Sequence[bool], away: Sequence[float],
        ways: tuple[Row, Row], found: list[Contact],
    ) -> bool:  # fmt: skip
        """A join: a true end lies on the other wire, and the two do not run along each other."""
        touching = [n for n in range(4) if away[n] < _ONE]
        if not all(flags[n] for n in touching):
            one = [n for n in touching if flags[n]]
            hub = (
                len(touching) == 2 and np.hypot(*np.subtract(ends[touching[0]], ends[touching[1]])) < 2 * _ONE
            )
            if not (one and hub):
                return False
        x, y = ends[touching[0]]
        if any(np.hypot(ends[n][0] - x, ends[n][1] - y) > 2 * _ONE for n in touching):
            return False
        outs = [way * (1 if n % 2 == 0 else -1) for n in touching for way in [ways[n // 2]]]
        if len(touching) == 1:
            sine = abs(float(ways[0][0] * ways[1][1] - ways[0][1] * ways[1][0]))
            if sine < _STEEP or away[touching[0]] > 0.6 * _ONE * sine:
                return False
        elif float(outs[0] @ outs[1]) > 0.9:
            return False
        found.append(Contact(float(x), float(y), False, touching[0] < 2 and len(touching) == 1))
        return True

    def _passes_bodies(self, points: Sequence[Place], width: float) -> bool:
        """Whether a wire keeps off the bodies, but for those at whose terminals it ends."""
        need = width / 2 + _BODY * self._stroke + self._wobble
        last = len(points) - 2
        for index, ((x0, y0), (x1, y1)) in enumerate(pairwise(points)):
            for edge in self._edges.near(x0, y0, x1, y1, need + 2 * self._stroke):
                row = self._edges.rows[edge]
                if apart_from((x0, y0, x1, y1), row) > need + row[4]:
                    continue
                terminals = self._terminals[self._edges.owner[edge]]
                if index == 0 and _at(points[0], terminals, points[1]):
                    continue
                if index == last and _at(points[-1], terminals, points[-2]):
                    continue
                return False
        return True

    def _contacts_clear(self, points: Sequence[Place], width: float, found: Sequence[Contact]) -> bool:
        """Whether there is bare wire around every join and crossing, old and new."""
        stroke = self._stroke
        reach = max(_CROSS, self._dot + 2.9) * stroke
        spots = [(x, y, False) for x, y in points] + [(each.x, each.y, each.crosses) for each in found]
        for each in found:
            for x, y, crosses in [*self._nodes_near(each.x, each.y, each.x, each.y, reach), *spots]:
                away = abs(each.x - x) + abs(each.y - y)
                if away > 2 * reach:
                    continue
                away = float(np.hypot(each.x - x, each.y - y))
                if away < 2 * _ONE:
                    if each.crosses != crosses:
                        return False
                    continue
                if away < (_CROSSES * stroke if each.crosses and crosses else reach if each.crosses or crosses
                           else _JOIN * stroke):  # fmt: skip
                    return False
            if each.crosses:
                near = _CROSS * stroke
                for edge in self._edges.near(each.x, each.y, each.x, each.y, near + 2 * stroke):
                    row = self._edges.rows[edge]
                    if away_from(each.x, each.y, row) < near + row[4]:
                        return False
        least = max(self._dot + 1.2, _APART) * stroke + width / 2
        for start, end in pairwise(points):
            for x, y, crosses in self._nodes_near(*start, *end, least):
                if not crosses and 2 * _ONE < away_from(x, y, (*start, *end)) < least:
                    return False
        return True


def _at(place: Sequence[float] | Row, terminals: Sequence[Lead], then: Place | None = None) -> bool:
    """Whether a terminal lies at `place`, its lead leaving towards `then`."""
    return any(
        abs(x - place[0]) < 2 * _ONE
        and abs(y - place[1]) < 2 * _ONE
        and (then is None or (then[0] - place[0]) * dx + (then[1] - place[1]) * dy > 0)
        for x, y, dx, dy in terminals
    )

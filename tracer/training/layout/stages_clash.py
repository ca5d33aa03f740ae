"""Whether a wire or a body may be drawn where it is wanted, beside what is drawn already.

Exact geometry rather than a map of cells, so that things may stand as close as they do on service sheets.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from tracer.training.strokes import Points

__all__ = ["Blocked", "Ground", "Mark", "Touch"]

_ONE: Final = 0.6  # px; nearer than this is one place
_NEAR: Final = 3.4  # strokes; wires that do not join keep this far apart
_BESIDE: Final = 4.0  # strokes; the same for wires side by side
_CROSS: Final = 4.2  # strokes; from a crossing to any end, bend, join or body, or more where dots are large
_STUB: Final = (
    7.5  # strokes; from a crossing to an end that joins nothing, which looks like a join run too far
)
_BODY: Final = 2.0  # strokes; from a body to a wire that passes it

Box = tuple[float, float, float, float]


class Blocked(Exception):
    """The way is taken; whoever wanted it goes elsewhere or does without."""


@dataclass(frozen=True, slots=True)
class Touch:
    """The end of a wire at (x, y) that lies on wire number `wire`."""

    x: float
    y: float
    wire: int


@dataclass(frozen=True, slots=True)
class Mark:
    """How much had been drawn at some moment, to go back to."""

    segments: int
    boxes: int
    crossings: int
    joins: int
    nets: tuple[int, ...]


def _distance(points: Points, starts: Points, ends: Points) -> NDArray[np.float64]:
    """From each of `points` to the segment beside it, all (n, 2)."""
    way = ends - starts
    square = np.maximum((way**2).sum(axis=-1), 1e-9)
    part = np.clip(((points - starts) * way).sum(axis=-1) / square, 0.0, 1.0)
    foot = starts + part[..., None] * way - points
    away: NDArray[np.float64] = np.hypot(foot[..., 0], foot[..., 1])
    return away


class Ground:
    """Segments of wire, bodies and crossings so far, px; `dot` is the radius of a junction dot in strokes."""

    def __init__(self, width: float, height: float, margin: float, stroke: float, dot: float = 1.6) -> None:
        self.stroke = stroke
        self._cross = max(_CROSS, dot + 2.7) * stroke
        self._page = (margin, margin, width - margin, height - margin)
        self._segments = np.zeros((8192, 4))
        self._owner = np.zeros(8192, dtype=np.intp)
        self._first = np.zeros(8192, dtype=bool)  # the segment's start is its wire's end, not a bend
        self._last = np.zeros(8192, dtype=bool)
        self._pins = np.zeros((8192, 2), dtype=bool)  # start and end lie on a terminal
        self._boxes = np.zeros((2048, 4))
        self._crossings: list[tuple[float, float]] = []
        self._joins: list[tuple[float, float]] = []
        self._nets: list[int] = []
        self._count = self._bodies = 0

    @property
    def segments(self) -> NDArray[np.float64]:
        """(n, 4): x0, y0, x1, y1."""
        return self._segments[: self._count]

    @property
    def boxes(self) -> NDArray[np.float64]:
        """(n, 4): the bodies."""
        return self._boxes[: self._bodies]

    @property
    def crossings(self) -> Points:
        """(n, 2): where wires pass each other."""
        return np.array(self._crossings, dtype=np.float64).reshape(-1, 2)

    def flip(self, width: float) -> None:
        """Swap left and right of all there is, on a page `width` px wide."""
        self._segments[: self._count, 0::2] = width - self._segments[: self._count, 0::2]
        boxes = self._boxes[: self._bodies]
        boxes[:, [0, 2]] = width - boxes[:, [2, 0]]
        self._crossings = [(width - x, y) for x, y in self._crossings]
        self._joins = [(width - x, y) for x, y in self._joins]

    def mark(self) -> Mark:
        """Remember how much there is."""
        return Mark(self._count, self._bodies, len(self._crossings), len(self._joins), tuple(self._nets))

    def back(self, mark: Mark) -> None:
        """Forget what came after `mark`."""
        self._count, self._bodies = mark.segments, mark.boxes
        del self._crossings[mark.crossings :], self._joins[mark.joins :]
        self._nets = list(mark.nets)

    def inside(self, x0: float, y0: float, x1: float, y1: float) -> bool:
        """Whether a box lies on the page with its margin."""
        left, top, right, bottom = self._page
        return x0 > left and y0 > top and x1 < right and y1 < bottom

    def add_body(self, box: Box, room: float = 2.4, way: tuple[float, float] | None = None) -> None:
        """Take `box` for a body, `room` strokes clear of all else but a wire that comes in along `way`.

        Raises
        ------
        Blocked
            Something is there.
        """
        near = room * self.stroke
        x0, y0, x1, y1 = box[0] - near, box[1] - near, box[2] + near, box[3] + near
        if not self.inside(x0, y0, x1, y1):
            raise Blocked
        if way is not None:  # the side on which the wire comes in
            x0 += (near + 1.0) * (way[0] > 0.5)
            x1 -= (near + 1.0) * (way[0] < -0.5)
            y0 += (near + 1.0) * (way[1] > 0.5)
            y1 -= (near + 1.0) * (way[1] < -0.5)
        if self.hit(x0, y0, x1, y1):
            raise Blocked
        wide = 1.8 * self.stroke
        for x, y in self._crossings:
            if x0 - wide < x < x1 + wide and y0 - wide < y < y1 + wide:
                raise Blocked
        self._boxes[self._bodies] = box
        self._bodies += 1

    def hit(self, x0: float, y0: float, x1: float, y1: float) -> bool:
        """Whether a body or a wire meets the box."""
        b = self.boxes
        if ((b[:, 0] < x1) & (b[:, 2] > x0) & (b[:, 1] < y1) & (b[:, 3] > y0)).any():
            return True
        return bool(_through(self.segments, np.array([(x0, y0, x1, y1)])).any())

    def add_wire(self, points: Points, ends: tuple[tuple[float, float] | None, ...]) -> list[Touch]:
        """Add a polyline; `ends` are the directions in which the terminals at its two ends leave, or None.

        Raises
        ------
        Blocked
            It would lie where no eye could tell what it joins.
        """
        if not self.inside(*points.min(axis=0), *points.max(axis=0)):
            raise Blocked
        number, count = len(self._nets), len(points) - 1
        rows = np.concatenate([points[:-1], points[1:]], axis=1)
        first, last = np.arange(count) == 0, np.arange(count) == count - 1
        pins = np.stack([first & (ends[0] is not None), last & (ends[1] is not None)], axis=1)
        touches: list[Touch] = []
        crossed: list[tuple[float, float]] = []
        near: list[NDArray[np.intp]] = []
        for row, at_first, at_last, pin in zip(rows, first, last, pins, strict=True):
            near.append(self._meet(row, bool(at_first), bool(at_last), pin, touches, crossed))
        self._apart(touches)
        if crossed:
            self._no_stubs(points, pins, touches, crossed)
        own = {self._nets[touch.wire] for touch in touches}
        for close in near:
            if any(self._nets[self._owner[index]] not in own for index in close):
                raise Blocked
        self._pass_bodies(rows, ends, crossed)
        net = min(own, default=number)
        self._nets = [net if each in own else each for each in self._nets] + [net]
        place = slice(self._count, self._count + count)
        self._segments[place], self._owner[place] = rows, number
        self._first[place], self._last[place], self._pins[place] = first, last, pins
        self._count += count
        self._crossings += crossed
        self._joins += [(touch.x, touch.y) for touch in touches]
        return touches

    def _apart(self, touches: list[Touch]) -> None:
        """Refuse joins so close to others that their dots would run into each other."""
        if not self._joins:
            return
        joins = np.array(self._joins)
        for touch in touches:
            away = np.hypot(joins[:, 0] - touch.x, joins[:, 1] - touch.y)
            if ((away > _ONE) & (away < _BESIDE * self.stroke)).any():
                raise Blocked

    def _no_stubs(
        self,
        points: Points,
        pins: NDArray[np.bool_],
        touches: list[Touch],
        crossed: list[tuple[float, float]],
    ) -> None:
        """Refuse crossings shortly before an end that joins nothing."""
        every, joined = self.segments, [(touch.x, touch.y) for touch in touches]
        dead = [
            (float(x), float(y))
            for (x, y), pin in ((points[0], pins[0, 0]), (points[-1], pins[-1, 1]))
            if not pin and not any(abs(x - a) + abs(y - b) < _ONE for a, b in joined)
        ]
        reach = _STUB * self.stroke
        for x, y in crossed:
            for part, true, pinned in ((every[:, :2], self._first, 0), (every[:, 2:], self._last, 1)):
                close = (np.abs(part - (x, y)) < reach).all(axis=1)
                for index in np.flatnonzero(close & true[: len(every)] & ~self._pins[: len(every), pinned]):
                    place = np.broadcast_to(part[index], (len(every), 2))
                    if (_distance(place, every[:, :2], every[:, 2:]) < _ONE).sum() < 2:
                        dead.append((float(part[index, 0]), float(part[index, 1])))
            if any(abs(x - a) < reach and abs(y - b) < reach for a, b in dead):
                raise Blocked

    def _meet(
        self, row: NDArray[np.float64], at_first: bool, at_last: bool, pin: NDArray[np.bool_],
        touches: list[Touch], crossed: list[tuple[float, float]],
    ) -> NDArray[np.intp]:  # fmt: skip
        """Touches and crossings of one segment; gives the numbers of those it merely comes near."""
        every = self.segments
        if not len(every):
            return np.zeros(0, dtype=np.intp)
        reach = _BESIDE * self.stroke
        low, high = np.minimum(row[:2], row[2:]) - reach, np.maximum(row[:2], row[2:]) + reach
        some = np.flatnonzero(
            (np.minimum(every[:, 0], every[:, 2]) < high[0]) & (np.maximum(every[:, 0], every[:, 2]) > low[0])
            & (np.minimum(every[:, 1], every[:, 3]) < high[1])
            & (np.maximum(every[:, 1], every[:, 3]) > low[1])
        )  # fmt: skip
        near: list[int] = []
        for index in some:
            if self._one_meeting(row, at_first, at_last, pin, int(index), touches, crossed):
                near.append(int(index))
        return np.array(near, dtype=np.intp)

    def _one_meeting(
        self, row: NDArray[np.float64], at_first: bool, at_last: bool, pin: NDArray[np.bool_], index: int,
        touches: list[Touch], crossed: list[tuple[float, float]],
    ) -> bool:  # fmt: skip
        """Deal with one pair of segments; True where they come near and do not meet."""
        theirs = self._segments[index]
        a, b, c, d = row[:2], row[2:], theirs[:2], theirs[2:]
        starts, ends = np.array([c, c, a, a]), np.array([d, d, b, b])
        away = _distance(np.array([a, b, c, d]), starts, ends)
        mine, other = b - a, d - c
        turn = float(mine[0] * other[1] - mine[1] * other[0])
        length, their_length = float(np.hypot(*mine)), float(np.hypot(*other))
        flat = abs(turn) < 0.05 * length * their_length
        closest = int(np.argmin(away))
        if away[closest] < _ONE:
            self._touch(row, theirs, at_first, at_last, index, away, flat, touches)
            return False
        if not flat:
            gap = c - a
            part = float(gap[0] * other[1] - gap[1] * other[0]) / turn
            their_part = float(gap[0] * mine[1] - gap[1] * mine[0]) / turn
            if 0.0 < part < 1.0 and 0.0 < their_part < 1.0:
                x, y = a + part * mine
                nodes = min(part * length, (1 - part) * length, their_part * their_length,
                            (1 - their_part) * their_length)  # fmt: skip
                if nodes < self._cross or abs(turn) < 0.35 * length * their_length:
                    raise Blocked
                crossed.append((float(x), float(y)))
                return False
        if away[closest] >= (_BESIDE if flat else _NEAR) * self.stroke:
            return False
        pairs = [np.hypot(*(p - q)) for p, on in zip((a, b), pin, strict=True) if on
                 for q, their_on in zip((c, d), self._pins[index], strict=True) if their_on]  # fmt: skip
        if not pairs and flat and length > 0.0:
            along = mine / length
            low, high = sorted((float((c - a) @ along), float((d - a) @ along)))
            if min(high, length) - max(low, 0.0) > _BESIDE * self.stroke:
                raise Blocked  # side by side for a while, even where they join elsewhere
        # Leads of one part come as near to each other as its terminals are.
        return not (pairs and min(pairs) < 1.02 * away[closest])

    def _touch(
        self, row: NDArray[np.float64], theirs: NDArray[np.float64], at_first: bool, at_last: bool,
        index: int, away: NDArray[np.float64], flat: bool, touches: list[Touch],
    ) -> None:  # fmt: skip
        """A join, if a true end of one lies on the other and they do not run on top of each other."""
        free = (at_first, at_last, bool(self._first[index]), bool(self._last[index]))
        places = (row[:2], row[2:], theirs[:2], theirs[2:])
        hits = [n for n in range(4) if away[n] < _ONE]
        good = [n for n in hits if free[n]]
        if not good:
            raise Blocked
        spots = np.array([places[n] for n in hits])
        if flat and np.hypot(*(spots - spots[0]).T).max() > _ONE:
            raise Blocked
        if flat and len(hits) == 1:  # an end inside a parallel one
            raise Blocked
        x, y = places[good[0]]
        touches.append(Touch(float(x), float(y), int(self._owner[index])))

    def _pass_bodies(
        self, rows: NDArray[np.float64], ends: tuple[tuple[float, float] | None, ...],
        crossed: list[tuple[float, float]],
    ) -> None:  # fmt: skip
        """Keep off the bodies, but for a wire that leaves a terminal outwards."""
        near, b = _BODY * self.stroke, self.boxes
        if not len(b):
            return
        met = _through(rows, b + np.array([-near, -near, near, near]))
        for index, sign, place, leave in (
            (0, 1.0, rows[0, :2], ends[0]),
            (len(rows) - 1, -1.0, rows[-1, 2:], ends[1]),
        ):
            if leave is None:
                continue
            way = sign * (rows[index, 2:] - rows[index, :2])
            if way @ np.array(leave) < 0.7 * float(np.hypot(*way)):
                raise Blocked
            x, y = place
            met[index, (b[:, 0] < x + 2) & (b[:, 2] > x - 2) & (b[:, 1] < y + 2) & (b[:, 3] > y - 2)] = False
        if met.any():
            raise Blocked
        for x, y in crossed:
            edge = self._cross
            if (
                (b[:, 0] - edge < x) & (b[:, 2] + edge > x) & (b[:, 1] - edge < y) & (b[:, 3] + edge > y)
            ).any():
                raise Blocked


def _through(segments: NDArray[np.float64], boxes: NDArray[np.float64]) -> NDArray[np.bool_]:
    """(n, m): whether each segment meets each box."""
    start, way = segments[:, None, :2], (segments[:, 2:] - segments[:, :2])[:, None, :]
    safe = np.where(np.abs(way) < 1e-9, 1e-9, way)
    one, other = (boxes[None, :, :2] - start) / safe, (boxes[None, :, 2:] - start) / safe
    enter = np.maximum(np.minimum(one, other).max(axis=-1), 0.0)
    leave = np.minimum(np.maximum(one, other).min(axis=-1), 1.0)
    met: NDArray[np.bool_] = enter < leave
    return met

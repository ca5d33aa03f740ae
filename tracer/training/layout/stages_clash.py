"""Whether a wire or a body may be drawn where it is wanted, beside what is drawn already.

Exact geometry rather than a map of cells, so that things may stand as close as they do on service sheets.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from tracer.training.layout.geometry import distance, through
from tracer.training.layout.stages_meet import BESIDE, CROSS, ONE, Blocked, Stretch, meet
from tracer.training.strokes import Points

__all__ = ["Ground", "Mark", "Touch"]

_STUB: Final = (
    7.5  # strokes; from a crossing to an end that joins nothing, which looks like a join run too far
)
_FACING: Final = 11.0  # strokes; two ends nearer than this and in line look like one wire worn through
_BODY: Final = 2.0  # strokes; from a body to a wire that passes it

Box = tuple[float, float, float, float]


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


class Ground:
    """Segments of wire, bodies and crossings so far, px; `dot` is the radius of a dot or a hop in strokes."""

    def __init__(self, width: float, height: float, margin: float, stroke: float, dot: float = 1.6) -> None:
        self.stroke = stroke
        self._cross = max(CROSS, dot + 2.7) * stroke
        self._page = (margin, margin, width - margin, height - margin)
        self._segments = np.zeros((8192, 4))
        self._owner = np.zeros(8192, dtype=np.intp)
        self._free = np.zeros((8192, 2), dtype=bool)  # start and end are ends of the wire, not bends
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

    def transpose(self) -> None:
        """Swap x and y of all there is."""
        self._segments[: self._count] = self._segments[: self._count][:, [1, 0, 3, 2]]
        self._boxes[: self._bodies] = self._boxes[: self._bodies][:, [1, 0, 3, 2]]
        self._crossings = [(y, x) for x, y in self._crossings]
        self._joins = [(y, x) for x, y in self._joins]

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
        return bool(through(self.segments, np.array([(x0, y0, x1, y1)])).any())

    def across(self, place: tuple[float, float], way: tuple[float, float]) -> bool:
        """Whether a wire through `place` does not come straight along `way`, to end there."""
        every, at = self.segments, np.array(place)
        on = distance(np.broadcast_to(at, (len(every), 2)), every[:, :2], every[:, 2:]) < ONE
        for row in every[on]:
            ends = np.hypot(row[0] - at[0], row[1] - at[1]), np.hypot(row[2] - at[0], row[3] - at[1])
            run = (row[2:] - row[:2]) / max(float(np.hypot(*(row[2:] - row[:2]))), 1e-9)
            if min(ends) > ONE or abs(float(run[0] * way[1] - run[1] * way[0])) > 0.3:
                return True
        return False

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
        free = np.stack([np.arange(count) == 0, np.arange(count) == count - 1], axis=1)
        pins = free & np.array([ends[0] is not None, ends[1] is not None])
        touches: list[Touch] = []
        crossed: list[tuple[float, float]] = []
        near: set[int] = set()
        for row, at_end, on_pin in zip(rows, free, pins, strict=True):
            near |= self._meet(Stretch(row, at_end, on_pin), touches, crossed)
        self._apart(touches)
        self._spread(crossed)
        if len(self.segments):
            self._no_stubs(points, pins, touches, crossed)
        own = {self._nets[touch.wire] for touch in touches}
        if any(self._nets[wire] not in own for wire in near):
            raise Blocked
        self._pass_bodies(rows, ends, crossed)
        net = min(own, default=number)
        self._nets = [net if each in own else each for each in self._nets] + [net]
        place = slice(self._count, self._count + count)
        self._segments[place], self._owner[place] = rows, number
        self._free[place], self._pins[place] = free, pins
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
            if ((away > ONE) & (away < BESIDE * self.stroke)).any():
                raise Blocked

    def _spread(self, crossed: list[tuple[float, float]]) -> None:
        """Refuse crossings so close to others that no eye could tell which wire leads on as which."""
        if not crossed:
            return
        new = np.array(crossed)
        for index, place in enumerate(new):
            others = np.concatenate([new[:index], self.crossings])
            away = np.hypot(others[:, 0] - place[0], others[:, 1] - place[1])
            if (away < 3.6 * self.stroke).any():
                raise Blocked

    def _dead(self, near: Points, reach: float) -> list[tuple[float, float]]:
        """The ends of wires within `reach` px of `near` (x, y) that join nothing."""
        every, found = self.segments, []
        for side, part in enumerate((every[:, :2], every[:, 2:])):
            close = (np.abs(part - near) < reach).all(axis=1)
            bare = self._free[: len(every), side] & ~self._pins[: len(every), side]
            for index in np.flatnonzero(close & bare):
                place = np.broadcast_to(part[index], (len(every), 2))
                if (distance(place, every[:, :2], every[:, 2:]) < ONE).sum() < 2:
                    found.append((float(part[index, 0]), float(part[index, 1])))
        return found

    def _no_stubs(
        self,
        points: Points,
        pins: NDArray[np.bool_],
        touches: list[Touch],
        crossed: list[tuple[float, float]],
    ) -> None:
        """Refuse crossings shortly before an end that joins nothing, and such ends that face each other."""
        joined = [(touch.x, touch.y) for touch in touches]
        dead = [
            (place, place - before)
            for place, before, pin in (
                (points[0], points[1], pins[0, 0]),
                (points[-1], points[-2], pins[-1, 1]),
            )
            if not pin and not any(abs(place[0] - a) + abs(place[1] - b) < ONE for a, b in joined)
        ]
        reach = _STUB * self.stroke
        for x, y in crossed:
            others = [*self._dead(np.array([x, y]), reach), *(place for place, _ in dead)]
            if any(abs(x - a) < reach and abs(y - b) < reach for a, b in others):
                raise Blocked
        for place, way in dead:
            ahead = way / max(float(np.hypot(*way)), 1e-9)
            for other in self._dead(place, _FACING * self.stroke):
                gap = np.array(other) - place
                if gap @ ahead > ONE and abs(gap[0] * ahead[1] - gap[1] * ahead[0]) < 2 * self.stroke:
                    raise Blocked

    def _meet(self, one: Stretch, touches: list[Touch], crossed: list[tuple[float, float]]) -> set[int]:
        """Touches and crossings of one stretch; gives the numbers of the wires it merely comes near."""
        every, row = self.segments, one.row
        reach = BESIDE * self.stroke
        low, high = np.minimum(row[:2], row[2:]) - reach, np.maximum(row[:2], row[2:]) + reach
        least, most = np.minimum(every[:, :2], every[:, 2:]), np.maximum(every[:, :2], every[:, 2:])
        near: set[int] = set()
        for index in np.flatnonzero(((least < high) & (most > low)).all(axis=1)):
            other = Stretch(every[index], self._free[index], self._pins[index])
            found, wire = meet(one, other, self.stroke, self._cross), int(self._owner[index])
            if found is None:
                continue
            how, x, y = found
            if how == "touch":
                touches.append(Touch(x, y, wire))
            elif how == "cross":
                crossed.append((x, y))
            else:
                near.add(wire)
        return near

    def _pass_bodies(
        self, rows: NDArray[np.float64], ends: tuple[tuple[float, float] | None, ...],
        crossed: list[tuple[float, float]],
    ) -> None:  # fmt: skip
        """Keep off the bodies, but for a wire that leaves a terminal outwards."""
        near, b = _BODY * self.stroke, self.boxes
        if not len(b):
            return
        met = through(rows, b + np.array([-near, -near, near, near]))
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

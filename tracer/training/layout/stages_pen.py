"""A pen for orderly sheets: parts on leads between points, wires, signs; nothing is inked before the end.

What does not fit raises `Blocked` and can be undone, dots come from the joins themselves, and the lettering
is put where the finished circuit leaves room.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable
from typing import Any

import numpy as np

from tracer.training.layout.stages_clash import Ground
from tracer.training.layout.stages_manner import Manner
from tracer.training.layout.stages_meet import Blocked
from tracer.training.layout.stages_plan import Label, Place, Plan, Put
from tracer.training.sheet import SheetDrawing
from tracer.training.strokes import place_points
from tracer.training.symbols.symbol import Symbol
from tracer.training.truth import PartTerminal

__all__ = ["Pen", "Place", "Put"]


class Pen:
    """Plans a sheet in px; `u` is one symbol unit, `stroke` what the wires are wide."""

    def __init__(self, drawing: SheetDrawing, manner: Manner, rng: np.random.Generator) -> None:
        self.drawing, self.manner, self.rng = drawing, manner, rng
        self.u, self.stroke = drawing.style.unit, drawing.style.stroke * max(1.0, manner.pen)
        self.high = drawing.style.text_height
        style = drawing.style
        sway = 0.7 * style.freedom + 0.7 * style.hand.wobble / style.stroke
        self.reach = 1.15 * style.dot_radius + sway  # strokes; how far from its place a dot may show
        wide = self.reach if style.crossing == "plain" else max(self.reach, style.gap + 0.3)
        self.ground = Ground(drawing.width, drawing.height, manner.margin, self.stroke, wide)
        self.plan = Plan()
        self.bare: list[tuple[float, float, float, float]] = []  # boxes kept for titles and tables
        self.marked: list[tuple[float, float, float, float]] = []  # boxes of marks and notes drawn so far
        self._terminals: dict[tuple[int, int], PartTerminal] = {}

    @property
    def column(self) -> float:
        """How far apart upright parts stand side by side with a little lettering between, px."""
        return (self.breadth("R", "C", "E") + self.breadth("R")) + 3.0 * self.stroke + 1.4 * self._roomy()

    @property
    def step(self) -> float:
        """Length of a level part between two upright ones, px."""
        return self.length("R") + 2 * self.breadth("C", "E") + 4.0 * self.stroke + 0.6 * self._roomy()

    def _roomy(self) -> float:
        return self.manner.close * self.high

    def breadth(self, *kinds: str) -> float:
        """Half of what the broadest of `kinds` takes across its lead, px."""
        return (
            max(max(-e[1], e[3]) for e in (self.manner.build(k, self.rng)[1].extent for k in kinds)) * self.u
        )

    def length(self, *kinds: str) -> float:
        """What the longest of `kinds` takes along its lead, px."""
        return max(e[2] - e[0] for e in (self.manner.build(k, self.rng)[1].extent for k in kinds)) * self.u

    def pins(self, put: Put, *names: str, most: int = 17) -> None:
        """Letter pin numbers beside terminals, if this sheet does so."""
        if not self.manner.pinned:
            return
        numbers = self.rng.permutation(most - 1) + 1
        for name, number in zip(names or tuple(put.terminals), numbers, strict=False):
            lead = put.terminals[name]
            away = 0.3 * self.high
            self.label(lead.x + lead.dx * away, lead.y + lead.dy * away, str(number), size=0.75)

    def limits(self, top: float, bottom: float) -> Place:
        """The left and right ends of what is free for a row between two levels, px."""
        left, right = self.manner.margin, self.drawing.width - self.manner.margin
        near = 7 * self.stroke
        for x0, y0, x1, y1 in self.bare:
            if y0 - near < bottom and y1 + near > top:
                if x0 < self.drawing.width / 3:
                    left = max(left, x1 + near)
                else:
                    right = min(right, x0 - near)
        return left, right

    def span(self, low: float, high: float) -> float:
        """A random length between `low` and `high` units, px."""
        return float(self.rng.uniform(low, high)) * self.u

    def chance(self, share: float) -> bool:
        """True in `share` of the cases."""
        return bool(self.rng.random() < share)

    def attempt(self, draw: Callable[..., object], *args: Any, **options: Any) -> bool:
        """Call `draw`; False, and as if it had not been tried, where it is blocked."""
        mark, sizes = self.ground.mark(), self.plan.sizes()
        try:
            draw(*args, **options)
        except Blocked:
            self.ground.back(mark)
            for put in self.plan.puts[sizes[0] :]:
                for lead in put.leads:
                    self._terminals.pop((round(lead.x), round(lead.y)), None)
            self.plan.cut(sizes)
            return False
        return True

    def put(
        self, kind: str, x: float, y: float, *, turn: float = 0.0, mirror: bool = False, named: bool = True,
        made: Symbol | None = None, value: str | None = None, room: float = 2.4, scale: float = 1.0,
        way: Place | None = None, **options: object,
    ) -> Put:  # fmt: skip
        """Stand a part with its centre at (x, y).

        Raises
        ------
        Blocked
            There is no room.
        """
        name, made = (kind, made) if made is not None else self.manner.build(kind, self.rng, **options)
        angle = np.deg2rad(turn)
        spin = np.array([[np.cos(angle), -np.sin(angle)], [np.sin(angle), np.cos(angle)]])
        matrix, shift = spin @ np.diag([-1.0 if mirror else 1.0, 1.0]), np.array([x, y])
        unit = self.u * scale
        corners = place_points(np.concatenate(made.region), matrix * unit, shift)
        (x0, y0), (x1, y1) = corners.min(axis=0), corners.max(axis=0)
        box = (float(x0), float(y0), float(x1), float(y1))
        self.ground.add_body(box, room, way)
        terminals = {}
        for each in made.terminals:
            ((tx, ty),) = place_points(np.array([(each.x, each.y)]), matrix * unit, shift)
            dx, dy = matrix @ np.array([each.dx, each.dy])
            terminals[each.name] = PartTerminal(each.name, float(tx), float(ty), float(dx), float(dy))
        for lead in terminals.values():
            self._terminals[round(lead.x), round(lead.y)] = lead
        reference, own_value = self.manner.name_of(made.kind, self.rng) if named else ("", "")
        put = Put(made, name, x, y, turn, mirror, scale, reference, own_value if value is None else value,
                  box, terminals)  # fmt: skip
        self.plan.puts.append(put)
        return put

    def _leave(self, place: Place) -> tuple[float, float] | None:
        """The way out of the terminal at `place`, if one is there."""
        x, y = round(place[0]), round(place[1])
        for key in ((x, y), (x - 1, y), (x + 1, y), (x, y - 1), (x, y + 1)):
            found = self._terminals.get(key)
            if found is not None and abs(found.x - place[0]) < 0.1 and abs(found.y - place[1]) < 0.1:
                return found.dx, found.dy
        return None

    def at_terminal(self, place: Place) -> bool:
        """Whether a terminal lies at `place`."""
        return self._leave(place) is not None

    def wire(self, *points: Place, width: float = 1.0) -> None:
        """Run a wire; it joins what its ends lie on.

        Raises
        ------
        Blocked
            It would lie too close to something else.
        """
        kept = [points[0]]
        for x, y in points[1:]:
            if abs(x - kept[-1][0]) + abs(y - kept[-1][1]) > 0.2:
                kept.append((x, y))
        if len(kept) < 2:
            return
        self.ground.add_wire(np.array(kept, dtype=np.float64), (self._leave(kept[0]), self._leave(kept[-1])))
        self.plan.wires.append((tuple(kept), width * self.manner.pen))

    def link(
        self, a: Place, b: Place, *kinds: str, lean: float = 0.5, mirror: bool = False, **options: object
    ) -> list[Put]:
        """Parts in a row on the straight way from `a` to `b`, joined by wire.

        Raises
        ------
        Blocked
            The way is too short or taken.
        """
        built = [self.manner.build(kind, self.rng, **options) for kind in kinds]
        length = float(np.hypot(b[0] - a[0], b[1] - a[1]))
        sizes = [(made.terminals[0].x * self.u, made.terminals[-1].x * self.u) for _, made in built]
        if mirror:
            sizes = [(-right, -left) for left, right in sizes]
        sizes = [(min(pair), max(pair)) for pair in sizes]
        spare = length - sum(right - left for left, right in sizes)
        if built and spare < 3.6 * self.stroke * (len(built) + 1):
            raise Blocked
        ux, uy = ((b[0] - a[0]) / length, (b[1] - a[1]) / length) if length else (1.0, 0.0)
        turn = float(np.rad2deg(np.arctan2(uy, ux)))
        count = len(built)
        gaps = np.full(count + 1, spare / (count + 1))
        if count == 1:
            gaps = np.array([spare * lean, spare * (1 - lean)])
        puts: list[Put] = []
        here, start = a, 0.0
        for (name, made), (left, right), gap in zip(built, sizes, gaps, strict=False):
            middle = start + gap - left
            put = self.put(name, a[0] + ux * middle, a[1] + uy * middle, turn=turn, mirror=mirror, made=made)
            first, last = (put.leads[-1], put.leads[0]) if mirror else (put.leads[0], put.leads[-1])
            self.wire(here, (first.x, first.y))
            here = (last.x, last.y)
            start += gap + right - left
            puts.append(put)
            if self.manner.packed and put.made.kind == "resistor" and self.chance(0.7):
                self.pins(put)
        self.wire(here, b)
        return puts

    def sign(self, kind: str, at: Place, way: Place, *, lead: float = 0.0, text: str = "") -> None:
        """A sign (``"earth"``, ``"label.arrow"``…) at the end of a lead `lead` px long from `at`."""
        if self._leave(at) is not None:
            lead = max(lead, 4.5 * self.stroke)
        elif lead > 0.0:
            lead = max(lead, 3.2 * self.stroke)
        tip = (at[0] + way[0] * lead, at[1] + way[1] * lead)
        turn = float(np.rad2deg(np.arctan2(way[1], way[0]))) - (0.0 if kind == "label.flag" else 90.0)
        put = self.put(kind, *tip, turn=turn, named=False, room=1.6, way=way)
        self.wire(at, tip)
        if self.ground.across(tip, way):
            raise Blocked
        if text:
            x0, y0, x1, y1 = put.box
            edge = ((x0 + x1) / 2, (y0 + y1) / 2)
            half = abs(way[0]) * (x1 - x0) / 2 + abs(way[1]) * (y1 - y0) / 2
            self.label(edge[0] + way[0] * half, edge[1] + way[1] * half, text, *way, sure=True)

    def label(
        self, x: float, y: float, text: str, dx: float = 0.0, dy: float = 0.0, *, size: float = 1.0,
        angle: float = 0.0, sure: bool = False,
    ) -> None:  # fmt: skip
        """Words near (x, y)."""
        self.plan.labels.append(Label(x, y, text, dx, dy, size, angle, sure))

    def dashed(self, *points: Place) -> None:
        """A dashed line: a screen, or the link between ganged parts."""
        self.plan.dashed.append(points)

    def loose(self, at: Place, way: Place) -> None:
        """Remember an end that may be led elsewhere later."""
        self.plan.loose.append(PartTerminal("", at[0], at[1], way[0], way[1]))

    def flip(self) -> None:
        """Swap left and right of the whole plan, as of a sheet that runs from right to left."""
        width = float(self.drawing.width)
        self.ground.flip(width)
        self.bare = [(width - x1, y0, width - x0, y1) for x0, y0, x1, y1 in self.bare]
        self.plan.flip(width)

    def transpose(self) -> None:
        """Swap across and down, as of a sheet whose lines run upright; the page must be square."""
        self.ground.transpose()
        self.bare = [(y0, x0, y1, x1) for x0, y0, x1, y1 in self.bare]
        self.plan.transpose()

    def dots(self) -> list[Place]:
        """Where joins of three arms and more lie; those of four always get their dot, others by habit."""
        arms: dict[tuple[int, int], list[Place]] = defaultdict(list)
        rows = self.ground.segments
        for points, _ in self.plan.wires:
            for place in (points[0], points[-1]):
                arms[round(place[0]), round(place[1])].append(place)
        found = []
        for places in arms.values():
            x, y = places[0]
            way = rows[:, 2:] - rows[:, :2]
            square = np.maximum((way**2).sum(axis=1), 1e-9)
            part = np.clip(((x - rows[:, 0]) * way[:, 0] + (y - rows[:, 1]) * way[:, 1]) / square, 0, 1)
            away = np.hypot(rows[:, 0] + part * way[:, 0] - x, rows[:, 1] + part * way[:, 1] - y)
            on = away < 0.6
            length = np.sqrt(square)
            inner = (part * length > 0.6) & ((1 - part) * length > 0.6)
            count = int(on.sum() + (on & inner).sum())
            if count > 3 or (count == 3 and self.chance(self.manner.dots)):
                found.append((x, y))
        return found

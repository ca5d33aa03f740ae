"""A drawing with a memory of what lies where, so that a random layout does not draw over itself."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from tracer.training import symbols
from tracer.training.layout.names import part_name
from tracer.training.layout.ways import Contact, Lead, Ways
from tracer.training.sheet import SheetDrawing
from tracer.training.symbols.symbol import Symbol
from tracer.training.truth import DrawnPart, PartTerminal

__all__ = ["Board", "Habits", "Place"]

Place = tuple[float, float]


@dataclass(frozen=True, slots=True)
class Habits:
    """What the draughtsman of one sheet does.

    Attributes
    ----------
    dots : float
        How often a join gets its dot.
    resistor, capacitor, coil, chassis, contact, diode : str
        The symbols he uses for these.
    clearance : float
        Least distance between wires, in strokes.
    pen : float
        Width of the wires, in usual strokes.
    faint : float
        How often a wire is thin and grey.
    crossed : float
        How often two wires that cross are joined there, with a dot.
    over : float
        How often the stem of a T runs on past the bar a little.
    """

    dots: float
    resistor: str
    capacitor: str
    coil: str
    chassis: str
    contact: str
    diode: str
    clearance: float
    pen: float
    faint: float
    crossed: float = 0.0
    over: float = 0.0


class Board:
    """A `SheetDrawing` plus maps of what is taken, one cell per usual stroke."""

    def __init__(self, drawing: SheetDrawing, habits: Habits, rng: np.random.Generator) -> None:
        self.drawing, self.habits, self.rng = drawing, habits, rng
        self.cell = drawing.style.stroke
        shape = (int(drawing.height / self.cell) + 2, int(drawing.width / self.cell) + 2)
        self._solid = np.zeros(shape, dtype=bool)  # bodies, lettering, slanting wires: nothing may pass
        self._level = np.zeros(shape, dtype=bool)  # near level wires: no other level wire
        self._plumb = np.zeros(shape, dtype=bool)  # near upright wires: no other upright wire
        self._nodes = np.zeros(shape, dtype=bool)  # near ends, bends and joins: no wire at all
        self.loose: list[PartTerminal] = []
        self.stretches: list[tuple[Place, Place]] = []
        self.margin = 2 * self.cell
        self.ways = Ways(
            self.cell * max(1.0, habits.pen), drawing.style.hand.wobble, drawing.style.dot_radius
        )
        self._bodies = 0

    def _cells(self, x0: float, y0: float, x1: float, y1: float) -> tuple[slice, slice]:
        left, right = sorted((x0, x1))
        top, bottom = sorted((y0, y1))
        rows = slice(max(0, int(top / self.cell)), max(0, int(bottom / self.cell) + 1))
        columns = slice(max(0, int(left / self.cell)), max(0, int(right / self.cell) + 1))
        return rows, columns

    def inside(self, x0: float, y0: float, x1: float, y1: float) -> bool:
        """Whether a box lies on the page with a little margin."""
        m = self.margin
        return min(x0, x1) > m and min(y0, y1) > m and max(x0, x1) < self.drawing.width - m and max(
            y0, y1
        ) < self.drawing.height - m  # fmt: skip

    def free(self, x0: float, y0: float, x1: float, y1: float) -> bool:
        """Whether nothing at all lies in a box."""
        if not self.inside(x0, y0, x1, y1):
            return False
        at = self._cells(x0, y0, x1, y1)
        return not (self._solid[at].any() or self._level[at].any() or self._plumb[at].any())

    def take(self, x0: float, y0: float, x1: float, y1: float) -> None:
        """Let nothing else be drawn in a box."""
        self._solid[self._cells(x0, y0, x1, y1)] = True

    def put(
        self,
        name: str,
        x: float,
        y: float,
        *,
        turn: float = 0.0,
        mirror: bool = False,
        text: str | None = None,
        loose: bool = True,
        made: Symbol | None = None,
        room: float = 3.0,
        **options: object,
    ) -> DrawnPart | None:
        """Place a symbol with its lettering if there is room for it; None if not."""
        made = symbols.build(name, self.rng, **options) if made is None else made
        unit, cell = self.drawing.style.unit, self.cell
        x0, y0, x1, y1 = made.extent
        corners = np.array([(x0, y0), (x1, y0), (x1, y1), (x0, y1)]) * np.array(
            [-1.0 if mirror else 1.0, 1.0]
        )
        angle = np.deg2rad(turn)
        spin = np.array([[np.cos(angle), -np.sin(angle)], [np.sin(angle), np.cos(angle)]])
        corners = corners @ spin.T * unit + np.array([x, y])
        (bx0, by0), (bx1, by1) = corners.min(axis=0), corners.max(axis=0)
        margin = room * cell
        if not self.free(bx0 - margin, by0 - margin, bx1 + margin, by1 + margin):
            return None
        self._note_bodies()
        flip = np.array([-1.0 if mirror else 1.0, 1.0])
        feet = np.array([(t.x, t.y) for t in made.terminals]).reshape(-1, 2) * flip @ spin.T * unit + (x, y)
        outs = np.array([(t.dx, t.dy) for t in made.terminals]).reshape(-1, 2) * flip @ spin.T
        leads: list[Lead] = [(*foot, *out) for foot, out in zip(feet.tolist(), outs.tolist(), strict=True)]
        if not self.ways.body_fits(corners, leads):
            return None
        reference, value = self.name_of(made.kind)
        where = self._text_place(bx0, by0, bx1, by1, reference, value) if text is None else text
        part = self.drawing.place_symbol(
            made, name, x, y, turn=turn, mirror=mirror, reference=reference, value=value, text=where
        )
        self.take(bx0 - cell, by0 - cell, bx1 + cell, by1 + cell)
        fat = max((stroke.width for stroke in made.strokes), default=1.0) - 1.0
        self.ways.add_body(corners, leads, max(fat, 0.0) * cell)
        self._bodies = part.number
        for terminal in part.terminals:
            self._open_lead(terminal)
        if loose:
            self.loose += part.terminals
        return part

    def _note_bodies(self) -> None:
        """Take note of the bodies that were placed past this board."""
        for part in self.drawing.parts_from(self._bodies):
            x0, y0, x1, y1 = part.box
            corners = np.array([(x0, y0), (x1, y0), (x1, y1), (x0, y1)])
            self.ways.add_body(corners, [(t.x, t.y, t.dx, t.dy) for t in part.terminals])
            self._bodies = part.number

    def _open_lead(self, terminal: PartTerminal) -> None:
        """Keep the way out of a terminal passable for its own wire alone."""
        length = 2.2 * self.cell
        x1, y1 = terminal.x + terminal.dx * length, terminal.y + terminal.dy * length
        self._solid[self._cells(terminal.x, terminal.y, x1, y1)] = False
        self._nodes[self._cells(terminal.x, terminal.y, x1, y1)] = True

    def _text_place(self, x0: float, y0: float, x1: float, y1: float, reference: str, value: str) -> str:
        """A side of the body that has room for its lettering, taken at once."""
        high = self.drawing.style.text_height
        lines = [line for line in (reference, value) if line]
        if not lines:
            return "none"
        tall = (1.45 * len(lines) + 0.4) * high
        wide = 0.74 * high * max(len(line) for line in lines)
        middle, centre = (x0 + x1) / 2, (y0 + y1) / 2
        boxes = {
            "above": (middle - wide / 2, y0 - tall, middle + wide / 2, y0),
            "below": (middle - wide / 2, y1, middle + wide / 2, y1 + tall),
            "left": (x0 - 0.6 * high - wide, centre - tall / 2, x0 - 0.6 * high, centre + tall / 2),
            "right": (x1 + 0.6 * high, centre - tall / 2, x1 + 0.6 * high + wide, centre + tall / 2),
        }
        order = (
            ("above", "below", "right", "left") if x1 - x0 > y1 - y0 else ("right", "left", "above", "below")
        )
        for where in order:
            if self.free(*boxes[where]):
                self.take(*boxes[where])
                return where
        return order[0] if self.rng.random() < 0.15 else "none"

    def name_of(self, kind: str) -> tuple[str, str]:
        """A reference and a value for a part of `kind`."""
        number = int(self.rng.integers(1, 99))
        return part_name(kind, number, self.rng)

    def clear_run(self, points: Sequence[Place]) -> bool:
        """Whether a wire of level and upright stretches may run through `points`."""
        for index, ((x0, y0), (x1, y1)) in enumerate(pairwise(points)):
            if not self.inside(x0, y0, x1, y1):
                return False
            length = abs(x1 - x0) + abs(y1 - y0)
            if length < 1.0:
                return False
            level = abs(y1 - y0) < 1e-6
            first, last = index == 0, index == len(points) - 2
            ux, uy = (x1 - x0) / length, (y1 - y0) / length
            skip0 = 3.7 * self.cell if first else 0.0
            skip1 = 3.7 * self.cell if last else 0.0
            if length <= skip0 + skip1:
                continue
            at = self._cells(x0 + ux * skip0, y0 + uy * skip0, x1 - ux * skip1, y1 - uy * skip1)
            along = self._level if level else self._plumb
            if self._solid[at].any() or along[at].any() or self._nodes[at].any():
                return False
            if not first:
                corner = self._cells(x0, y0, x0, y0)
                if self._level[corner].any() or self._plumb[corner].any():
                    return False
        return True

    def run(
        self, points: Sequence[Place], *, check: bool = True, mapped: bool = True, width: float = 1.0
    ) -> bool:
        """Run a wire and remember it; False, and nothing drawn, if the way is taken.

        Without `check` it is drawn come what may, and where it is not `mapped` the map of cells is not asked.
        """
        if check and mapped and not self.clear_run(points):
            return False
        faint = int(self.rng.integers(70, 190)) if self.rng.random() < self.habits.faint else None
        thin = float(self.rng.uniform(0.5, 0.9)) if faint is not None else 1.0
        width *= thin * self.habits.pen
        contacts = self.meets(points, width)
        if contacts is None:
            if check:
                return False
            contacts = []
        if not self._fourth_arms(contacts, draughted=check):
            return False
        over = (self._over(points[0], points[1], contacts), self._over(points[-1], points[-2], contacts))
        self.drawing.wire(points, width, faint, over)
        self.ways.add_wire(points, width * self.cell, [self._dotted(each) for each in contacts])
        near = self.habits.clearance * self.cell
        for (x0, y0), (x1, y1) in pairwise(points):
            if abs(y1 - y0) < 1e-6:
                self._level[self._cells(x0, y0 - near, x1, y1 + near)] = True
            elif abs(x1 - x0) < 1e-6:
                self._plumb[self._cells(x0 - near, y0, x1 + near, y1)] = True
            else:
                self._take_slant((x0, y0), (x1, y1))
                continue
            self.stretches.append(((x0, y0), (x1, y1)))
        for x, y in points:
            self.node(x, y)
        return True

    def _fourth_arms(self, contacts: Sequence[Contact], *, draughted: bool) -> bool:
        """Dot joins that get a fourth arm, lest they look like crossings; False on sheets without dots."""
        full = [each for each in contacts if not each.crosses and self.ways.arms(each.x, each.y) > 2]
        if full and draughted and self.habits.dots < 0.5:
            return False
        for each in full:
            self.drawing.dot(each.x, each.y)
        return True

    def meets(self, points: Sequence[Place], width: float = 1.0) -> list[Contact] | None:
        """Where a wire, `width` usual strokes wide, would meet others; None if no eye could follow it."""
        self._note_bodies()
        return self.ways.contacts(points, width * self.cell)

    def _over(self, tip: Place, before: Place, contacts: Sequence[Contact]) -> float:
        """How far, px, a wire that ends on another is drawn past it; below nought if it falls short."""
        if self.rng.random() >= self.habits.over:
            return 0.0
        if not any(each.inner and abs(each.x - tip[0]) + abs(each.y - tip[1]) < 2.0 for each in contacts):
            return 0.0
        if self.drawing.style.freedom > 0.0 and self.rng.random() < 0.2:
            return -float(self.rng.uniform(0.8, 1.7)) * self.cell
        long = float(self.rng.uniform(0.4, 1.9)) * self.cell
        away = float(np.hypot(tip[0] - before[0], tip[1] - before[1]))
        far = tuple(t + (t - b) / away * (long + 2.4 * self.cell) for t, b in zip(tip, before, strict=True))
        return long if self.ways.lone(tip, (far[0], far[1])) else 0.0

    def _dotted(self, contact: Contact) -> Contact:
        """A crossing, or the join that the sheet's habit makes of it with a dot."""
        if not contact.crosses or self.rng.random() >= self.habits.crossed:
            return contact
        self.drawing.dot(contact.x, contact.y, max(self.drawing.style.dot_radius, contact.width / self.cell))
        return replace(contact, crosses=False)

    def rule(self, points: Sequence[Place], width: float = 1.0) -> None:
        """Rule a plain line that no wire may touch."""
        self.drawing.rule(points, width)
        self.ways.add_rule(points, width * self.cell)

    def frame(self, x0: float, y0: float, x1: float, y1: float, width: float = 1.0) -> None:
        """Rule a rectangle that no wire may touch."""
        self.rule([(x0, y0), (x1, y0), (x1, y1), (x0, y1), (x0, y0)], width)

    def node(self, x: float, y: float) -> None:
        """Keep other wires away from an end, a bend or a join."""
        near = 2.2 * self.cell
        self._nodes[self._cells(x - near, y - near, x + near, y + near)] = True

    def node_free(self, x: float, y: float) -> bool:
        """Whether a wire at (x, y) may be joined there."""
        near = 1.5 * self.cell
        return not self._nodes[self._cells(x - near, y - near, x + near, y + near)].any()

    def _take_slant(self, start: Place, end: Place) -> None:
        count = int(np.hypot(end[0] - start[0], end[1] - start[1]) / self.cell) + 2
        near = 1.5 * self.cell
        for x, y in np.linspace(start, end, count):
            self._solid[self._cells(x - near, y - near, x + near, y + near)] = True

    def dot(self, x: float, y: float, *, always: bool = False) -> None:
        """Set a dot at a join if the sheet's habit (or its meaning) asks for one."""
        if always or self.rng.random() < self.habits.dots:
            self.drawing.dot(x, y)

    def crowded(self) -> float:
        """How much of the page is taken, 0 to 1."""
        taken: NDArray[np.bool_] = self._solid | self._level | self._plumb
        return float(taken.mean())

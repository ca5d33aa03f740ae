"""What the symbols of another hand are drawn with: shapes in their own frame, terminals, and the manner."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Any

import numpy as np
from another_ink import Fill, Points, Stroke, arc, corners_rounded

__all__ = ["Brush", "Manner", "Placed"]

_TURNS = {0: (1, 0), 90: (0, 1), 180: (-1, 0), 270: (0, -1)}


@dataclass(frozen=True, slots=True)
class Manner:
    """How one sheet is drawn; all but `scale` (px a mm) and `slope` in mm.

    `dot` is a junction dot's radius, none if 0; `heavy` the pen of envelopes; `slope` how far a level line
    leaves the level.
    """

    scale: float = 8.0
    pen: float = 0.35
    symbol_pen: float = 0.35
    heavy: float = 0.6
    dot: float = 0.6
    crossing: str = "plain"
    resistor: str = "zigzag"
    capacitor: str = "plain"
    coil: str = "loops"
    ground: str = "bars"
    letters: str = "stencil"
    high: float = 2.2
    wobble: float = 0.0
    slope: float = 0.0
    circles: bool = True


@dataclass(frozen=True)
class Placed:
    """A symbol on the sheet: its kind, lettering, box, shapes, and each terminal's place and way out, mm."""

    kind: str
    reference: str
    value: str
    box: tuple[float, float, float, float]
    shapes: tuple[Stroke | Fill, ...]
    terminals: dict[str, tuple[float, float, float, float]]
    side: str = ""
    more: str = ""

    def __getitem__(self, name: str) -> tuple[float, float]:
        return self.terminals[name][:2]


@dataclass
class Brush:
    """Draws in a symbol's own frame: its first terminal at (0, 0), on along x; y is to the right hand."""

    manner: Manner
    x: float = 0.0
    y: float = 0.0
    turn: int = 0
    mirror: bool = False
    size: float = 1.0
    shapes: list[Stroke | Fill] = field(default_factory=list)
    terminals: dict[str, tuple[float, float, float, float]] = field(default_factory=dict)
    notes: list[tuple[str, float, float]] = field(default_factory=list)
    extent: list[Points] = field(default_factory=list)

    def place(self, points: Any) -> Points:
        """Take places of the symbol's frame to the sheet."""
        own = np.array(points, np.float64).reshape(-1, 2) * self.size
        moved: Points = self._turned(own) + np.array([self.x, self.y])
        return moved

    def _turned(self, own: Points) -> Points:
        if self.mirror:
            own = own * [1, -1]
        cosine, sine = _TURNS[self.turn]
        return np.stack(
            [own[:, 0] * cosine - own[:, 1] * sine, own[:, 0] * sine + own[:, 1] * cosine], axis=1
        )

    def line(
        self,
        *points: Sequence[float],
        width: float | None = None,
        dash: tuple[float, float] | None = None,
        counts: bool = True,
        meaning: str = "body",
    ) -> None:
        """Draw through points; where it `counts` the body's box holds it."""
        self._stroke(self.place(points), width, dash, counts, meaning)

    def round(self, *points: Sequence[float], width: float | None = None, counts: bool = True) -> None:
        """Draw through points with the corners cut round."""
        self._stroke(
            self.place(corners_rounded(np.array(points, np.float64), 3)), width, None, counts, "body"
        )

    def arc(
        self,
        x: float,
        y: float,
        across: float,
        start: float = 0.0,
        end: float = 360.0,
        flat: float = 1.0,
        width: float | None = None,
        dash: tuple[float, float] | None = None,
    ) -> None:
        """Draw an arc about (x, y), in degrees from x towards y."""
        count = max(10, int(abs(end - start) / 8))
        self._stroke(self.place(arc(x, y, across, start, end, flat, count)), width, dash, True, "body")

    def fill(self, *points: Sequence[float], paper: bool = False, counts: bool = True) -> None:
        """Fill a polygon with ink, or rub it out."""
        placed = self.place(points)
        self.shapes.append(Fill((placed,), "body", paper))
        if counts and not paper:
            self.extent.append(placed)

    def disc(self, x: float, y: float, across: float, *, paper: bool = False) -> None:
        """Fill a disc."""
        self.fill(*arc(x, y, across, 0, 360), paper=paper)

    def terminal(self, name: str, x: float, y: float, dx: float, dy: float) -> None:
        """Say where a lead leaves, and which way."""
        (px, py), (wx, wy) = self.place([(x, y)])[0], self._turned(np.array([[dx, dy]], np.float64))[0]
        self.terminals[name] = (round(px, 6), round(py, 6), float(wx), float(wy))

    def note(self, text: str, x: float, y: float) -> None:
        """Letter something inside or beside the body; (x, y) is its middle."""
        px, py = self.place([(x, y)])[0]
        self.notes.append((text, float(px), float(py)))

    def done(self, kind: str, name: str, side: str = "") -> Placed:
        """Hand over what was drawn; `name` is "reference value more", each on a line of its own."""
        reference, _, rest = name.partition(" ")
        value, _, more = rest.partition(" ")
        every = np.concatenate(self.extent)
        (x0, y0), (x1, y1) = every.min(axis=0), every.max(axis=0)
        box = (float(x0), float(y0), float(x1), float(y1))
        return Placed(kind, reference, value, box, tuple(self.shapes), dict(self.terminals), side, more)

    def _stroke(
        self,
        points: Points,
        width: float | None,
        dash: tuple[float, float] | None,
        counts: bool,
        meaning: str,
    ) -> None:
        self.shapes.append(Stroke(points, width or self.manner.symbol_pen, meaning, dash))
        if counts:
            self.extent.append(points)

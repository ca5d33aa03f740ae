"""The pen of another hand: walks over the sheet that leave wires and parts, and what they make in the end.

A layout is written as walks: from a place, so far right, a resistor, a dot, so far down, the chassis. Which
wires make one conductor follows from where they were drawn: a wire's end or a dot on a wire joins, a crossing
does not.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Any

from another_brush import Brush, Manner, Placed
from another_passives import ENDS, TWO_LEADS

__all__ = ["Pen", "Walk"]

Place = tuple[float, float]

_WAYS = {"r": (1, 0, 0), "d": (0, 1, 90), "l": (-1, 0, 180), "u": (0, -1, 270)}
_LEAD = 2.5


@dataclass
class Pen:
    """What is on the sheet so far, mm."""

    manner: Manner
    wires: list[tuple[Place, Place]] = field(default_factory=list)
    dots: list[Place] = field(default_factory=list)
    parts: list[Placed] = field(default_factory=list)
    notes: list[tuple[str, float, float]] = field(default_factory=list)
    texts: list[tuple[str, float, float, bool]] = field(default_factory=list)
    furniture: list[tuple[tuple[Place, ...], tuple[float, float] | None]] = field(default_factory=list)
    marks: dict[str, Place] = field(default_factory=dict)
    names: dict[Place, str] = field(default_factory=dict)

    def at(self, x: float | str | Place, y: float = 0.0) -> Walk:
        """Begin a walk at a place, or at a mark."""
        if isinstance(x, str):
            return Walk(self, *self.marks[x])
        if isinstance(x, tuple):
            return Walk(self, *x)
        return Walk(self, float(x), float(y))

    def put(
        self,
        symbol: Callable[..., str],
        name: str,
        x: float,
        y: float,
        *details: Any,
        turn: int = 0,
        mirror: bool = False,
        side: str = "",
        **more: Any,
    ) -> Placed:
        """Put a symbol with many leads at a place; return it, its terminals by name."""
        brush = Brush(self.manner, x, y, turn, mirror)
        kind = symbol(brush, *details, **more)
        placed = brush.done(kind, name, side)
        self.parts.append(placed)
        self.notes += brush.notes
        return placed

    def text(self, text: str, x: float, y: float, *, upright: bool = False) -> None:
        """Letter a note from its left end."""
        self.texts.append((text, x, y, upright))

    def screen(self, x0: float, y0: float, x1: float, y1: float, *, dashed: bool = True) -> None:
        """Draw a can or a frame about parts."""
        corners = ((x0, y0), (x1, y0), (x1, y1), (x0, y1), (x0, y0))
        self.furniture.append((corners, (2.4, 1.4) if dashed else None))

    def ganging(self, *places: Place) -> None:
        """Draw the dashed line between things that move together."""
        self.furniture.append((places, (1.6, 1.3)))

    def join(self, start: Place, end: Place) -> None:
        """Draw a straight wire."""
        if abs(start[0] - end[0]) + abs(start[1] - end[1]) > 1e-6:
            self.wires.append((_rounded(start), _rounded(end)))


@dataclass
class Walk:
    """A walk over the sheet: each step leaves a wire or a part and returns the walk."""

    pen: Pen
    x: float
    y: float
    way: str = "r"

    def r(self, far: float) -> Walk:
        return self._to(self.x + far, self.y, "r")

    def l(self, far: float) -> Walk:  # noqa: E743
        return self._to(self.x - far, self.y, "l")

    def u(self, far: float) -> Walk:
        return self._to(self.x, self.y - far, "u")

    def d(self, far: float) -> Walk:
        return self._to(self.x, self.y + far, "d")

    def h(self, x: float) -> Walk:
        """Go level to `x`."""
        return self._to(x, self.y, "r" if x > self.x else "l")

    def v(self, y: float) -> Walk:
        """Go upright to `y`."""
        return self._to(self.x, y, "d" if y > self.y else "u")

    def to(self, x: float | str | Place, y: float = 0.0) -> Walk:
        """Go straight to a place or a mark."""
        if isinstance(x, str):
            x, y = self.pen.marks[x]
        elif isinstance(x, tuple):
            x, y = x
        return self._to(x, y, self.way)

    def dot(self, mark: str = "") -> Walk:
        """Join all wires that pass here."""
        self.pen.dots.append(_rounded((self.x, self.y)))
        return self.mark(mark) if mark else self

    def mark(self, mark: str) -> Walk:
        """Name this place, to come back to."""
        self.pen.marks[mark] = (self.x, self.y)
        return self

    def two(
        self,
        symbol: str,
        name: str = "",
        way: str = "",
        *,
        lead: float = _LEAD,
        back: bool = False,
        mirror: bool = False,
        side: str = "",
        mark: str = "",
    ) -> Walk:
        """Go on through a part with two leads; `back` puts its second end first, `mark` names its wiper."""
        draw, kind = TWO_LEADS[symbol]
        self.way = way or self.way
        dx, dy, turn = _WAYS[self.way]
        self._step(lead)
        long = draw(Brush(self.pen.manner))
        start = (self.x + dx * long, self.y + dy * long) if back else (self.x, self.y)
        brush = Brush(self.pen.manner, *start, turn=(turn + 180) % 360 if back else turn, mirror=mirror)
        draw(brush)
        brush.terminal("1", 0, 0, -1, 0)
        brush.terminal("2", long, 0, 1, 0)
        self.pen.parts.append(brush.done(kind, name, side))
        self.pen.notes += brush.notes
        if "w" in brush.terminals and mark:
            self.pen.marks[mark] = brush.terminals["w"][:2]
        self.x, self.y = self.x + dx * long, self.y + dy * long
        self._step(lead)
        return self

    def end(self, symbol: str, name: str = "", way: str = "", side: str = "") -> Pen:
        """End the walk in a sign; `name` is lettered beyond it."""
        draw, kind = ENDS[symbol]
        self.way = way or self.way
        brush = Brush(self.pen.manner, self.x, self.y, _WAYS[self.way][2])
        draw(brush)
        brush.terminal("1", 0, 0, -1, 0)
        self.pen.parts.append(brush.done(kind, name.replace(" ", "\N{NO-BREAK SPACE}"), side or self.way))
        return self.pen

    def chassis(self, far: float = 2.5) -> Pen:
        """Go down a little to the chassis."""
        return self.d(far).end("chassis", "", "d")

    def R(self, name: str, way: str = "", **more: Any) -> Walk:  # noqa: N802
        return self.two("resistor", name, way, **more)

    def C(self, name: str, way: str = "", **more: Any) -> Walk:  # noqa: N802
        return self.two("capacitor", name, way, **more)

    def E(self, name: str, way: str = "", **more: Any) -> Walk:  # noqa: N802
        """An electrolytic capacitor, its positive plate first."""
        return self.two("electrolytic", name, way, **more)

    def _to(self, x: float, y: float, way: str) -> Walk:
        self.pen.join((self.x, self.y), (x, y))
        self.x, self.y, self.way = x, y, way
        return self

    def _step(self, far: float) -> None:
        dx, dy, _ = _WAYS[self.way]
        self._to(self.x + dx * far, self.y + dy * far, self.way)


def _rounded(place: Place) -> Place:
    return round(place[0], 4), round(place[1], 4)

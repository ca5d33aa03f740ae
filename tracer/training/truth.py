"""What is known of a drawn sheet: its pixels' meaning, its conductors and its parts."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from tracer.training.strokes import Points

__all__ = ["Conductor", "ConductorEnd", "CrossingMark", "DrawnPart", "PartTerminal", "SheetTruth"]


@dataclass(frozen=True, slots=True)
class PartTerminal:
    """A terminal on the page, px, and the way its lead leaves (unit vector)."""

    name: str
    x: float
    y: float
    dx: float
    dy: float


@dataclass(frozen=True, slots=True)
class DrawnPart:
    """One part as drawn: `box` is x0, y0, x1, y1 px, half-open, over the body alone."""

    number: int
    kind: str
    symbol: str
    reference: str
    value: str
    box: tuple[float, float, float, float]
    terminals: tuple[PartTerminal, ...]

    def terminal(self, name: str) -> tuple[float, float]:
        """Where terminal `name` lies, px.

        Raises
        ------
        KeyError
            The part has no such terminal.
        """
        for each in self.terminals:
            if each.name == name:
                return each.x, each.y
        raise KeyError(f"{self.symbol} has no terminal {name}; it has {[t.name for t in self.terminals]}")

    def out(self, name: str, distance: float) -> tuple[float, float]:
        """The point `distance` px away from terminal `name` along its lead."""
        self.terminal(name)
        each = next(t for t in self.terminals if t.name == name)
        return each.x + each.dx * distance, each.y + each.dy * distance


@dataclass(frozen=True, slots=True)
class ConductorEnd:
    """A part's terminal that a conductor reaches."""

    part: int
    terminal: str
    x: float
    y: float


@dataclass(frozen=True, slots=True, eq=False)
class Conductor:
    """Wire joined by wire.

    Attributes
    ----------
    number : int
        From 1.
    ends : tuple of ConductorEnd
        The terminals it reaches; a frame or a ruled table has none.
    points : (n, 2) float64
        Points along its wires, px, clear of joins, crossings and bodies where the wire is long enough.
    track : (m, 2) float64
        All along its wires, px, a stroke apart or less; from wire to wire it jumps.
    """

    number: int
    ends: tuple[ConductorEnd, ...]
    points: Points
    track: Points = field(default_factory=lambda: np.zeros((0, 2)))


@dataclass(frozen=True, slots=True)
class CrossingMark:
    """Two wires that pass at (x, y): ``"plain"``, ``"hop"`` or ``"gap"``, and the two conductors' numbers."""

    x: float
    y: float
    style: str
    conductors: tuple[int, int]


@dataclass(frozen=True, slots=True, eq=False)
class SheetTruth:
    """A drawn sheet and all that is known of it.

    Attributes
    ----------
    image : (H, W) uint8
        0 ink to 255 paper.
    classes : (H, W) uint8
        Class of each pixel, numbered as in ``tracer.training.classes``; 255 is unknown.
    kinds : (ceil(H/4), ceil(W/4)) uint8
        Index into `kind_names` of the body at each cell.
    kind_names : tuple of str
        ``("none", "resistor", ...)``.
    stroke : float
        The usual stroke width, px.
    conductors, parts, joins, crossings
        `joins` are x, y px of every place where three or more wires meet, and whether a dot marks it.
    """

    image: NDArray[np.uint8]
    classes: NDArray[np.uint8]
    kinds: NDArray[np.uint8]
    kind_names: tuple[str, ...]
    stroke: float
    conductors: tuple[Conductor, ...]
    parts: tuple[DrawnPart, ...]
    joins: tuple[tuple[float, float, bool], ...]
    crossings: tuple[CrossingMark, ...]

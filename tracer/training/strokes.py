"""Strokes of a pen: the shapes that symbols, wires and lettering are drawn with.

Everything is a polyline. Symbols keep their strokes in *units* (one unit is about half the height of a
resistor) with widths in multiples of the usual stroke; a sheet keeps them in px.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TypeAlias

import numpy as np
from numpy.typing import ArrayLike, NDArray

__all__ = [
    "Points",
    "Stroke",
    "arc",
    "arrow_head",
    "box",
    "bumps",
    "circle",
    "dashes",
    "line",
    "loops",
    "place_points",
    "polygon",
    "rounded_box",
    "zigzag_line",
]

Points: TypeAlias = NDArray[np.float64]


@dataclass(frozen=True, slots=True, eq=False)
class Stroke:
    """One stroke of the pen.

    Attributes
    ----------
    points : (n, 2) float64
        x, y of the polyline; x right, y down.
    width : float
        Pen width, in usual strokes (symbols) or px (sheets).
    fill : float or None
        None leaves the inside alone; 1.0 fills the closed outline with ink, 0.0 with bare paper.
    """

    points: Points
    width: float = 1.0
    fill: float | None = None

    def moved(self, matrix: Points, shift: Points, width: float) -> Stroke:
        """The stroke under ``p @ matrix.T + shift``, its width multiplied by `width`."""
        return replace(self, points=self.points @ matrix.T + shift, width=self.width * width)


def _array(points: ArrayLike) -> Points:
    return np.asarray(points, dtype=np.float64).reshape(-1, 2)


def line(*points: tuple[float, float], width: float = 1.0) -> Stroke:
    """A polyline through `points`."""
    return Stroke(_array(points), width)


def polygon(*points: tuple[float, float], width: float = 1.0, fill: float | None = None) -> Stroke:
    """A closed outline through `points`."""
    return Stroke(_array([*points, points[0]]), width, fill)


def box(x0: float, y0: float, x1: float, y1: float, width: float = 1.0, fill: float | None = None) -> Stroke:
    """An upright rectangle."""
    return polygon((x0, y0), (x1, y0), (x1, y1), (x0, y1), width=width, fill=fill)


def arc(
    x: float,
    y: float,
    radius: float,
    start: float,
    end: float,
    width: float = 1.0,
    *,
    squash: float = 1.0,
) -> Stroke:
    """Part of a circle from `start` to `end` degrees (0 right, 90 down); `squash` scales its height."""
    count = max(4, int(abs(end - start) / 12) + 1)
    angles = np.deg2rad(np.linspace(start, end, count))
    return Stroke(np.stack([x + radius * np.cos(angles), y + radius * squash * np.sin(angles)], 1), width)


def circle(x: float, y: float, radius: float, width: float = 1.0, fill: float | None = None) -> Stroke:
    """A whole circle."""
    return replace(arc(x, y, radius, 0, 360, width), fill=fill)


def rounded_box(
    x0: float, y0: float, x1: float, y1: float, radius: float, width: float = 1.0, fill: float | None = None
) -> Stroke:
    """A rectangle with round corners; with a radius of half its width it is a tall envelope."""
    corners = [
        (x1 - radius, y0 + radius, -90),
        (x1 - radius, y1 - radius, 0),
        (x0 + radius, y1 - radius, 90),
        (x0 + radius, y0 + radius, 180),
    ]
    parts = [arc(x, y, radius, angle, angle + 90).points for x, y, angle in corners]
    return Stroke(np.concatenate([*parts, parts[0][:1]]), width, fill)


def zigzag_line(x0: float, x1: float, height: float, teeth: int, width: float = 1.0) -> Stroke:
    """The zigzag of a resistor along y = 0."""
    xs = np.linspace(x0, x1, 2 * teeth + 1)
    inner = (xs[:-1] + xs[1:]) / 2
    points = [(x0, 0.0)]
    points += [(float(x), height * (-1) ** (index + 1)) for index, x in enumerate(inner)]
    return Stroke(_array([*points, (x1, 0.0)]), width)


def bumps(
    x0: float, x1: float, count: int, width: float = 1.0, *, up: bool = True, squash: float = 1.0
) -> Stroke:
    """Half circles side by side along y = 0: a coil of bumps."""
    radius = (x1 - x0) / count / 2
    turn = 180.0 if up else -180.0
    pieces = [
        arc(x0 + radius * (2 * index + 1), 0.0, radius, turn, 360.0 if up else 0.0, squash=squash).points
        for index in range(count)
    ]
    if not up:
        pieces = [piece[::1] for piece in pieces]
    return Stroke(np.concatenate(pieces), width)


def loops(
    x0: float, x1: float, count: int, height: float, width: float = 1.0, *, lap: float = 0.75
) -> Stroke:
    """A coil of overlapping loops along y = 0, drawn as one running curve; `lap` is how wide each loop is."""
    turns = np.linspace(0, 2 * np.pi * count + np.pi, 14 * count + 7)
    radius = (x1 - x0) / (count + 1) * lap
    run = np.linspace(x0 + radius, x1 - radius, len(turns))
    return Stroke(np.stack([run - radius * np.cos(turns), -height * np.sin(turns) * 0.5], 1), width)


def arrow_head(
    tip: tuple[float, float], towards: tuple[float, float], size: float, width: float = 1.0, *, solid: bool
) -> list[Stroke]:
    """An arrow head at `tip` that points along `towards`."""
    direction = np.asarray(towards, dtype=np.float64)
    direction = direction / (np.hypot(direction[0], direction[1]) + 1e-9)
    side = np.array([-direction[1], direction[0]]) * size * 0.42
    back = np.asarray(tip, dtype=np.float64) - direction * size
    left, right = back + side, back - side
    if solid:
        return [Stroke(np.stack([np.asarray(tip), left, right, np.asarray(tip)]), width * 0.5, 1.0)]
    return [Stroke(np.stack([left, np.asarray(tip, dtype=np.float64), right]), width)]


def dashes(points: Points, on: float, off: float) -> list[Points]:
    """Cut a polyline into dashes of length `on` with gaps of length `off`."""
    lengths = np.hypot(*np.diff(points, axis=0).T)
    along = np.concatenate([[0.0], np.cumsum(lengths)])
    pieces = []
    start = 0.0
    while start < along[-1]:
        end = min(start + on, float(along[-1]))
        inner = along[(along > start) & (along < end)]
        stops = np.concatenate([[start], inner, [end]])
        pieces.append(np.stack([np.interp(stops, along, points[:, axis]) for axis in (0, 1)], 1))
        start = end + off
    return pieces


def place_points(points: Points, matrix: Points, shift: Points) -> Points:
    """``points @ matrix.T + shift``."""
    moved: Points = points @ matrix.T + shift
    return moved

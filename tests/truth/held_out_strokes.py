"""Short names for the strokes and areas of the held-out symbols; places in units."""

from __future__ import annotations

import numpy as np

from tracer.training.strokes import Points, Stroke
from tracer.training.symbols.symbol import Terminal

__all__ = ["area", "bow", "box", "ends", "line", "ring"]

Place = tuple[float, float]


def line(*points: Place, width: float = 1.0, fill: float | None = None) -> Stroke:
    return Stroke(np.array(points, np.float64), width, fill)


def box(x0: float, y0: float, x1: float, y1: float, width: float = 1.0, fill: float | None = None) -> Stroke:
    return line((x0, y0), (x1, y0), (x1, y1), (x0, y1), (x0, y0), width=width, fill=fill)


def bow(
    x: float,
    y: float,
    rx: float,
    ry: float,
    start: float,
    end: float,
    width: float = 1.0,
    fill: float | None = None,
) -> Stroke:
    turn = np.deg2rad(np.linspace(start, end, 25))
    return Stroke(np.stack([x + rx * np.cos(turn), y + ry * np.sin(turn)], 1), width, fill)


def ring(x: float, y: float, radius: float, width: float = 1.0, fill: float | None = None) -> Stroke:
    return bow(x, y, radius, radius, 0, 360, width, fill)


def area(x0: float, y0: float, x1: float, y1: float) -> Points:
    return np.array([(x0, y0), (x1, y0), (x1, y1), (x0, y1)], np.float64)


def ends(half: float, names: tuple[str, str] = ("1", "2")) -> tuple[Terminal, Terminal]:
    return Terminal(names[0], -half, 0.0, -1.0, 0.0), Terminal(names[1], half, 0.0, 1.0, 0.0)

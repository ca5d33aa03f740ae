"""Points, straight pieces and boxes: how far apart they are and where they meet; px."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray

from tracer.training.strokes import Points

__all__ = ["Place", "Row", "apart_from", "away_from", "crossing_of", "distance", "through"]

Place: TypeAlias = tuple[float, float]
Row: TypeAlias = NDArray[np.float64]  # x0, y0, x1, y1 of a straight piece, and what else is known of it


def distance(points: Points, starts: Points, ends: Points) -> NDArray[np.float64]:
    """From each of `points` to the segment beside it, all (n, 2)."""
    way = ends - starts
    square = np.maximum((way**2).sum(axis=-1), 1e-9)
    part = np.clip(((points - starts) * way).sum(axis=-1) / square, 0.0, 1.0)
    foot = starts + part[..., None] * way - points
    away: NDArray[np.float64] = np.hypot(foot[..., 0], foot[..., 1])
    return away


def through(segments: NDArray[np.float64], boxes: NDArray[np.float64]) -> NDArray[np.bool_]:
    """(n, m): whether each segment meets each box."""
    start, way = segments[:, None, :2], (segments[:, 2:] - segments[:, :2])[:, None, :]
    safe = np.where(np.abs(way) < 1e-9, 1e-9, way)
    one, other = (boxes[None, :, :2] - start) / safe, (boxes[None, :, 2:] - start) / safe
    enter = np.maximum(np.minimum(one, other).max(axis=-1), 0.0)
    leave = np.minimum(np.maximum(one, other).min(axis=-1), 1.0)
    met: NDArray[np.bool_] = enter < leave
    return met


def away_from(x: float, y: float, row: Sequence[float] | Row) -> float:
    """From a point to a straight piece, px."""
    x0, y0, wide, high = row[0], row[1], row[2] - row[0], row[3] - row[1]
    part = ((x - x0) * wide + (y - y0) * high) / max(wide * wide + high * high, 1e-9)
    part = min(max(part, 0.0), 1.0)
    return math.hypot(x0 + part * wide - x, y0 + part * high - y)


def crossing_of(one: Sequence[float] | Row, other: Sequence[float] | Row) -> Place | None:
    """Where two straight pieces cross, if they do."""
    ax, ay, bx, by = one[2] - one[0], one[3] - one[1], other[2] - other[0], other[3] - other[1]
    turn = ax * by - ay * bx
    if abs(turn) < 1e-9:
        return None
    gx, gy = other[0] - one[0], other[1] - one[1]
    part, their_part = (gx * by - gy * bx) / turn, (gx * ay - gy * ax) / turn
    if not (0.0 <= part <= 1.0 and 0.0 <= their_part <= 1.0):
        return None
    return float(one[0] + part * ax), float(one[1] + part * ay)


def apart_from(one: Sequence[float] | Row, other: Sequence[float] | Row) -> float:
    """From one straight piece to another, px; nothing where they cross."""
    if crossing_of(one, other) is not None:
        return 0.0
    return min(
        away_from(one[0], one[1], other), away_from(one[2], one[3], other),
        away_from(other[0], other[1], one), away_from(other[2], other[3], one),
    )  # fmt: skip

"""Polylines cut into dashes by length along them."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import cycle

import numpy as np
from numpy.typing import NDArray

__all__ = ["dashes"]


def dashes(line: NDArray[np.float32], pattern: Sequence[float]) -> list[NDArray[np.float32]]:
    """Cut a polyline into the marks of a dash pattern.

    Parameters
    ----------
    line : (N, 2) float32
        x, y.
    pattern : sequence of float
        Mark, gap, mark, gap…, in the line's units; empty for an unbroken line.

    Returns
    -------
    list of (M, 2) float32
        The marks, in order. A line shorter than the first mark is one mark.

    Examples
    --------
    >>> [mark[:, 0].tolist() for mark in dashes(np.array([[0, 0], [10, 0]], np.float32), (4, 2))]
    [[0.0, 4.0], [6.0, 10.0]]
    """
    points = np.asarray(line, dtype=np.float32)
    if not pattern or len(points) < 2:
        return [points]
    steps = np.hypot(*np.diff(points, axis=0).T)
    along = np.concatenate([[0.0], np.cumsum(steps)])
    marks = []
    place = 0.0
    for number, length in cycle(enumerate(pattern)):
        if place >= along[-1]:
            break
        if number % 2 == 0:
            marks.append(_between(points, along, place, min(place + length, float(along[-1]))))
        place += length
    return marks or [points]


def _between(
    points: NDArray[np.float32], along: NDArray[np.float64], start: float, end: float
) -> NDArray[np.float32]:
    inside = points[(along > start) & (along < end)]
    ends = np.array([[np.interp(at, along, points[:, axis]) for axis in (0, 1)] for at in (start, end)])
    return np.concatenate([ends[:1], inside, ends[1:]]).astype(np.float32)

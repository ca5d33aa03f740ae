"""Conductors as paths to draw, and which conductor lies under a place."""

from __future__ import annotations

from collections.abc import Iterable

import numpy as np
from numpy.typing import NDArray
from PyQt6.QtCore import QPointF
from PyQt6.QtGui import QPainterPath, QPolygonF

from tracer.trace.flood import FloodIndex
from tracer.trace.sheet import TracedSheet

__all__ = ["Lighting", "path_along", "thinned"]


def thinned(line: NDArray[np.float32], slack: float) -> NDArray[np.float32]:
    """Return `line` (N, 2) without the points that lie within `slack` of a straight run (Douglas-Peucker).

    Examples
    --------
    >>> thinned(np.array([[0, 0], [5, 0.1], [10, 0]], np.float32), 0.5).tolist()
    [[0.0, 0.0], [10.0, 0.0]]
    """
    if len(line) < 3:
        return line
    keep = np.zeros(len(line), bool)
    keep[[0, -1]] = True
    waiting = [(0, len(line) - 1)]
    while waiting:
        first, last = waiting.pop()
        if last - first < 2:
            continue
        run = line[last] - line[first]
        length = float(np.hypot(run[0], run[1]))
        away = line[first + 1 : last] - line[first]
        if length < 1e-6:
            distance = np.hypot(away[:, 0], away[:, 1])
        else:
            distance = np.abs(away[:, 0] * run[1] - away[:, 1] * run[0]) / length
        at = int(np.argmax(distance))
        if distance[at] > slack:
            middle = first + 1 + at
            keep[middle] = True
            waiting += [(first, middle), (middle, last)]
    return line[keep]


def path_along(lines: Iterable[NDArray[np.float32]], slack: float) -> QPainterPath:
    """Return one path along all of `lines`, page px."""
    path = QPainterPath()
    for line in lines:
        points = thinned(line, slack)
        if len(points) > 1:
            path.addPolygon(QPolygonF([QPointF(float(x), float(y)) for x, y in points]))
    return path


class Lighting:
    """The conductors of one traced sheet, ready to be lit within a frame.

    Parameters
    ----------
    sheet : TracedSheet
    """

    def __init__(self, sheet: TracedSheet) -> None:
        self.sheet = sheet
        self._index = FloodIndex(sheet)
        self._paths: dict[int, QPainterPath] = {}

    def conductor_at(self, x: float, y: float, within: float = 2.0) -> int | None:
        """Return the conductor at page place (x, y), looking `within` stroke widths round it."""
        return self._index.conductor_at(x, y, within)

    def path(self, conductor: int) -> QPainterPath:
        """Return the path along the whole of `conductor`, page px."""
        kept = self._paths.get(conductor)
        if kept is None:
            segments = self._index.segments_of(conductor)
            kept = path_along((s.line for s in segments), self.sheet.stroke * 0.3)
            self._paths[conductor] = kept
        return kept

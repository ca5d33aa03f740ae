"""From a tag's terminal in pixels to a foot on a traced conductor."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from shapely import LineString, Point, STRtree

from tracer.bench.stretches import Attachment
from tracer.trace.sheet import TracedSheet

__all__ = ["WITHIN", "Snap", "SnapIndex"]

WITHIN = 2.0
"""How far a terminal may lie from its conductor, in stroke widths."""


@dataclass(frozen=True, slots=True)
class Snap:
    """A foot on a conductor and its distance from the terminal, px."""

    conductor: int
    attachment: Attachment
    distance: float


class SnapIndex:
    """Finds the conductor nearest to a place on one sheet.

    Parameters
    ----------
    sheet : TracedSheet
    """

    def __init__(self, sheet: TracedSheet) -> None:
        self._segments = [segment for segment in sheet.segments if len(segment.line) > 1]
        self._lines = [LineString(np.asarray(s.line, dtype=np.float64)) for s in self._segments]
        self._tree = STRtree(self._lines)
        self._stroke = sheet.stroke

    def snap(self, x: float, y: float, within: float = WITHIN) -> Snap | None:
        """Return the nearest foot within `within` stroke widths of (x, y), page px, or None.

        The ink of a wide stroke counts as its own: the distance is taken from its edge where the stroke is
        wider than usual.
        """
        point = Point(x, y)
        reach = within * self._stroke
        widest = max((segment.width for segment in self._segments), default=0.0)
        best: Snap | None = None
        for number in self._tree.query(point.buffer(reach + widest)):
            segment, line = self._segments[int(number)], self._lines[int(number)]
            distance = float(line.distance(point)) - max(0.0, (segment.width - self._stroke) / 2.0)
            if distance <= reach and (best is None or distance < best.distance):
                best = Snap(segment.conductor, Attachment(segment.id, float(line.project(point))), distance)
        return best

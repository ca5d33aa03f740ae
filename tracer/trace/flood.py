"""What lies under a click: the nearest conductor within a few stroke widths, and all its segments."""

from __future__ import annotations

import numpy as np
import shapely

from tracer.trace.sheet import Segment, TracedSheet

__all__ = ["FloodIndex"]


class FloodIndex:
    """Finds conductors by place.

    Parameters
    ----------
    sheet : TracedSheet

    Examples
    --------
    >>> line = np.array([[10, 10], [90, 10]], np.float32)
    >>> wire = Segment(0, line, 4.0, (0, 1), 1)
    >>> index = FloodIndex(TracedSheet((50, 100), 4.0, (wire,), (), (), 1, ""))
    >>> index.conductor_at(50, 13), index.conductor_at(50, 30)
    (1, None)
    """

    def __init__(self, sheet: TracedSheet) -> None:
        self._sheet = sheet
        lines = [shapely.LineString(segment.line) for segment in sheet.segments]
        self._tree = shapely.STRtree(lines)
        self._by_conductor: dict[int, list[Segment]] = {}
        for segment in sheet.segments:
            self._by_conductor.setdefault(segment.conductor, []).append(segment)

    def segment_at(self, x: float, y: float, within: float = 2.0) -> Segment | None:
        """Return the segment nearest to (x, y), page px, or None if none lies within `within` stroke widths.

        The distance is from the stroke's edge, so that a thick line can be hit anywhere on its ink.
        """
        reach = within * self._sheet.stroke
        widest = max((segment.width for segment in self._sheet.segments), default=0.0)
        place = shapely.Point(x, y)
        found = self._tree.query(place, predicate="dwithin", distance=reach + widest / 2)
        best, nearest = None, np.inf
        for index in found:
            segment = self._sheet.segments[int(index)]
            distance = max(float(self._tree.geometries[index].distance(place)) - segment.width / 2, 0.0)
            tie = float(self._tree.geometries[index].distance(place)) * 1e-6
            if distance + tie < nearest and distance <= reach:
                best, nearest = segment, distance + tie
        return best

    def conductor_at(self, x: float, y: float, within: float = 2.0) -> int | None:
        """Return the number of the conductor nearest to (x, y), page px, or None; as `segment_at`."""
        segment = self.segment_at(x, y, within)
        return None if segment is None else segment.conductor

    def segments_of(self, conductor: int) -> tuple[Segment, ...]:
        """Return all segments of a conductor; empty for a number that the sheet does not have."""
        return tuple(self._by_conductor.get(conductor, ()))

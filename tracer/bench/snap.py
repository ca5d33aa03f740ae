"""From a tag's terminal in pixels to a foot on a traced conductor."""

from __future__ import annotations

from dataclasses import dataclass

from shapely import LineString, Point

from tracer.bench.stretches import Attachment
from tracer.trace.flood import FloodIndex

__all__ = ["WITHIN", "Snap", "snap"]

WITHIN = 2.0
"""How far a terminal may lie from its conductor, in stroke widths."""


@dataclass(frozen=True, slots=True)
class Snap:
    """A foot on a conductor."""

    conductor: int
    attachment: Attachment


def snap(index: FloodIndex, x: float, y: float, within: float = WITHIN) -> Snap | None:
    """Return the foot on the conductor that a click at (x, y), page px, would flood, or None.

    Examples
    --------
    >>> import numpy as np
    >>> from tracer.trace.sheet import Segment, TracedSheet
    >>> wire = Segment(0, np.array([[10, 10], [90, 10]], np.float32), 4.0, (0, 1), 1)
    >>> snap(FloodIndex(TracedSheet((50, 100), 4.0, (wire,), (), (), 1, "")), 50, 13)
    Snap(conductor=1, attachment=Attachment(segment=0, along=40.0))
    """
    segment = index.segment_at(x, y, within)
    if segment is None:
        return None
    along = float(LineString(segment.line).project(Point(x, y)))
    return Snap(segment.conductor, Attachment(segment.id, along))

"""The four corners of a photographed sheet while a person puts them right: points, one of them chosen."""

from __future__ import annotations

import contextlib
import math
from collections.abc import Sequence
from dataclasses import astuple, dataclass, replace

from tracer.errors import TracerError
from tracer.scan.corners import Corners, parse_corners

__all__ = ["CornerPoints", "begin", "choose", "moved", "nearest", "put"]

Point = tuple[float, float]

INSET = 0.06
"""Of the page's sides: where corners begin on a page on which none were found."""


@dataclass(frozen=True, slots=True)
class CornerPoints:
    """Corners clockwise from the top left, page px, and which of them the next key moves (0 to 3)."""

    points: tuple[Point, Point, Point, Point]
    chosen: int = 0

    @property
    def text(self) -> str:
        """The corners as `tracer.scan.corners.parse_corners` takes them."""
        return str(Corners(*self.points))

    def fault(self, shape: tuple[int, int]) -> str:
        """Return why a page of `shape` (H, W) cannot be laid flat by them, or ""."""
        try:
            parse_corners(self.text, shape)
        except TracerError as error:
            return str(error)
        return ""


def begin(given: str, proposed: Corners | None, shape: tuple[int, int]) -> CornerPoints:
    """Return the corners to begin with on a page of `shape` (H, W): given, else proposed, else inset.

    Examples
    --------
    >>> begin("", None, (100, 200)).points
    ((12.0, 6.0), (188.0, 6.0), (188.0, 94.0), (12.0, 94.0))
    >>> begin("10,12 480,30 470,300 25,310", None, (400, 500)).points[0]
    (10.0, 12.0)
    """
    found = proposed
    if given:
        # What was stored otherwise and is no quadrangle does not count: the person begins anew.
        with contextlib.suppress(TracerError):
            found = parse_corners(given, shape) or proposed
    if found is None:
        high, wide = shape
        left, top = INSET * wide, INSET * high
        found = Corners((left, top), (wide - left, top), (wide - left, high - top), (left, high - top))
    a, b, c, d = astuple(found)
    return CornerPoints((a, b, c, d))


def choose(corners: CornerPoints, number: int) -> CornerPoints:
    """Return the corners with another one chosen; past the last comes the first."""
    return replace(corners, chosen=number % 4)


def put(corners: CornerPoints, x: float, y: float) -> CornerPoints:
    """Return the corners with the chosen one at page place (x, y)."""
    a, b, c, d = ((x, y) if n == corners.chosen else point for n, point in enumerate(corners.points))
    return replace(corners, points=(a, b, c, d))


def moved(corners: CornerPoints, dx: float, dy: float) -> CornerPoints:
    """Return the corners with the chosen one moved by page px.

    Examples
    --------
    >>> moved(choose(begin("", None, (100, 200)), 1), 2, 1).points[1]
    (190.0, 7.0)
    """
    x, y = corners.points[corners.chosen]
    return put(corners, x + dx, y + dy)


def nearest(points: Sequence[Point], x: float, y: float, reach: float) -> int | None:
    """Return the number of the point nearest to (x, y), if one lies within `reach`.

    Examples
    --------
    >>> nearest([(0, 0), (9, 0)], 8, 1, 3), nearest([(0, 0), (9, 0)], 5, 5, 3)
    (1, None)
    """
    away = [math.hypot(x - px, y - py) for px, py in points]
    best = min(range(len(away)), key=away.__getitem__)
    return best if away[best] <= reach else None

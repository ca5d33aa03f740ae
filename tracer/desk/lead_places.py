"""Where the two leads lie on paper."""

from __future__ import annotations

import math
from collections.abc import Collection, Iterable

from tracer.bench.records import Bench, PointPlace
from tracer.circuit.elements import CHASSIS
from tracer.circuit.points import resolve_point
from tracer.errors import TracerError
from tracer.job.records import Tag

__all__ = ["lead_places"]


def lead_places(
    bench: Bench, leads: tuple[str, str], tags: Iterable[Tag], way: Collection[str]
) -> tuple[PointPlace | None, PointPlace | None]:
    """Return where the leads on points `leads` lie, None where a lead hangs free.

    Of the chassis signs among `tags` one on the `way` is taken, else the one nearest to the other lead.
    """
    first, second = (_place(bench, point) for point in leads)
    signs = [tag for tag in tags if tag.kind == "chassis" and tag.terminals]
    signs = [tag for tag in signs if tag.reference in way] or signs
    if leads[0] == CHASSIS:
        first = _nearest_sign(signs, second) or first
    if leads[1] == CHASSIS:
        second = _nearest_sign(signs, first) or second
    return first, second


def _place(bench: Bench, point: str) -> PointPlace | None:
    if not point:
        return None
    found = bench.point_places.get(point)
    if found is None:
        try:
            found = bench.point_places.get(resolve_point(bench.circuit, point))
        except TracerError:
            return None
    return found


def _nearest_sign(signs: list[Tag], other: PointPlace | None) -> PointPlace | None:
    """Any chassis sign will do for a lead; the one nearest to the other lead is easiest to see."""
    if not signs or other is None or other.sheet != signs[0].sheet:
        return None
    ends = [tag.terminals[0] for tag in signs]
    near = min(ends, key=lambda end: math.hypot(end.x - other.x, end.y - other.y))
    return PointPlace(other.sheet, near.x, near.y)

"""What lies under a press on the sheet: a terminal, a confirmed part, a proposal, or a conductor."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from tracer.bench.records import PointPlace
from tracer.circuit.elements import CHASSIS
from tracer.job.records import Tag
from tracer.trace.sheet import Proposal

__all__ = ["Box", "Found", "find", "point_of"]

Box = tuple[int, int, int, int]


@dataclass(frozen=True, slots=True)
class Found:
    """What was found; at most one is set. `point` is a name a lead can go to."""

    point: str | None = None
    tag: Tag | None = None
    proposal: Proposal | None = None


def find(
    x: float,
    y: float,
    reach: float,
    sheet: int,
    tags: Iterable[Tag],
    proposals: Iterable[Proposal],
    points: Mapping[str, PointPlace],
) -> Found:
    """Return what lies at page place (x, y); `reach` is how near a terminal must be, page px.

    A terminal wins over the part it belongs to, and of nested boxes the smallest wins.
    """
    tags = tuple(tags)
    point = _terminal(x, y, reach, tags)
    if point is None:
        point = _named_point(x, y, reach, sheet, points)
    if point is not None:
        return Found(point=point)
    inside = [tag for tag in tags if _inside(tag.box, x, y)]
    if inside:
        return Found(tag=min(inside, key=lambda tag: _area(tag.box)))
    offered = [proposal for proposal in proposals if _inside(proposal.box, x, y)]
    if offered:
        return Found(proposal=min(offered, key=lambda proposal: _area(proposal.box)))
    return Found()


def point_of(tag: Tag, terminal: str) -> str:
    """Return the name of the point at a tag's terminal; signs and labels stand for what they name."""
    if tag.kind == "chassis":
        return CHASSIS
    if tag.kind == "label" and tag.value:
        return tag.value
    return f"{tag.reference}.{terminal}"


def _terminal(x: float, y: float, reach: float, tags: tuple[Tag, ...]) -> str | None:
    best, name = math.inf, None
    for tag in tags:
        # A small box must not be all terminal: its middle stays the part itself.
        near = min(reach, 0.4 * max(tag.box[2] - tag.box[0], tag.box[3] - tag.box[1]))
        for terminal in tag.terminals:
            away = math.hypot(terminal.x - x, terminal.y - y)
            if away <= near and away < best:
                best, name = away, point_of(tag, terminal.name)
    return name


def _named_point(
    x: float, y: float, reach: float, sheet: int, points: Mapping[str, PointPlace]
) -> str | None:
    near = [
        (math.hypot(place.x - x, place.y - y), name)
        for name, place in points.items()
        if place.sheet == sheet and "." not in name
    ]
    away, name = min(near, default=(math.inf, ""))
    return name if away <= reach * 0.7 else None


def _inside(box: Box, x: float, y: float) -> bool:
    return box[0] <= x < box[2] and box[1] <= y < box[3]


def _area(box: Box) -> int:
    return (box[2] - box[0]) * (box[3] - box[1])

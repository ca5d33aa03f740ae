"""What an eye could misread on a sheet of another hand, before it is bent or spoilt."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import combinations

import shapely
from another_brush import Placed
from another_nets import cross_places, grouped
from another_pen import Pen
from shapely.geometry.base import BaseGeometry

__all__ = ["complaints"]

_APART = 1.3  # mm between two conductors that run side by side
_OFF_BODY = 0.6  # mm between a wire and a body that it does not reach
_LET_IN = 1.6  # mm that a wire may lie within the box of a body it reaches; round bodies leave their corners
_BEND = 0.9  # mm between a crossing and an end or a joint


def complaints(pen: Pen) -> Iterator[str]:
    """Say, one by one, what comes closer together than it should."""
    groups = grouped(pen)
    nets = [shapely.MultiLineString([pen.wires[wire] for wire in group]) for group in groups]
    passes = shapely.MultiPoint([(mark.x, mark.y) for mark in cross_places(pen)])
    away = passes.buffer(2 * _APART) if not passes.is_empty else shapely.Point()
    for one, other in combinations(nets, 2):
        if one.distance(other) > _APART:
            continue
        meeting = one.intersection(other)
        if meeting.length > 0:
            yield f"two conductors run on one line at {_at(meeting)}"
        rest, others = one.difference(away), other.difference(away)
        if not rest.is_empty and rest.distance(others) < _APART:
            yield f"two conductors pass close by at {_at(rest.intersection(others.buffer(_APART)))}"
    ends = shapely.MultiPoint([end for wire in pen.wires for end in wire])
    for mark in cross_places(pen):
        if ends.distance(shapely.Point(mark.x, mark.y)) < _BEND:
            yield f"two wires cross beside a joint at ({mark.x:.1f}, {mark.y:.1f})"
    yield from _bodies(pen, nets)


def _bodies(pen: Pen, nets: list[shapely.MultiLineString]) -> Iterator[str]:
    boxes = [shapely.box(*part.box) for part in pen.parts]
    for part, box in zip(pen.parts, boxes, strict=True):
        terminals = [shapely.Point(x, y) for x, y, _, _ in part.terminals.values()]
        for net in nets:
            reached = any(net.distance(spot) < 0.02 for spot in terminals)
            inside = net.intersection(box.buffer(-0.1)).length
            edges = net.intersection(box).difference(_leads(part))
            if reached and edges.length > 0.3 and part.kind not in ("valve", "transistor", "block"):
                yield f"a wire of {_name(part)} runs beside its terminal at {_at(edges)}"
            if reached and inside > _LET_IN * len(terminals):
                yield f"a wire runs {inside:.1f} mm through {_name(part)} at {_at(box)}"
            elif not reached and net.distance(box) < _OFF_BODY:
                yield f"a wire passes {_name(part)} at {_at(net.intersection(box.buffer(_OFF_BODY)))}"
        lone = sum(all(net.distance(spot) > 0.02 for net in nets) for spot in terminals)
        if lone and part.kind not in ("block", "contact", "jack", "transformer"):
            yield f"{lone} terminals of {_name(part)} reach nothing at {_at(box)}"
    for one, other in combinations(range(len(boxes)), 2):
        if boxes[one].distance(boxes[other]) < 0.4:
            yield f"{_name(pen.parts[one])} touches {_name(pen.parts[other])} at {_at(boxes[one])}"


def _leads(part: Placed) -> BaseGeometry:
    """The ground that a part's own leads take as they leave it."""
    return shapely.union_all(
        [
            shapely.LineString([(x - 0.4 * dx, y - 0.4 * dy), (x + 6 * dx, y + 6 * dy)]).buffer(0.3)
            for x, y, dx, dy in part.terminals.values()
        ]
    )


def _name(part: Placed) -> str:
    return f"{part.kind} {part.reference}".strip()


def _at(thing: BaseGeometry) -> str:
    spot = thing.centroid
    return f"({spot.x:.1f}, {spot.y:.1f})" if not spot.is_empty else "(?)"

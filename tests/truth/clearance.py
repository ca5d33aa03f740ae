"""What an eye could misread on a drawn sheet: things that come closer together than they should.

The grouping of wires into conductors is done here anew, from the wires and dots as they were drawn, so that
the truth of a sheet rests on two readings of it.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator
from itertools import combinations

import shapely
from held_out_pen import HeldOutPen
from shapely.geometry.base import BaseGeometry

from tracer.training.truth import DrawnPart, SheetTruth

__all__ = ["complaints", "conductors_of"]

_APART = 3.0  # strokes between two conductors
_OFF_BODY = 2.0  # strokes between a wire and a body that it does not reach
_LET_IN = 0.2  # of a body's length; a round body leaves its corners to the wires
_TOUCH = 0.8  # px; nearer than this is joined


def conductors_of(pen: HeldOutPen) -> list[list[int]]:
    """Group the numbers of the wires drawn: by ends that lie on a wire, by dots, by terminals."""
    lines = [shapely.LineString(points) for points in pen.lines]
    group = list(range(len(lines)))

    def root(item: int) -> int:
        while group[item] != item:
            item = group[item]
        return item

    terminals = [(each.x, each.y) for part in pen.parts() for each in part.terminals]
    for place in [*pen.dotted, *terminals, *(points[end] for points in pen.lines for end in (0, -1))]:
        spot = shapely.Point(place)
        touching = [number for number, line in enumerate(lines) if line.distance(spot) < _TOUCH]
        for other in touching[1:]:
            group[root(other)] = root(touching[0])
    found: dict[int, list[int]] = defaultdict(list)
    for number in range(len(lines)):
        found[root(number)].append(number)
    return list(found.values())


def complaints(pen: HeldOutPen, truth: SheetTruth) -> Iterator[str]:
    """Say, one by one, what an eye could misread; the sheet must not be warped."""
    groups = conductors_of(pen)
    if len(groups) != len(truth.conductors):
        yield f"{len(groups)} conductors as drawn, {len(truth.conductors)} in the truth"
    pen_width = truth.stroke
    wires = [shapely.MultiLineString([pen.lines[number] for number in group]) for group in groups]
    crossings = shapely.MultiPoint([(mark.x, mark.y) for mark in truth.crossings])
    bends = [[point for number in group for point in pen.lines[number]] for group in groups]
    for one, other in combinations(range(len(wires)), 2):
        yield from _too_near(wires[one], wires[other], crossings, bends[one] + bends[other], pen_width)
    boxes = [shapely.box(*part.box) for part in truth.parts]
    for part, box in zip(truth.parts, boxes, strict=True):
        ends = shapely.MultiPoint([(each.x, each.y) for each in part.terminals])
        for wire in wires:
            if wire.distance(ends) < _TOUCH and _slants(part):
                continue  # the box of a part that stands askew leaves its corners to its own wires
            if wire.distance(ends) < _TOUCH:
                inside = wire.intersection(box.buffer(-pen_width))
                if inside.length > _LET_IN * max(
                    box.bounds[2] - box.bounds[0], box.bounds[3] - box.bounds[1]
                ):
                    yield f"a wire runs through {part.symbol} {part.reference} at {_at(inside)}"
            elif wire.distance(box) < _OFF_BODY * pen_width:
                yield f"a wire passes {part.symbol} {part.reference} at {_at(box)}"
    for one, other in combinations(range(len(boxes)), 2):
        if boxes[one].distance(boxes[other]) < pen_width:
            yield f"{truth.parts[one].symbol} touches {truth.parts[other].symbol} at {_at(boxes[one])}"
    for lettering in (shapely.box(*each) for each in pen.letterings):
        for thing in [*wires, *boxes]:
            if thing.distance(lettering) < 0.5 * pen_width and not thing.contains(lettering):
                yield f"lettering runs into something at {_at(lettering)}"


def _slants(part: DrawnPart) -> bool:
    return any(abs(each.dx) > 0.3 and abs(each.dy) > 0.3 for each in part.terminals)


def _too_near(
    one: BaseGeometry,
    other: BaseGeometry,
    crossings: BaseGeometry,
    bends: list[tuple[float, float]],
    stroke: float,
) -> Iterator[str]:
    """Complain of two conductors that pass close by, or cross at a bend."""
    meeting = one.intersection(other)
    places = list(shapely.get_coordinates(meeting))
    for place in places:
        spot = shapely.Point(place)
        if spot.distance(crossings) > _TOUCH:
            yield f"two conductors meet unknown to the truth at {_at(spot)}"
        if spot.distance(shapely.MultiPoint(bends)) < _APART * stroke:
            yield f"two conductors cross at a bend at {_at(spot)}"
    away = shapely.MultiPoint(places).buffer(1.5 * _APART * stroke) if places else shapely.Point()
    rest, others = one.difference(away), other.difference(away)
    if not rest.is_empty and rest.distance(others) < _APART * stroke:
        yield f"two conductors pass close by at {_at(rest.intersection(others.buffer(_APART * stroke)))}"


def _at(thing: BaseGeometry) -> str:
    spot = thing.centroid
    return f"({spot.x:.0f}, {spot.y:.0f})" if not spot.is_empty else "(?)"

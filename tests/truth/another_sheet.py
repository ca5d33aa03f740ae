"""From what a pen of another hand left on a sheet to its picture and its truth."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable
from dataclasses import replace
from typing import Any

import cv2
import numpy as np
import shapely
from another_ink import Bend, Fill, Ink, Points, Stroke, arc
from another_nets import Crossing, cross_places, grouped
from another_pen import Pen
from another_words import letter_all
from numpy.typing import NDArray

from tracer.training.classes import (
    BACKGROUND,
    BODY,
    CROSSING,
    DOT,
    FURNITURE,
    KIND_CELL,
    KIND_NAMES,
    LETTERING,
    WIRE,
    kind_index,
)
from tracer.training.truth import Conductor, ConductorEnd, CrossingMark, DrawnPart, PartTerminal, SheetTruth

__all__ = ["finish"]

Box = tuple[float, float, float, float]

_MARGIN = 9.0
_CLEAR = 1.3  # mm from anything else, for a spot that names a conductor
_HOP, _GAP = 1.3, 1.1
_VALUED = frozenset({"resistor", "pot", "capacitor", "coil", "fuse"})
_MEANINGS = {"furniture": FURNITURE, "lettering": LETTERING, "body": BODY, "wire": WIRE, "dot": DOT}


def finish(pen: Pen, seed: int) -> SheetTruth:
    """Draw the sheet, and take down what it holds, px."""
    manner = pen.manner
    bend = Bend(seed, manner.slope)
    crossings = cross_places(pen)
    ink = Ink(bend, manner.wobble, seed, _shapes(pen, crossings, seed))
    every = np.concatenate(
        [shape.rings[0] if isinstance(shape, Fill) else shape.points for shape in ink.shapes]
    )
    low, high = every.min(axis=0) - _MARGIN, every.max(axis=0) + _MARGIN
    shifted = replace(bend, corner=(float(low[0]), float(low[1])))
    ink = Ink(shifted, manner.wobble, seed, ink.shapes)
    size = (round((high[1] - low[1]) * manner.scale), round((high[0] - low[0]) * manner.scale))

    def px(places: Any) -> Points:
        return shifted(places) * manner.scale

    image = (255 - ink.render(manner.scale, size)).astype(np.uint8)
    stroke = max(manner.pen * manner.scale, 1.0)
    groups = grouped(pen)
    parts, ends = _parts(pen, groups, px, stroke)
    conductors = tuple(
        Conductor(number, tuple(ends[number]), px(_spots(pen, group, groups)))
        for number, group in enumerate(groups, start=1)
    )
    owner = {wire: number for number, group in enumerate(groups, start=1) for wire in group}
    spots = px([(c.x, c.y) for c in crossings])
    marks = tuple(
        CrossingMark(float(x), float(y), manner.crossing, (owner[c.over], owner[c.under]))
        for c, (x, y) in zip(crossings, spots, strict=True)
    )
    classes = _classes(ink, manner.scale, size)
    _fill_bodies(classes, [part.box for part in parts], round(1.4 * manner.scale))
    for mark in marks:
        rows, columns = np.ogrid[: size[0], : size[1]]
        reach = 1.6 * stroke + 1 + (_HOP * manner.scale if manner.crossing != "plain" else 0)
        near = (columns - mark.x) ** 2 + (rows - mark.y) ** 2 <= reach**2
        blank = (classes == BACKGROUND) & (manner.crossing == "gap")
        classes[near & ((classes == WIRE) | blank)] = CROSSING
    kinds = np.zeros((-(-size[0] // KIND_CELL), -(-size[1] // KIND_CELL)), np.uint8)
    for part in parts:
        x0, y0, x1, y1 = (round(edge / KIND_CELL) for edge in part.box)
        kinds[y0:y1, x0:x1] = kind_index(part.kind)
    return SheetTruth(image, classes, kinds, KIND_NAMES, stroke, conductors, tuple(parts), (), marks)


def _shapes(pen: Pen, crossings: list[Crossing], seed: int) -> list[Stroke | Fill]:
    manner = pen.manner
    shapes: list[Stroke | Fill] = [
        Stroke(np.array(places, np.float64), 0.8 * manner.pen, "furniture", dash)
        for places, dash in pen.furniture
    ]
    for number in range(len(pen.wires)):
        shapes += [Stroke(line, manner.pen, "wire") for line in _wire(pen, number, crossings)]
    for part in pen.parts:
        shapes += part.shapes
    if manner.dot:
        shapes += [Fill((arc(x, y, manner.dot, 0, 360),), "dot") for x, y in dict.fromkeys(pen.dots)]
    return shapes + letter_all(pen, seed)


def _wire(pen: Pen, number: int, crossings: list[Crossing]) -> list[Points]:
    """Return a wire as lines: broken or hopping where the manner of crossing asks for it."""
    start, end = np.array(pen.wires[number][0]), np.array(pen.wires[number][1])
    manner, way = pen.manner.crossing, end - start
    long = float(np.hypot(*way))
    way = way / long
    asked = [(c.x, c.y) for c in crossings if (c.over if manner == "hop" else c.under) == number]
    half = _HOP if manner == "hop" else _GAP
    along = sorted(float(np.dot(np.array(place) - start, way)) for place in asked)
    along = [each for each in along if half + 0.5 < each < long - half - 0.5]
    if manner == "plain" or not along:
        return [np.stack([start, end])]
    lines, pieces = [], [start]
    for each, following in zip(along, [*along[1:], 1e9], strict=True):
        pieces.append(start + (each - half) * way)
        if manner == "gap":
            lines.append(np.array(pieces))
            pieces = []
        else:
            turn = np.radians(np.linspace(180, 360, 13))
            aside = np.array([way[1], -way[0]]) * (1 if way[0] >= 0 else -1)
            middle = start + each * way
            pieces += [middle + half * (np.cos(t) * way - np.sin(t) * aside) for t in turn]
        if following - each < 2 * half:
            return [np.stack([start, end])]
        pieces.append(start + (each + half) * way)
    lines.append(np.array([*pieces, end]))
    return lines


def _parts(
    pen: Pen, groups: list[list[int]], px: Callable[[Any], Points], stroke: float
) -> tuple[list[DrawnPart], dict[int, list[ConductorEnd]]]:
    lines = [(shapely.MultiLineString([pen.wires[wire] for wire in group])) for group in groups]
    parts: list[DrawnPart] = []
    ends: dict[int, list[ConductorEnd]] = defaultdict(list)
    for number, part in enumerate(pen.parts, start=1):
        terminals = []
        for name, (x, y, dx, dy) in part.terminals.items():
            ((mx, my),) = px([(x, y)])
            terminals.append(PartTerminal(name, float(mx), float(my), dx, dy))
            spot = shapely.Point(x, y)
            touching = [place for place, line in enumerate(lines, start=1) if line.distance(spot) < 0.02]
            for each in touching[:1]:
                ends[each].append(ConductorEnd(number, name, float(mx), float(my)))
        x0, y0, x1, y1 = part.box
        moved = px([(x0, y0), (x1, y0), (x1, y1), (x0, y1), ((x0 + x1) / 2, y0), (x1, (y0 + y1) / 2)])
        (bx0, by0), (bx1, by1) = moved.min(axis=0) - stroke / 2, moved.max(axis=0) + stroke / 2
        box = (float(bx0), float(by0), float(bx1), float(by1))
        lettered = part.reference if part.kind not in ("label", "chassis") else ""
        value = part.value if part.kind in _VALUED else ""
        parts.append(DrawnPart(number, part.kind, part.kind, lettered, value, box, tuple(terminals)))
    return parts, ends


def _spots(pen: Pen, group: list[int], groups: list[list[int]]) -> Points:
    """Return one or two spots on each wire of a conductor that are clear of all else, mm."""
    own = set(group)
    others: list[shapely.Geometry] = [
        shapely.LineString(wire) for number, wire in enumerate(pen.wires) if number not in own
    ]
    others += [shapely.box(*part.box) for part in pen.parts]
    rest = shapely.STRtree(others)
    found = []
    for number in group:
        start, end = np.array(pen.wires[number][0]), np.array(pen.wires[number][1])
        long = float(np.hypot(*(end - start)))
        if long < 2.2 * _CLEAR:
            continue
        spots = start + np.linspace(0.1, 0.9, 13)[:, None] * (end - start)
        points = shapely.points(spots)
        nearest = rest.nearest(points)
        away = np.array([points[place].distance(others[other]) for place, other in enumerate(nearest)])
        best = np.argsort(-away)
        found += [spots[place] for place in best[: 1 + int(long > 25)] if away[place] >= _CLEAR]
    return np.array(found, np.float64).reshape(-1, 2)


def _classes(ink: Ink, scale: float, size: tuple[int, int]) -> NDArray[np.uint8]:
    """The class of each pixel, from the same shapes."""
    classes = np.zeros(size, np.uint8)
    for meaning, number in _MEANINGS.items():
        classes[ink.render(scale, size, only=(meaning,)) > 110] = number
    return classes


def _fill_bodies(classes: NDArray[np.uint8], boxes: list[Box], gap: int) -> None:
    """Make each body whole: a reader calls the paper between its strokes body too."""
    kernel = np.ones((gap, gap), np.uint8)
    for x0, y0, x1, y1 in boxes:
        rows = slice(max(round(y0) - 1, 0), round(y1) + 2)
        part = classes[rows, max(round(x0) - 1, 0) : round(x1) + 2]
        ink = np.pad((part == BODY).astype(np.uint8), gap)
        whole = cv2.morphologyEx(ink, cv2.MORPH_CLOSE, kernel)
        outlines, _ = cv2.findContours(whole, cv2.RETR_EXTERNAL, cv2.CHAIN_APPROX_NONE)
        filled = cv2.drawContours(whole, outlines, -1, 1, cv2.FILLED)[gap:-gap, gap:-gap]
        part[(filled > 0) & (part == BACKGROUND)] = BODY

"""A pen that draws with schemdraw, which shares nothing with this project, and takes down what it drew.

Nets are known by construction: every wire and every terminal is given with the name of its net, and nothing
is read back from the picture. Bodies are the boxes that schemdraw itself states for its elements.
"""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass, field
from itertools import pairwise
from typing import Any

import matplotlib as mpl
import matplotlib.pyplot as plt
import numpy as np
import schemdraw
import schemdraw.elements as elm
from numpy.typing import NDArray

from tracer.training.truth import Conductor, ConductorEnd, DrawnPart, PartTerminal, SheetTruth

mpl.use("Agg")

__all__ = ["Independent", "anchor_of", "capacitor", "resistor"]

Point = tuple[float, float]
Box = tuple[float, float, float, float]

_KIND_CELL = 4
_CLEAR = 3.0  # stroke widths from anything else, for a point that names a conductor
_MARGIN = 1.0  # drawing units about the drawing
_RING = 0.075  # drawing units; of the open circle at a wire's end
_DOT = 1.35  # stroke widths; a dot's least radius
_INCHES = 0.4  # for a drawing unit


@dataclass(frozen=True)
class _Drawn:
    """A part in drawing units: where each terminal lies, and on which net."""

    kind: str
    reference: str
    value: str
    box: Box
    terminals: dict[str, tuple[str, Point]]


@dataclass
class Independent:
    """A drawing being made, in drawing units (a schemdraw resistor is one unit long), y up.

    `weight` is the pen in points of 1/72 inch, `font` any face that matplotlib finds.
    """

    weight: float = 1.5
    font: str = "cmss10"
    size: float = 11.0
    drawing: Any = None
    parts: list[_Drawn] = field(default_factory=list)
    wires: list[tuple[str, Point, Point]] = field(default_factory=list)

    def __post_init__(self) -> None:
        self.drawing = schemdraw.Drawing(show=False, canvas="matplotlib")
        self.drawing.config(font=self.font, fontsize=self.size, lw=self.weight)

    def two(
        self,
        element: Any,
        kind: str,
        start: Point,
        end: Point,
        nets: tuple[str, str],
        name: str = "",
        loc: str = "top",
        wiper: str = "",
    ) -> Any:
        """Draw a part with two terminals from `start` to `end`; `name` is "reference value" as lettered.

        Its leads are wire. A pot's tap is on net `wiper`. Return the placed element.
        """
        reference, _, value = name.partition(" ")
        low = element.get_bbox(includetext=False)
        lettered = element.label("\n".join(filter(None, (reference, value))), loc=loc) if name else element
        placed = self.drawing.add(lettered.endpoints(start, end))
        way = np.subtract(end, start)
        way = way / np.hypot(*way)
        middle = np.add(start, end) / 2
        half = (low.xmax - low.xmin) / 2
        side = np.array([-way[1], way[0]])
        near, far = _point(middle - half * way), _point(middle + half * way)
        corners = [middle + along * way + up * side for along in (-half, half) for up in (low.ymin, low.ymax)]
        self.wires += [(nets[0], start, near), (nets[1], far, end)]
        terminals = {"1": (nets[0], near), "2": (nets[1], far)}
        if wiper:
            terminals["w"] = (wiper, _point(placed.absanchors["tap"]))
        self.parts.append(_Drawn(kind, reference, value, _bounds(corners), terminals))
        return placed

    def many(
        self, element: Any, kind: str, at: Any, nets: dict[str, str], name: str = "", turn: float = 0.0
    ) -> Any:
        """Draw a part with any number of terminals; `nets` gives the net of each anchor that is wired.

        `name` is what its label says already: "reference value"; `turn` is in degrees against the clock.
        Return the placed element.
        """
        reference, _, value = name.partition(" ")
        low = element.get_bbox(includetext=False)
        placed = self.drawing.add(element.at(_point(at)).theta(turn))
        if isinstance(element, elm.Element2Term | elm.Ic):  # their box on the drawing holds their leads too
            low = placed.segments[0].get_bbox() if isinstance(element, elm.Ic) else low
            corners = [
                placed.transform.transform((x, y)) for x in (low.xmin, low.xmax) for y in (low.ymin, low.ymax)
            ]
        else:
            box = placed.get_bbox(transform=True, includetext=False)
            corners = [(box.xmin, box.ymin), (box.xmax, box.ymax)]
        terminals = {anchor: (net, _point(placed.absanchors[anchor])) for anchor, net in nets.items()}
        self.parts.append(_Drawn(kind, reference, value, _bounds(corners), terminals))
        return placed

    def ground(self, net: str, *places: Point, element: Any = elm.Ground) -> None:
        """Draw chassis signs a little below places."""
        for x, y in places:
            self.join(net, (x, y), (x, y - 0.6))
            self.many(element(), "chassis", (x, y - 0.6), {"start": net})

    def join(self, net: str, *points: Any) -> None:
        """Draw a wire of `net` through points."""
        for start, end in pairwise([_point(point) for point in points]):
            self.drawing.add(elm.Line().at(start).to(end))
            self.wires.append((net, start, end))

    def dot(self, *points: Any) -> None:
        """Draw junction dots."""
        radius = max(0.075, _DOT * self.weight / 72 / _INCHES)
        for point in points:
            self.drawing.add(elm.Dot(radius=radius).at(_point(point)))

    def open_end(self, *points: Any) -> None:
        """Draw the small open circles that end a wire, as at an input."""
        for point in points:
            x, y = _point(point)
            self.drawing.add(elm.Dot(open=True).at((x, y)))
            box = (x - _RING, y - _RING, x + _RING, y + _RING)
            self.parts.append(_Drawn("label", "", "", box, {}))

    def text(self, at: Point, text: str) -> None:
        """Letter a note."""
        self.drawing.add(elm.Label().at(at).label(text))

    def finish(self, dpi: int) -> SheetTruth:
        """Render at `dpi`, and map everything known to px."""
        figure = self.drawing.draw(show=False).fig
        bounds = self.drawing.get_bbox()
        axes = figure.axes[0]
        axes.set_position((0.0, 0.0, 1.0, 1.0))
        axes.set_xlim(bounds.xmin - _MARGIN, bounds.xmax + _MARGIN)
        axes.set_ylim(bounds.ymin - _MARGIN, bounds.ymax + _MARGIN)
        wide, high = np.ptp(axes.get_xlim()), np.ptp(axes.get_ylim())
        figure.set_size_inches(wide * _INCHES, high * _INCHES)
        figure.set_dpi(dpi)
        figure.canvas.draw()
        image = np.asarray(figure.canvas.buffer_rgba())[..., :3].mean(axis=2).astype(np.uint8)
        height, stroke = image.shape[0], self.weight / 72 * dpi

        def px(places: Any) -> NDArray[np.float64]:
            moved = axes.transData.transform(np.asarray(places, np.float64).reshape(-1, 2))
            return np.stack([moved[:, 0] - 0.5, height - 0.5 - moved[:, 1]], axis=1)

        boxes = [_bounds(px([(p.box[0], p.box[1]), (p.box[2], p.box[3])])) for p in self.parts]
        boxes = [
            (x0 - stroke / 2, y0 - stroke / 2, x1 + stroke / 2, y1 + stroke / 2) for x0, y0, x1, y1 in boxes
        ]
        wires = [(net, *px([start, end])) for net, start, end in self.wires]
        parts, ends = [], defaultdict(list)
        for number, (part, box) in enumerate(zip(self.parts, boxes, strict=True), start=1):
            terminals = []
            for name, (net, place) in part.terminals.items():
                own = [wire for wire in wires if wire[0] == net]
                x, y = _out_of(box, px([place])[0], own)
                terminals.append(PartTerminal(name, x, y, *_way_out(box, (x, y), own)))
                ends[net].append(ConductorEnd(number, name, x, y))
            parts.append(
                DrawnPart(number, part.kind, part.kind, part.reference, part.value, box, tuple(terminals))
            )
        nets = list(dict.fromkeys([net for net, _, _ in wires] + list(ends)))
        conductors = tuple(
            Conductor(number, tuple(ends[net]), _spots(net, wires, boxes, stroke))
            for number, net in enumerate(nets, start=1)
        )
        plt.close(figure)  # only now: closing moves its transforms
        kinds = np.zeros((-(-height // _KIND_CELL), -(-image.shape[1] // _KIND_CELL)), np.uint8)
        plain = np.zeros_like(image)
        return SheetTruth(image, plain, kinds, ("none",), stroke, conductors, tuple(parts), (), ())


def anchor_of(placed: Any, anchor: str) -> Point:
    x, y = placed.absanchors[anchor]
    return float(x), float(y)


def resistor(
    sheet: Independent, start: Point, end: Point, nets: tuple[str, str], name: str = "", loc: str = "bottom"
) -> None:
    sheet.two(elm.Resistor(), "resistor", start, end, nets, name, loc)


def capacitor(
    sheet: Independent, start: Point, end: Point, nets: tuple[str, str], name: str = "", loc: str = "bottom"
) -> None:
    sheet.two(elm.Capacitor(), "capacitor", start, end, nets, name, loc)


def _point(place: Any) -> Point:
    return float(place[0]), float(place[1])


def _bounds(points: Any) -> Box:
    every = np.asarray([_point(point) for point in points])
    (x0, y0), (x1, y1) = every.min(axis=0), every.max(axis=0)
    return float(x0), float(y0), float(x1), float(y1)


def _inside(box: Box, point: Any, by: float = 0.0) -> bool:
    return bool(box[0] + by <= point[0] <= box[2] - by and box[1] + by <= point[1] <= box[3] - by)


def _out_of(box: Box, place: NDArray[np.float64], wires: list[tuple[str, Any, Any]]) -> Point:
    """Return where a lead leaves the body, whether its terminal was given inside, outside or on its edge."""
    if not _inside(box, place, 1.0):
        return float(np.clip(place[0], box[0], box[2])), float(np.clip(place[1], box[1], box[3]))
    for _, start, end in wires:
        for near, far in ((start, end), (end, start)):
            if np.hypot(*(near - place)) < 1.0 and not _inside(box, far):
                steps = near + np.linspace(0, 1, 400)[:, None] * (far - near)
                return _point(next(step for step in steps if not _inside(box, step)))
    return _point(place)


def _way_out(box: Box, place: Point, wires: list[tuple[str, Any, Any]]) -> Point:
    """Return the way a lead leaves a body: along the wire that lies there, or straight from the middle."""
    here = np.asarray(place)
    for _, start, end in wires:
        for near, far in ((start, end), (end, start)):
            way = (far - near) / (np.hypot(*(far - near)) or 1.0)
            ahead = here + 6.0 * way
            if _from(here, near, far) < 2.5 and _from(ahead, near, far) < 2.5 and not _inside(box, ahead):
                return _point(way)
    way = here - np.array([(box[0] + box[2]) / 2, (box[1] + box[3]) / 2])
    return _point(way / (np.hypot(*way) or 1.0))


def _spots(
    net: str, wires: list[tuple[str, Any, Any]], boxes: list[Box], stroke: float
) -> NDArray[np.float64]:
    """Return one or two spots on each stretch of a net's wire that are clear of all else."""
    others = [(start, end) for name, start, end in wires if name != net]
    clear = _CLEAR * stroke
    found = []
    for name, start, end in wires:
        long = float(np.hypot(*(end - start)))
        if name != net or long < 2 * clear:
            continue
        spots = start + np.linspace(0.08, 0.92, 15)[:, None] * (end - start)
        away = np.array([_distance(spot, others, boxes) for spot in spots])
        best = np.argsort(-away)
        found += [spots[place] for place in best[: 1 + int(long > 40 * stroke)] if away[place] >= clear]
    return np.array(found, np.float64).reshape(-1, 2)


def _distance(spot: Any, lines: list[tuple[Any, Any]], boxes: list[Box]) -> float:
    least = 1e9
    for start, end in lines:
        least = min(least, _from(spot, start, end))
    for x0, y0, x1, y1 in boxes:
        aside = max(x0 - spot[0], spot[0] - x1, 0), max(y0 - spot[1], spot[1] - y1, 0)
        least = min(least, float(np.hypot(*aside)))
    return least


def _from(spot: Any, start: Any, end: Any) -> float:
    way = end - start
    part = np.clip(np.dot(spot - start, way) / max(float(np.dot(way, way)), 1e-9), 0, 1)
    return float(np.hypot(*(start + part * way - spot)))

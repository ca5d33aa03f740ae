"""Sheets drawn by schemdraw, which shares nothing with this project; their nets are known by construction.

Every connection is drawn by `Independent.join`, which takes down the net's name for both ends; nothing is
read back from the picture.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable
from dataclasses import dataclass, field
from itertools import pairwise
from typing import Any

import matplotlib as mpl
import numpy as np
import schemdraw
import schemdraw.elements as elm
from numpy.typing import NDArray

mpl.use("Agg")

__all__ = ["SHEETS", "DrawnSheet", "Independent"]

Point = tuple[float, float]


@dataclass(frozen=True, eq=False)
class DrawnSheet:
    """The picture, (H, W) uint8, and points of each net, px."""

    image: NDArray[np.uint8]
    points: dict[int, list[Point]]


@dataclass
class Independent:
    """A drawing being made; `nets` holds places in drawing units by the net's name."""

    drawing: Any = field(default_factory=lambda: schemdraw.Drawing(show=False, canvas="matplotlib"))
    nets: dict[str, list[Point]] = field(default_factory=lambda: defaultdict(list))

    def put(self, element: Any, x: float, y: float, **nets: str) -> Any:
        """Place an element and note the net that each named anchor is on."""
        placed = self.drawing.add(element.at((x, y)))
        for anchor, net in nets.items():
            self.nets[net].append(tuple(placed.absanchors[anchor]))
        return placed

    def join(self, net: str, *points: Point) -> None:
        """Draw a wire of `net` through points."""
        for start, end in pairwise(points):
            self.drawing.add(elm.Line().at(start).to(end))
            self.nets[net].append(((start[0] + end[0]) / 2, (start[1] + end[1]) / 2))

    def dot(self, *points: Point) -> None:
        """Draw junction dots."""
        for point in points:
            self.drawing.add(elm.Dot().at(point))

    def finish(self, dpi: int) -> DrawnSheet:
        """Render at `dpi` and map the nets' places to px."""
        figure = self.drawing.draw(show=False).fig
        figure.set_dpi(dpi)
        figure.canvas.draw()
        image = np.asarray(figure.canvas.buffer_rgba())[..., :3].mean(axis=2).astype(np.uint8)
        to_px = figure.axes[0].transData
        points = {}
        for number, places in enumerate(self.nets.values(), start=1):
            px = to_px.transform(np.array(places))
            points[number] = [(float(x), float(image.shape[0] - 1 - y)) for x, y in px]
        return DrawnSheet(image, points)


def _ladder(sheet: Independent) -> None:
    """A supply rail with droppers and smoothing capacitors to a common rail (common practice)."""
    for stage in range(4):
        x = 4.0 * stage
        resistor = sheet.put(
            elm.Resistor().right().label(f"R{stage + 1}"), x, 6, start=f"HT{stage}", end=f"HT{stage + 1}"
        )
        sheet.join(f"HT{stage + 1}", resistor.end, (x + 4, 6), (x + 4, 5))
        capacitor = sheet.put(
            elm.Capacitor2(polar=True).down().label(f"C{stage + 1}"), x + 4, 5, start=f"HT{stage + 1}"
        )
        sheet.nets["common"].append(tuple(capacitor.end))
        sheet.join("common", capacitor.end, (x + 4, 1))
        sheet.dot((x + 4, 6), (x + 4, 1))
    sheet.join("common", (0, 1), (18, 1))
    sheet.join("HT4", (16, 6), (18, 6))
    sheet.put(elm.Ground(), 0, 1)


def _amplifier(sheet: Independent) -> None:
    """A two-stage amplifier in common-emitter connection, with coupling capacitors (common practice)."""
    for stage in range(2):
        x = 9.0 * stage
        transistor = sheet.put(
            elm.BjtNpn(circle=True).right().label(f"Q{stage + 1}"),
            x + 4,
            4,
            base=f"b{stage}",
            collector=f"c{stage}",
            emitter=f"e{stage}",
        )
        bx, by = transistor.absanchors["base"]
        cx, cy = transistor.absanchors["collector"]
        ex, ey = transistor.absanchors["emitter"]
        load = sheet.put(elm.Resistor().up().label("4k7"), cx, cy + 1, start=f"c{stage}", end="rail")
        sheet.join(f"c{stage}", (cx, cy), tuple(load.start))
        sheet.join("rail", tuple(load.end), (cx, 10))
        bias = sheet.put(elm.Resistor().up().label("470k"), x + 3, by + 2, start=f"b{stage}", end="rail")
        sheet.join(f"b{stage}", (bx, by), (x + 3, by), tuple(bias.start))
        sheet.join("rail", tuple(bias.end), (x + 3, 10))
        tail = sheet.put(elm.Resistor().down().label("1k"), ex, ey - 1, start=f"e{stage}", end="earth")
        sheet.join(f"e{stage}", (ex, ey), tuple(tail.start))
        sheet.join("earth", tuple(tail.end), (ex, -2))
        source = f"c{stage - 1}" if stage else "in"
        capacitor = sheet.put(elm.Capacitor().left().label(".1"), x + 3, by, start=f"b{stage}", end=source)
        sheet.dot((x + 3, by), (cx, 10), (x + 3, 10), (ex, -2))
        left = tuple(capacitor.end)
        if stage:
            lead = sheet.nets["c0"][0]
            sheet.join(
                "c0", left, (lead[0] + 1.5, left[1]), (lead[0] + 1.5, lead[1] + 0.6), (lead[0], lead[1] + 0.6)
            )
            sheet.dot((lead[0], lead[1] + 0.6))
        else:
            sheet.join("in", left, (left[0] - 1, left[1]))
    sheet.join("rail", (1, 10), (16, 10))
    sheet.join("earth", (1, -2), (16, -2))


def _crossed(sheet: Independent) -> None:
    """A matrix: four levels pass under four uprights, with a dot only where they join."""
    for row in range(4):
        y = 2.0 * row
        part = sheet.put(
            elm.Resistor().right().label(f"{row + 1}k"), -5, y, start=f"in{row}", end=f"row{row}"
        )
        sheet.join(f"row{row}", tuple(part.end), (9, y))
        sheet.join(f"in{row}", (-6, y), (-5, y))
    for column in range(4):
        x = 2.0 * column
        net = f"row{column}"
        sheet.join(net, (x, 9), (x, 2.0 * column))
        if column < 3:
            sheet.join(f"row{column}", (x, 2.0 * column), (x, -1.5))
        sheet.dot((x, 2.0 * column))
        diode = sheet.put(elm.Diode().up(), x, 9, start=net, end=f"out{column}")
        sheet.join(f"out{column}", tuple(diode.end), (x, float(diode.end[1]) + 1))


def _bridge(sheet: Independent) -> None:
    """Wheatstone's bridge with its source and a meter across (textbook network)."""
    left, top, right, bottom = (0.0, 4.0), (4.0, 8.0), (8.0, 4.0), (4.0, 0.0)
    corners = {"left": left, "top": top, "right": right, "bottom": bottom}
    for start, end in (("left", "top"), ("top", "right"), ("left", "bottom"), ("bottom", "right")):
        part = sheet.drawing.add(elm.Resistor().endpoints(corners[start], corners[end]))
        for net, near, far in ((start, part.start, part.end), (end, part.end, part.start)):
            sheet.nets[net].append((0.9 * near[0] + 0.1 * far[0], 0.9 * near[1] + 0.1 * far[1]))
    meter = sheet.drawing.add(elm.MeterV().endpoints((4.0, 6.5), (4.0, 1.5)))
    sheet.join("top", top, tuple(meter.start))
    sheet.join("bottom", tuple(meter.end), bottom)
    cell = sheet.drawing.add(elm.Battery().endpoints((2.5, -3.0), (5.5, -3.0)))
    sheet.join("left", left, (-2.0, 4.0), (-2.0, -3.0), tuple(cell.start))
    sheet.join("right", right, (10.0, 4.0), (10.0, -3.0), tuple(cell.end))
    sheet.dot(left, top, right, bottom)


SHEETS: dict[str, Callable[[Independent], None]] = {
    "ladder": _ladder,
    "amplifier": _amplifier,
    "crossed": _crossed,
    "bridge": _bridge,
}

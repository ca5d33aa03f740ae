"""Inking a planned sheet: bodies, wires and dots, then the lettering where there is room beside them."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from tracer.training.layout.stages_pen import Pen
from tracer.training.layout.stages_plan import Label, Put

__all__ = ["ink"]

_Box = tuple[float, float, float, float]


def ink(pen: Pen) -> None:
    """Draw all that `pen` planned."""
    drawing = pen.drawing
    for path in pen.plan.dashed:
        drawing.furniture(path, dash=pen.manner.dash)
    for path in pen.plan.whole:
        drawing.furniture(path, dash=None)
    for put in pen.plan.puts:
        drawing.place_symbol(
            put.made, put.name, put.x, put.y, turn=put.turn, mirror=put.mirror, scale=put.scale,
            reference=put.reference, value=put.value, text="none",
        )  # fmt: skip
    for points, width in pen.plan.wires:
        drawing.wire(points, width)
    for x, y in pen.dots():
        drawing.dot(x, y)
    for x, y, radius, manner in pen.plan.eyes:
        drawing.dot(x, y, radius, manner)
    _pass_plainly(pen)
    lettering = _Room(pen)
    for put in pen.plan.puts:
        lettering.letter_part(put)
    for label in pen.plan.labels:
        lettering.letter_label(label)


def _pass_plainly(pen: Pen) -> None:
    """No hops or gaps on a sheet where two crossings stand too close for them.

    All or none, for where some wires hop a plain cross reads as a join.
    """
    crossings, style = pen.ground.crossings, pen.drawing.style
    if style.crossing == "plain" or len(crossings) < 2:
        return
    away = np.hypot(*(crossings[:, None] - crossings[None]).transpose(2, 0, 1))
    if away[away > 1.0].min(initial=1e9) < (2 * style.gap + 1.5) * pen.stroke:
        for x, y in crossings:
            pen.drawing.passing(float(x), float(y), "plain")


class _Room:
    """Where lettering may still go."""

    def __init__(self, pen: Pen) -> None:
        self._pen = pen
        rows = pen.ground.segments
        half = 0.5 * pen.stroke
        wires = np.concatenate(
            [np.minimum(rows[:, :2], rows[:, 2:]) - half, np.maximum(rows[:, :2], rows[:, 2:]) + half], axis=1
        )
        self._wires = wires
        self._count = 0
        self._taken = np.zeros((8192, 4))
        for box in pen.ground.boxes:
            self._take((box[0], box[1], box[2], box[3]))
        for box in pen.marked:
            self._take(box)
        for put in pen.plan.puts:
            for mark in put.made.inscriptions:
                self._mark(put, mark.x, mark.y, mark.text, mark.height)

    def _mark(self, put: Put, x: float, y: float, text: str, height: float) -> None:
        u, angle = self._pen.u * put.scale, np.deg2rad(put.turn)
        x = -x if put.mirror else x
        at = (put.x + u * (np.cos(angle) * x - np.sin(angle) * y),
              put.y + u * (np.sin(angle) * x + np.cos(angle) * y))  # fmt: skip
        half, high = 0.38 * height * u * len(text), 0.55 * height * u
        self._take((at[0] - half, at[1] - high, at[0] + half, at[1] + high))

    def _take(self, box: _Box) -> None:
        if self._count < len(self._taken):
            self._taken[self._count] = box
            self._count += 1

    def _free(self, box: _Box, near: float) -> bool:
        x0, y0, x1, y1 = box
        width, height = self._pen.drawing.width, self._pen.drawing.height
        if x0 < 1 or y0 < 1 or x1 > width - 1 or y1 > height - 1:
            return False
        return not (_meets(self._taken[: self._count], box) or _meets(
            self._wires, (x0 - near, y0 - near, x1 + near, y1 + near)))  # fmt: skip

    def letter_part(self, put: Put) -> None:
        """Reference and value beside a body, in one place or parted."""
        lines = [line for line in (put.reference, put.value) if line]
        if not lines:
            return
        rng, high = self._pen.rng, self._pen.high
        spots = ["above", "below", "right", "left"]
        x0, y0, x1, y1 = put.box
        if y1 - y0 > x1 - x0:
            spots = (
                ["right", "left", "above", "below"]
                if rng.random() < 0.75
                else ["left", "right", "above", "below"]
            )
        for gap in (float(rng.uniform(0.3, 0.9)), 0.25, 1.3):
            for where in spots:
                boxes = _boxes(put.box, where, lines, high, gap * high)
                whole = (
                    min(b[0] for b in boxes), min(b[1] for b in boxes),
                    max(b[2] for b in boxes), max(b[3] for b in boxes),
                )  # fmt: skip
                if self._free(whole, self._pen.manner.tight * self._pen.stroke):
                    for line, box in zip(lines, boxes, strict=True):
                        self._pen.drawing.text((box[0] + box[2]) / 2, (box[1] + box[3]) / 2, line)
                    self._take(whole)
                    return
        if len(lines) == 2 and self._part_lines(put, lines):
            return
        if rng.random() < 0.08:
            for line, box in zip(lines, _boxes(put.box, spots[0], lines, high, 0.3 * high), strict=True):
                self._pen.drawing.text((box[0] + box[2]) / 2, (box[1] + box[3]) / 2, line)

    def _part_lines(self, put: Put, lines: list[str]) -> bool:
        """Each line on a side of its own."""
        done = False
        for line in lines:
            for where in ("above", "below", "right", "left"):
                (box,) = _boxes(put.box, where, [line], self._pen.high, 0.3 * self._pen.high)
                if self._free(box, self._pen.manner.tight * self._pen.stroke):
                    self._pen.drawing.text((box[0] + box[2]) / 2, (box[1] + box[3]) / 2, line)
                    self._take(box)
                    done = True
                    break
        return done

    def letter_label(self, label: Label) -> None:
        """One label, on the side it asks for, else wherever is room near its point."""
        pen = self._pen
        high = pen.high * label.size
        half, tall = 0.4 * high * len(label.text), 0.62 * high
        if label.angle:
            half, tall = tall, half
        gap = 0.35 * high
        ways = [(label.dx, label.dy)] if label.dx or label.dy else []
        if not ways or not label.sure:
            ways += [(0.7, -1.0), (-0.7, -1.0), (0.7, 1.0), (-0.7, 1.0), (0.0, -1.0), (1.0, 0.0), (-1.0, 0.0)]
        for dx, dy in ways:
            x, y = label.x + dx * (half + gap), label.y + dy * (tall + gap)
            box = (x - half, y - tall, x + half, y + tall)
            if self._free(box, min(0.2, pen.manner.tight) * pen.stroke) or (label.sure and pen.chance(0.06)):
                pen.drawing.text(x, y, label.text, height=high, angle=label.angle)
                self._take(box)
                return


def _meets(rows: NDArray[np.float64], box: _Box) -> bool:
    x0, y0, x1, y1 = box
    return bool(((rows[:, 0] < x1) & (rows[:, 2] > x0) & (rows[:, 1] < y1) & (rows[:, 3] > y0)).any())


def _boxes(body: _Box, where: str, lines: list[str], high: float, gap: float) -> list[_Box]:
    """A box for each line on one side of a body."""
    x0, y0, x1, y1 = body
    middle, centre = (x0 + x1) / 2, (y0 + y1) / 2
    pitch, found = 1.35 * high, []
    for index, line in enumerate(lines):
        half = 0.38 * high * len(line)
        if where == "above":
            x, y = middle, y0 - gap - high / 2 - pitch * (len(lines) - 1 - index)
        elif where == "below":
            x, y = middle, y1 + gap + high / 2 + pitch * index
        else:
            x = x0 - gap - half if where == "left" else x1 + gap + half
            y = centre + pitch * (index - (len(lines) - 1) / 2)
        found.append((x - half, y - 0.55 * high, x + half, y + 0.55 * high))
    return found

"""Laying strokes on paper, and on the truth beside it, three times finer than the page."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Final, TypeAlias

import numpy as np
from numpy.typing import NDArray
from PIL import Image, ImageDraw

from tracer.training.classes import BODY, CROSSING, DOT, FURNITURE, KIND_CELL, LETTERING, WIRE
from tracer.training.strokes import Points

__all__ = ["Canvas", "Hand", "Warp", "bend"]

_FINE: Final = 3  # odd, so that a page pixel's centre falls on the centre of a fine one
_CORNERS: Final = 11  # strokes of more points than this are curves
_LAYERS: Final = (LETTERING, FURNITURE, WIRE, CROSSING, DOT, BODY)  # later ones cover earlier ones

Warp: TypeAlias = Callable[[Points], Points]


@dataclass(frozen=True, slots=True)
class Hand:
    """How steady the hand is.

    Attributes
    ----------
    wobble : float
        How far a stroke strays between its ends, px.
    pressure : float
        How much the width varies from stroke to stroke, as a part of it.
    ink : int
        Grey of the ink, 0 black.
    slip : float
        How far the strokes of a symbol lie from where they should, px: corners do not quite meet.
    """

    wobble: float = 0.0
    pressure: float = 0.0
    ink: int = 0
    slip: float = 0.0


def bend(points: Points, step: float, wobble: float, rng: np.random.Generator) -> Points:
    """Cut a polyline into steps of at most `step` px and let it stray by `wobble` px between its ends."""
    lengths = np.hypot(*np.diff(points, axis=0).T)
    along = np.concatenate([[0.0], np.cumsum(lengths)])
    total = float(along[-1])
    count = int(total // step) + 1
    if count == 1 and len(points) == 2:
        return points
    stops = np.linspace(0.0, total, count + 1)
    if len(points) == 2:
        fine = points[0] + (stops / total)[:, None] * (points[1] - points[0])
    else:
        stops = np.union1d(along, stops)
        fine = np.stack([np.interp(stops, along, points[:, axis]) for axis in (0, 1)], 1)
    if wobble > 0.0 and total > 0.0:
        part = stops / total
        for axis in (0, 1):
            waves = 1 + total / 160.0
            phase, speed = rng.uniform(0, 2 * np.pi), rng.uniform(0.5, 1.6) * waves
            swing = np.sin(2 * np.pi * speed * part + phase) + 0.6 * np.sin(
                4.3 * np.pi * speed * part + 2 * phase
            )
            fine[:, axis] += wobble * min(1.0, total / 60.0) * swing * np.sin(np.pi * part) ** 0.7
    moved: Points = fine
    return moved


class Canvas:
    """Paper and truth under one pen; `warp` moves everything drawn, page px to page px."""

    def __init__(self, width: int, height: int, warp: Warp, hand: Hand, rng: np.random.Generator) -> None:
        self._size = (width, height)
        self._paper = Image.new("L", (width * _FINE, height * _FINE), 255)
        self._pen = ImageDraw.Draw(self._paper)
        self._kinds = Image.new("L", (-(-width // KIND_CELL), -(-height // KIND_CELL)))
        self._marks: dict[int, list[Callable[[ImageDraw.ImageDraw, Image.Image], None]]] = {
            layer: [] for layer in _LAYERS
        }
        self._warp, self._hand, self._rng = warp, hand, rng

    def _fine(self, points: Points) -> list[tuple[float, float]]:
        moved = (self._warp(points) + 0.5) * _FINE - 0.5
        return [(float(x), float(y)) for x, y in moved]

    def stroke(
        self,
        points: Points,
        width: float,
        layer: int,
        ink: int | None = None,
        worn: Sequence[tuple[float, float, float]] = (),
    ) -> None:
        """Draw a polyline `width` px wide and mark it as `layer`; `ink` overrides the grey.

        `worn` are stretches in rising order, from and to in parts of its length, that the print took only
        some part of the width of, or nothing at all; they are marked all the same.
        """
        grey = self._hand.ink if ink is None else ink
        if self._hand.slip and layer == BODY:
            few = points.shape if len(points) <= _CORNERS else (1, 2)  # a curve moves as a whole
            points = points + self._rng.normal(0.0, self._hand.slip, few)
        width *= float(np.exp(self._rng.normal(0.0, self._hand.pressure))) if self._hand.pressure else 1.0
        path = self._fine(bend(points, 14.0, self._hand.wobble, self._rng))
        thick = max(1, round(width * _FINE))
        for first, last, share in _taken(worn):
            piece = path if not worn else _cut(path, first, last)
            _draw_line(self._pen, piece, max(1, round(width * share * _FINE)), grey)
        quick = layer == WIRE  # the bends of a wobbling wire are too slight to want rounding in the truth
        self._marks[layer].append(lambda pen, _: _draw_line(pen, path, thick, layer, quick=quick))

    def fill(self, points: Points, layer: int, *, paper: bool = False) -> None:
        """Fill a polygon with ink (or bare paper) and mark it as `layer`."""
        path = self._fine(points)
        self._pen.polygon(path, fill=255 if paper else self._hand.ink)
        self._marks[layer].append(lambda pen, _: pen.polygon(path, fill=layer))

    def mark(self, points: Points, layer: int) -> None:
        """Mark a polygon as `layer`, drawing nothing."""
        path = self._fine(points)
        self._marks[layer].append(lambda pen, _: pen.polygon(path, fill=layer))

    def mark_body(self, points: Points, width: float, kind: int) -> None:
        """Mark a body's region, its outline `width` px wide included, and its kind."""
        path = self._fine(bend(points, 14.0, 0.0, self._rng))
        thick = max(1, round(width * _FINE))

        def paint(pen: ImageDraw.ImageDraw, _: Image.Image) -> None:
            pen.polygon(path, fill=BODY)
            _draw_line(pen, [*path, path[0]], thick, BODY)

        self._marks[BODY].append(paint)
        cells = [(x / _FINE / KIND_CELL - 0.375, y / _FINE / KIND_CELL - 0.375) for x, y in path]
        ImageDraw.Draw(self._kinds).polygon(cells, fill=kind, outline=kind)

    def dot(self, x: float, y: float, radius: float) -> None:
        """A junction dot."""
        self._disc(x, y, radius, DOT, self._hand.ink)

    def square_dot(self, x: float, y: float, radius: float) -> None:
        """A junction dot with corners, as pens on raster screens and some stencils leave them."""
        ((cx, cy),) = self._fine(np.array([(x, y)]))
        r = radius * _FINE
        corners = (cx - r, cy - r, cx + r, cy + r)
        self._pen.rectangle(corners, fill=self._hand.ink)
        self._marks[DOT].append(lambda pen, _: pen.rectangle(corners, fill=DOT))

    def mark_crossing(self, x: float, y: float, radius: float) -> None:
        """Mark the disc in which two wires pass."""
        self._disc(x, y, radius, CROSSING, None)

    def _disc(self, x: float, y: float, radius: float, layer: int, ink: int | None) -> None:
        ((cx, cy),) = self._fine(np.array([(x, y)]))
        r = radius * _FINE
        corners = (cx - r, cy - r, cx + r, cy + r)
        if ink is not None:
            self._pen.ellipse(corners, fill=ink)
        self._marks[layer].append(lambda pen, _: pen.ellipse(corners, fill=layer))

    def stamp(self, mask: Image.Image, x: float, y: float, angle: float, layer: int) -> None:
        """Print a mask (made `fineness` times too large) centred on (x, y), turned by `angle` degrees."""
        turned = mask.rotate(-angle, expand=True, resample=Image.Resampling.BILINEAR) if angle else mask
        ((cx, cy),) = self._fine(np.array([(x, y)]))
        corner = (round(cx - turned.width / 2), round(cy - turned.height / 2))
        self._paper.paste(
            self._hand.ink, (*corner, corner[0] + turned.width, corner[1] + turned.height), turned
        )
        hard = turned.point([255 if level > 110 else 0 for level in range(256)])
        box = (*corner, corner[0] + turned.width, corner[1] + turned.height)
        self._marks[layer].append(lambda _, image: image.paste(layer, box, hard))

    @property
    def fineness(self) -> int:
        """How many fine pixels make one page pixel, each way."""
        return _FINE

    def finish(self) -> tuple[NDArray[np.uint8], NDArray[np.uint8], NDArray[np.uint8]]:
        """Image (H, W), classes (H, W) and kinds (ceil(H/4), ceil(W/4)), all uint8."""
        truth = Image.new("L", self._paper.size)
        pen = ImageDraw.Draw(truth)
        for layer in _LAYERS:
            for paint in self._marks[layer]:
                paint(pen, truth)
        middle = _FINE // 2
        classes = np.asarray(truth)[middle::_FINE, middle::_FINE].copy()
        return np.asarray(self._paper.reduce(_FINE)), classes, np.asarray(self._kinds)


def _taken(worn: Sequence[tuple[float, float, float]]) -> list[tuple[float, float, float]]:
    """The stretches that took ink: from, to and share of the width."""
    found, here = [], 0.0
    for first, last, share in worn:
        if first > here:
            found.append((here, first, 1.0))
        if share > 0.0:
            found.append((first, last, share))
        here = last
    return [*found, (here, 1.0, 1.0)] if here < 1.0 else found


def _cut(path: list[tuple[float, float]], first: float, last: float) -> list[tuple[float, float]]:
    """The part of a polyline between two parts of its length."""
    points = np.array(path)
    along = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(points, axis=0).T))])
    start, end = first * along[-1], last * along[-1]
    stops = np.concatenate([[start], along[(along > start) & (along < end)], [end]])
    return [
        (float(np.interp(s, along, points[:, 0])), float(np.interp(s, along, points[:, 1]))) for s in stops
    ]


def _draw_line(
    pen: ImageDraw.ImageDraw,
    path: list[tuple[float, float]],
    thick: int,
    value: int,
    *,
    quick: bool = False,
) -> None:
    pen.line(path, fill=value, width=thick, joint=None if quick else "curve")
    if thick > 2:
        r = thick / 2 - 0.5
        for x, y in (path[0], path[-1]):
            pen.ellipse((x - r, y - r, x + r, y + r), fill=value)

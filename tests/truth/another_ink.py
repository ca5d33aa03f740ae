"""Ink of the sheets drawn by another hand: strokes and fills in millimetres, bent, wobbled, made into pixels.

Nothing is shared with the training's canvas: shapes are kept as they are and put down at four times the size
with OpenCV, then brought down by areas. What each shape means is kept beside it, so that a map of classes
can be made from the same shapes.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from typing import Any

import cv2
import numpy as np
from numpy.typing import NDArray

__all__ = ["Bend", "Fill", "Ink", "Stroke", "arc", "corners_rounded"]

Points = NDArray[np.float64]

_FINE = 4  # times the size that shapes are put down at
_SHIFT = 4  # binary places of a pixel that OpenCV is given
_STEP = 0.6  # mm between places on a bent line


@dataclass(frozen=True, slots=True)
class Stroke:
    """A line through `points` (n, 2) mm, `width` mm; `dash` is (drawn, left out) mm, or none."""

    points: Points
    width: float
    meaning: str
    dash: tuple[float, float] | None = None


@dataclass(frozen=True, slots=True)
class Fill:
    """An area inside `rings`, holes among them; `paper` rubs out in place of inking."""

    rings: tuple[Points, ...]
    meaning: str
    paper: bool = False


@dataclass(frozen=True)
class Bend:
    """How the paper and the hand move every place: slow waves over the sheet, mm.

    `slope` is the steepest that a level line gets, as a part of its length.
    """

    seed: int
    slope: float
    waves: int = 5
    corner: tuple[float, float] = (0.0, 0.0)

    def __call__(self, places: Any) -> Points:
        """Move places (n, 2), and bring `corner`, itself moved already, to (0, 0)."""
        return self._waved(places) - self.corner

    def _waved(self, places: Any) -> Points:
        moved = np.array(places, np.float64).reshape(-1, 2)
        if self.slope <= 0:
            return moved
        rng = np.random.default_rng(self.seed)
        added = np.zeros_like(moved)
        for _ in range(self.waves):
            long, way, phase = rng.uniform(60, 240), rng.uniform(0, np.pi), rng.uniform(0, 2 * np.pi)
            turn = 2 * np.pi / long
            along = moved[:, 0] * np.cos(way) + moved[:, 1] * np.sin(way)
            high = self.slope / turn / self.waves * 1.6
            added += high * np.sin(along * turn + phase)[:, None] * rng.uniform(-1, 1, 2)
        return moved + added


@dataclass
class Ink:
    """Everything put on one sheet, in the order it was put there."""

    bend: Bend
    wobble: float = 0.0
    seed: int = 0
    shapes: list[Stroke | Fill] = field(default_factory=list)

    def render(self, scale: float, size: tuple[int, int], only: Iterable[str] = ()) -> NDArray[np.uint8]:
        """Return (H, W) uint8, 0 paper to 255 ink, at `scale` px a mm; `only` some meanings, or all."""
        wanted = frozenset(only)
        rng = np.random.default_rng(self.seed)
        fine = np.zeros((size[0] * _FINE, size[1] * _FINE), np.uint8)
        for shape in self.shapes:
            shake = rng.uniform(0, 1000)
            if isinstance(shape, Fill):
                if not wanted or shape.meaning in wanted or shape.paper:
                    rings = [_fixed(self.bend(ring), scale) for ring in shape.rings]
                    cv2.fillPoly(fine, rings, 0 if shape.paper else 255, cv2.LINE_8, _SHIFT)
            elif not wanted or shape.meaning in wanted:
                self._stroke(fine, shape, scale, shake)
        return cv2.resize(fine, size[::-1], interpolation=cv2.INTER_AREA).astype(np.uint8)

    def _stroke(self, fine: NDArray[np.uint8], shape: Stroke, scale: float, shake: float) -> None:
        width = max(1, round(shape.width * scale * _FINE))
        along = self.bend(_dense(shape.points))
        if self.wobble:
            along = _wobbled(along, self.wobble, shake)
        for piece in _dashed(along, shape.dash):
            cv2.polylines(fine, [_fixed(piece, scale)], False, 255, width, cv2.LINE_8, _SHIFT)


def arc(
    x: float, y: float, across: float, start: float, end: float, flat: float = 1.0, count: int = 24
) -> Points:
    """Return places on an arc about (x, y), degrees clockwise from three o'clock; `flat` squeezes y."""
    turns = np.radians(np.linspace(start, end, count))
    return np.stack([x + across * np.cos(turns), y + across * flat * np.sin(turns)], axis=1)


def corners_rounded(points: Sequence[Sequence[float]] | Points, times: int = 2) -> Points:
    """Cut the corners of a line (Chaikin 1974), its ends left where they are."""
    line = np.asarray(points, np.float64)
    for _ in range(times):
        early, late = line[:-1] * 0.75 + line[1:] * 0.25, line[:-1] * 0.25 + line[1:] * 0.75
        line = np.concatenate([line[:1], np.stack([early, late], axis=1).reshape(-1, 2), line[-1:]])
    return line


def _fixed(points: Points, scale: float) -> NDArray[np.int32]:
    """Places in OpenCV's fixed binary places, on the fine grid."""
    fixed: NDArray[np.int32] = np.round(((points * scale + 0.5) * _FINE - 0.5) * 2**_SHIFT).astype(np.int32)
    return fixed


def _dense(points: Points) -> Points:
    """Put places between, so that a straight line can be bent."""
    long = np.hypot(*np.diff(points, axis=0).T)
    pieces = [
        start + np.linspace(0, 1, 1 + max(1, int(each / _STEP)))[:-1, None] * (end - start)
        for start, end, each in zip(points[:-1], points[1:], long, strict=True)
    ]
    return np.concatenate([*pieces, points[-1:]]) if pieces else points


def _wobbled(points: Points, much: float, shake: float) -> Points:
    """Shake a line sideways as a hand does; its two ends stay."""
    if len(points) < 4:
        return points
    way = np.gradient(points, axis=0)
    long = np.maximum(np.hypot(way[:, 0], way[:, 1]), 1e-9)
    run = np.cumsum(long)
    aside = 0.6 * np.sin(run / 2.9 + shake) + 0.8 * np.sin(run / 7.3 + 2 * shake) + 0.3 * np.sin(run + shake)
    faded = np.minimum(1.0, np.minimum(run, run[-1] - run) / 3.0)
    moved: Points = points + (much * aside * faded / long)[:, None] * np.stack(
        [-way[:, 1], way[:, 0]], axis=1
    )
    return moved


def _dashed(points: Points, dash: tuple[float, float] | None) -> list[Points]:
    if dash is None:
        return [points]
    run = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(points, axis=0).T))])
    pieces, start = [], 0.0
    while start < run[-1]:
        ends = np.array([start, min(start + dash[0], run[-1])])
        inside = points[(run > ends[0]) & (run < ends[1])]
        edges = np.stack([np.interp(ends, run, points[:, axis]) for axis in (0, 1)], axis=1)
        pieces.append(np.concatenate([edges[:1], inside, edges[1:]]))
        start += sum(dash)
    return pieces

"""Mends made by hand, laid on the mask before tracing and on the lines after it."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

import cv2
import numpy as np
from numpy.typing import NDArray

from tracer.trace.blobs import Labels
from tracer.trace.grid import Grid, disc, to_grid
from tracer.trace.mask import Inked
from tracer.trace.mend import Mend, MendKind
from tracer.trace.prune import half_widths
from tracer.trace.skeleton import Strokes

__all__ = ["link_by_hand", "mend_mask", "not_wire"]

_REACH = 4.0  # stroke widths within which a mend finds what it is about


def mend_mask(inked: Inked, grid: Grid, mends: Iterable[Mend]) -> Inked:
    """Lay cuts and joined crossings on the mask.

    A cut clears a disc as wide as the ink there and lets nothing bridge it. A crossing made a junction
    becomes a dot: its whole disc if the reader saw one, else a disc a little wider than the ink.
    """
    chosen = [mend for mend in mends if mend.kind in (MendKind.CUT, MendKind.JUNCTION)]
    if not chosen:
        return inked
    wire, cut = inked.wire.copy(), inked.cut.copy()
    dots, crossings = inked.dots.copy(), inked.crossings.copy()
    half = half_widths(wire | (crossings > 0))
    for mend in chosen:
        at = to_grid(grid, np.array([[mend.x, mend.y]]))[0]
        near = _window(half, at, _REACH * grid.stroke / 2)
        radius = max(0.8 * grid.stroke, float(near.max(initial=0.0)) + 1.0)
        if mend.kind is MendKind.CUT:
            _paint(wire, at, radius, 0)
            _paint(dots, at, radius, 0)
            _paint(crossings, at, radius, 0)
            _paint(cut, at, radius, 1)
            continue
        blob = _nearest_label(crossings, at, _REACH * grid.stroke)
        area = crossings == blob if blob else np.zeros_like(wire)
        # The cut-out is wider than the disc by a rim; the dot must reach the ends of the arms.
        area = cv2.dilate(area.astype(np.uint8), disc(0.7 * grid.stroke)) > 0
        if not blob:
            _paint(area, at, radius, 1)
        wire |= area
        dots[area] = dots.max(initial=0) + 1
        crossings[area] = 0
    return replace(inked, wire=wire, dots=dots, crossings=crossings, cut=cut)


def not_wire(strokes: Strokes, grid: Grid, mends: Iterable[Mend]) -> list[int]:
    """Return the lines that are no wire, by hand."""
    found = []
    for mend in mends:
        if mend.kind is MendKind.NOT_WIRE:
            at = to_grid(grid, np.array([[mend.x, mend.y]]))[0]
            line, _, distance = _nearest_point(strokes, at)
            if distance <= _REACH * grid.stroke:
                found.append(line)
    return found


def link_by_hand(strokes: Strokes, grid: Grid, mends: Iterable[Mend]) -> Strokes:
    """Draw a straight line for every join made by hand, splitting the lines it starts and ends on."""
    for mend in mends:
        if mend.kind is not MendKind.JOIN or mend.x2 is None or mend.y2 is None:
            continue
        places = to_grid(grid, np.array([[mend.x, mend.y], [mend.x2, mend.y2]]))
        first = _node_at(strokes, places[0], grid.stroke)
        second = _node_at(strokes, places[1], grid.stroke)
        if first is None or second is None or first == second:
            continue
        strokes.lines.append(strokes.nodes[[first, second]])
        strokes.ends = np.vstack([strokes.ends, [[first, second]]])
    return strokes


def _node_at(strokes: Strokes, at: NDArray[np.float64], stroke: float) -> int | None:
    """Return the node at a place on a line, splitting the line."""
    line, index, distance = _nearest_point(strokes, at)
    if distance > _REACH * stroke:
        return None
    points = strokes.lines[line]
    if len(points) < 3:
        return int(strokes.ends[line, 0 if index == 0 else 1])
    # Never at the very end: what the line ends at (a body, say) stays its end.
    index = min(max(index, 1), len(points) - 2)
    node = len(strokes.nodes)
    strokes.nodes = np.vstack([strokes.nodes, points[index]])
    strokes.ends = np.vstack([strokes.ends, [[node, strokes.ends[line, 1]]]])
    strokes.ends[line, 1] = node
    strokes.lines[line] = points[: index + 1]
    strokes.lines.append(points[index:])
    return node


def _nearest_point(strokes: Strokes, at: NDArray[np.float64]) -> tuple[int, int, float]:
    """Return line, index along it and distance of the centre-line point nearest to a place."""
    best = (-1, -1, np.inf)
    for line, points in enumerate(strokes.lines):
        distances = np.hypot(*(points - at).T)
        index = int(np.argmin(distances))
        if distances[index] < best[2]:
            best = (line, index, float(distances[index]))
    return best


def _nearest_label(labels: Labels, at: NDArray[np.float64], reach: float) -> int:
    """Return the label nearest to a place within `reach` px, 0 if none."""
    x0, y0 = (max(int(value - reach), 0) for value in at)
    window = labels[y0 : int(at[1] + reach) + 2, x0 : int(at[0] + reach) + 2]
    ys, xs = np.nonzero(window)
    if len(xs) == 0:
        return 0
    nearest = int(np.argmin(np.hypot(xs + x0 - at[0], ys + y0 - at[1])))
    return int(window[ys[nearest], xs[nearest]])


def _window(image: NDArray[np.float32], at: NDArray[np.float64], reach: float) -> NDArray[np.float32]:
    """Return the part of an image within `reach` px of a place, in both axes."""
    x0, y0 = (max(int(value - reach), 0) for value in at)
    return image[y0 : int(at[1] + reach) + 2, x0 : int(at[0] + reach) + 2]


def _paint(image: NDArray[np.generic], at: NDArray[np.float64], radius: float, value: int) -> None:
    """Set a disc of an image to `value`, in place."""
    x, y = np.round(at).astype(int)
    reach = int(np.ceil(radius))
    shape = disc(radius).astype(bool)
    ys, xs = np.nonzero(shape)
    ys, xs = ys + y - reach, xs + x - reach
    inside = (ys >= 0) & (xs >= 0) & (ys < image.shape[0]) & (xs < image.shape[1])
    image[ys[inside], xs[inside]] = value

"""Clears the skeleton of what thinning makes but nobody drew: spurs, and specks with no end anywhere."""

from __future__ import annotations

import cv2
import numpy as np
from numpy.typing import NDArray

from tracer.trace.blobs import Labels
from tracer.trace.grid import Nearby, pixels_of
from tracer.trace.skeleton import Strokes, line_length, trace_strokes

__all__ = ["half_widths", "prune_spurs", "rub_out", "stretch_points"]

_ROUNDS = 3


def half_widths(wire: NDArray[np.bool_]) -> NDArray[np.float32]:
    """Return each ink pixel's distance to the nearest bare one, px: half the stroke on its centre line.

    What lies outside the picture is bare.
    """
    framed = np.pad(wire.view(np.uint8), 1)
    return np.asarray(cv2.distanceTransform(framed, cv2.DIST_L2, cv2.DIST_MASK_5)[1:-1, 1:-1], np.float32)


def rub_out(skeleton: NDArray[np.bool_], strokes: Strokes, lines: list[int], ends: NDArray[np.bool_]) -> None:
    """Clear `lines` from the skeleton in place; ``ends[line]`` says which of its two end pixels go too."""
    for line in lines:
        pixels = strokes.lines[line].astype(np.intp)
        first = 0 if ends[line, 0] else 1
        last = len(pixels) if ends[line, 1] else len(pixels) - 1
        skeleton[pixels[first:last, 1], pixels[first:last, 0]] = False


def prune_spurs(
    skeleton: NDArray[np.bool_],
    half: NDArray[np.float32],
    dots: Labels,
    targets: tuple[Nearby, ...],
    stroke: float,
) -> Strokes:
    """Rub short side branches out of the skeleton (in place) and trace what is left.

    A spur runs from a meeting to a free end and is shorter than the ink is wide there, or than a stroke.
    A short branch that ends at one of `targets` (a body, a crossing) may be real, so only what lies within
    the ink of the meeting itself goes.
    """
    strokes = trace_strokes(skeleton)
    for _ in range(_ROUNDS):
        spurs = _find_spurs(strokes, half, dots, targets, stroke)
        if not spurs:
            break
        degree = np.bincount(strokes.ends.ravel(), minlength=len(strokes.nodes))
        rub_out(skeleton, strokes, spurs, degree[strokes.ends] == 1)
        strokes = trace_strokes(skeleton)
    return strokes


def _find_spurs(
    strokes: Strokes,
    half: NDArray[np.float32],
    dots: Labels,
    targets: tuple[Nearby, ...],
    stroke: float,
) -> list[int]:
    """Return the numbers of the lines that are spurs; two lines are left at every meeting."""
    if not strokes.lines:
        return []
    degree = np.bincount(strokes.ends.ravel(), minlength=len(strokes.nodes))
    at_ends = degree[strokes.ends]
    loose = np.flatnonzero((at_ends.min(axis=1) == 1) & (at_ends.max(axis=1) >= 3))
    found: list[tuple[bool, float, int, int]] = []
    for line in loose.tolist():
        free = int(np.argmin(at_ends[line]))
        path = strokes.lines[line] if free == 1 else strokes.lines[line][::-1]
        x, y = path[0].astype(np.intp)
        length, inside = line_length(path), float(half[y, x])
        limit = max(1.5 * inside + 1.0, 1.1 * stroke)
        if length > limit:
            continue
        serves = any(np.isfinite(target.find(path[-1:], 1.7 * stroke).distance[0]) for target in targets)
        if serves and dots[y, x]:
            limit = inside + 1.0 if _stays_in(dots, half, path) else 0.8 * inside
        elif serves:
            limit = 1.5 * inside
        if length <= limit:
            found.append((serves, length, line, int(strokes.ends[line, 1 - free])))
    spurs: list[int] = []
    for _, _, spur, node in sorted(found):
        if degree[node] > 2:
            degree[node] -= 1
            spurs.append(spur)
    return spurs


def _stays_in(labels: Labels, half: NDArray[np.float32], path: NDArray[np.float64]) -> bool:
    """Say whether the ink along a path, which goes on beyond its skeleton, ends on a blob of `labels`."""
    way = path[-1] - path[0]
    x, y = path[[0, -1]].astype(np.intp).T
    deepest = float(half[y, x].max())
    steps = np.arange(0.0, 2.0 * deepest + 1.0, 0.5)[:, None]
    x, y = pixels_of(path[-1] + steps * way / max(float(np.hypot(*way)), 1e-9), labels.shape)
    bare = np.flatnonzero(half[y, x] <= 0)
    last = max(int(bare[0]) - 1, 0) if len(bare) else len(x) - 1
    return bool(labels[y[last], x[last]])


def stretch_points(strokes: Strokes, targets: tuple[Nearby, ...], stroke: float) -> Strokes:
    """Give ink hardly longer than wide its line, between the two things that it lies between.

    The lead between a body and a crossing close by often thins to a point, or to a line across it. Such
    ink near fewer than two bodies or crossings stays as it is.
    """
    degree = np.bincount(strokes.ends.ravel(), minlength=len(strokes.nodes))
    points = [strokes.nodes[node] for node in np.flatnonzero(degree == 0)]
    kept = list(range(len(strokes.lines)))
    for line in np.flatnonzero((degree[strokes.ends] == 1).all(axis=1)):
        if line_length(strokes.lines[line]) < 1.3 * stroke:
            middle = strokes.lines[line].mean(axis=0)
            if _two_sides(middle, targets, stroke) is not None:
                kept.remove(int(line))
                points.append(middle)
    lines, ends, nodes = [strokes.lines[line] for line in kept], [strokes.ends[kept]], [strokes.nodes]
    count = len(strokes.nodes)
    for at in points:
        places = _two_sides(at, targets, stroke)
        if places is None:
            continue
        lines.append(np.vstack([places[0], at, places[1]]))
        nodes.append(np.vstack(places))
        ends.append(np.array([[count, count + 1]]))
        count += 2
    return Strokes(lines, np.vstack(ends), np.vstack(nodes))


def _two_sides(
    at: NDArray[np.float64], targets: tuple[Nearby, ...], stroke: float
) -> tuple[NDArray[np.float64], NDArray[np.float64]] | None:
    """Return the nearest pixel of a body or crossing, and the nearest one of another, on the far side."""
    found: dict[tuple[int, int], tuple[float, NDArray[np.float64]]] = {}
    for kind, target in enumerate(targets):
        if target.tree is None:
            continue
        for index in target.tree.query_ball_point(at, 2.0 * stroke):
            place = np.asarray(target.tree.data[index], np.float64)
            distance = float(np.hypot(*(place - at)))
            key = (kind, int(target.blob[index]))
            if key not in found or distance < found[key][0]:
                found[key] = (distance, place)
    near = sorted(found.values(), key=lambda pair: pair[0])
    for _, place in near[1:]:
        if (place - at) @ (near[0][1] - at) <= 0:
            return near[0][1], place
    return None

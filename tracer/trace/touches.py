"""Ends that stop just short of a wire or a dot."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray
from scipy.spatial import cKDTree

from tracer.trace.arms import Arm
from tracer.trace.blobs import ink_places
from tracer.trace.grid import pixels_of
from tracer.trace.mask import Inked

__all__ = ["Touch", "straight_pixels", "touches"]

_SHORT_OF = 1.6  # stroke widths of bare paper between an end and the wire it was meant to touch
_SHORT_OF_WHOLE = 0.5  # the same, on a sheet whose ink is hardly broken anywhere
_SHORT_OF_DOT = 10.0  # the same, between an end and a dot, where a remnant of the line shows
_SHORT_OF_DOT_CLEAR = 34.0  # the same, where the line shows all the way
_WORN = 0.4  # of such a stretch that must still show ink
_CLEAR = 0.9  # of a line that shows all the way


@dataclass(frozen=True, slots=True, eq=False)
class Touch:
    """An end closed: the pixels that do it, (N, 2), how sure (0 to 1), and the bare strokes between."""

    pixels: NDArray[np.intp]
    score: float
    bare: float


def touches(
    arms: Mapping[int, Arm],
    inked: Inked,
    skeleton: NDArray[np.bool_],
    stroke: float,
    broken: bool | None = None,
) -> list[Touch]:
    """Find the ends that stop just short of a wire or a dot, and the pixels that would close each.

    `broken` is whether the sheet's ink is (`DrawingHabits`).
    They lead from the end to the wire's centre line.
    """
    ys, xs = ink_places(skeleton)
    if len(xs) == 0:
        return []
    tree = cKDTree(np.column_stack([xs, ys]).astype(np.float64))
    short_of = (_SHORT_OF_WHOLE if broken is False else _SHORT_OF) * stroke
    found = []
    for arm in arms.values():
        hit = _march(arm, inked, stroke, short_of)
        if hit is None:
            continue
        target, bare = hit
        _, index = tree.query(target)
        goal = tree.data[index]
        if np.hypot(*(goal - arm.at)) < stroke * 0.5 or (goal - arm.at) @ arm.way > 0:
            continue
        score = max(0.7 - 0.2 * bare / stroke, 0.2)
        found.append(Touch(straight_pixels(arm.root, goal), float(score), bare / stroke))
    return found


def _march(
    arm: Arm, inked: Inked, stroke: float, short_of: float
) -> tuple[NDArray[np.float64], float] | None:
    """Walk on from an end until other ink: where, and over how much bare paper. None if it is too far.

    To a dot it may be further, if a remnant of the line leads there.
    """
    steps = np.arange(0.5, (_SHORT_OF_DOT_CLEAR + 1.5) * stroke, 0.5)
    path = arm.at - steps[:, None] * arm.way
    x, y = pixels_of(path, inked.wire.shape)
    ink = inked.wire[y, x]
    leaves = np.flatnonzero(~ink)
    if len(leaves) == 0:
        return None
    again = np.flatnonzero(ink[leaves[0] :])
    if len(again) == 0:
        return None
    meets = leaves[0] + again[0]
    bare = float(steps[meets] - steps[leaves[0]])
    if bare > short_of:
        worn = inked.remnant[y[leaves[0] : meets], x[leaves[0] : meets]].mean()
        shows = _WORN if bare <= _SHORT_OF_DOT * stroke else _CLEAR
        if inked.dots[y[meets], x[meets]] == 0 or worn < shows or bare > _SHORT_OF_DOT_CLEAR * stroke:
            return None
    way = y[:meets], x[:meets]
    stops = (inked.bodies[way] > 0) | inked.lettering[way] | inked.cut[way]
    return None if stops.any() else (path[meets], bare)


def straight_pixels(start: NDArray[np.float64], end: NDArray[np.float64]) -> NDArray[np.intp]:
    """Return the pixels of a straight line, both ends included."""
    low = np.floor(np.minimum(start, end)).astype(int) - 1
    size = np.ceil(np.maximum(start, end)).astype(int) + 2 - low
    canvas = np.zeros((int(size[1]), int(size[0])), np.uint8)
    a, b = (np.round(p).astype(int) - low for p in (start, end))
    cv2.line(canvas, (int(a[0]), int(a[1])), (int(b[0]), int(b[1])), 1)
    ys, xs = np.nonzero(canvas)
    return np.column_stack([xs + low[0], ys + low[1]]).astype(np.intp)

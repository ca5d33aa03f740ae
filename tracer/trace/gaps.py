"""Breaks in the ink: ends that face each other, and ends that stop just short of a wire."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray
from scipy.spatial import cKDTree

from tracer.trace.arms import Arm
from tracer.trace.mask import Inked

__all__ = ["Gap", "facing_gaps", "straight_pixels", "touches"]

_LONGEST = 6.0  # stroke widths, over bare paper
_LONGEST_ACROSS = 9.0  # stroke widths, under another wire
_LONGEST_WORN = 34.0  # stroke widths, over what is left of a worn line
_WORN = 0.4  # of a worn stretch that must still show ink
_NARROW = 2.2  # stroke widths; so close that a corner may be broken
_SHORT_OF = 1.6  # stroke widths of bare paper between an end and the wire it was meant to touch
_SHORT_OF_DOT = 10.0  # the same, between an end and a dot, where a remnant of the line shows


@dataclass(frozen=True, slots=True)
class Gap:
    """Two arms whose ends are one conductor, how sure (0 to 1), and whether another wire passes between."""

    first: int
    second: int
    score: float
    across: bool


def facing_gaps(arms: Mapping[int, Arm], inked: Inked, stroke: float) -> list[Gap]:
    """Pair free ends that aim at each other across a small break, the best pairs first.

    A body, lettering or a cut by hand between them stops it. Another wire between them does not, if
    both ends aim well: the under-wire of a crossing is often drawn with a gap. Where a faint or dashed
    remnant of the line still shows (the reader calls it furniture), the break may be long.
    """
    ids = list(arms)
    if len(ids) < 2:
        return []
    tree = cKDTree(np.array([arms[arm].at for arm in ids]))
    found = []
    for one, other in tree.query_pairs(_LONGEST_WORN * stroke):
        gap, cost = _judge(arms[ids[one]], arms[ids[other]], inked, stroke)
        if gap is not None:
            found.append((cost, gap))
    taken: set[int] = set()
    kept = []
    for _, gap in sorted(found, key=lambda pair: (pair[0], pair[1].first, pair[1].second)):
        if gap.first not in taken and gap.second not in taken:
            taken |= {gap.first, gap.second}
            kept.append(gap)
    return kept


def _judge(first: Arm, second: Arm, inked: Inked, stroke: float) -> tuple[Gap | None, float]:
    """Return the gap between two ends, or None, and its cost."""
    link = second.at - first.at
    length = float(np.hypot(*link))
    long = length / stroke
    if length == 0 or first.id // 2 == second.id // 2:
        return None, 0.0
    out, back = float(-first.way @ link) / length, float(second.way @ link) / length
    turns = float(np.arccos(np.clip(out, -1, 1)) + np.arccos(np.clip(back, -1, 1)))
    sideways = max(abs(_cross(first.way, link)), abs(_cross(second.way, link))) / stroke
    if long > _LONGEST_ACROSS and (min(out, back) < 0.97 or sideways > 1.2):
        return None, 0.0
    stopped, wires, worn = _between(first.at, second.at, inked, stroke)
    if stopped or wires > 1:
        return None, 0.0
    aimed = out > 0.85 and back > 0.85 and sideways < 0.9
    sure_way = min(first.span, second.span) >= 1.5 * stroke
    if worn >= _WORN and not wires and min(out, back) > 0.97 and sideways < 1.2 and sure_way:
        return Gap(first.id, second.id, float(np.clip(0.6 * worn, 0.2, 0.6)), False), long + 3.0 * turns
    if wires:
        fits = aimed and sure_way and out > 0.94 and back > 0.94
    elif long <= _NARROW:
        fits = turns < np.radians(110) and max(out, back) > 0.6
    else:
        fits = aimed and long <= _LONGEST and (sure_way or long < 4.0)
    if not fits:
        return None, 0.0
    score = 0.95 - 0.07 * long - 0.25 * turns - (0.15 if wires else 0.0) - (0.0 if sure_way else 0.1)
    return Gap(first.id, second.id, float(np.clip(score, 0.05, 0.95)), bool(wires)), long + 3.0 * turns


def touches(
    arms: Mapping[int, Arm],
    inked: Inked,
    skeleton: NDArray[np.bool_],
    stroke: float,
) -> list[tuple[NDArray[np.intp], float]]:
    """Find the ends that stop just short of a wire or a dot, and the pixels that would close each.

    Returns
    -------
    list of ((N, 2) intp, float)
        Pixels, x then y, from the end to the wire's centre line, and how sure (0 to 1).
    """
    ys, xs = np.nonzero(skeleton)
    if len(xs) == 0:
        return []
    tree = cKDTree(np.column_stack([xs, ys]).astype(np.float64))
    found = []
    for arm in arms.values():
        hit = _march(arm, inked, stroke)
        if hit is None:
            continue
        target, bare = hit
        _, index = tree.query(target)
        goal = tree.data[index]
        if np.hypot(*(goal - arm.at)) < stroke * 0.5 or (goal - arm.at) @ arm.way > 0:
            continue
        score = max(0.7 - 0.2 * bare / stroke, 0.2)
        found.append((straight_pixels(arm.root, goal), float(score)))
    return found


def _march(arm: Arm, inked: Inked, stroke: float) -> tuple[NDArray[np.float64], float] | None:
    """Walk on from an end until other ink: where, and over how much bare paper. None if it is too far.

    To a dot it may be further, if a remnant of the line leads there.
    """
    steps = np.arange(0.5, (_SHORT_OF_DOT + 1.5) * stroke, 0.5)
    path = arm.at - steps[:, None] * arm.way
    x, y = _inside(path, inked.wire.shape)
    ink = inked.wire[y, x]
    leaves = np.flatnonzero(~ink)
    if len(leaves) == 0:
        return None
    again = np.flatnonzero(ink[leaves[0] :])
    if len(again) == 0:
        return None
    meets = leaves[0] + again[0]
    bare = float(steps[meets] - steps[leaves[0]])
    if bare > _SHORT_OF * stroke:
        worn = inked.remnant[y[leaves[0] : meets], x[leaves[0] : meets]].mean()
        if inked.dots[y[meets], x[meets]] == 0 or worn < _WORN:
            return None
    stops = (inked.bodies[y[:meets], x[:meets]] > 0) | inked.blocked[y[:meets], x[:meets]]
    return None if stops.any() else (path[meets], bare)


def _between(
    first: NDArray[np.float64], second: NDArray[np.float64], inked: Inked, stroke: float
) -> tuple[bool, int, float]:
    """Say whether something stops a bridge between two ends, what wires it passes, how much remnant shows."""
    length = float(np.hypot(*(second - first)))
    share = np.arange(0.0, length + 0.5, 0.5) / max(length, 1e-9)
    path = first + np.clip(share, 0, 1)[:, None] * (second - first)
    x, y = _inside(path, inked.wire.shape)
    stopped = bool((inked.bodies[y, x] > 0).any() or inked.blocked[y, x].sum() > stroke * 0.5)
    ink = inked.wire[y, x]
    bare = np.flatnonzero(~ink)
    if len(bare) == 0:
        return stopped, 0, 0.0
    inner = ink[bare[0] : bare[-1] + 1].astype(np.int8)
    return stopped, int((np.diff(inner) == 1).sum()), float(inked.remnant[y, x].mean())


def _inside(points: NDArray[np.float64], shape: tuple[int, ...]) -> tuple[NDArray[np.intp], NDArray[np.intp]]:
    """Round points to pixels inside an image of `shape`."""
    x = np.clip(np.round(points[:, 0]), 0, shape[1] - 1).astype(np.intp)
    y = np.clip(np.round(points[:, 1]), 0, shape[0] - 1).astype(np.intp)
    return x, y


def straight_pixels(start: NDArray[np.float64], end: NDArray[np.float64]) -> NDArray[np.intp]:
    """Return the pixels of a straight line, both ends included."""
    low = np.floor(np.minimum(start, end)).astype(int) - 1
    size = np.ceil(np.maximum(start, end)).astype(int) + 2 - low
    canvas = np.zeros((int(size[1]), int(size[0])), np.uint8)
    a, b = (np.round(p).astype(int) - low for p in (start, end))
    cv2.line(canvas, (int(a[0]), int(a[1])), (int(b[0]), int(b[1])), 1)
    ys, xs = np.nonzero(canvas)
    return np.column_stack([xs + low[0], ys + low[1]]).astype(np.intp)


def _cross(first: NDArray[np.float64], second: NDArray[np.float64]) -> float:
    """Return the z part of the cross product of two plane vectors."""
    return float(first[0] * second[1] - first[1] * second[0])

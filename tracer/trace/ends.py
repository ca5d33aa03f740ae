"""Free ends of lines, sorted by what they end at."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from tracer.trace.arms import Arm, directions, farthest, first_points
from tracer.trace.blobs import Labels
from tracer.trace.grid import Found, Nearby, pixels_of
from tracer.trace.skeleton import Strokes, arms_by_node

__all__ = ["PLAIN_DISC", "Ends", "drop_stubs", "sort_ends"]

_AT_CROSSING = 2.0  # stroke widths from a crossing's rim within which an end belongs to it
_STUB = 3.0  # stroke widths; a line no longer than this, from a crossing into nothing, is none
PLAIN_DISC = 1.9  # stroke widths; radius of the largest disc over a plain cross
_AT_BODY = 1.3  # stroke widths from a body within which an end meets it, wherever it points
_AT_ONCE = 4096  # arms looked along together
_TOWARDS_BODY = 2.6  # the same, for an end that points at it


@dataclass(frozen=True, slots=True)
class Ends:
    """The free ends of a sheet by what they end at; the numbers are blobs from 1.

    `stubs` are lines too short to be one; `run_past` are the crossings where a stem ends in one.
    """

    bodies: dict[int, int]
    crossings: dict[int, list[int]]
    free: list[int]
    stubs: set[int]
    arms: dict[int, Arm]
    stroke: float
    run_past: set[int] = field(default_factory=set)


def sort_ends(
    strokes: Strokes, half: NDArray[np.float32], bodies: Nearby, crossings: Nearby, stroke: float
) -> Ends:
    """Tell ends at a body's edge from ends at a crossing's rim and from the rest.

    The nearer of the two wins. An end a little off a body counts when the line points at it. Distances are
    from where the ink ends, which is up to half its width (`half`) beyond the end of the skeleton.
    """
    loose = [found[0] for found in arms_by_node(strokes) if len(found) == 1]
    arms = {arm.id: arm for arm in _look_out(strokes, loose, half, stroke)}
    places = np.array([arms[arm].at for arm in loose]).reshape(-1, 2)
    at_body = bodies.find(places, _TOWARDS_BODY * stroke)
    at_crossing = crossings.find(places, _AT_CROSSING * stroke)
    ends = Ends({}, {}, [], set(), arms, stroke)
    for place, arm in enumerate(loose):
        body = _meets_body(arms[arm], at_body, place, stroke)
        if body and at_body.distance[place] <= at_crossing.distance[place]:
            ends.bodies[arm] = int(at_body.blob[place])
        elif at_crossing.blob[place]:
            ends.crossings.setdefault(int(at_crossing.blob[place]), []).append(arm)
        else:
            ends.free.append(arm)
    return ends


def drop_stubs(ends: Ends, crossings: Labels, bridged: set[int]) -> None:
    """Let go of short lines from a crossing into nothing: the stem of a T that runs a little past the bar.

    Not of those whose free end is `bridged` over a gap, nor where the disc is so large that a hop or a gap
    is drawn: there somebody meant a crossing.
    """
    free = set(ends.free) - bridged
    area = np.bincount(crossings[crossings > 0])
    for disc, arms in ends.crossings.items():
        if len(arms) < 3 or area[disc] > np.pi * (PLAIN_DISC * ends.stroke) ** 2:
            continue
        dead = [arm for arm in arms if arm ^ 1 in free or arm ^ 1 in arms]
        stubs = {arm for arm in dead if ends.arms[arm].span < _STUB * ends.stroke}
        arms[:] = [arm for arm in arms if arm not in stubs]
        ends.stubs.update(arm // 2 for arm in stubs)
        if stubs:
            ends.run_past.add(disc)
    ends.free[:] = [arm for arm in ends.free if arm // 2 not in ends.stubs]


def _look_out(
    strokes: Strokes, loose: Sequence[int], half: NDArray[np.float32], stroke: float
) -> Iterator[Arm]:
    """Look along arms and move their ends on to the last ink in their line.

    The flat end of a thick stroke thins to a slant into one of its corners: that much is left out, and the
    end is put back on the middle line.
    """
    for part in range(0, len(loose), _AT_ONCE):
        ids = loose[part : part + _AT_ONCE]
        points, counts = first_points(strokes, ids, farthest(stroke))
        length = np.array([len(strokes.lines[arm // 2]) for arm in ids])
        width = _widths(points, counts, half, stroke)
        thick = (width > 1.8 * stroke) & (length > 2.0 * width)
        way, centre, span = directions(points, counts, stroke, np.where(thick, 0.6 * width / stroke, 0.3))
        on_middle = centre + ((points[:, 0] - centre) * way).sum(axis=1)[:, None] * way
        start = np.where((thick & (span > 1.2 * width))[:, None], on_middle, points[:, 0])
        at = _last_ink(start, way, 0.75 * width + 1.0, half)
        for row, arm in enumerate(ids):
            root = points[row, 0].copy()
            yield Arm(arm, root, at[row], way[row], centre[row], float(span[row]), float(width[row]))


def _widths(
    points: NDArray[np.float64], counts: NDArray[np.intp], half: NDArray[np.float32], stroke: float
) -> NDArray[np.float64]:
    """Return the width of the ink along the first stroke widths of each arm: a median."""
    most = min(max(int(6 * stroke), 1), points.shape[1])
    x, y = points[:, :most].astype(np.intp).transpose(2, 0, 1)
    count = np.minimum(counts, most)
    ordered = np.sort(np.where(np.arange(most) < count[:, None], half[y, x], np.inf), axis=1)
    rows = np.arange(len(points))
    return np.asarray(ordered[rows, (count - 1) // 2] + ordered[rows, count // 2], np.float64)


def _last_ink(
    start: NDArray[np.float64],
    way: NDArray[np.float64],
    reach: NDArray[np.float64],
    half: NDArray[np.float32],
) -> NDArray[np.float64]:
    """Go from each start against its way, at most `reach` px, and return the last place on ink."""
    steps = np.arange(0.0, float(reach.max(initial=0.0)), 0.5)
    path = start[:, None] - steps[:, None] * way[:, None]
    column, row = pixels_of(path.reshape(-1, 2), half.shape)
    bare = (half[row, column] <= 0).reshape(len(start), -1) | (steps >= reach[:, None])
    first = np.where(bare.any(axis=1), bare.argmax(axis=1), len(steps))
    return np.asarray(path[np.arange(len(start)), np.maximum(first - 1, 0)])


def _meets_body(arm: Arm, found: Found, place: int, stroke: float) -> bool:
    """Say whether an end meets the body found near it."""
    if not found.blob[place]:
        return False
    away = found.place[place] - arm.at
    distance = float(found.distance[place])
    points_at = distance > 0 and float(-arm.way @ away) / distance > 0.6
    return distance <= _AT_BODY * stroke or points_at

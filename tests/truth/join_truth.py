"""Which decisions of a tracing are right, on a sheet whose conductors are known by construction.

The tracing of the true class map tells where each true conductor runs; what is traced from a reading of the
sheet is held against it.
"""

from __future__ import annotations

import heapq
from collections import Counter, defaultdict
from dataclasses import dataclass

import numpy as np
from known import true_layers
from numpy.typing import NDArray

from tracer.trace.flood import FloodIndex
from tracer.trace.sheet import Join, JoinKind, TracedSheet
from tracer.trace.trace import trace
from tracer.training.truth import SheetTruth

__all__ = ["TrueCourse", "decisions", "true_course"]

_NEAR = 3.0  # stroke widths within which two places are one


@dataclass(frozen=True, slots=True, eq=False)
class TrueCourse:
    """Where the true conductors run: a tracing without reading errors, and the conductor of its segments."""

    truth: SheetTruth
    sheet: TracedSheet
    index: FloodIndex
    conductor: dict[int, int]


def true_course(truth: SheetTruth) -> TrueCourse:
    """Trace the true class map and carry each true conductor's number from its known points along it."""
    sheet = trace(true_layers(truth), (truth.image.shape[0], truth.image.shape[1]))
    index = FloodIndex(sheet)
    votes: dict[int, Counter[int]] = defaultdict(Counter)
    for conductor in truth.conductors:
        for x, y in [*((end.x, end.y) for end in conductor.ends), *conductor.points.tolist()]:
            segment = index.segment_at(x, y, 1.0)
            if segment is not None:
                votes[segment.id][conductor.number] += 1
    neighbours: dict[int, set[int]] = defaultdict(set)
    for join in sheet.joins:
        for one, other in join.pairs or ((a, b) for a in join.segments for b in join.segments if a != b):
            neighbours[one].add(other)
            neighbours[other].add(one)
    length = [float(np.hypot(*np.diff(segment.line, axis=0).T).sum()) for segment in sheet.segments]
    queue = [(0.0, segment, found.most_common(1)[0][0]) for segment, found in votes.items()]
    heapq.heapify(queue)
    owner: dict[int, int] = {}
    while queue:
        far, segment_id, number = heapq.heappop(queue)
        if segment_id not in owner:
            owner[segment_id] = number
            for other in neighbours[segment_id] - owner.keys():
                heapq.heappush(queue, (far + length[segment_id] + length[other], other, number))
    return TrueCourse(truth, sheet, index, owner)


def decisions(traced: TracedSheet, course: TrueCourse) -> list[bool | None]:
    """Say of each join of a tracing whether it is right, None where the truth does not tell."""
    owners = [_owner(segment.line, course) for segment in traced.segments]
    return [_right(join, owners, course) for join in traced.joins]


def _owner(line: NDArray[np.float32], course: TrueCourse) -> int | None:
    """Return the true conductor that most of a line lies on."""
    along = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(line, axis=0).T))])
    votes: Counter[int | None] = Counter()
    for share in (0.1, 0.3, 0.5, 0.7, 0.9):
        x, y = (float(np.interp(share * along[-1], along, line[:, axis])) for axis in (0, 1))
        segment = course.index.segment_at(x, y, 1.0)
        votes[course.conductor.get(segment.id) if segment else None] += 1
    number, count = votes.most_common(1)[0]
    return number if count >= 3 else None


def _right(join: Join, owners: list[int | None], course: TrueCourse) -> bool | None:
    known = [number for segment in join.segments if (number := owners[segment]) is not None]
    if not known:
        return None
    if join.kind in (JoinKind.JUNCTION, JoinKind.GAP):
        return len(set(known)) == 1 if len(known) > 1 or len(join.segments) == 1 else None
    if join.kind is JoinKind.CROSSING:
        return _passes(join, owners, course)
    kinds = (JoinKind.END,) if join.kind is JoinKind.END else (JoinKind.TERMINAL,)
    places = [(other.x, other.y) for other in course.sheet.joins if other.kind in kinds]
    if join.kind is JoinKind.TERMINAL:
        places += [(end.x, end.y) for part in course.truth.parts for end in part.terminals]
    return _nearest(places, join) < _NEAR * course.truth.stroke


def _passes(join: Join, owners: list[int | None], course: TrueCourse) -> bool | None:
    """Say whether the pairs of a crossing are each of one conductor, and of different ones."""
    pairs = [{owners[one], owners[other]} - {None} for one, other in join.pairs]
    if any(len(pair) > 1 for pair in pairs):
        return False
    told = [next(iter(pair)) for pair in pairs if pair]
    if len(told) < 2:
        return None
    if len(set(told)) == len(told):
        return True
    # A conductor may pass itself; then the truth lists a crossing here, and no join nearer.
    crossings = [(mark.x, mark.y) for mark in course.truth.crossings]
    return _nearest(crossings, join) < _nearest([(x, y) for x, y, _ in course.truth.joins], join)


def _nearest(places: list[tuple[float, float]], join: Join) -> float:
    return min((float(np.hypot(x - join.x, y - join.y)) for x, y in places), default=np.inf)

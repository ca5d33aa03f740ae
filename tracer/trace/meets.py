"""What happens at each place where lines meet, pass or end: joined, passing in pairs, bridged, or an end."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray
from scipy.spatial import cKDTree

from tracer.trace.arms import Arm, Pairing, look_along, pair_arms
from tracer.trace.discs import decide_discs, odd_arms
from tracer.trace.ends import Ends, drop_stubs
from tracer.trace.gaps import Gap, facing_gaps
from tracer.trace.grid import Grid, Nearby
from tracer.trace.mask import Inked
from tracer.trace.meeting import Meeting, Meetings, plain, straightness, sureness_at
from tracer.trace.sheet import DrawingHabits, JoinKind
from tracer.trace.skeleton import Strokes, arms_by_node, line_length
from tracer.trace.touches import Touch

__all__ = ["decide", "lower_touched"]

_SHORT_LINK = 6.0  # stroke widths; the longest line between two meetings that may be one drawn X
_ONE_X = np.radians(30.0)  # the most that a line may bend where two meetings are one drawn X


def decide(
    strokes: Strokes, ends: Ends, grid: Grid, inked: Inked, dots: Nearby, habits: DrawingHabits
) -> Meetings:
    """Decide every meeting of a sheet.

    Crossing discs first, for what is left over there may still be bridged; then breaks in the ink,
    bodies, and the nodes where three or more lines meet.
    """
    facing = facing_gaps({arm: ends.arms[arm] for arm in ends.free}, inked, grid.stroke)
    drop_stubs(ends, inked.crossings, {arm for gap in facing for arm in (gap.first, gap.second)})
    result = Meetings(dropped=set(ends.stubs))
    at_discs = {disc: [ends.arms[arm] for arm in arms] for disc, arms in ends.crossings.items()}
    awaited = _awaited(at_discs, ends, inked, grid.stroke)
    free = ends.free + decide_discs(result, at_discs, ends.run_past, awaited, inked, grid, habits)
    for arm, body in ends.bodies.items():
        at = ends.arms[arm].at
        result.meetings.append(
            Meeting(JoinKind.TERMINAL, plain(at), sureness_at(grid, [at]), (arm,), body=body)
        )
    for gap in facing_gaps({arm: ends.arms[arm] for arm in free}, inked, grid.stroke):
        result.meetings.append(_bridge(gap, ends))
        free = [arm for arm in free if arm not in (gap.first, gap.second)]
    for arm in free:
        result.meetings.append(Meeting(JoinKind.END, plain(ends.arms[arm].at), 0.5, (arm,)))
    _decide_nodes(result, strokes, grid, dots, habits)
    return result


def _awaited(
    at_discs: Mapping[int, Sequence[Arm]], ends: Ends, inked: Inked, stroke: float
) -> frozenset[int]:
    """Return the third arms at discs that a free end beyond the disc faces: they pass, worn as they are."""
    free = set(ends.free)
    loose = {arm: ends.arms[arm] for arm in free}
    loose.update({arm.id: arm for _, arm, others in odd_arms(at_discs, stroke) if len(others) == 2})
    pairs = [(gap.first, gap.second) for gap in facing_gaps(loose, inked, stroke)]
    return frozenset(
        arm for one, other in pairs for arm in {one, other} - free if one in free or other in free
    )


def _bridge(gap: Gap, ends: Ends) -> Meeting:
    """Return the meeting of a bridged gap."""
    middle = (ends.arms[gap.first].at + ends.arms[gap.second].at) / 2
    return Meeting(JoinKind.GAP, plain(middle), gap.score, (gap.first, gap.second), bare=gap.long)


def _decide_nodes(
    result: Meetings, strokes: Strokes, grid: Grid, dots: Nearby, habits: DrawingHabits
) -> None:
    """Decide the nodes of the skeleton where three or more lines meet, or a closed loop begins."""
    arms_at = arms_by_node(strokes)
    at_dot = dots.find(strokes.nodes, 1.0 * grid.stroke)
    done: set[int] = set()
    for line, first, second in _drawn_crosses(strokes, arms_at, at_dot.blob, grid.stroke):
        if first in done or second in done:
            continue
        ids = [arm for node in (first, second) for arm in arms_at[node] if arm // 2 != line]
        skip = 0.7 + 0.5 * line_length(strokes.lines[line]) / grid.stroke
        pairing = pair_arms(look_along(strokes, ids, grid.stroke, skip), grid.stroke)
        if len(pairing.pairs) == 2 and max(pairing.bends) < _ONE_X:
            middle = strokes.nodes[[first, second]].mean(axis=0)
            result.meetings.append(_passing(pairing, middle, grid))
            result.dropped.add(line)
            done |= {first, second}
    for node, ids in enumerate(arms_at):
        if node in done or len(ids) < 2:
            continue
        at = strokes.nodes[node]
        if at_dot.blob[node]:
            kind = Meeting(JoinKind.JUNCTION, plain(at), 0.5 + 0.5 * sureness_at(grid, [at]), tuple(ids))
        else:
            kind = _undotted(strokes, ids, at, grid, habits)
        result.meetings.append(kind)


def _undotted(
    strokes: Strokes, ids: list[int], at: NDArray[np.float64], grid: Grid, habits: DrawingHabits
) -> Meeting:
    """Decide a node without a dot: four or more lines that go straight on pass; others are joined.

    On a sheet that sets no dots and draws what passes as a hop or a gap, all are joined.
    """
    if len(ids) >= 4 and not habits.plain_cross_joins:
        pairing = pair_arms(look_along(strokes, ids, grid.stroke), grid.stroke)
        if not pairing.left and max(pairing.bends) < np.radians(80):
            return _passing(pairing, at, grid)
    score = {2: 0.9, 3: 0.75}.get(len(ids), 0.4)
    return Meeting(JoinKind.JUNCTION, plain(at), score, tuple(ids))


def _drawn_crosses(
    strokes: Strokes, arms_at: list[list[int]], dotted: NDArray[np.int32], stroke: float
) -> Iterable[tuple[int, int, int]]:
    """Find short lines between two undotted meetings of three lines: thinning splits a slanting X so."""
    found = []
    for line, (first, second) in enumerate(strokes.ends):
        if first == second or dotted[first] or dotted[second]:
            continue
        if len(arms_at[first]) == 3 and len(arms_at[second]) == 3:
            length = line_length(strokes.lines[line])
            if length <= _SHORT_LINK * stroke:
                found.append((length, line, int(first), int(second)))
    return [(line, first, second) for _, line, first, second in sorted(found)]


def _passing(pairing: Pairing, at: NDArray[np.float64], grid: Grid) -> Meeting:
    """Return a crossing without a disc; that no disc was seen costs it some of its score."""
    ids = tuple(arm for pair in pairing.pairs for arm in pair)
    score = 0.75 * straightness(pairing)
    return Meeting(JoinKind.CROSSING, plain(at), score, ids, pairing.pairs)


def lower_touched(meetings: Meetings, touched: Sequence[Touch], stroke: float) -> Meetings:
    """Give a junction made by closing an end that stopped short of a wire at most the closing's score."""
    if not touched:
        return meetings
    pixels = np.concatenate([touch.pixels for touch in touched]).astype(np.float64)
    owner = np.repeat(np.arange(len(touched)), [len(touch.pixels) for touch in touched])
    tree = cKDTree(pixels)
    for place, meeting in enumerate(meetings.meetings):
        if meeting.kind is JoinKind.JUNCTION:
            distance, index = tree.query(meeting.at)
            if distance <= stroke:
                touch = touched[int(owner[int(index)])]
                score = min(meeting.score, touch.score)
                meetings.meetings[place] = replace(meeting, score=score, bare=touch.bare)
    return meetings

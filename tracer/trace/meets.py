"""What happens at each place where lines meet, pass or end: joined, passing in pairs, bridged, or an end."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field, replace

import numpy as np
from numpy.typing import NDArray
from scipy.spatial import cKDTree

from tracer.trace.arms import Arm, Pairing, look_along, pair_arms
from tracer.trace.gaps import Gap, facing_gaps
from tracer.trace.grid import Found, Grid, Nearby
from tracer.trace.mask import Inked
from tracer.trace.sheet import JoinKind
from tracer.trace.skeleton import Strokes, arms_by_node, line_length

__all__ = ["Ends", "Meeting", "Meetings", "decide", "lower_touched", "sort_ends"]

_AT_CROSSING = 2.0  # stroke widths from a crossing's rim within which an end belongs to it
_AT_BODY = 1.3  # stroke widths from a body within which an end meets it, wherever it points
_TOWARDS_BODY = 2.6  # the same, for an end that points at it
_SHORT_LINK = 6.0  # stroke widths; the longest line between two meetings that may be one drawn X
_ONE_X = np.radians(30.0)  # the most that a line may bend where two meetings are one drawn X


@dataclass(frozen=True, slots=True)
class Meeting:
    """One decision, as in `Join` but of arms (``2 * line + end``); `body` counts from 1, 0 is none."""

    kind: JoinKind
    at: tuple[float, float]
    score: float
    arms: tuple[int, ...]
    pairs: tuple[tuple[int, int], ...] = ()
    body: int = 0


@dataclass(slots=True)
class Meetings:
    """All decisions on a sheet, and the short lines inside a drawn X that are no segment of their own."""

    meetings: list[Meeting] = field(default_factory=list)
    dropped: set[int] = field(default_factory=set)


@dataclass(frozen=True, slots=True)
class Ends:
    """The free ends of a sheet by what they end at; the numbers are blobs from 1."""

    bodies: dict[int, int]
    crossings: dict[int, list[int]]
    free: list[int]
    arms: dict[int, Arm]


def sort_ends(strokes: Strokes, bodies: Nearby, crossings: Nearby, stroke: float) -> Ends:
    """Tell ends at a body's edge from ends at a crossing's rim and from the rest.

    The nearer of the two wins. An end a little off a body counts when the line points at it.
    """
    loose = [found[0] for found in arms_by_node(strokes) if len(found) == 1]
    arms = {arm: look_along(strokes, arm, stroke, skip=0.3) for arm in loose}
    places = np.array([arms[arm].at for arm in loose]).reshape(-1, 2)
    at_body = bodies.find(places, _TOWARDS_BODY * stroke)
    at_crossing = crossings.find(places, _AT_CROSSING * stroke)
    ends = Ends({}, {}, [], arms)
    for place, arm in enumerate(loose):
        body = _meets_body(arms[arm], at_body, place, stroke)
        if body and at_body.distance[place] <= at_crossing.distance[place]:
            ends.bodies[arm] = int(at_body.blob[place])
        elif at_crossing.blob[place]:
            ends.crossings.setdefault(int(at_crossing.blob[place]), []).append(arm)
        else:
            ends.free.append(arm)
    return ends


def _meets_body(arm: Arm, found: Found, place: int, stroke: float) -> bool:
    """Say whether an end meets the body found near it."""
    if not found.blob[place]:
        return False
    away = found.place[place] - arm.at
    distance = float(found.distance[place])
    points_at = distance > 0 and float(-arm.way @ away) / distance > 0.6
    return distance <= _AT_BODY * stroke or points_at


def decide(strokes: Strokes, ends: Ends, grid: Grid, inked: Inked, dots: Nearby) -> Meetings:
    """Decide every meeting of a sheet.

    Crossing discs first, for what is left over there may still be bridged; then breaks in the ink,
    bodies, and the nodes where three or more lines meet.
    """
    result = Meetings()
    free = list(ends.free)
    for _, arms in sorted(ends.crossings.items()):
        free += _decide_disc(result, [ends.arms[arm] for arm in arms], grid)
    for arm, body in ends.bodies.items():
        at = ends.arms[arm].at
        result.meetings.append(Meeting(JoinKind.TERMINAL, _pair(at), _sure(grid, [at]), (arm,), body=body))
    for gap in facing_gaps({arm: ends.arms[arm] for arm in free}, inked, grid.stroke):
        result.meetings.append(_bridge(gap, ends))
        free = [arm for arm in free if arm not in (gap.first, gap.second)]
    for arm in free:
        result.meetings.append(Meeting(JoinKind.END, _pair(ends.arms[arm].at), 0.5, (arm,)))
    _decide_nodes(result, strokes, grid, dots)
    return result


def _bridge(gap: Gap, ends: Ends) -> Meeting:
    """Return the meeting of a bridged gap."""
    middle = (ends.arms[gap.first].at + ends.arms[gap.second].at) / 2
    return Meeting(JoinKind.GAP, _pair(middle), gap.score, (gap.first, gap.second))


def _decide_disc(result: Meetings, arms: list[Arm], grid: Grid) -> list[int]:
    """Pair the arms at one crossing disc; return those that found no partner."""
    middle = np.mean([arm.at for arm in arms], axis=0)
    sure = _sure(grid, [middle])
    if len(arms) == 2:
        # Whatever the disc is, a line that goes in comes out.
        pair = (arms[0].id, arms[1].id)
        result.meetings.append(Meeting(JoinKind.GAP, _pair(middle), 0.6 * sure, pair))
        return []
    pairing = pair_arms(arms, grid.stroke)
    if not pairing.pairs:
        return [arm.id for arm in arms]
    if len(arms) == 3:
        ids = tuple(arm.id for arm in arms)
        result.meetings.append(Meeting(JoinKind.JUNCTION, _pair(middle), 0.35, ids))
        return []
    passing = tuple(arm for pair in pairing.pairs for arm in pair)
    score = sure * _straightness(pairing)
    result.meetings.append(Meeting(JoinKind.CROSSING, _pair(middle), score, passing, pairing.pairs))
    return list(pairing.left)


def _decide_nodes(result: Meetings, strokes: Strokes, grid: Grid, dots: Nearby) -> None:
    """Decide the nodes of the skeleton where three or more lines meet, or a closed loop begins."""
    arms_at = arms_by_node(strokes)
    at_dot = dots.find(strokes.nodes, 1.0 * grid.stroke)
    done: set[int] = set()
    for line, first, second in _drawn_crosses(strokes, arms_at, at_dot.blob, grid.stroke):
        if first in done or second in done:
            continue
        ids = [arm for node in (first, second) for arm in arms_at[node] if arm // 2 != line]
        skip = 0.7 + 0.5 * line_length(strokes.lines[line]) / grid.stroke
        pairing = pair_arms([look_along(strokes, arm, grid.stroke, skip) for arm in ids], grid.stroke)
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
            kind = Meeting(JoinKind.JUNCTION, _pair(at), 0.5 + 0.5 * _sure(grid, [at]), tuple(ids))
        else:
            kind = _undotted(strokes, ids, at, grid)
        result.meetings.append(kind)


def _undotted(strokes: Strokes, ids: list[int], at: NDArray[np.float64], grid: Grid) -> Meeting:
    """Decide a node without a dot: four or more lines that go straight on pass; others are joined."""
    if len(ids) >= 4:
        pairing = pair_arms([look_along(strokes, arm, grid.stroke) for arm in ids], grid.stroke)
        if not pairing.left and max(pairing.bends) < np.radians(80):
            return _passing(pairing, at, grid)
    score = {2: 0.9, 3: 0.75}.get(len(ids), 0.4)
    return Meeting(JoinKind.JUNCTION, _pair(at), score, tuple(ids))


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
    score = 0.75 * _straightness(pairing)
    return Meeting(JoinKind.CROSSING, _pair(at), score, ids, pairing.pairs)


def _straightness(pairing: Pairing) -> float:
    """Return 1 for pairs that run dead straight, falling to 0.2 for the most bent that is let pass."""
    worst = max(pairing.bends, default=0.0)
    return float(np.clip(1.0 - 0.5 * max(worst - np.radians(15), 0.0), 0.2, 1.0))


def _sure(grid: Grid, places: list[NDArray[np.float64]]) -> float:
    """Return the reader's mean sureness, 0 to 1, in a window of about a stroke around each place."""
    reach = int(np.ceil(grid.stroke / 2))
    height, width = grid.sureness.shape
    windows = []
    for place in places:
        x, y = int(np.clip(round(place[0]), 0, width - 1)), int(np.clip(round(place[1]), 0, height - 1))
        windows.append(
            grid.sureness[max(y - reach, 0) : y + reach + 1, max(x - reach, 0) : x + reach + 1].mean()
        )
    return float(np.mean(windows)) / 255.0


def _pair(at: NDArray[np.float64]) -> tuple[float, float]:
    """Return a point as two plain numbers."""
    return float(at[0]), float(at[1])


def lower_touched(
    meetings: Meetings, touched: list[tuple[NDArray[np.float64], float]], stroke: float
) -> Meetings:
    """Give a junction made by closing an end that stopped short of a wire at most the closing's score."""
    if not touched:
        return meetings
    pixels = np.concatenate([points for points, _ in touched])
    scores = np.concatenate([np.full(len(points), score) for points, score in touched])
    tree = cKDTree(pixels)
    for place, meeting in enumerate(meetings.meetings):
        if meeting.kind is JoinKind.JUNCTION:
            distance, index = tree.query(meeting.at)
            if distance <= stroke:
                score = min(meeting.score, float(scores[index]))
                meetings.meetings[place] = replace(meeting, score=score)
    return meetings

"""Lines and decisions become segments, joins and numbered conductors in page px."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

import numpy as np
import shapely
from numpy.typing import NDArray
from scipy.sparse import coo_matrix
from scipy.sparse.csgraph import connected_components

from tracer.trace.grid import Grid, to_page
from tracer.trace.meeting import Meeting, Meetings
from tracer.trace.sheet import Join, JoinKind, Segment
from tracer.trace.skeleton import Strokes, line_length

__all__ = ["number_conductors", "to_segments"]

_SPECK = 4.0  # stroke widths; a loose bit of ink shorter than this is no conductor
_LEAD = 0.6  # stroke widths; the same, if it touches a body
_SMOOTH = 0.75  # grid px by which a simplified line may leave the skeleton's stairs


def to_segments(
    strokes: Strokes, meetings: Meetings, half: NDArray[np.float32], grid: Grid
) -> tuple[tuple[Segment, ...], tuple[Join, ...], dict[int, int], list[int]]:
    """Number lines, meetings and conductors, and map them to the page.

    Returns
    -------
    segments, joins : tuples
        As in `TracedSheet`.
    body_of_join : dict
        The body, from 1, of each terminal join.
    meeting_of_join : list of int
        The meeting that each join came from.
    """
    count = len(strokes.lines)
    label = number_conductors(count, meetings.meetings)
    keep = _worth_keeping(strokes, meetings, label, grid.stroke)
    kept = np.flatnonzero(keep)
    new_id = np.cumsum(keep) - 1
    number: dict[int, int] = {}
    for line in kept:
        number.setdefault(int(label[line]), len(number) + 1)

    joins, meeting_of_join, join_of_arm = _make_joins(meetings.meetings, keep, new_id, grid)
    bodies = {number: meetings.meetings[origin].body for number, origin in enumerate(meeting_of_join)}
    lines = _on_page(_reach_out(strokes, meetings.meetings), kept, grid)
    segments = tuple(
        Segment(
            place,
            lines[place],
            _width(strokes.lines[line], half) * grid.scale,
            (join_of_arm[2 * line], join_of_arm[2 * line + 1]),
            number[int(label[line])],
        )
        for place, line in enumerate(kept.tolist())
    )
    return segments, joins, {number: body for number, body in bodies.items() if body}, meeting_of_join


def number_conductors(lines: int, meetings: Iterable[Meeting]) -> NDArray[np.intp]:
    """Return a conductor label for each line: a meeting joins all its arms, a crossing only its pairs."""
    unions = [
        (first // 2, second // 2)
        for meeting in meetings
        for first, second in (meeting.pairs or [(meeting.arms[0], arm) for arm in meeting.arms[1:]])
    ]
    links = np.array(unions, np.intp).reshape(-1, 2)
    graph = coo_matrix((np.ones(len(links), np.int8), (links[:, 0], links[:, 1])), (lines, lines))
    return np.asarray(connected_components(graph, directed=False)[1], np.intp)


def _worth_keeping(
    strokes: Strokes, meetings: Meetings, label: NDArray[np.intp], stroke: float
) -> NDArray[np.bool_]:
    """Mark the lines of conductors that are long enough or end at a body; lines inside a drawn X go."""
    keep = np.ones(len(strokes.lines), bool)
    if not strokes.lines:
        return keep
    keep[list(meetings.dropped)] = False
    total = np.bincount(label, [line_length(line) for line in strokes.lines])
    terminals = np.zeros(len(total), np.intp)
    for meeting in meetings.meetings:
        if meeting.kind is JoinKind.TERMINAL:
            terminals[label[meeting.arms[0] // 2]] += 1
    serves = (terminals >= 2) | ((terminals == 1) & (total >= _LEAD * stroke))
    return np.asarray(keep & (serves | (total >= _SPECK * stroke))[label])


def _make_joins(
    meetings: Sequence[Meeting], keep: NDArray[np.bool_], new_id: NDArray[np.intp], grid: Grid
) -> tuple[tuple[Join, ...], list[int], dict[int, int]]:
    """Return the joins of kept lines, the meeting that each came from, and the join of each arm."""
    joins: list[Join] = []
    meeting_of_join: list[int] = []
    join_of_arm: dict[int, int] = {}
    for origin, meeting in enumerate(meetings):
        arms = [arm for arm in meeting.arms if keep[arm // 2]]
        if not arms:
            continue
        x, y = to_page(grid, np.array([meeting.at]))[0]
        number = len(joins)
        pairs = tuple(
            (int(new_id[first // 2]), int(new_id[second // 2]))
            for first, second in meeting.pairs
            if keep[first // 2] and keep[second // 2]
        )
        touching = tuple(dict.fromkeys(int(new_id[arm // 2]) for arm in arms))
        joins.append(Join(number, float(x), float(y), meeting.kind, float(meeting.score), touching, pairs))
        meeting_of_join.append(origin)
        join_of_arm.update(dict.fromkeys(arms, number))
    return tuple(joins), meeting_of_join, join_of_arm


def _reach_out(strokes: Strokes, meetings: Iterable[Meeting]) -> list[NDArray[np.float64]]:
    """Draw lines on to where they meet or end; a pair that passes, to its own middle."""
    lines = list(strokes.lines)

    def extend(arm: int, to: NDArray[np.float64]) -> None:
        line = lines[arm // 2]
        lines[arm // 2] = np.concatenate([line, to[None]] if arm % 2 else [to[None], line])

    def tip(arm: int) -> NDArray[np.float64]:
        return np.asarray(strokes.lines[arm // 2][-(arm % 2)], np.float64)

    for meeting in meetings:
        if meeting.kind is JoinKind.CROSSING:
            for first, second in meeting.pairs:
                middle = (tip(first) + tip(second)) / 2
                extend(first, middle)
                extend(second, middle)
        else:
            for arm in meeting.arms:
                extend(arm, np.array(meeting.at))
    return lines


def _on_page(
    lines: Sequence[NDArray[np.float64]], kept: NDArray[np.intp], grid: Grid
) -> list[NDArray[np.float32]]:
    """Take the stairs out of the kept lines and map them to the page."""
    if len(kept) == 0:
        return []
    owner = np.repeat(np.arange(len(kept)), [len(lines[line]) for line in kept])
    points = np.concatenate([lines[line] for line in kept])
    strings = shapely.linestrings(points, indices=owner)
    smooth = shapely.simplify(strings, _SMOOTH, preserve_topology=False)  # a line may touch itself as drawn
    corners, owner = shapely.get_coordinates(smooth, return_index=True)
    mapped = to_page(grid, corners).astype(np.float32)
    return np.split(mapped, np.searchsorted(owner, np.arange(1, len(kept))))


def _width(line: NDArray[np.float64], half: NDArray[np.float32]) -> float:
    """Return the stroke's width along a line, grid px, from the distance to bare paper on its centre."""
    pixels = line.astype(np.intp)
    middle = len(pixels) // 2
    return max(2.0 * float(np.partition(half[pixels[:, 1], pixels[:, 0]], middle)[middle]) - 1.0, 1.0)

"""Which way a line leaves a node, and which arms of a crossing pass straight through together."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from math import acos, hypot

import networkx as nx
import numpy as np
from numpy.typing import NDArray

from tracer.trace.skeleton import Strokes

__all__ = ["Arm", "Pairing", "bend", "directions", "farthest", "first_points", "look_along", "pair_arms"]

_REACHES = (
    7.0,
    4.5,
    2.5,
    1.5,
)  # stroke widths along the line that its direction is taken from, longest first
_STRAIGHT = 0.3  # stroke widths by which a straight stretch may leave its chord
_MOST_BEND = float(np.radians(100.0))  # the two turns of a pair together
_FEW = 6  # arms whose every pairing is tried


@dataclass(frozen=True, slots=True, eq=False)
class Arm:
    """One end of a line: where it is and which way the line runs from there (a unit vector).

    `at` may be moved on to where the ink ends; `root` stays the last pixel of the skeleton.
    `centre` is the middle of the stretch that the direction was taken from and `span` its reach, px;
    `width` is the stroke's there, where it was measured.
    """

    id: int
    root: NDArray[np.float64]
    at: NDArray[np.float64]
    way: NDArray[np.float64]
    centre: NDArray[np.float64]
    span: float
    width: float = 0.0


@dataclass(frozen=True, slots=True)
class Pairing:
    """Pairs of arm ids that pass straight through, the turn of each (radians), and the arms left over."""

    pairs: tuple[tuple[int, int], ...]
    bends: tuple[float, ...]
    left: tuple[int, ...]


def first_points(
    strokes: Strokes, arms: Sequence[int], most: int
) -> tuple[NDArray[np.float64], NDArray[np.intp]]:
    """Return the first `most` points of each arm ``2 * line + end``, (A, most, 2), and how many it has.

    An arm with fewer repeats its last one.
    """
    points = np.zeros((len(arms), most, 2))
    counts = np.zeros(len(arms), np.intp)
    for place, arm in enumerate(arms):
        line = strokes.lines[arm // 2]
        line = line[: -most - 1 : -1] if arm % 2 else line[:most]
        counts[place] = len(line)
        points[place, : len(line)] = line
        points[place, len(line) :] = line[-1]
    return points, counts


def look_along(strokes: Strokes, arms: Sequence[int], stroke: float, skip: float = 0.7) -> list[Arm]:
    """Fit the direction of arms ``2 * line + end``, all at once, over several stroke widths each.

    The first `skip` stroke widths are left out, for a skeleton bends where strokes meet. The longest
    stretch that is straight is taken, so that a corner further on does not turn the arm.
    """
    points, counts = first_points(strokes, arms, farthest(stroke))
    way, centre, span = directions(points, counts, stroke, np.full(len(arms), skip))
    return [
        Arm(arm, points[place, 0], points[place, 0], way[place], centre[place], float(span[place]))
        for place, arm in enumerate(arms)
    ]


def farthest(stroke: float) -> int:
    """Return how many points of a line `directions` may look at."""
    return int(_REACHES[0] * stroke * 1.5) + 3


def directions(
    points: NDArray[np.float64], counts: NDArray[np.intp], stroke: float, skip: NDArray[np.float64]
) -> tuple[NDArray[np.float64], NDArray[np.float64], NDArray[np.float64]]:
    """Return way (A, 2), centre (A, 2) and span (A,) of arms, from `first_points`; as in `Arm`."""
    along = np.zeros(points.shape[:2])
    along[:, 1:] = np.cumsum(np.hypot(*np.diff(points, axis=1).transpose(2, 0, 1)), axis=1)
    index = np.arange(points.shape[1])
    present = index < counts[:, None]
    span = along[:, -1].copy()
    chord = points[:, -1] - points[:, 0]
    way, centre = _unit(chord), (points[:, -1] + points[:, 0]) / 2
    open_still = span >= 1.5 * stroke
    for reach in _REACHES:
        stop = np.minimum((present & (along < reach * stroke)).sum(axis=1), counts - 1)
        piece = (along >= skip[:, None] * stroke) & (index <= stop[:, None]) & present
        chosen = open_still & (piece.sum(axis=1) >= 2)
        middle, axis, off = _fit(points, piece, stop)
        span = np.where(chosen, along[np.arange(len(along)), stop], span)
        centre = np.where(chosen[:, None], middle, centre)
        way = np.where(chosen[:, None], axis, way)
        open_still &= ~(chosen & (off <= _STRAIGHT * stroke))
    return way, centre, span


def _fit(
    points: NDArray[np.float64], piece: NDArray[np.bool_], last: NDArray[np.intp]
) -> tuple[NDArray[np.float64], NDArray[np.float64], NDArray[np.float64]]:
    """Return middle, main axis (towards the piece's `last` point) and greatest distance from it, by row."""
    middle = (points * piece[..., None]).sum(axis=1) / np.maximum(piece.sum(axis=1), 1)[:, None]
    away = (points - middle[:, None]) * piece[..., None]
    x, y = away[..., 0], away[..., 1]
    lean = np.arctan2(2.0 * (x * y).sum(axis=1), (x * x - y * y).sum(axis=1)) / 2.0
    axis = np.column_stack([np.cos(lean), np.sin(lean)])
    rows = np.arange(len(points))
    length = points[rows, last] - points[rows, piece.argmax(axis=1)]
    axis *= np.where((axis * length).sum(axis=1) >= 0, 1.0, -1.0)[:, None]
    return middle, axis, np.abs(x * axis[:, 1:] - y * axis[:, :1]).max(axis=1)


def bend(first: Arm, second: Arm, stroke: float) -> float:
    """Return how far, in radians, going from one arm into the other is from straight.

    It is the turn into the link between the middles of the two stretches and the turn out of it, for
    there the skeleton is not drawn aside by the meeting. Middles closer than a stroke and a half have
    no sure link; the arms' own turn counts twice.
    """
    link = second.centre - first.centre
    gap = hypot(link[0], link[1])
    if gap < 1.5 * stroke:
        return 2 * _angle(-first.way, second.way)
    link = link / gap
    return _angle(-first.way, link) + _angle(link, second.way)


def pair_arms(arms: Sequence[Arm], stroke: float) -> Pairing:
    """Pair the arms of a crossing so that the bends together are least.

    An arm with no partner within a fair bend is left over. A minimum-weight matching: of few arms, by trying
    all; of more, after Edmonds (networkx).
    """
    bends: dict[tuple[int, int], float] = {}
    for place, first in enumerate(arms):
        for second in arms[place + 1 :]:
            turn = bend(first, second, stroke)
            if turn < _MOST_BEND:
                bends[min(first.id, second.id), max(first.id, second.id)] = turn
    if len(arms) <= _FEW:
        matched = _best_of_few(tuple(sorted(arm.id for arm in arms)), bends)[1]
    else:
        graph: nx.Graph[int] = nx.Graph()
        graph.add_weighted_edges_from((one, other, _MOST_BEND - turn) for (one, other), turn in bends.items())
        pairs = (sorted(pair) for pair in nx.max_weight_matching(graph))
        matched = tuple(sorted((int(one), int(other)) for one, other in pairs))
    taken = {arm for pair in matched for arm in pair}
    return Pairing(
        matched, tuple(bends[pair] for pair in matched), tuple(arm.id for arm in arms if arm.id not in taken)
    )


def _best_of_few(
    ids: tuple[int, ...], bends: Mapping[tuple[int, int], float]
) -> tuple[float, tuple[tuple[int, int], ...]]:
    """Return the greatest sum of straightness over all ways to pair sorted `ids`, and its pairs."""
    if len(ids) < 2:
        return 0.0, ()
    best = _best_of_few(ids[1:], bends)
    for place, other in enumerate(ids[1:], start=1):
        turn = bends.get((ids[0], other))
        if turn is not None:
            rest, pairs = _best_of_few(ids[1:place] + ids[place + 1 :], bends)
            if rest + _MOST_BEND - turn > best[0]:
                best = rest + _MOST_BEND - turn, ((ids[0], other), *pairs)
    return best


def _unit(vectors: NDArray[np.float64]) -> NDArray[np.float64]:
    """Return vectors (N, 2) made one long; a null vector stays null."""
    length = np.hypot(vectors[:, 0], vectors[:, 1])[:, None]
    return np.asarray(vectors / np.where(length > 0, length, 1.0))


def _angle(first: NDArray[np.float64], second: NDArray[np.float64]) -> float:
    """Return the angle between two unit vectors, radians."""
    return acos(min(max(float(first[0] * second[0] + first[1] * second[1]), -1.0), 1.0))

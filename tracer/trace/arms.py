"""Which way a line leaves a node, and which arms of a crossing pass straight through together."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import networkx as nx
import numpy as np
from numpy.typing import NDArray

from tracer.trace.skeleton import Strokes

__all__ = ["Arm", "Pairing", "bend", "look_along", "pair_arms"]

_REACHES = (
    7.0,
    4.5,
    2.5,
    1.5,
)  # stroke widths along the line that its direction is taken from, longest first
_STRAIGHT = 0.3  # stroke widths by which a straight stretch may leave its chord
_MOST_BEND = np.radians(100.0)  # the two turns of a pair together


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


def look_along(strokes: Strokes, arm: int, stroke: float, skip: float = 0.7) -> Arm:
    """Fit the direction of arm ``2 * line + end`` over several stroke widths.

    The first `skip` stroke widths are left out, for a skeleton bends where strokes meet. The longest
    stretch that is straight is taken, so that a corner further on does not turn the arm.
    """
    line = strokes.lines[arm // 2]
    if arm % 2:
        line = line[::-1]
    line = line[: int(_REACHES[0] * stroke * 1.5) + 3]
    along = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(line, axis=0).T))])
    at = line[0]
    if along[-1] < 1.5 * stroke:
        away = line[-1] - at
        return Arm(arm, at, at, _unit(away), (line[-1] + at) / 2, float(along[-1]))
    start = int(np.searchsorted(along, skip * stroke))
    way, centre, span = _unit(line[-1] - at), (line[-1] + at) / 2, float(along[-1])
    for reach in _REACHES:
        stop = int(np.searchsorted(along, reach * stroke)) + 1
        piece = line[start:stop]
        if len(piece) < 2:
            continue
        span = float(along[min(stop, len(along)) - 1])
        centre = piece.mean(axis=0)
        _, _, axes = np.linalg.svd(piece - centre, full_matrices=False)
        way = axes[0] if axes[0] @ (piece[-1] - piece[0]) >= 0 else -axes[0]
        if np.abs((piece - centre) @ np.array([-way[1], way[0]])).max() <= _STRAIGHT * stroke:
            break
    return Arm(arm, at, at, np.asarray(way, np.float64), centre, span)


def bend(first: Arm, second: Arm, stroke: float) -> float:
    """Return how far, in radians, going from one arm into the other is from straight.

    It is the turn into the link between the middles of the two stretches and the turn out of it, for
    there the skeleton is not drawn aside by the meeting. Middles closer than a stroke and a half have
    no sure link; the arms' own turn counts twice.
    """
    link = second.centre - first.centre
    gap = float(np.hypot(*link))
    if gap < 1.5 * stroke:
        return 2 * _angle(-first.way, second.way)
    link = link / gap
    return _angle(-first.way, link) + _angle(link, second.way)


def pair_arms(arms: Sequence[Arm], stroke: float) -> Pairing:
    """Pair the arms of a crossing so that the bends together are least.

    A minimum-weight matching (Edmonds, by networkx); an arm with no partner within a fair bend is left over.
    """
    graph: nx.Graph[int] = nx.Graph()
    for place, first in enumerate(arms):
        for second in arms[place + 1 :]:
            turn = bend(first, second, stroke)
            if turn < _MOST_BEND:
                graph.add_edge(first.id, second.id, weight=_MOST_BEND - turn, bend=turn)
    matched = sorted(tuple(sorted(pair)) for pair in nx.max_weight_matching(graph))
    taken = {arm for pair in matched for arm in pair}
    return Pairing(
        tuple((int(first), int(second)) for first, second in matched),
        tuple(float(graph.edges[pair]["bend"]) for pair in matched),
        tuple(arm.id for arm in arms if arm.id not in taken),
    )


def _unit(vector: NDArray[np.float64]) -> NDArray[np.float64]:
    """Return the vector made one long; a null vector stays null."""
    length = float(np.hypot(*vector))
    return vector / length if length > 0 else vector


def _angle(first: NDArray[np.float64], second: NDArray[np.float64]) -> float:
    """Return the angle between two unit vectors, radians."""
    return float(np.arccos(np.clip(first @ second, -1.0, 1.0)))

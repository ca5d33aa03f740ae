"""Where the tracing was less than sure: what it may have joined, or kept apart, by mistake."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from tracer.bench.records import PointPlace
from tracer.bench.stretches import Stretch, Vertex
from tracer.trace.sheet import Join, JoinKind, TracedSheet

__all__ = ["doubtful_crossings", "doubtful_joins"]

_SURE = 0.95
"""From this score on a join is not worth doubting (our own line)."""
_JOINED = frozenset({JoinKind.JUNCTION, JoinKind.GAP})

Doubt = tuple[str, str, float]


def doubtful_joins(
    sheet: TracedSheet, stretches: Sequence[Stretch], names: Mapping[Vertex, str]
) -> Iterator[Doubt]:
    """Yield the ends of each stretch that leads over a doubtful junction or bridged gap, with its score.

    Where the junction or gap was read wrongly, the two ends are not joined by this stretch.
    """
    for stretch in stretches:
        passed = (sheet.joins[vertex[1]] for vertex in stretch.passes if vertex[0] == "join")
        scores = [join.score for join in passed if join.kind in _JOINED]
        if scores and min(scores) < _SURE:
            yield names[stretch.start], names[stretch.end], min(scores)


def doubtful_crossings(
    sheet: TracedSheet,
    conductor_nodes: Mapping[int, Sequence[str]],
    node_places: Mapping[str, PointPlace],
) -> Iterator[Doubt]:
    """Yield, for each doubtful crossing of two conductors, the node of each that lies nearest to it.

    Where the crossing was read wrongly, the two are joined there.
    """
    for join in sheet.joins:
        if join.kind is not JoinKind.CROSSING or join.score >= _SURE:
            continue
        crossing = dict.fromkeys(sheet.segments[pair[0]].conductor for pair in join.pairs)
        if len(crossing) == 2 and all(conductor in conductor_nodes for conductor in crossing):
            one, other = (_nearest(join, conductor_nodes[c], node_places) for c in crossing)
            yield one, other, join.score


def _nearest(join: Join, nodes: Sequence[str], places: Mapping[str, PointPlace]) -> str:
    return min(nodes, key=lambda node: (places[node].x - join.x) ** 2 + (places[node].y - join.y) ** 2)

"""A conductor as stretches of wire between the places where parts and branches meet it.

Only wire that can lie on a path between two attached terminals becomes a stretch: a free end or a loop to
nowhere carries no current, and no reading could ever prove it.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Any

import networkx as nx
import numpy as np
from numpy.typing import NDArray
from shapely import LineString
from shapely.ops import substring

from tracer.trace.sheet import JoinKind, Segment, TracedSheet

__all__ = ["Attachment", "Piece", "Stretch", "Vertex", "stretches_of"]

Vertex = tuple[str, int, float]
"""A place on a conductor: ("join", join, which of its passing pairs) or ("cut", segment, px along it)."""

_OUTSIDE: Vertex = ("outside", 0, 0.0)


@dataclass(frozen=True, slots=True)
class Attachment:
    """A terminal's foot on a conductor: `along` px from the start of segment `segment`."""

    segment: int
    along: float


@dataclass(frozen=True, slots=True, eq=False)
class Piece:
    """A part-line (N, 2) float32 of one segment, page px."""

    segment: int
    line: NDArray[np.float32]


@dataclass(frozen=True, slots=True, eq=False)
class Stretch:
    """Wire between two vertices with nothing attached between them; `passes` are all vertices on its way."""

    start: Vertex
    end: Vertex
    pieces: tuple[Piece, ...]
    passes: tuple[Vertex, ...] = ()


def stretches_of(
    sheet: TracedSheet, segments: Sequence[Segment], attachments: Sequence[Attachment]
) -> tuple[tuple[Vertex, ...], tuple[Stretch, ...], Mapping[Vertex, tuple[float, float]]]:
    """Divide one conductor at its attachments and branches.

    Parameters
    ----------
    sheet : TracedSheet
    segments : sequence of Segment
        All segments of one conductor.
    attachments : sequence of Attachment
        Where terminals lie on them.

    Returns
    -------
    vertices : tuple of Vertex
        One for each attachment, in order; terminals within a stroke width share one.
    stretches : tuple of Stretch
        The wire between vertices; series pieces are one stretch.
    places : mapping of Vertex to (x, y)
        Page px of every vertex that a stretch or attachment names.
    """
    graph: nx.MultiGraph[Vertex] = nx.MultiGraph()
    places: dict[Vertex, tuple[float, float]] = {}
    found: dict[Attachment, Vertex] = {}
    groups = _passing_groups(sheet, segments)
    for segment in segments:
        here = [item for item in attachments if item.segment == segment.id]
        found.update(_divide(graph, places, segment, groups, here, sheet.stroke))
    _bridge_parts(graph, places)
    vertices = tuple(found[item] for item in attachments)
    kept = _between(graph, set(vertices))
    stretches = tuple(_runs(kept, set(vertices)))
    named = {*vertices, *(s.start for s in stretches), *(s.end for s in stretches)}
    return vertices, stretches, {vertex: places[vertex] for vertex in named}


def _passing_groups(sheet: TracedSheet, segments: Iterable[Segment]) -> dict[tuple[int, int], int]:
    """Return, by (join, segment), which way through a crossing the segment takes; 0 at other joins."""
    groups: dict[tuple[int, int], int] = {}
    for segment in segments:
        for number in segment.joins:
            join = sheet.joins[number]
            way = 0
            if join.kind is JoinKind.CROSSING:
                ways = [n for n, pair in enumerate(join.pairs, start=1) if segment.id in pair]
                # A segment in no pair ends here and meets nobody.
                way = ways[0] if ways else -1 - segment.id
            groups[number, segment.id] = way
    return groups


def _divide(
    graph: nx.MultiGraph[Vertex],
    places: dict[Vertex, tuple[float, float]],
    segment: Segment,
    groups: Mapping[tuple[int, int], int],
    attachments: Sequence[Attachment],
    stroke: float,
) -> dict[Attachment, Vertex]:
    """Add one segment to the graph, cut where terminals lie on it; return the vertex of each attachment."""
    line = LineString(np.asarray(segment.line, dtype=np.float64))
    ends: list[Vertex] = [("join", join, float(groups[join, segment.id])) for join in segment.joins]
    marks: list[tuple[float, Vertex]] = [(0.0, ends[0]), (line.length, ends[1])]
    found: dict[Attachment, Vertex] = {}
    for item in sorted(attachments, key=lambda a: a.along):
        near_along, near = min(marks, key=lambda mark: abs(mark[0] - item.along))
        if abs(near_along - item.along) > stroke:
            near = ("cut", segment.id, item.along)
            marks.append((item.along, near))
        found[item] = near
    marks = [marks[0], *sorted(marks[2:]), marks[1]]
    for along, vertex in marks:
        point = line.interpolate(along)
        places.setdefault(vertex, (float(point.x), float(point.y)))
    for (along, start), (beyond, end) in pairwise(marks):
        part = np.asarray(substring(line, along, beyond).coords, dtype=np.float32)
        graph.add_edge(start, end, pieces=(Piece(segment.id, part),))
    return found


def _bridge_parts(graph: nx.MultiGraph[Vertex], places: Mapping[Vertex, tuple[float, float]]) -> None:
    """Join the parts of a conductor that no drawn line joins (a join made by hand) at their nearest ends."""
    parts = [sorted(part) for part in nx.connected_components(graph)]
    whole = parts[0] if parts else []
    for part in parts[1:]:
        gaps = np.array([places[v] for v in whole])[:, None] - np.array([places[v] for v in part])[None]
        here, there = np.unravel_index(np.argmin((gaps**2).sum(axis=2)), gaps.shape[:2])
        graph.add_edge(whole[int(here)], part[int(there)], pieces=())
        whole = whole + part


def _between(graph: nx.MultiGraph[Vertex], attached: set[Vertex]) -> nx.MultiGraph[Vertex]:
    """Keep the wire on some simple path between two attached vertices.

    With one more vertex joined to every attached one, such wire is the block (biconnected component) that
    the added vertex lies in.
    """
    kept: nx.MultiGraph[Vertex] = nx.MultiGraph()
    if len(attached) < 2:
        return kept
    plain: nx.Graph[Vertex] = nx.Graph(graph)
    plain.add_edges_from((_OUTSIDE, vertex) for vertex in attached)
    for members in nx.biconnected_components(plain):
        block: set[Any] = set(members)
        if _OUTSIDE in block:
            inside = [(a, b, data) for a, b, data in graph.edges(data=True) if {a, b} <= block and a != b]
            kept.add_edges_from(inside)
    return kept


def _runs(graph: nx.MultiGraph[Vertex], attached: set[Vertex]) -> Iterable[Stretch]:
    """Walk from each vertex that counts to the next, making series pieces one stretch."""
    ends = {vertex for vertex in graph if vertex in attached or graph.degree(vertex) != 2}
    used: set[tuple[Vertex, Vertex, int]] = set()
    for start in sorted(ends):
        for _, first, key in sorted(graph.edges(start, keys=True)):
            if _edge(start, first, key) in used:
                continue
            pieces: list[Piece] = []
            passes = [start]
            before, here, came = start, first, key
            while True:
                used.add(_edge(before, here, came))
                pieces += graph.edges[before, here, came]["pieces"]
                passes.append(here)
                if here in ends:
                    break
                (onward,) = [
                    (far, number)
                    for _, far, number in graph.edges(here, keys=True)
                    if _edge(here, far, number) != _edge(before, here, came)
                ]
                before, (here, came) = here, onward
            yield Stretch(start, here, tuple(pieces), tuple(passes))


def _edge(start: Vertex, end: Vertex, key: int) -> tuple[Vertex, Vertex, int]:
    return (min(start, end), max(start, end), key)

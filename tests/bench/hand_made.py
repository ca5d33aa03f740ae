"""Traced sheets drawn by hand: wires as polylines, joins where they are said to be."""

from __future__ import annotations

from collections.abc import Sequence

import networkx as nx
import numpy as np

from tracer.job.records import Tag, TagTerminal
from tracer.trace.sheet import Join, JoinKind, Proposal, Segment, TracedSheet

__all__ = ["XY", "part", "traced"]

XY = tuple[float, float]


def traced(
    lines: Sequence[Sequence[XY]],
    *,
    crossings: Sequence[XY] = (),
    proposals: Sequence[Proposal] = (),
    stroke: float = 3.0,
    shape: tuple[int, int] = (600, 800),
) -> TracedSheet:
    """Make a traced sheet of segments whose ends meet where their coordinates are equal.

    At a place of `crossings` the ends meet in pairs: first with second and third with fourth of the segments
    that end there, in the order given.
    """
    ends: dict[XY, list[int]] = {}
    for number, line in enumerate(lines):
        for end in (line[0], line[-1]):
            ends.setdefault(end, []).append(number)
    joins: list[Join] = []
    net: nx.Graph[int] = nx.Graph()
    net.add_nodes_from(range(len(lines)))
    for place, touching in ends.items():
        pairs: tuple[tuple[int, int], ...] = ()
        kind = JoinKind.JUNCTION if len(touching) > 1 else JoinKind.END
        if place in crossings:
            kind = JoinKind.CROSSING
            pairs = tuple((touching[n], touching[n + 1]) for n in range(0, len(touching) - 1, 2))
            net.add_edges_from(pairs)
        else:
            nx.add_path(net, touching)
        joins.append(Join(len(joins), *place, kind, 1.0, tuple(touching), pairs))
    at = {place: number for number, place in enumerate(ends)}
    conductor = {
        segment: number
        for number, together in enumerate(nx.connected_components(net), start=1)
        for segment in together
    }
    segments = tuple(
        Segment(n, np.array(line, np.float32), stroke, (at[line[0]], at[line[-1]]), conductor[n])
        for n, line in enumerate(lines)
    )
    count = max(conductor.values(), default=0)
    return TracedSheet(shape, stroke, segments, tuple(joins), tuple(proposals), count, "hand")


def part(reference: str, kind: str, value: str | None, sheet: int = 1, **terminals: XY) -> Tag:
    """Tag a part by its terminals; a name's leading underscore is dropped (``_1`` for ``1``)."""
    named = tuple(TagTerminal(name.lstrip("_"), *place) for name, place in terminals.items())
    xs, ys = [t.x for t in named], [t.y for t in named]
    box = (int(min(xs)), int(min(ys)), int(max(xs)) + 1, int(max(ys)) + 1)
    return Tag(sheet, box, kind, reference, value, named)

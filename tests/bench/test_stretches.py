"""Conductors divided into stretches, held against networkx on the same lines."""

from __future__ import annotations

import itertools

import networkx as nx
import numpy as np
import pytest
from hand_made import XY, traced
from hypothesis import given, settings, strategies
from shapely import LineString

from tracer.bench.stretches import Attachment, Stretch, stretches_of
from tracer.trace.sheet import TracedSheet


def foot(sheet: TracedSheet, segment: int, along: float) -> Attachment:
    length = LineString(sheet.segments[segment].line).length
    return Attachment(segment, min(along, length))


def length_of(stretch: Stretch) -> float:
    return sum(LineString(piece.line).length for piece in stretch.pieces)


def test_a_plain_wire_between_two_terminals_is_one_stretch() -> None:
    sheet = traced([[(0, 0), (100, 0)], [(100, 0), (100, 50)], [(100, 50), (200, 50)]])
    vertices, stretches, places = stretches_of(
        sheet, sheet.segments, [foot(sheet, 0, 0), foot(sheet, 2, 100)]
    )
    (stretch,) = stretches
    assert {stretch.start, stretch.end} == set(vertices)
    assert length_of(stretch) == pytest.approx(250)
    assert sorted(piece.segment for piece in stretch.pieces) == [0, 1, 2]
    assert places[vertices[0]] == (0, 0)


def test_a_free_end_and_a_loop_to_nowhere_are_left_out() -> None:
    lines: list[list[XY]] = [
        [(0, 0), (100, 0)],
        [(100, 0), (200, 0)],
        [(100, 0), (100, 80)],  # a free end
        [(200, 0), (250, 0)],
        [(200, 0), (200, 60)],  # leads to a loop
        [(200, 60), (240, 60), (240, 90), (200, 90)],
        [(200, 60), (200, 90)],
    ]
    sheet = traced(lines)
    _, stretches, _ = stretches_of(sheet, sheet.segments, [foot(sheet, 0, 0), foot(sheet, 3, 50)])
    (stretch,) = stretches
    assert sorted(piece.segment for piece in stretch.pieces) == [0, 1, 3]


def test_a_loop_on_the_way_keeps_both_its_sides() -> None:
    lines: list[list[XY]] = [
        [(0, 0), (50, 0)],
        [(50, 0), (50, 40), (100, 40), (100, 0)],
        [(50, 0), (100, 0)],
        [(100, 0), (150, 0)],
    ]
    sheet = traced(lines)
    _, stretches, _ = stretches_of(sheet, sheet.segments, [foot(sheet, 0, 0), foot(sheet, 3, 50)])
    assert sorted(round(length_of(s)) for s in stretches) == [50, 50, 50, 130]


def test_a_terminal_in_the_middle_cuts_the_line_and_near_ones_share_a_vertex() -> None:
    sheet = traced([[(0, 0), (100, 0)]])
    feet = [foot(sheet, 0, 0), foot(sheet, 0, 40), foot(sheet, 0, 42), foot(sheet, 0, 100)]
    vertices, stretches, _ = stretches_of(sheet, sheet.segments, feet)
    assert vertices[1] == vertices[2]
    assert sorted(round(length_of(s)) for s in stretches) == [40, 60]


def test_wires_that_cross_do_not_meet() -> None:
    lines: list[list[XY]] = [
        [(0, 50), (50, 50)],
        [(50, 50), (100, 50)],
        [(50, 0), (50, 50)],
        [(50, 50), (50, 100)],
    ]
    sheet = traced(lines, crossings=[(50, 50)])
    across = [segment for segment in sheet.segments if segment.conductor == sheet.segments[0].conductor]
    assert [segment.id for segment in across] == [0, 1]
    vertices, stretches, _ = stretches_of(sheet, across, [foot(sheet, 0, 0), foot(sheet, 1, 50)])
    assert [length_of(s) for s in stretches] == [pytest.approx(100)]
    assert len(set(vertices)) == 2


def test_a_wire_that_crosses_itself_is_not_shortened_by_it() -> None:
    lines: list[list[XY]] = [
        [(0, 50), (50, 50)],
        [(50, 50), (100, 50)],
        [(50, 50), (50, 0)],
        [(50, 100), (50, 50)],
        [(100, 50), (150, 50), (150, 0), (50, 0)],
    ]
    sheet = traced(lines, crossings=[(50, 50)])
    # From (0, 50) through the crossing, round, and down through it to (50, 100).
    assert len({segment.conductor for segment in sheet.segments}) == 1
    _, stretches, _ = stretches_of(sheet, sheet.segments, [foot(sheet, 0, 0), foot(sheet, 3, 0)])
    assert [length_of(s) for s in stretches] == [pytest.approx(100 + 200 + 100)]


def test_one_terminal_alone_makes_no_wire() -> None:
    sheet = traced([[(0, 0), (100, 0)]])
    vertices, stretches, _ = stretches_of(sheet, sheet.segments, [foot(sheet, 0, 30)])
    assert (len(vertices), stretches) == (1, ())


@settings(deadline=None, max_examples=60)
@given(
    edges=strategies.sets(
        strategies.tuples(strategies.integers(0, 11), strategies.sampled_from("rd")), min_size=3
    ),
    picks=strategies.lists(
        strategies.tuples(strategies.integers(0, 99), strategies.floats(0, 40)), min_size=2, max_size=5
    ),
)
def test_stretches_keep_every_resistance(edges: set[tuple[int, str]], picks: list[tuple[int, float]]) -> None:
    """As length is to ohms: the resistance between terminals is the same as over the lines themselves.

    networkx's resistance distance (Klein and Randić 1993) is the judge; it knows nothing of this room.
    """
    lines: list[list[XY]] = []
    for number, way in sorted(edges):
        x, y = 40.0 * (number % 4), 40.0 * (number // 4)
        lines.append([(x, y), (x + 40, y) if way == "r" else (x, y + 40)])
    whole = traced(lines, stroke=1.0)
    target = whole.segments[picks[0][0] % len(lines)].conductor
    segments = [segment for segment in whole.segments if segment.conductor == target]
    feet = [Attachment(segments[n % len(segments)].id, along) for n, along in picks]
    vertices, stretches, _ = stretches_of(whole, segments, feet)

    plain: nx.Graph[object] = nx.Graph()
    for segment in segments:
        marks: dict[float, object] = {0.0: tuple(segment.line[0]), 40.0: tuple(segment.line[-1])}
        for item, vertex in zip(feet, vertices, strict=True):
            if item.segment == segment.id and vertex[0] == "cut":
                marks[vertex[2]] = vertex
        for (a, one), (b, other) in itertools.pairwise(sorted(marks.items())):
            plain.add_edge(one, other, weight=1.0 / max(b - a, 1e-9))
    made: nx.MultiGraph[object] = nx.MultiGraph()
    made.add_nodes_from(vertices)
    made.add_edges_from((s.start, s.end, {"weight": 1.0 / length_of(s)}) for s in stretches)

    def on_the_lines(vertex: tuple[str, int, float]) -> object:
        if vertex[0] == "cut":
            return vertex
        join = whole.joins[vertex[1]]
        return (np.float32(join.x), np.float32(join.y))

    for one, other in itertools.combinations(sorted(set(vertices)), 2):
        expected = nx.resistance_distance(
            plain, on_the_lines(one), on_the_lines(other), weight="weight", invert_weight=False
        )
        got = nx.resistance_distance(made, one, other, weight="weight", invert_weight=False)
        assert got == pytest.approx(expected, rel=1e-3)

"""Joins, crossings, gaps and ends on class maps whose answer is plain by construction."""

from __future__ import annotations

import networkx as nx
import numpy as np
import pytest
from drawn_map import Drawn
from skimage.measure import label

from tracer.reader.layers import Pixel
from tracer.trace.flood import FloodIndex
from tracer.trace.sheet import JoinKind, TracedSheet
from tracer.trace.trace import trace


def traced(drawn: Drawn) -> TracedSheet:
    return trace(drawn.layers(), drawn.shape)


def at(sheet: TracedSheet, drawn: Drawn, x: float, y: float) -> int | None:
    """The conductor at a grid place."""
    offset = (drawn.scale - 1) / 2
    return FloodIndex(sheet).conductor_at(x * drawn.scale + offset, y * drawn.scale + offset)


def kinds(sheet: TracedSheet) -> list[str]:
    return sorted(join.kind.value for join in sheet.joins if join.kind is not JoinKind.END)


@pytest.mark.parametrize("how", ["disc", "bare", "dot", "gap", "gap in disc"])
def test_two_wires_that_meet_in_an_x(how: str) -> None:
    drawn = Drawn(100, 120)
    drawn.wire((10, 50), (110, 50))
    if how.startswith("gap"):
        drawn.wire((60, 10), (60, 42))
        drawn.wire((60, 58), (60, 90))
    else:
        drawn.wire((60, 10), (60, 90))
    if how == "dot":
        drawn.dot(60, 50)
    elif how.endswith("disc"):
        drawn.disc(60, 50, 10 if "gap" in how else 6)
    sheet = traced(drawn)
    assert sheet.conductors == (1 if how == "dot" else 2)
    assert at(sheet, drawn, 20, 50) == at(sheet, drawn, 100, 50)
    assert at(sheet, drawn, 60, 20) == at(sheet, drawn, 60, 80)
    assert (
        kinds(sheet)
        == {
            "disc": ["crossing"],
            "bare": ["crossing"],
            "dot": ["junction"],
            "gap": ["gap"],
            "gap in disc": ["crossing"],
        }[how]
    )


@pytest.mark.parametrize("lean", [90, 60, 45, 35])
def test_a_slanting_x_is_a_crossing_at_any_fair_angle(lean: int) -> None:
    drawn = Drawn(160, 160)
    way = np.array([np.cos(np.radians(lean)), np.sin(np.radians(lean))]) * 60
    low, high = (80 - way).round().astype(int), (80 + way).round().astype(int)
    drawn.wire((10, 80), (150, 80))
    drawn.wire((low[0], low[1]), (high[0], high[1]))
    sheet = traced(drawn)
    assert sheet.conductors == 2
    assert at(sheet, drawn, *(80 - 0.7 * way)) == at(sheet, drawn, *(80 + 0.7 * way))
    assert at(sheet, drawn, 20, 80) == at(sheet, drawn, 140, 80)


def test_a_hop_passes_over_the_wire_beneath() -> None:
    drawn = Drawn(100, 120)
    drawn.wire((10, 50), (50, 50))
    drawn.wire((70, 50), (110, 50))
    drawn.wire((60, 10), (60, 90))
    drawn.disc(60, 48, 11)
    sheet = traced(drawn)
    assert sheet.conductors == 2
    assert at(sheet, drawn, 20, 50) == at(sheet, drawn, 100, 50)


def test_a_bus_crossed_in_touching_discs_keeps_every_wire_apart() -> None:
    drawn = Drawn(120, 200)
    for y in (40, 50, 60, 70):
        drawn.wire((10, y), (190, y))
        drawn.disc(100, y, 5)
    drawn.wire((100, 10), (100, 34))
    drawn.wire((100, 76), (100, 110))
    sheet = traced(drawn)
    assert sheet.conductors == 5
    for y in (40, 50, 60, 70):
        assert at(sheet, drawn, 30, y) == at(sheet, drawn, 170, y)
    assert at(sheet, drawn, 100, 20) == at(sheet, drawn, 100, 100)


def test_a_t_joins_and_two_t_on_either_side_are_no_crossing() -> None:
    drawn = Drawn(120, 160)
    drawn.wire((10, 60), (150, 60))
    drawn.wire((70, 10), (70, 60))
    drawn.wire((84, 60), (84, 110))
    sheet = traced(drawn)
    assert sheet.conductors == 1
    assert kinds(sheet) == ["junction", "junction"]


@pytest.mark.parametrize(("between", "conductors"), [(None, 1), (Pixel.LETTERING, 2), (Pixel.BODY, 2)])
def test_a_break_in_the_ink_is_bridged_unless_something_lies_in_it(
    between: Pixel | None, conductors: int
) -> None:
    drawn = Drawn(60, 140)
    drawn.wire((10, 30), (60, 30))
    drawn.wire((74, 30), (130, 30))
    if between is Pixel.BODY:
        drawn.box(61, 17, 73, 43, "resistor")
    elif between is not None:
        drawn.area(64, 26, 70, 36, between)
    assert traced(drawn).conductors == conductors


def test_ends_that_do_not_face_each_other_stay_apart() -> None:
    drawn = Drawn(100, 140)
    drawn.wire((10, 30), (60, 30))
    drawn.wire((74, 42), (130, 42))
    assert traced(drawn).conductors == 2


def test_an_end_that_stops_just_short_of_a_wire_joins_it_and_is_no_surer_than_a_drawn_join() -> None:
    scores = []
    for top in (40, 47):
        drawn = Drawn(100, 120)
        drawn.wire((10, 40), (110, 40))
        drawn.wire((60, top), (60, 90))
        sheet = traced(drawn)
        assert sheet.conductors == 1
        scores += [join.score for join in sheet.joins if join.kind is JoinKind.JUNCTION]
    drawn_join, closed = scores
    assert closed < drawn_join + 0.01  # of so clean a map the model doubts neither


def test_conductors_end_at_a_body_and_both_ends_are_its_terminals() -> None:
    drawn = Drawn(80, 160)
    drawn.wire((10, 40), (150, 40))
    drawn.box(60, 32, 100, 48, "resistor")
    sheet = traced(drawn)
    assert sheet.conductors == 2
    (proposal,) = sheet.proposals
    assert proposal.kind == "resistor"
    assert proposal.box == (120, 64, 200, 96)
    assert [(end.name, end.conductor) for end in proposal.terminals] == [
        ("1", at(sheet, drawn, 20, 40)),
        ("2", at(sheet, drawn, 140, 40)),
    ]


def test_strokes_of_very_different_width_on_one_sheet() -> None:
    drawn = Drawn(200, 260)
    drawn.area(10, 36, 250, 45, Pixel.WIRE)
    drawn.wire((60, 10), (60, 190), width=1)
    drawn.wire((120, 40), (120, 190), width=1)
    drawn.wire((180, 10), (180, 190), width=5)
    sheet = traced(drawn)
    assert at(sheet, drawn, 120, 150) == at(sheet, drawn, 20, 40) == at(sheet, drawn, 240, 40)
    assert at(sheet, drawn, 60, 20) == at(sheet, drawn, 60, 150) != at(sheet, drawn, 20, 40)
    assert at(sheet, drawn, 180, 20) == at(sheet, drawn, 180, 150) != at(sheet, drawn, 20, 40)
    assert max(segment.width for segment in sheet.segments) == pytest.approx(9 * drawn.scale, rel=0.2)


def test_specks_are_no_conductors_and_a_blank_sheet_has_none() -> None:
    drawn = Drawn(100, 100)
    assert traced(drawn).conductors == 0
    drawn.area(50, 50, 53, 55, Pixel.WIRE)
    sheet = traced(drawn)
    assert (sheet.conductors, sheet.segments, sheet.joins) == (0, (), ())


def test_plain_wires_count_as_connected_blobs_of_ink_do() -> None:
    """Without crossings, conductors are blobs: scikit-image's labelling and networkx count the same."""
    rng = np.random.default_rng(7)
    drawn = Drawn(400, 600)
    for row in range(8):
        x = int(rng.integers(20, 60))
        y = 30 + 45 * row
        while x < 500:
            step = int(rng.integers(40, 120))
            drawn.wire((x, y), (x + step, y), (x + step, y + 18), (x + step // 2, y + 18))
            x += step + int(rng.integers(60, 90))
    ink = drawn.classes == Pixel.WIRE
    blobs = int(label(ink, connectivity=2).max())
    sheet = traced(drawn)
    assert sheet.conductors == blobs
    graph = nx.Graph()
    graph.add_nodes_from(range(len(sheet.segments)))
    graph.add_edges_from((join.segments[0], other) for join in sheet.joins for other in join.segments[1:])
    assert nx.number_connected_components(graph) == blobs


def test_every_record_points_where_it_says() -> None:
    drawn = Drawn(200, 260)
    drawn.wire((10, 40), (250, 40))
    drawn.wire((60, 10), (60, 190))
    drawn.wire((120, 40), (120, 190))
    drawn.dot(120, 40)
    drawn.box(170, 30, 200, 50, "resistor")
    sheet = traced(drawn)
    assert [segment.id for segment in sheet.segments] == list(range(len(sheet.segments)))
    assert [join.id for join in sheet.joins] == list(range(len(sheet.joins)))
    assert {segment.conductor for segment in sheet.segments} == set(range(1, sheet.conductors + 1))
    for segment in sheet.segments:
        for number in segment.joins:
            assert segment.id in sheet.joins[number].segments
    for join in sheet.joins:
        assert 0 <= join.score <= 1
        assert {number for pair in join.pairs for number in pair} <= set(join.segments)


def test_a_lead_no_longer_than_it_is_wide_is_kept_between_a_body_and_a_crossing() -> None:
    drawn = Drawn(160, 160)
    drawn.wire((10, 80), (150, 80))
    drawn.wire((80, 68), (80, 150))
    drawn.disc(80, 80, 6)
    drawn.box(70, 30, 90, 70, "resistor")
    sheet = traced(drawn)
    assert sheet.conductors == 2
    (part,) = sheet.proposals
    assert at(sheet, drawn, 80, 130) in [end.conductor for end in part.terminals]
    assert at(sheet, drawn, 20, 80) == at(sheet, drawn, 140, 80)


def test_a_t_whose_stem_runs_a_little_past_the_bar_is_a_t() -> None:
    drawn = Drawn(120, 160)
    drawn.wire((10, 60), (150, 60))
    drawn.wire((80, 10), (80, 69))
    drawn.disc(80, 60, 5)
    assert traced(drawn).conductors == 1


def test_a_thick_rail_passes_a_crossing_straight_though_its_flat_end_thins_to_a_slant() -> None:
    drawn = Drawn(160, 200)
    drawn.area(10, 75, 190, 84, Pixel.WIRE)
    drawn.wire((60, 60), (90, 60), (90, 100), (120, 100))
    drawn.wire((112, 20), (112, 79))
    drawn.disc(90, 79, 7)
    sheet = traced(drawn)
    assert at(sheet, drawn, 20, 79) == at(sheet, drawn, 170, 79) == at(sheet, drawn, 112, 30)
    assert at(sheet, drawn, 65, 60) == at(sheet, drawn, 115, 100) != at(sheet, drawn, 20, 79)


def test_a_blot_read_half_as_a_dot_and_half_as_a_crossing_is_a_join() -> None:
    drawn = Drawn(120, 120)
    drawn.wire((10, 60), (110, 60))
    drawn.wire((60, 10), (60, 110))
    drawn.disc(60, 60, 6)
    drawn.area(60, 54, 67, 67, Pixel.DOT)
    assert traced(drawn).conductors == 1


def test_a_hop_right_at_a_dot_is_passed_though_no_line_shows_between_them() -> None:
    drawn = Drawn(140, 160)
    drawn.wire((10, 40), (150, 40))
    drawn.dot(80, 40)
    drawn.wire((10, 58), (150, 58))
    drawn.wire((80, 40), (80, 130))
    drawn.disc(80, 58, 12)
    sheet = traced(drawn)
    assert sheet.conductors == 2
    assert at(sheet, drawn, 80, 110) == at(sheet, drawn, 20, 40) != at(sheet, drawn, 20, 58)


def test_a_wire_that_meets_another_right_at_the_rim_of_a_hop_passes_it() -> None:
    drawn = Drawn(140, 160)
    drawn.wire((80, 10), (80, 130))
    drawn.wire((10, 70), (150, 70))
    drawn.wire((63, 10), (63, 70))
    drawn.disc(80, 70, 16)
    sheet = traced(drawn)
    assert sheet.conductors == 2
    assert at(sheet, drawn, 63, 20) == at(sheet, drawn, 140, 70) != at(sheet, drawn, 80, 20)


def test_a_dot_right_at_a_body_is_its_terminal_though_the_lead_between_them_is_lost() -> None:
    drawn = Drawn(120, 160)
    drawn.wire((10, 60), (150, 60))
    drawn.dot(80, 60)
    drawn.box(70, 20, 90, 51, "resistor")
    (part,) = traced(drawn).proposals
    assert [end.conductor for end in part.terminals].count(1) == 1


@pytest.mark.parametrize("over", [Pixel.LETTERING, Pixel.FURNITURE])
def test_a_corner_that_other_ink_covers_is_one_conductor(over: Pixel) -> None:
    drawn = Drawn(100, 120)
    drawn.wire((30, 20), (30, 60), (100, 60))
    if over is Pixel.LETTERING:
        drawn.area(27, 57, 33, 64, over)
    else:
        drawn.area(27, 54, 40, 63, over)
    assert traced(drawn).conductors == 1

"""Where the tracing was unsure: named to the explanation, and told in a person's words."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest
from hand_made import XY, part, traced

from tracer.bench.layout import lay_out
from tracer.bench.readings import take_reading
from tracer.bench.spoken import nodes_in_words
from tracer.circuit.elements import Setting
from tracer.circuit.points import resolve_point
from tracer.circuit.results import CauseKind, Meter
from tracer.job.file import create_job
from tracer.trace.sheet import JoinKind, TracedSheet

CROSS: list[list[XY]] = [
    [(0, 50), (100, 50)],
    [(100, 50), (200, 50)],
    [(100, 0), (100, 50)],
    [(100, 50), (100, 300)],
]


def unsure(sheet: TracedSheet, place: XY, score: float, kind: JoinKind | None = None) -> TracedSheet:
    """Return the sheet with the join at `place` less sure."""
    joins = tuple(
        replace(join, score=score, kind=kind or join.kind) if (join.x, join.y) == place else join
        for join in sheet.joins
    )
    return replace(sheet, joins=joins)


def test_a_doubtful_crossing_names_the_two_wires_that_may_be_one() -> None:
    sheet = unsure(traced(CROSS, crossings=[(100, 50)]), (100, 50), 0.6)
    tags = [
        part("R1", "resistor", "1k", _1=(0, 50), _2=(200, 300)),
        part("R2", "resistor", "1k", _1=(100, 0), _2=(300, 300)),
    ]
    laid = lay_out({1: sheet}, tags)
    ((one, other, score),) = laid.joins
    assert {one, other} == {resolve_point(laid.circuit, "R1.1"), resolve_point(laid.circuit, "R2.1")}
    assert score == 0.6


def test_a_sure_crossing_is_not_doubted() -> None:
    tags = [
        part("R1", "resistor", "1k", _1=(0, 50), _2=(200, 300)),
        part("R2", "resistor", "1k", _1=(100, 0), _2=(300, 300)),
    ]
    assert lay_out({1: traced(CROSS, crossings=[(100, 50)])}, tags).joins == ()


def test_a_crossing_with_a_wire_that_nothing_touches_is_not_doubted() -> None:
    sheet = unsure(traced(CROSS, crossings=[(100, 50)]), (100, 50), 0.6)
    assert lay_out({1: sheet}, [part("R1", "resistor", "1k", _1=(0, 50), _2=(200, 300))]).joins == ()


@pytest.mark.parametrize(("kind", "doubted"), [(JoinKind.GAP, True), (JoinKind.END, False)])
def test_a_doubtful_gap_names_the_ends_of_its_stretch(kind: JoinKind, doubted: bool) -> None:
    lines: list[list[XY]] = [[(0, 50), (100, 50)], [(100, 50), (200, 50)], [(200, 50), (300, 50)]]
    sheet = unsure(traced(lines), (100, 50), 0.4, kind)
    tags = [
        part("R1", "resistor", "1k", _1=(0, 50), _2=(0, 300)),
        part("R2", "resistor", "1k", _1=(200, 50), _2=(200, 300)),
        part("R3", "resistor", "1k", _1=(300, 50), _2=(300, 300)),
    ]
    laid = lay_out({1: sheet}, tags)
    ends = {resolve_point(laid.circuit, "R1.1"), resolve_point(laid.circuit, "R2.1")}
    assert [({one, other}, score) for one, other, score in laid.joins] == ([(ends, 0.4)] if doubted else [])


def test_a_break_at_a_bridged_gap_is_told_by_terminals(tmp_path: Path) -> None:
    lines: list[list[XY]] = [[(0, 50), (100, 50)], [(100, 50), (200, 50)]]
    sheet = unsure(traced(lines), (100, 50), 0.2, JoinKind.GAP)
    tags = [
        part("R1", "resistor", "1k", _1=(0, 50), _2=(0, 300)),
        part("R2", "resistor", "1k", _1=(200, 50), _2=(200, 300)),
    ]
    laid = lay_out({1: sheet}, tags)
    with create_job(tmp_path / "a.tracer") as job:
        outcome = take_reading(job, laid, "R1.2", "R2.2", "OL", Setting(), Meter())
    (told,) = [cause.says for cause in outcome.causes if cause.kind is CauseKind.JOIN]
    assert "R1.1" in told
    assert "R2.1" in told
    assert not any(node in told for node in nodes_in_words(laid.circuit))

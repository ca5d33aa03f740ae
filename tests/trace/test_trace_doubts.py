"""Which joins a person is sent to first."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from drawn_map import Drawn

from tracer.trace.doubts import doubtful_joins
from tracer.trace.evidence import FEATURES
from tracer.trace.flood_doubt import FLOOD_FEATURES, FloodModel, flood_evidence, flood_model
from tracer.trace.join_model import JoinModel, join_model, weighed
from tracer.trace.meeting import Meeting
from tracer.trace.sheet import JoinKind, TracedSheet
from tracer.trace.trace import trace


def ladder() -> TracedSheet:
    drawn = Drawn(200, 300)
    for y in (40, 100, 160):
        drawn.wire((10, y), (290, y))
        drawn.box(60, y - 8, 100, y + 8, "resistor")
    drawn.wire((200, 40), (200, 160))
    return trace(drawn.layers(), drawn.shape)


def scored(sheet: TracedSheet, scores: dict[int, float]) -> TracedSheet:
    joins = tuple(replace(join, score=scores.get(join.id, 1.0)) for join in sheet.joins)
    return replace(sheet, joins=joins)


BY_DOUBT = FloodModel(-4.0, np.array([float(name.startswith("doubt")) for name in FLOOD_FEATURES]))


def test_each_conductor_that_may_be_wrong_is_shown_at_its_weakest_join_first() -> None:
    sheet = ladder()
    left = [join for join in sheet.joins if join.kind is JoinKind.TERMINAL and join.x < 150]
    middle = next(join for join in sheet.joins if join.kind is JoinKind.CROSSING)
    right = [join for join in sheet.joins if join.kind is JoinKind.JUNCTION]
    doubted = scored(sheet, {left[0].id: 0.5, middle.id: 0.9, right[0].id: 0.6, right[1].id: 0.7})
    chosen = [join.id for join in doubtful_joins(doubted, floods=BY_DOUBT)]
    assert chosen[:2] == [right[0].id, left[0].id]
    assert set(chosen) == {left[0].id, middle.id, right[0].id, right[1].id}
    assert doubtful_joins(scored(sheet, {}), floods=BY_DOUBT) == ()
    assert len(doubtful_joins(doubted, most=2, floods=BY_DOUBT)) == 2


def test_the_model_speaks_in_log_odds_and_leaves_kinds_that_it_lacks() -> None:
    weights = np.zeros(len(FEATURES))
    weights[0] = 1.0
    model = JoinModel({JoinKind.GAP: 0.0}, {JoinKind.GAP: weights})
    evidence = np.zeros((2, len(FEATURES)))
    evidence[:, 0] = np.log(3.0)
    meetings = [Meeting(kind, (0.0, 0.0), 0.4, (0,)) for kind in (JoinKind.GAP, JoinKind.END)]
    assert [round(meeting.score, 6) for meeting in weighed(meetings, evidence, model)] == [0.75, 0.4]


def test_every_kind_of_join_has_its_model() -> None:
    assert set(join_model().constants) == set(JoinKind)


def test_a_likely_wrong_flood_is_shown_though_each_of_its_joins_is_sure() -> None:
    sheet = scored(ladder(), {})
    longest = np.array([float(name == "length") for name in FLOOD_FEATURES])
    evidence = flood_evidence(sheet)
    lengths = {number: row @ longest for number, row in evidence.items()}
    cut = sorted(lengths.values())[-2:]
    model = FloodModel(-100.0 * float(np.mean(cut)), 100.0 * longest)
    (chosen,) = doubtful_joins(sheet, floods=model)
    assert max(lengths, key=lambda number: lengths[number]) in {
        sheet.segments[number].conductor for number in chosen.segments
    }


def test_no_doubt_and_no_length_speak_for_a_flood() -> None:
    assert (flood_model().weights >= 0).all()
    assert flood_model().weights.any()

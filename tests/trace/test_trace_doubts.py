"""Which joins a person is sent to first."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from drawn_map import Drawn

from tracer.trace.doubts import doubtful_joins
from tracer.trace.evidence import FEATURES
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


def test_each_conductor_that_may_be_wrong_is_shown_at_its_weakest_join_first() -> None:
    sheet = ladder()
    left = [join for join in sheet.joins if join.kind is JoinKind.TERMINAL and join.x < 150]
    middle = next(join for join in sheet.joins if join.kind is JoinKind.CROSSING)
    right = [join for join in sheet.joins if join.kind is JoinKind.JUNCTION]
    doubted = scored(sheet, {left[0].id: 0.5, middle.id: 0.9, right[0].id: 0.6, right[1].id: 0.7})
    chosen = [join.id for join in doubtful_joins(doubted)]
    assert chosen[:2] == [right[0].id, left[0].id]
    assert set(chosen) == {left[0].id, middle.id, right[0].id, right[1].id}
    assert doubtful_joins(scored(sheet, {})) == ()
    assert len(doubtful_joins(doubted, most=2)) == 2


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

"""One branch open, shorted or of another value, against working it out afresh."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.circuit.networks import random_networks
from tracer.circuit.single import OneBranch, one_branch, resistance_opened, resistance_with
from tracer.circuit.solve import Graph, Ohms

Case = tuple[Graph, Ohms]
NETWORKS = settings(max_examples=150, deadline=None)


@NETWORKS
@given(random_networks(), st.data(), st.floats(-3.0, 8.0))
def test_the_ratio_of_two_lines_agrees_with_a_fresh_solution(
    case: Case, data: st.DataObject, power: float
) -> None:
    """L. Thévenin, Annales télégraphiques 10 (1883), from memory."""
    branch = data.draw(st.integers(0, len(case[1]) - 1))
    hangs = one_branch(*case, 0, 1, branch)
    for value in (0.0, 10.0**power, math.inf):
        fresh = resistance_with(*case, 0, 1, branch, value)
        assert hangs.at(value) == pytest.approx(fresh, rel=1e-9)


@NETWORKS
@given(random_networks(), st.data(), st.floats(-1.0, 6.0))
def test_the_solved_value_gives_the_reading_back(case: Case, data: st.DataObject, power: float) -> None:
    branch = data.draw(st.integers(0, len(case[1]) - 1))
    hangs = one_branch(*case, 0, 1, branch)
    reading = hangs.at(10.0**power)
    value = hangs.value_for(reading)
    if value is None:
        assert not hangs.matters or math.isinf(reading)
    else:
        assert hangs.at(value) == pytest.approx(reading, rel=1e-9)


def test_no_value_explains_a_reading_out_of_reach() -> None:
    hangs = OneBranch(opened=100.0, shorted=20.0, across=50.0)
    assert hangs.value_for(19.0) is None
    assert hangs.value_for(101.0) is None
    assert hangs.value_for(100.0) == math.inf
    assert hangs.value_for(20.0) == 0.0
    assert hangs.value_for(60.0) == 50.0


def test_a_branch_off_the_way_does_not_matter() -> None:
    graph = Graph.of(3, [(0, 1), (1, 2)])
    hangs = one_branch(graph, np.array([10.0, 20.0]), 0, 1, 1)
    assert not hangs.matters
    assert hangs.value_for(10.0) is None
    assert hangs.at(5.0) == 10.0


def test_open_and_changed_branches_are_worked_out_afresh() -> None:
    graph = Graph.of(3, [(0, 1), (1, 2), (0, 2)])
    ohms = np.array([1.0, 1.0, 2.0])
    assert resistance_opened(graph, ohms, 0, 2, 2) == 2.0
    assert resistance_with(graph, ohms, 0, 2, 2, 6.0) == 1.5
    assert ohms.tolist() == [1.0, 1.0, 2.0]

"""Every branch at once against each branch by itself."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tracer.circuit.single import one_branch
from tracer.circuit.solve import Graph
from tracer.circuit.sweep import sweep

OHMS = st.sampled_from([0.0, 0.0, 0.0, 0.1, 1.0, 47.0, 1e3, 4.7e3, 100e3, 1e6, 22e6, 1e9, math.inf])


@st.composite
def networks(draw: st.DrawFn) -> tuple[Graph, np.ndarray]:
    size = draw(st.integers(2, 9))
    node = st.integers(0, size - 1)
    pairs = draw(
        st.lists(st.tuples(node, node).filter(lambda pair: pair[0] != pair[1]), min_size=1, max_size=18)
    )
    ohms = draw(st.lists(OHMS, min_size=len(pairs), max_size=len(pairs)))
    return Graph.of(size, pairs), np.array(ohms)


def alike(one: float, other: float) -> bool:
    return one == pytest.approx(other, rel=1e-5, abs=1e-9)


@settings(max_examples=400, deadline=None)
@given(networks())
def test_each_branch_is_as_by_itself(network: tuple[Graph, np.ndarray]) -> None:
    graph, ohms = network
    swept = sweep(graph, ohms, 0, 1)
    for branch in range(len(ohms)):
        alone = one_branch(graph, ohms, 0, 1, branch)
        assert alike(swept.opened[branch], alone.opened)
        assert alike(swept.shorted[branch], alone.shorted)
        for value in (0.0, 1.0, 10e3):
            assert alike(swept.at(value)[branch], alone.at(value))
        if alone.shorted * 1.000001 < alone.opened < math.inf:
            assert alike(swept.across[branch], alone.across)


def test_the_value_for_a_reading_is_the_closed_form() -> None:
    # Textbook: 100 Ω beside 100 Ω reads 50 Ω; to read 75 Ω one of them must be 300 Ω.
    swept = sweep(Graph.of(2, [(0, 1), (0, 1)]), np.array([100.0, 100.0]), 0, 1)
    assert swept.ohms == pytest.approx(50.0)
    assert swept.value_for(75.0) == pytest.approx([300.0, 300.0])
    assert np.isinf(swept.value_for(100.0)).all()
    assert swept.value_for(0.0) == pytest.approx([0.0, 0.0])


def test_a_wire_in_a_bridge_splits_its_node() -> None:
    # Two pairs of 100 Ω joined in the middle by a wire: without it 100 Ω stays 100 Ω if balanced.
    pairs = [(0, 2), (0, 3), (2, 1), (3, 1), (2, 3)]
    balanced = sweep(Graph.of(4, pairs), np.array([100.0, 100.0, 100.0, 100.0, 0.0]), 0, 1)
    assert balanced.opened[4] == pytest.approx(100.0)
    skewed = sweep(Graph.of(4, pairs), np.array([100.0, 300.0, 300.0, 100.0, 0.0]), 0, 1)
    assert skewed.ohms == pytest.approx(150.0)
    assert skewed.opened[4] == pytest.approx(200.0)

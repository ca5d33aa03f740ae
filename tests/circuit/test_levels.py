"""All resistances of many networks at once, against one network at a time and against scipy."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.linalg import pinvh

from tests.circuit.networks import random_networks
from tracer.circuit.level_order import levels
from tracer.circuit.solve import Graph, Ohms, resistances_from

VALUES = st.sampled_from([0.0, 1e-3, 0.3, 47.0, 1e3, 470e3, 22e6, 1e9, np.inf])


@st.composite
def several(draw: st.DrawFn) -> tuple[Graph, Ohms]:
    """Draw one graph and the ohms of three networks on it."""
    graph, first = draw(random_networks(most_nodes=12))
    size = len(first)
    others = [draw(st.lists(VALUES, min_size=size, max_size=size)) for _ in range(2)]
    return graph, np.array([first, *others])


@settings(max_examples=300, deadline=None)
@given(several())
def test_each_network_is_as_by_itself(case: tuple[Graph, Ohms]) -> None:
    graph, ohms = case
    found = levels(graph, np.asarray(np.isfinite(ohms).any(axis=0)), 0).resistances(ohms)
    assert found.shape == (3, graph.size)
    for row, alone in zip(found, ohms, strict=True):
        expected = resistances_from(graph, alone, 0)
        assert (np.isinf(row) == np.isinf(expected)).all()
        assert row[np.isfinite(row)] == pytest.approx(expected[np.isfinite(expected)], rel=1e-12, abs=1e-20)


@pytest.mark.parametrize("size", [2, 40, 90])
def test_a_full_network_is_as_by_pseudo_inverse(size: int) -> None:
    # R = Z_ii + Z_jj − 2 Z_ij of the Laplacian's pseudo-inverse (Klein and Randić, J. Math. Chem. 12, 1993).
    random = np.random.default_rng(size)
    pairs = [(one, other) for one in range(size) for other in range(one)]
    graph = Graph.of(size, pairs)
    ohms = 10.0 ** random.uniform(1.0, 4.0, (5, len(pairs)))
    found = levels(graph, np.ones(len(pairs), dtype=bool), size // 2).resistances(ohms)
    for row, alone in zip(found, ohms, strict=True):
        table = np.zeros((size, size))
        for (one, other), siemens in zip(pairs, 1.0 / alone, strict=True):
            table[[one, other], [one, other]] += siemens
            table[[one, other], [other, one]] -= siemens
        Z = pinvh(table)
        own = np.diagonal(Z)
        assert row == pytest.approx(own[size // 2] + own - 2.0 * Z[size // 2], rel=1e-9, abs=1e-9)


def test_one_milliohm_beside_22_megohms_keeps_every_digit() -> None:
    graph = Graph.of(4, [(0, 1), (1, 2), (2, 3), (0, 3)])
    ohms = np.array([[1e-3, 22e6, 1e-3, np.inf], [1e-3, 0.0, 1e-3, 22e6]])
    found = levels(graph, np.ones(4, dtype=bool), 0).resistances(ohms)
    assert found[0] == pytest.approx(np.array([0.0, 1e-3, 22e6 + 1e-3, 22e6 + 2e-3]), rel=1e-15)
    assert found[1, 1] == found[1, 2]
    assert found[1, 3] == pytest.approx(1.0 / (1.0 / 2e-3 + 1.0 / 22e6), rel=1e-15)


def test_the_order_is_settled_once_for_a_graph() -> None:
    graph = Graph.of(3, [(0, 1), (1, 2)])
    use = np.ones(2, dtype=bool)
    assert levels(graph, use, 0) is levels(graph, use, 0)
    assert levels(graph, use, 0) is not levels(graph, use, 1)
    assert levels(graph, use, 1).resistances(np.zeros((0, 2))).shape == (0, 3)

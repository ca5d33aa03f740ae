"""Resistance and currents against general libraries, and laws that hold in every network."""

from __future__ import annotations

import math

import networkx as nx
import numpy as np
import pytest
import scipy.linalg
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.circuit.networks import random_networks
from tracer.circuit.solve import (
    Graph,
    Ohms,
    flow,
    joined_groups,
    reduced,
    resistance,
    resistances_from,
)

NETWORKS = settings(max_examples=150, deadline=None)
Case = tuple[Graph, Ohms]


def contracted(graph: Graph, ohms: Ohms) -> tuple[nx.Graph, np.ndarray]:
    """Make the graph that networkx asks for: no 0 Ω, one edge a pair, ohms as weights."""
    group = joined_groups(graph, ohms)
    net = nx.Graph()
    net.add_nodes_from(set(group.tolist()))
    for start, end, value in zip(group[graph.starts], group[graph.ends], ohms, strict=True):
        if start != end and math.isfinite(value):
            siemens = 1 / value + (1 / net[start][end]["ohms"] if net.has_edge(start, end) else 0.0)
            net.add_edge(start, end, ohms=1 / siemens)
    return net, group


@NETWORKS
@given(random_networks())
def test_networkx_finds_the_same(case: Case) -> None:
    """networkx.resistance_distance, a dense pseudo-inverse, is good to about 1e-6 at this spread."""
    net, group = contracted(*case)
    start, end = int(group[0]), int(group[1])
    found = resistance(*case, 0, 1)
    if start == end:
        assert found == 0.0
    elif not nx.has_path(net, start, end):
        assert found == math.inf
    else:
        piece = net.subgraph(nx.node_connected_component(net, start))
        values = [data["ohms"] for _, _, data in piece.edges(data=True)]
        if max(values) / min(values) < 1e6:
            known = nx.resistance_distance(piece, start, end, weight="ohms", invert_weight=True)
            assert found == pytest.approx(known, rel=1e-6)


@NETWORKS
@given(random_networks(zeros=False, opens=False), st.integers(0, 99))
def test_pseudo_inverse_of_the_laplacian_finds_the_same(case: Case, seed: int) -> None:
    """scipy.linalg.pinv: R = L⁺(a,a) + L⁺(b,b) - 2 L⁺(a,b), with ohms over two decades."""
    graph, _ = case
    ohms = 10.0 ** np.random.default_rng(seed).uniform(1.0, 3.0, len(graph.starts))
    L = np.zeros((graph.size, graph.size))
    for start, end, value in zip(graph.starts, graph.ends, ohms, strict=True):
        incidence = np.zeros(graph.size)
        incidence[start] += 1
        incidence[end] -= 1
        L += np.outer(incidence, incidence) / value
    inverse = scipy.linalg.pinv(L, rtol=1e-9)
    every = resistances_from(graph, ohms, 0)
    for node in range(graph.size):
        if math.isfinite(every[node]):
            known = inverse[0, 0] + inverse[node, node] - 2 * inverse[0, node]
            assert every[node] == pytest.approx(known, rel=1e-9, abs=1e-9)


@NETWORKS
@given(random_networks())
def test_all_at_once_agree_with_one_by_one(case: Case) -> None:
    every = resistances_from(*case, 0)
    one_by_one = [resistance(*case, 0, node) for node in range(case[0].size)]
    assert every.tolist() == pytest.approx(one_by_one, rel=1e-12)
    assert not np.isnan(every).any()


@NETWORKS
@given(random_networks())
def test_powers_add_up_to_the_whole(case: Case) -> None:
    """B. D. H. Tellegen, Philips Research Reports 7 (1952): Σ r·i² is the resistance for 1 A."""
    here = flow(*case, 0, 1)
    if math.isfinite(here.ohms):
        ohms = np.where(np.isfinite(case[1]), case[1], 0.0)
        assert float(here.currents**2 @ ohms) == pytest.approx(here.ohms, rel=1e-6)


@NETWORKS
@given(random_networks(zeros=False))
def test_currents_add_up_to_nought_at_every_node(case: Case) -> None:
    """Kirchhoff's first law (1845)."""
    graph, ohms = case
    here = flow(graph, ohms, 0, 1)
    if math.isfinite(here.ohms):
        into = np.zeros(graph.size)
        np.add.at(into, graph.ends, here.currents)
        np.add.at(into, graph.starts, -here.currents)
        assert into[:2].tolist() == pytest.approx([-1.0, 1.0], abs=1e-4)
        assert into[2:].tolist() == pytest.approx([0.0] * (graph.size - 2), abs=1e-4)


@NETWORKS
@given(random_networks())
def test_leads_may_be_swapped(case: Case) -> None:
    """Reciprocity (H. A. Lorentz 1896)."""
    assert resistance(*case, 0, 1) == pytest.approx(resistance(*case, 1, 0), rel=1e-12)


@NETWORKS
@given(random_networks(zeros=False, opens=False))
def test_sum_rule(case: Case) -> None:
    """R. M. Foster, Reissner Anniversary Volume (1949): Σ R(e)/r(e) over all edges is n - 1 a component."""
    graph, ohms = case
    net = nx.Graph()
    net.add_nodes_from(range(graph.size))
    net.add_edges_from(zip(graph.starts.tolist(), graph.ends.tolist(), strict=True))
    total = sum(
        resistance(graph, ohms, int(start), int(end)) / value
        for start, end, value in zip(graph.starts, graph.ends, ohms, strict=True)
    )
    assert total == pytest.approx(graph.size - nx.number_connected_components(net), rel=1e-9, abs=1e-9)


@NETWORKS
@given(random_networks(), st.integers(0, 8), st.integers(0, 8), st.floats(0.0, 1e6))
def test_a_further_branch_never_raises_it(case: Case, start: int, end: int, value: float) -> None:
    """Lord Rayleigh, Phil. Trans. R. Soc. 161 (1871)."""
    graph, ohms = case
    pairs = [*zip(graph.starts.tolist(), graph.ends.tolist(), strict=True)]
    more = Graph.of(graph.size, [*pairs, (start % graph.size, end % graph.size)])
    assert resistance(more, np.append(ohms, value), 0, 1) <= resistance(graph, ohms, 0, 1) * (1 + 1e-12)


@NETWORKS
@given(random_networks(), st.data())
def test_no_branch_that_rises_lowers_it(case: Case, data: st.DataObject) -> None:
    """Lord Rayleigh (1871)."""
    graph, ohms = case
    branch = data.draw(st.integers(0, len(ohms) - 1))
    raised = ohms.copy()
    raised[branch] = (
        data.draw(st.floats(float(min(ohms[branch], 1e7)), 1e8)) if ohms[branch] < 1e7 else math.inf
    )
    assert resistance(graph, raised, 0, 1) >= resistance(graph, ohms, 0, 1) * (1 - 1e-12)


@NETWORKS
@given(random_networks())
def test_what_the_kept_nodes_see_is_unchanged(case: Case) -> None:
    graph, ohms = case
    keep = {0, 1, graph.size - 1}
    group, seen = reduced(graph, ohms, keep)
    pairs = [(one, other) for one, row in seen.items() for other in row if one < other]
    small = Graph.of(graph.size, pairs)
    values = np.array([1 / seen[one][other] for one, other in pairs])
    for end in keep:
        assert resistance(small, values, int(group[0]), int(group[end])) == pytest.approx(
            resistance(graph, ohms, 0, end), rel=1e-12
        )


@pytest.mark.parametrize("seed", range(3))
def test_a_dense_mesh_of_wide_values_against_exact_fractions(seed: int) -> None:
    """Node equations solved in fractions (Cramer by elimination over the rationals) are exact."""
    from fractions import Fraction

    rng = np.random.default_rng(seed)
    size = 60
    pairs = [(a, b) for a in range(size) for b in range(a)]
    ohms = 10.0 ** rng.uniform(-3, 7.3, len(pairs))
    n = 12  # exact elimination is slow: a corner of the mesh
    few = [k for k, (a, b) in enumerate(pairs) if a < n]
    L = [[Fraction(0)] * n for _ in range(n)]
    for k in few:
        a, b = pairs[k]
        g = 1 / Fraction(float(ohms[k]))
        L[a][a] += g
        L[b][b] += g
        L[a][b] -= g
        L[b][a] -= g
    rows = [[*row[1:], Fraction(int(i + 1 == n - 1))] for i, row in enumerate(L[1:])]
    for k in range(n - 1):
        for i in range(k + 1, n - 1):
            factor = rows[i][k] / rows[k][k]
            rows[i] = [x - factor * y for x, y in zip(rows[i], rows[k], strict=True)]
    known = float(rows[n - 2][-1] / rows[n - 2][n - 2])
    small = Graph.of(n, [pairs[k] for k in few])
    assert resistance(small, ohms[few], 0, n - 1) == pytest.approx(known, rel=1e-13)
    every = resistances_from(Graph.of(size, pairs), ohms, 0)
    assert every[size - 1] == pytest.approx(resistance(Graph.of(size, pairs), ohms, size - 1, 0), rel=1e-12)

"""Branches on the way, junctions that the leads cannot drive, and what keeps two points apart."""

from __future__ import annotations

import itertools

import networkx as nx
import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.circuit.networks import random_networks
from tracer.circuit.blocked import blockers, sides
from tracer.circuit.expect import expect
from tracer.circuit.network import Network, build_network
from tracer.circuit.polarity import blocked_junctions, with_blocked, with_leads
from tracer.circuit.solve import Graph, Ohms, between, ways
from tracer.circuit.wiring import parse_wiring

NETWORKS = settings(max_examples=200, deadline=None)


@NETWORKS
@given(random_networks(most_nodes=8), st.integers(0, 7))
def test_branches_on_the_way_are_those_of_all_simple_paths(case: tuple[Graph, Ohms], end: int) -> None:
    """networkx.all_simple_paths lists every path with no node twice."""
    graph, ohms = case
    end %= graph.size
    use = np.isfinite(ohms)
    net: nx.Graph[int] = nx.Graph()
    net.add_nodes_from(range(graph.size))
    pairs = list(zip(graph.starts.tolist(), graph.ends.tolist(), strict=True))
    net.add_edges_from(pair for pair, used in zip(pairs, use, strict=True) if used and pair[0] != pair[1])
    steps = set()
    if end != 0:
        for path in nx.all_simple_paths(net, 0, end):
            steps |= {frozenset(step) for step in itertools.pairwise(path)}
    known = [bool(used) and frozenset(pair) in steps for pair, used in zip(pairs, use, strict=True)]
    assert between(graph, use, 0, end).tolist() == known


def test_ways_from_one_node_serve_every_other() -> None:
    graph = Graph.of(7, [(0, 1), (1, 2), (2, 3), (3, 1), (3, 4), (5, 6), (1, 1)])
    along = ways(graph, np.ones(7, dtype=bool), 0)
    assert along.to(2).tolist() == [True, True, True, True, False, False, False]
    assert along.to(4).tolist() == [True, True, True, True, True, False, False]
    assert not along.to(5).any()
    assert not along.to(0).any()


def test_a_long_chain_does_not_exhaust_the_stack() -> None:
    size = 20_000
    chain = Graph.of(size, [(k, k + 1) for k in range(size - 1)])
    assert between(chain, np.ones(size - 1, dtype=bool), 0, size - 1).all()


def made(text: str) -> Network:
    return build_network(parse_wiring(text))


def blocked(network: Network, start: str, end: str) -> set[str]:
    numbers = blocked_junctions(network, network.number_of[start], network.number_of[end])
    return {network.branches[number].name for number in numbers}


@pytest.mark.parametrize(("start", "end", "names"), [("A", "B", set()), ("B", "A", {"D1"})])
def test_one_diode(start: str, end: str, names: set[str]) -> None:
    assert blocked(made("diode D1: a=A k=B"), start, end) == names


def test_a_series_resistor_changes_nothing() -> None:
    network = made("diode D1: a=A k=B\nresistor R1: 1=B 2=C; 1k\nresistor R2: 1=A 2=Z; 1k")
    assert blocked(network, "Z", "C") == set()
    assert blocked(network, "C", "Z") == {"D1"}


def test_two_diodes_back_to_back_let_one_be_driven() -> None:
    network = made("diode D1: a=A k=M\ndiode D2: a=B k=M\nresistor R1: 1=M 2=Z; 1k")
    assert blocked(network, "A", "B") == {"D2"}
    assert blocked(network, "B", "A") == {"D1"}


def test_a_diode_within_a_bridge_may_be_driven_either_way() -> None:
    """Which end of the cross arm is higher hangs on the values."""
    arms = "\n".join(f"resistor R{a}{b}: 1={a} 2={b}; 1k" for a, b in ("AM", "AN", "MB", "NB"))
    network = made(f"{arms}\ndiode D1: a=M k=N")
    assert blocked(network, "A", "B") == set()
    assert blocked(network, "B", "A") == set()


def test_a_full_bridge_between_its_outputs() -> None:
    """From - to + two junctions in a row conduct; from + to - none does."""
    network = made("bridge BR1: ac1=A ac2=B +=P -=N")
    assert blocked(network, "N", "P") == set()
    assert len(blocked(network, "P", "N")) == 4


@settings(max_examples=100, deadline=None)
@given(st.data())
def test_no_blocked_junction_is_ever_driven(data: st.DataObject) -> None:
    """Whatever the values are: solved in full, its anode is never above its cathode."""
    nodes = "ABCDE"
    lines = []
    for number in range(data.draw(st.integers(1, 8))):
        a, b = data.draw(st.sampled_from(nodes)), data.draw(st.sampled_from(nodes))
        diode = data.draw(st.booleans())
        lines.append(f"diode D{number}: a={a} k={b}" if diode else f"resistor R{number}: 1={a} 2={b}; 1k")
    network = made("\n".join([*lines, "resistor R98: 1=A 2=C; 1k", "resistor R99: 1=D 2=B; 1k"]))
    start, end = network.number_of["A"], network.number_of["B"]
    numbers = blocked_junctions(network, start, end)
    rng = np.random.default_rng(data.draw(st.integers(0, 999)))
    from tracer.circuit.solve import flow

    for _ in range(5):
        ohms = 10.0 ** rng.uniform(0, 6, len(network.branches))
        currents = flow(network.graph, ohms, start, end).currents
        assert all(currents[number] <= 1e-9 for number in numbers)


def test_a_blocked_junction_keeps_its_number_and_gets_its_limits() -> None:
    network = made("rectifier MR1: a=A k=B\ndiode D2: a=A k=B\ndiode D3: a=A k=B; type=silicon")
    turned = with_leads(network, network.number_of["B"], network.number_of["A"])
    assert turned.low.tolist() == [10e3, 50e3, 50e6]
    assert np.isinf(turned.expected).all()
    assert turned.nodes == network.nodes
    assert with_blocked(network, ()) is network


def test_what_keeps_apart() -> None:
    network = made(
        "capacitor C1: 1=A 2=B; 1u\ncapacitor C2: 1=B 2=A; 1u\nresistor R1: 1=A 2=Z; 1k\nneon N1: 1=B 2=Y"
    )
    number = network.number_of
    assert blockers(network, number["Z"], number["B"]) == ("C1", "C2")
    assert blockers(network, number["Z"], number["Y"]) == ("C1", "C2", "N1")
    assert blockers(network, number["Z"], number["A"]) == ()
    assert blockers(network, number["Z"], number["B"], sides(network)) == ("C1", "C2")


def test_a_backward_capacitor_is_told_only_where_it_can_matter() -> None:
    behind = "resistor R1: 1=A 2=B; 1k\nresistor R2: 1=A 2=C; 22M\ncapacitor C1: +=B -=C; 16u"
    across = "resistor R1: 1=A 2=B; 100k\ncapacitor C1: +=B -=A; 16u"
    assert not any("wrong way round" in note for note in expect(parse_wiring(behind), "A", "B").notes)
    assert any("wrong way round" in note for note in expect(parse_wiring(across), "A", "B").notes)
    assert not any("wrong way round" in note for note in expect(parse_wiring(across), "B", "A").notes)


def test_earth_signs_and_a_negative_rail_stay_apart_until_joined() -> None:
    text = """
        rail NEG
        resistor R1: 1=A 2=chassis; 1k; tol=0%
        resistor R2: 1=A 2=EARTH; 2k; tol=0%
        resistor R3: 1=A 2=NEG; 3k; tol=0%
        """
    circuit = parse_wiring(text)
    for end in ("EARTH", "NEG"):
        apart = expect(circuit, "chassis", end)
        assert apart.expected is not None
        assert apart.expected > 1e3
    assert expect(circuit, "EARTH", "NEG").expected == pytest.approx(5e3)
    joined = parse_wiring(f"{text}bond B1: 1=EARTH 2=NEG")
    assert expect(joined, "EARTH", "NEG").expected == 0.0
    assert expect(joined, "chassis", "NEG").expected == pytest.approx(1e3 + 1.2e3)

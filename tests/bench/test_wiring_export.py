"""The wiring list for people: fewer nodes, the same circuit."""

from __future__ import annotations

from dataclasses import replace
from itertools import combinations
from typing import Any

import networkx as nx
import pytest
from invented import bench

from tracer.bench.wiring_export import contracted
from tracer.circuit.elements import Circuit
from tracer.circuit.network import build_network
from tracer.circuit.points import resolve_point, terminal_points
from tracer.circuit.wiring import parse_wiring, print_wiring

_WIRE = 1e-3  # Ω, in place of nothing, which a resistance distance cannot take; less is ill-conditioned


def ohms(circuit: Circuit, one: str, other: str) -> float:
    """Return the expected ohms with wires taken as nothing, by networkx (Klein and Randić 1993)."""
    graph: nx.MultiGraph[str] = nx.MultiGraph()
    for branch in build_network(circuit).branches:
        value = branch.expected
        if value is not None and not branch.blocks:
            graph.add_edge(branch.start, branch.end, weight=1.0 / max(value, _WIRE))
    start, end = resolve_point(circuit, one), resolve_point(circuit, other)
    if start == end:
        return 0.0
    if start not in graph or end not in graph or not nx.has_path(graph, start, end):
        return float("inf")
    part = graph.subgraph(nx.node_connected_component(graph, start))
    distance: Any = nx.resistance_distance(part, start, end, weight="weight", invert_weight=False)
    return float(distance)


LISTS = [
    print_wiring(bench().circuit),
    """rail HT1, HT2
label A: 1=n1; HT1
label B: 1=n2; SPUR
label C: 1=n3; SPUR
bond B1.1: 1=n4 2=HT2
chassis E1: 1=n5
wire W1.1: 1=n1 2=n2
wire W1.2: 1=n3 2=m
wire W1.3: 1=k 2=n5
resistor R1: 1=n1 2=m; 1k
resistor R2: 1=m 2=n4; 2k2
resistor R3: 1=n4 2=k; 47k
resistor R4: 1=n4 2=free; 10k
point TEST: free
""",
]


@pytest.mark.parametrize("text", LISTS, ids=["invented sheet", "every kind of joint"])
def test_every_pair_of_terminals_keeps_its_ohms(text: str) -> None:
    circuit = parse_wiring(text)
    printed = print_wiring(contracted(circuit))
    again = parse_wiring(printed)
    points = [name for name, _ in terminal_points(circuit)]
    assert [name for name, _ in terminal_points(again)] == points
    for one, other in combinations([*points, *circuit.rails, "chassis"], 2):
        before, after = ohms(circuit, one, other), ohms(again, one, other)
        assert after == pytest.approx(before, rel=1e-4, abs=20 * _WIRE), (one, other)


def test_it_holds_parts_alone_and_rails_by_name() -> None:
    made = contracted(bench().circuit)
    assert {element.kind for element in made.elements} == {"resistor", "capacitor", "valve"}
    nodes = dict(made.elements[0].terminals)
    assert (made.elements[0].reference, nodes) == ("R1", {"1": "HT1", "2": "HT2"})
    assert [node for e in made.elements for _, node in e.terminals if node.startswith("N")] == ["N1", "N1"]


def test_a_net_with_two_names_keeps_both() -> None:
    circuit = parse_wiring("rail HT1, HT2\nbond B1: 1=HT1 2=HT2\nresistor R1: 1=HT2 2=chassis; 1k")
    made = contracted(circuit)
    assert ohms(made, "HT1", "chassis") == pytest.approx(1000)
    assert ohms(made, "HT2", "chassis") == pytest.approx(1000)


def test_a_fresh_name_is_never_a_part_s() -> None:
    circuit = parse_wiring("block N1: 1=a 2=b\nresistor R1: 1=a 2=c; 1k")
    made = contracted(circuit)
    assert len(parse_wiring(print_wiring(made)).elements) == 2
    assert all(replace(e, line=None).reference in {"N1", "R1"} for e in made.elements)

"""Points by name."""

from __future__ import annotations

import pytest

from tracer.circuit.points import find_terminal, named_points, nodes_of, resolve_point, terminal_points
from tracer.circuit.wiring import parse_wiring
from tracer.errors import UnknownPoint

CIRCUIT = parse_wiring("""\
rail HT1, HT2
point TP1: n3
resistor R12: 1=HT1 2=n3; 10k
valve V2: a/1=HT2 g1/6=GRID k/3=n4 h/4=H1 h/5=H2
valve V3: a/1=HT2 g1/6=GRID h/4=H1 h/5=H1
transformer T1: pri.1=L pri.2=N sec.1=S1 sec.tap=chassis sec.2=S2
wire W1.4: 1=n3 2=n4
label L@1: 1=n4; BIAS
""")


@pytest.mark.parametrize(
    ("name", "node"),
    [
        ("R12.1", "HT1"),
        ("r12.2", "n3"),
        ("V2.6", "GRID"),
        ("V2.g1", "GRID"),
        ("V2.g1/6", "GRID"),
        ("V2.4", "H1"),
        ("V3.h", "H1"),
        ("T1.sec.tap", "chassis"),
        ("HT2", "HT2"),
        ("ht2", "HT2"),
        ("TP1", "n3"),
        ("chassis", "chassis"),
        ("Chassis", "chassis"),
        ("W1.4.2", "n4"),
        ("BIAS", "BIAS"),
    ],
)
def test_a_point_lies_on_its_node(name: str, node: str) -> None:
    assert resolve_point(CIRCUIT, name) == node


def test_an_electrode_on_two_nodes_must_be_told_apart() -> None:
    with pytest.raises(UnknownPoint, match=r"V2\.4, V2\.5"):
        resolve_point(CIRCUIT, "V2.h")


@pytest.mark.parametrize(
    ("name", "near"), [("V2.7", "V2.6"), ("R13.1", "R12.1"), ("HT", "HT1"), ("GRDI", "GRID")]
)
def test_an_unknown_point_lists_near_names(name: str, near: str) -> None:
    with pytest.raises(UnknownPoint) as caught:
        resolve_point(CIRCUIT, name)
    assert name in str(caught.value)
    assert near in str(caught.value)


def test_an_unlike_name_still_gets_help() -> None:
    with pytest.raises(UnknownPoint, match="There are chassis, HT1"):
        resolve_point(CIRCUIT, "@@@@@@")


def test_points_come_in_the_order_a_person_looks_for_them() -> None:
    names = [name for name, _ in named_points(CIRCUIT)]
    assert names[:4] == ["chassis", "HT1", "HT2", "TP1"]
    assert names.index("GRID") < names.index("V2.1") < names.index("R12.1")
    assert "n3" not in names
    assert len(set(names)) == len(names)


def test_every_named_point_resolves_to_the_node_it_gives() -> None:
    for name, node in named_points(CIRCUIT) + terminal_points(CIRCUIT):
        assert resolve_point(CIRCUIT, name) == node


def test_nodes_of_lists_each_node_once() -> None:
    nodes = nodes_of(CIRCUIT)
    assert len(set(nodes)) == len(nodes)
    assert {"chassis", "HT1", "n3", "n4", "BIAS", "S1"} <= set(nodes)


def test_find_terminal_gives_the_full_name() -> None:
    element, terminal = find_terminal(CIRCUIT, "V2.6")
    assert (element.reference, terminal) == ("V2", "g1/6")
    with pytest.raises(UnknownPoint):
        find_terminal(CIRCUIT, "HT1")

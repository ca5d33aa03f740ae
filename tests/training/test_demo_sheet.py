"""The demo sheet as drawn against its wiring list, which was written by hand and read by nothing else."""

from __future__ import annotations

import json
from pathlib import Path

import networkx as nx
import pytest

from tracer.circuit.values import parse_value
from tracer.circuit.wiring import parse_wiring
from tracer.training.demo import confirmations, spoiled_demo
from tracer.training.described import DescribedSheet
from tracer.training.truth import SheetTruth

LAYOUT = Path("fixtures/demo/layout.json")
WIRING = Path("fixtures/demo/wiring.txt")


@pytest.fixture(scope="module")
def drawn() -> tuple[DescribedSheet, SheetTruth]:
    return spoiled_demo(LAYOUT)


def _nets_of_drawing(sheet: DescribedSheet, tags: list[dict[str, object]]) -> set[frozenset[str]]:
    """Terminals that the drawn conductors join, chassis signs and rail labels bonding theirs."""
    graph: nx.Graph[str] = nx.Graph()
    name = {}
    for part, tag in zip(sheet.parts, tags, strict=True):
        for own, given in part.names:
            terminal = f"{part.reference}.{given}"
            name[part.drawn.number, own] = terminal
            graph.add_node(terminal)
            if part.drawn.kind == "chassis":
                graph.add_edge(terminal, "chassis")
            if part.drawn.kind == "label":
                graph.add_edge(terminal, str(tag["value"]))
    for conductor in sheet.truth.conductors:
        ends = [name[end.part, end.terminal] for end in conductor.ends]
        nx.add_path(graph, ends)
    bonds = {part.reference for part in sheet.parts if part.drawn.kind in ("chassis", "label")}
    nets = (
        {terminal for terminal in net if "." in terminal and terminal.rsplit(".", 1)[0] not in bonds}
        for net in nx.connected_components(graph)
    )
    return {frozenset(net) for net in nets if net}


def _nets_of_wiring() -> set[frozenset[str]]:
    nets: dict[str, set[str]] = {}
    for element in parse_wiring(WIRING.read_text(encoding="utf-8"), str(WIRING)).elements:
        for terminal, node in element.terminals:
            nets.setdefault(node, set()).add(f"{element.reference}.{terminal}")
    return {frozenset(net) for net in nets.values()}


def test_the_drawing_joins_what_the_wiring_list_joins(drawn: tuple[DescribedSheet, SheetTruth]) -> None:
    description = json.loads(LAYOUT.read_text(encoding="utf-8"))
    tags = confirmations(description, *drawn)["tags"]
    assert _nets_of_drawing(drawn[0], tags) == _nets_of_wiring()


def test_the_confirmations_carry_the_wiring_list_s_values_and_no_nodes(
    drawn: tuple[DescribedSheet, SheetTruth],
) -> None:
    description = json.loads(LAYOUT.read_text(encoding="utf-8"))
    tags = confirmations(description, *drawn)["tags"]
    truth = {e.reference: e for e in parse_wiring(WIRING.read_text(encoding="utf-8"), str(WIRING)).elements}
    units = {"resistor": "ohm", "pot": "ohm", "capacitor": "farad"}
    for tag in tags:
        assert "node" not in json.dumps(tag)
        element = truth.get(tag["reference"])
        if element is not None and element.kind in units:
            unit = units[element.kind]
            assert parse_value(tag["value"], unit) == pytest.approx(parse_value(element.value or "", unit))
    assert {tag["reference"] for tag in tags} >= set(truth)


def test_the_shipped_demo_is_what_the_drawing_makes(drawn: tuple[DescribedSheet, SheetTruth]) -> None:
    description = json.loads(LAYOUT.read_text(encoding="utf-8"))
    shipped = json.loads(Path("assets/demo/confirmations.json").read_text(encoding="utf-8"))
    assert shipped["tags"] == confirmations(description, *drawn)["tags"]

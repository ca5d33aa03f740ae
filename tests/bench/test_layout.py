"""A circuit from tags on traced lines, held against networkx on the same lines."""

from __future__ import annotations

from dataclasses import replace

import networkx as nx
import pytest
from hand_made import XY, part, traced
from invented import RAILS, TAGS, bench, lines, sheet

from tracer.bench.layout import lay_out
from tracer.circuit.elements import CHASSIS, Bank, Circuit
from tracer.circuit.points import resolve_point
from tracer.circuit.wiring import parse_wiring, print_wiring
from tracer.errors import BadConfirmation
from tracer.job.records import Dismissal, Rail, Tag, TagTerminal
from tracer.trace.sheet import Proposal, Terminal


def nets(circuit: Circuit) -> nx.Graph[str]:
    """Return the nodes joined by wire, bond, label and chassis sign."""
    graph: nx.Graph[str] = nx.Graph()
    for element in circuit.elements:
        nodes = [node for _, node in element.terminals]
        graph.add_nodes_from(nodes)
        if element.kind == "label" and element.value:
            nodes.append(element.value)
        if element.kind == "chassis":
            nodes.append(CHASSIS)
        if element.kind in {"wire", "bond", "label", "chassis"}:
            nx.add_path(graph, nodes)
    return graph


def together(circuit: Circuit, one: str, other: str) -> bool:
    return bool(nx.has_path(nets(circuit), resolve_point(circuit, one), resolve_point(circuit, other)))


def test_terminals_are_joined_as_the_lines_join_them() -> None:
    laid = bench()
    drawn: nx.Graph[XY] = nx.Graph()
    for line in lines():
        nx.add_path(drawn, line)

    def nearest(x: float, y: float) -> XY:
        return min(drawn, key=lambda point: (point[0] - x) ** 2 + (point[1] - y) ** 2)

    ends = {
        f"{tag.reference}.{terminal.name}": nearest(terminal.x, terminal.y)
        for tag in TAGS
        for terminal in tag.terminals
    }
    for one, there in ends.items():
        for other, here in ends.items():
            assert together(laid.circuit, one, other) == nx.has_path(drawn, there, here), (one, other)
    assert laid.warnings == ()


def test_the_wire_is_divided_where_parts_and_branches_meet_it() -> None:
    laid = bench()
    wires = {e.reference: e for e in laid.circuit.elements if e.kind == "wire"}
    assert sorted(wires) == [f"W1.{n}" for n in range(1, len(wires) + 1)]
    # Label to R1; R1, C1 and R2 each to the branch at (400, 100); R2 to V1; C1 to the chassis.
    assert len(wires) == 6
    drawn = {segment for reference in wires for place in laid.places[reference] for segment in place.segments}
    assert drawn == {0, 1, 2, 3, 4, 5, 6}
    (to_r2,) = [r for r in wires if set(laid.places[r][0].segments) == {3, 4}]
    ends = {tuple(line[0]) for line in laid.places[to_r2][0].lines} | {
        tuple(line[-1]) for line in laid.places[to_r2][0].lines
    }
    assert {(400.0, 100.0), (600.0, 180.0)} <= ends


def test_points_have_places_under_every_name() -> None:
    laid = bench()
    for name in ("R1.1", "C1.+", "V1.a", "V1.6", "V1.a/6", "HT1", "HT2", CHASSIS):
        assert resolve_point(laid.circuit, name)
        assert name in laid.point_places, name
    assert (laid.point_places["HT2"].x, laid.point_places["HT2"].y) == (400, 180)
    for nodes in laid.conductor_nodes.values():
        assert set(nodes) <= set(laid.point_places)
    assert together(laid.circuit, "HT2", "R2.1")
    assert together(laid.circuit, "HT1", "R1.1")
    assert not together(laid.circuit, "HT1", "HT2")


def test_an_untouched_conductor_is_no_element() -> None:
    laid = bench()
    untouched = laid.sheets[1].segments[8].conductor
    assert (1, untouched) not in laid.conductor_nodes


def test_the_circuit_can_be_written_and_read_back() -> None:
    circuit = bench().circuit
    again = parse_wiring(print_wiring(circuit))
    assert tuple(replace(e, line=None) for e in again.elements) == circuit.elements
    assert again.rails == circuit.rails


def test_a_terminal_off_every_wire_warns_or_raises() -> None:
    stray = part("R9", "resistor", "1k", _1=(100, 500), _2=(260, 100))
    laid = lay_out({1: sheet()}, [stray])
    (warning,) = laid.warnings
    assert "R9.1" in warning
    assert "(100, 500)" in warning
    assert not together(laid.circuit, "R9.1", "R9.2")
    with pytest.raises(BadConfirmation, match=r"R9\.1"):
        lay_out({1: sheet()}, [stray], strict=True)


def test_snapping_reaches_two_stroke_widths_from_the_ink_and_no_further() -> None:
    # The line is 3 px wide: its edge lies 1.5 px off its middle, and two stroke widths are 6 px.
    for offset, joined in ((7.4, True), (7.6, False)):
        tag = part("R9", "resistor", "1k", _1=(100, 100 + offset), _2=(100, 400))
        laid = lay_out({1: traced([[(60, 100), (200, 100)]])}, [tag])
        assert any("R9.1" in warning for warning in laid.warnings) is not joined


def test_a_part_with_wire_from_end_to_end_is_said() -> None:
    tag = part("R9", "resistor", "1k", _1=(80, 100), _2=(150, 100))
    (warning,) = lay_out({1: sheet()}, [tag], strict=True).warnings
    assert "R9" in warning
    assert "one conductor" in warning


def test_parts_that_touch_without_wire_between_are_joined() -> None:
    one = part("R8", "resistor", "1k", _1=(100, 500), _2=(150, 500))
    other = part("R9", "resistor", "1k", _1=(152, 500), _2=(200, 500))
    laid = lay_out({1: sheet()}, [one, other])
    assert resolve_point(laid.circuit, "R8.2") == resolve_point(laid.circuit, "R9.1")


def test_the_halves_of_a_double_triode_are_one_valve() -> None:
    halves = [
        Tag(1, (0, 0, 9, 9), "valve", "V2", None, (TagTerminal("a/1", 60, 100),), (("out", ""),)),
        Tag(1, (90, 90, 99, 99), "valve", "V2", "double triode", (TagTerminal("a/6", 200, 100),)),
    ]
    laid = lay_out({1: sheet()}, halves)
    (valve,) = [e for e in laid.circuit.elements if e.kind == "valve"]
    assert [name for name, _ in valve.terminals] == ["a/1", "a/6"]
    assert (valve.value, valve.option("out")) == ("double triode", "")
    assert [place.box for place in laid.places["V2"]] == [(0, 0, 9, 9), (90, 90, 99, 99)]


def test_the_same_reference_for_two_parts_is_refused() -> None:
    tags = [part("R1", "resistor", "1k", _1=(60, 100), _2=(200, 100))] * 2
    laid = lay_out({1: sheet()}, tags)
    assert "tagged twice" in laid.warnings[0]
    assert len([e for e in laid.circuit.elements if e.kind == "resistor"]) == 1


@pytest.mark.parametrize(
    ("change", "said"),
    [
        ({"kind": "flux capacitor"}, "no kind"),
        ({"value": "lots"}, "lots"),
        ({"reference": "R 1"}, "no name|cannot be written"),
        ({"terminals": (TagTerminal("1", 60, 100),)}, "'2' is missing"),
        ({"box": (9, 9, 9, 20)}, "empty"),
        ({"box": (0, 0, 9000, 20)}, "leaves the page"),
        ({"options": (("tol", "much"),)}, "tol"),
        ({"sheet": 2}, "sheet 2"),
    ],
)
def test_a_tag_that_cannot_be_is_left_out_with_a_reason(change: dict[str, object], said: str) -> None:
    tag = replace(part("R1", "resistor", "1k", _1=(60, 100), _2=(200, 100)), **change)  # type: ignore[arg-type]
    laid = lay_out({1: sheet()}, [tag])
    assert not any(e.kind == "resistor" for e in laid.circuit.elements)
    with pytest.raises(BadConfirmation, match=said):
        lay_out({1: sheet()}, [tag], strict=True)


def test_a_contact_may_name_a_bank_of_the_job() -> None:
    contact = replace(
        part("S1", "contact", None, common=(60, 100), make=(260, 100)), options=(("closed", "BAND:Long"),)
    )
    assert lay_out({1: sheet()}, [contact], [Bank("BAND", ("Long", "Medium"))]).warnings == ()
    assert "BAND" in lay_out({1: sheet()}, [contact]).warnings[0]


def test_labels_of_one_name_join_across_sheets() -> None:
    tags = [
        part("X@1", "label", "X", _1=(60, 100)),
        part("X@2", "label", "X", sheet=2, _1=(60, 100)),
        part("R1", "resistor", "1k", _1=(200, 100), _2=(260, 100)),
        part("R2", "resistor", "1k", sheet=2, _1=(200, 100), _2=(260, 100)),
    ]
    laid = lay_out({1: sheet(), 2: sheet()}, tags)
    assert together(laid.circuit, "R1.1", "R2.1")
    assert not together(laid.circuit, "R1.2", "R2.2")


def test_parts_named_like_nodes_and_wires_do_not_clash() -> None:
    tags = [
        part("N1", "block", None, _1=(60, 100), _2=(260, 100)),
        part("W1", "block", None, _1=(200, 100), _2=(400, 100)),
    ]
    circuit = lay_out({1: sheet()}, tags).circuit
    assert len(parse_wiring(print_wiring(circuit)).elements) == len(circuit.elements)


def test_proposals_that_nobody_confirmed_are_counted() -> None:
    boxes = [(195, 90, 265, 110), (500, 500, 540, 520), (600, 500, 640, 520)]
    ends = (Terminal("1", 0.0, 0.0, 1),)
    proposals = tuple(Proposal(n, box, "resistor", 0.9, ends) for n, box in enumerate(boxes))
    stain = Proposal(3, (700, 500, 740, 520), "resistor", 0.9, (Terminal("1", 0.0, 0.0, None),))
    traced = {1: replace(sheet(), proposals=(*proposals, stain))}
    laid = lay_out(traced, TAGS)
    assert any("2 proposed parts are not confirmed" in warning for warning in laid.warnings)
    laid = lay_out(traced, TAGS, dismissed=[Dismissal(1, boxes[2], "resistor")])
    assert any("1 proposed part is not confirmed" in warning for warning in laid.warnings)


def test_a_rail_that_nothing_reaches_is_said() -> None:
    laid = lay_out({1: sheet()}, TAGS, (), (*RAILS, Rail("HT9"), Rail("HT8", "R77.1")))
    assert any("HT9" in warning for warning in laid.warnings)
    assert any("HT8" in warning and "R77.1" in warning for warning in laid.warnings)

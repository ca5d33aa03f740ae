"""Mends and bodies by hand."""

from __future__ import annotations

from drawn_map import Drawn

from tracer.trace.flood import FloodIndex
from tracer.trace.mend import Body, Mend, MendKind
from tracer.trace.trace import trace


def crossed() -> Drawn:
    drawn = Drawn(120, 160, scale=2.0)
    drawn.wire((10, 60), (150, 60))
    drawn.wire((80, 10), (80, 110))
    drawn.disc(80, 60, 6)
    return drawn


def test_a_cut_parts_a_conductor_and_is_not_bridged() -> None:
    drawn = crossed()
    assert trace(drawn.layers(), drawn.shape).conductors == 2
    sheet = trace(drawn.layers(), drawn.shape, mends=[Mend(MendKind.CUT, 240, 121)])
    assert sheet.conductors == 3
    index = FloodIndex(sheet)
    assert index.conductor_at(220, 121) != index.conductor_at(270, 121)


def test_a_crossing_becomes_a_junction() -> None:
    drawn = crossed()
    sheet = trace(drawn.layers(), drawn.shape, mends=[Mend(MendKind.JUNCTION, 162, 119)])
    assert sheet.conductors == 1


def test_a_crossing_without_a_disc_becomes_a_junction() -> None:
    drawn = Drawn(120, 160)
    drawn.wire((10, 60), (150, 60))
    drawn.wire((80, 10), (80, 110))
    assert trace(drawn.layers(), drawn.shape).conductors == 2
    assert trace(drawn.layers(), drawn.shape, mends=[Mend(MendKind.JUNCTION, 161, 121)]).conductors == 1


def test_a_join_makes_two_places_one_conductor_and_crosses_what_lies_between() -> None:
    drawn = Drawn(120, 160)
    for y in (30, 60, 90):
        drawn.wire((10, y), (150, y))
    sheet = trace(drawn.layers(), drawn.shape, mends=[Mend(MendKind.JOIN, 160, 61, 160, 181)])
    index = FloodIndex(sheet)
    assert sheet.conductors == 2
    assert index.conductor_at(40, 61) == index.conductor_at(40, 181) != index.conductor_at(40, 121)


def test_what_is_no_wire_goes() -> None:
    drawn = Drawn(120, 160)
    drawn.wire((10, 60), (150, 60))
    drawn.wire((80, 60), (80, 110))
    sheet = trace(drawn.layers(), drawn.shape, mends=[Mend(MendKind.NOT_WIRE, 160, 180)])
    assert len(sheet.segments) == 1
    assert FloodIndex(sheet).conductor_at(160, 190) is None


def test_a_body_by_hand_ends_the_conductors_at_its_edge() -> None:
    drawn = Drawn(120, 160)
    drawn.wire((10, 60), (150, 60))
    body = Body((120, 100, 200, 144), "varistor")
    sheet = trace(drawn.layers(), drawn.shape, bodies=[body])
    assert sheet.conductors == 2
    (proposal,) = sheet.proposals
    assert (proposal.kind, proposal.box, proposal.score) == ("varistor", body.box, 1.0)
    assert {end.conductor for end in proposal.terminals} == {1, 2}
    assert abs(proposal.terminals[0].x - 120) < 2 * sheet.stroke


def test_a_body_by_hand_replaces_the_reader_s_body_that_it_covers() -> None:
    drawn = Drawn(120, 160)
    drawn.wire((10, 60), (150, 60))
    drawn.box(60, 50, 100, 70, "capacitor")
    sheet = trace(drawn.layers(), drawn.shape, bodies=[Body((124, 104, 196, 136), "resistor")])
    assert [proposal.kind for proposal in sheet.proposals] == ["resistor"]

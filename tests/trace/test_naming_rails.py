"""Rails at the ends of wires, numbers of pins, signs of polarity, and what notes say of a sheet's values."""

from __future__ import annotations

from dataclasses import replace

import pytest
from drawn_map import Drawn
from lettered import line

from tracer.reader.letters_grammar import as_rail
from tracer.trace.naming import name_proposals
from tracer.trace.notes import conventions
from tracer.trace.sheet import ConventionKind, Proposal, Terminal, TracedSheet
from tracer.trace.store import from_bytes, to_bytes
from tracer.trace.trace import trace


def a_wire() -> TracedSheet:
    """A wire from (100, 100) to (500, 100) that meets a resistor at its right end."""
    drawn = Drawn(120, 320)
    drawn.wire((50, 50), (250, 50))
    drawn.box(251, 40, 290, 60, "resistor")
    return trace(drawn.layers(), drawn.shape)


def test_a_rails_name_at_a_free_end_is_proposed_as_a_label_on_that_wire() -> None:
    sheet = name_proposals(a_wire(), [line("+5", 85, 70)])
    label = sheet.proposals[-1]
    assert (label.kind, label.value, label.id) == ("label", "+5", len(sheet.proposals) - 1)
    assert 0.8 < label.value_confidence <= 1.0
    (terminal,) = label.terminals
    assert terminal.conductor == sheet.segments[0].conductor
    assert label.box[0] <= terminal.x < label.box[2]
    assert label.box[1] <= terminal.y < label.box[3]


@pytest.mark.parametrize(
    ("text", "x", "y"), [("470", 85, 70), ("63V", 85, 70), ("R5", 85, 70), ("+5", 60, 170), ("+5", 300, 70)]
)
def test_nothing_else_and_nothing_farther_off_makes_a_label(text: str, x: float, y: float) -> None:
    sheet = name_proposals(a_wire(), [line(text, x, y)])
    assert [part.kind for part in sheet.proposals] == ["resistor"]


def test_an_arrows_head_may_stand_between_a_wire_and_its_name() -> None:
    ahead, beside = line("+5", 45, 93), line("+5", 90, 132)
    assert name_proposals(a_wire(), [ahead]).proposals[-1].value == "+5", "34 px before the end, in its way"
    assert len(name_proposals(a_wire(), [beside]).proposals) == 1, "32 px off to the side"


def test_an_unsure_reading_names_no_rail() -> None:
    assert len(name_proposals(a_wire(), [line("+5", 85, 70, 0.3)]).proposals) == 1


@pytest.mark.parametrize(
    ("kind", "conductors", "expected"),
    [("contact", (1,), "label"), ("contact", (1, 2), "contact"), ("resistor", (1,), "resistor")],
)
def test_what_stands_at_one_wire_beside_a_rails_name_is_a_label(
    kind: str, conductors: tuple[int, ...], expected: str
) -> None:
    ends = tuple(Terminal(str(number), 100, 100, number) for number in conductors)
    part = Proposal(0, (90, 90, 110, 110), kind, 0.9, ends)
    sheet = TracedSheet((600, 800), 3.0, (), (), (part,), 2, "drawn")
    (found,) = name_proposals(sheet, [line("HT1", 85, 70)]).proposals
    assert found.kind == expected
    assert (found.value == "HT1") == (expected == "label")


@pytest.mark.parametrize(
    "word", ["+5", "-15V", "HT1", "H.T.+", "(+5)", "250V", "LT-", "AGC", "0V", "EHT", "B+"]
)
def test_names_of_rails(word: str) -> None:
    assert as_rail(word) is not None


@pytest.mark.parametrize("word", ["R1", "470", "4k7", "V3", "5", "TR1", "HTX", "", "50", "10n"])
def test_what_is_no_name_of_a_rail(word: str) -> None:
    assert as_rail(word) is None


def _valve() -> Proposal:
    ends = (Terminal("1", 200, 100, 1), Terminal("2", 240, 150, 2), Terminal("3", 200, 200, 3))
    return Proposal(0, (160, 100, 240, 200), "valve", 0.9, ends)


def test_pins_take_the_numbers_beside_them_where_each_has_one() -> None:
    sheet = TracedSheet((600, 800), 3.0, (), (), (_valve(),), 3, "drawn")
    numbers = [line("6", 205, 82), line("2", 246, 130), line("8", 205, 204)]
    (named,) = name_proposals(sheet, numbers).proposals
    assert [end.name for end in named.terminals] == ["6", "2", "8"]
    assert [(end.x, end.conductor) for end in named.terminals] == [(200, 1), (240, 2), (200, 3)]
    (kept,) = name_proposals(sheet, numbers[:2]).proposals
    assert [end.name for end in kept.terminals] == ["1", "2", "3"], "one number is missing"


def test_a_plus_tells_the_ends_of_a_capacitor_apart() -> None:
    ends = (Terminal("1", 100, 150, 1), Terminal("2", 100, 190, 2))
    part = Proposal(0, (80, 150, 120, 190), "capacitor", 0.9, ends)
    sheet = TracedSheet((600, 800), 3.0, (), (), (part,), 3, "drawn")
    (below,) = name_proposals(sheet, [line("+", 106, 188)]).proposals
    assert {end.name: end.y for end in below.terminals} == {"+": 190, "-": 150}
    (unsaid,) = name_proposals(sheet, [line("+", 106, 162)]).proposals
    assert [end.name for end in unsaid.terminals] == ["1", "2"], "it stands between them"


@pytest.mark.parametrize(
    ("note", "expected"),
    [
        ("ALL RESISTORS IN OHMS, K = 1000", {"K_IS_THOUSAND", "BARE_OHMS"}),
        ("All resistances in ohms unless otherwise stated. M=1000", {"M_IS_THOUSAND", "BARE_OHMS"}),
        ("CAPACITORS IN MFD UNLESS STATED", {"BARE_MICRO"}),
        ("ALL CONDENSERS ARE IN µµF", {"BARE_PICO"}),
        ("RESISTORS IN OHMS CAPACITORS IN µF", {"BARE_OHMS", "BARE_MICRO"}),
        ("K=1000 M=1,000,000", {"K_IS_THOUSAND", "M_IS_MILLION"}),
        ("ALL RESISTURS IN OHMS", {"BARE_OHMS"}),
        ("RESISTORS 1/2 WATT UNLESS STATED", set()),
        ("R12 10k OHMS", set()),
    ],
)
def test_notes_say_how_values_are_meant(note: str, expected: set[str]) -> None:
    """The wordings are common practice."""
    found = conventions([line(note, 50, 50)])
    assert {said.kind.name for said in found} == expected
    assert all(said.text == note for said in found)


def test_a_note_may_run_over_several_lines_and_is_kept_with_the_tracing() -> None:
    lines = [line("ALL CAPACITORS ARE IN", 50, 50), line("MICROFARADS", 50, 72), line("VOLUME", 400, 72)]
    sheet = name_proposals(a_wire(), lines)
    (said,) = sheet.conventions
    assert said.kind is ConventionKind.BARE_MICRO
    assert said.text == "ALL CAPACITORS ARE IN MICROFARADS"
    assert (said.box[1], said.box[3]) == (50, 87)
    assert from_bytes(to_bytes(sheet)).conventions == sheet.conventions
    assert from_bytes(to_bytes(sheet)).proposals == sheet.proposals
    assert replace(sheet, conventions=()).conventions == ()

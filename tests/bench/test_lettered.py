"""What the lettering proposes beside references and values."""

from __future__ import annotations

from dataclasses import replace

from tracer.bench.lettered import with_lettering
from tracer.reader.text_line import Quad, Sign, TextLine, Word
from tracer.trace.sheet import Proposal, Terminal, TracedSheet


def line(text: str, x: float, y: float, confidence: float = 0.9, height: float = 20.0) -> TextLine:
    half = height / 2
    box: Quad = ((x - half, y - half), (x + half, y - half), (x + half, y + half), (x - half, y + half))
    word = Word(text, box, confidence, tuple(Sign(letter, confidence) for letter in text))
    return TextLine(text, box, 0.0, confidence, text, (word,), height)


def sheet(*proposals: Proposal) -> TracedSheet:
    return TracedSheet((600, 800), 4.0, (), (), proposals, 9, "")


VALVE = Proposal(
    0,
    (200, 200, 300, 300),
    "valve",
    0.9,
    (Terminal("1", 250, 200, 1), Terminal("2", 300, 250, 2), Terminal("3", 250, 300, 3)),
    "V3",
)
RING = Proposal(
    1,
    (500, 100, 516, 116),
    "contact",
    0.8,
    (Terminal("common", 508, 116, 4), Terminal("make", 508, 108, None), Terminal("break", 508, 108, 4)),
)


def test_each_end_takes_the_pin_beside_it_and_no_pin_is_taken_twice() -> None:
    lines = [line("7", 264, 188), line("9", 314, 238), line("V3", 190, 180), line("470k", 400, 300)]
    (made,) = with_lettering(sheet(VALVE), lines).proposals
    assert [end.name for end in made.terminals] == ["/7", "/9", "3"]


def test_a_pin_that_was_hardly_read_is_no_pin() -> None:
    (made,) = with_lettering(sheet(VALVE), [line("7", 264, 188, confidence=0.3)]).proposals
    assert made == VALVE


def test_the_same_number_at_two_ends_is_left_to_a_person() -> None:
    (made,) = with_lettering(sheet(VALVE), [line("7", 264, 188), line("7", 314, 238)]).proposals
    assert made == VALVE


def test_a_ring_at_a_wires_end_is_a_label_with_the_name_above_it() -> None:
    (made,) = with_lettering(sheet(RING), [line("HT3", 506, 80), line("22k", 530, 108)]).proposals
    assert (made.kind, made.value, [end.name for end in made.terminals]) == ("label", "HT3", ["1"])
    assert made.terminals[0].conductor == 4


def test_a_contact_between_two_conductors_stays_one() -> None:
    ends = (Terminal("common", 500, 108, 4), Terminal("make", 516, 108, 5))
    contact = replace(RING, terminals=ends)
    assert with_lettering(sheet(contact), [line("HT3", 506, 80)]).proposals == (contact,)
    far = with_lettering(sheet(RING), [line("HT3", 506, 10)])
    assert far.proposals == (RING,), "a name far off names something else"

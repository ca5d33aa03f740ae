"""Which part gets which lettering: by hand, and on drawn sheets whose references are known."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from lettered import line

from tracer.reader.layers import Layers
from tracer.reader.letters import read_lettering
from tracer.reader.text_line import TextLine
from tracer.scan.page import Page
from tracer.trace.naming import name_proposals
from tracer.trace.naming_sure import calibration_points
from tracer.trace.sheet import Proposal, Terminal, TracedSheet
from tracer.training.lettering import Lettering
from tracer.training.sheet import SheetDrawing, SheetStyle
from tracer.training.spoil import spoil
from tracer.training.truth import SheetTruth


def _sheet(parts: Iterable[tuple[str, tuple[int, int, int, int]]]) -> TracedSheet:
    proposals = tuple(
        Proposal(number, box, kind, 0.95, (Terminal("1", box[0], box[1], 1),))
        for number, (kind, box) in enumerate(parts)
    )
    return TracedSheet((600, 800), 3.0, (), (), proposals, 1, "drawn")


def _named(sheet: TracedSheet, lines: list[TextLine]) -> list[tuple[str | None, str | None]]:
    return [(part.reference, part.value) for part in name_proposals(sheet, lines).proposals]


RESISTOR = ("resistor", (100, 100, 160, 120))


def test_reference_and_value_beside_a_part_are_its_own() -> None:
    lines = [line("R12", 110, 58), line("4k7", 110, 78), line("NOTE", 500, 500)]
    assert _named(_sheet([RESISTOR]), lines) == [("R12", "4k7")]


def test_no_lettering_leaves_everything_as_it_was() -> None:
    sheet = _sheet([RESISTOR])
    assert name_proposals(sheet, ()) is sheet
    assert _named(sheet, [line("R12", 600, 500)]) == [(None, None)]


def test_each_text_names_one_part() -> None:
    near, far = RESISTOR, ("resistor", (100, 150, 160, 170))
    named = _named(_sheet([near, far]), [line("R1", 110, 78)])
    assert sorted(named, key=str) == [("R1", None), (None, None)]
    assert named[0] == ("R1", None)


def test_letters_weigh_where_two_parts_are_as_near() -> None:
    parts = [("capacitor", (100, 100, 130, 120)), ("resistor", (100, 160, 130, 180))]
    assert _named(_sheet(parts), [line("R5", 150, 132), line("C5", 150, 150)]) == [
        ("C5", None),
        ("R5", None),
    ]


def test_what_is_sure_of_a_reading_goes_with_the_name() -> None:
    (part,) = name_proposals(
        _sheet([RESISTOR]), [line("RI2", 110, 58, 0.8), line("4k7", 110, 78, 0.9)]
    ).proposals
    assert (part.reference, part.value) == ("R12", "4k7")
    assert part.value_confidence == pytest.approx(0.9, abs=0.1)
    least_lost = 0.1  # by a sign that was put right
    assert 0.4 < part.reference_confidence < part.value_confidence - least_lost
    (bare,) = name_proposals(_sheet([RESISTOR]), [line("NOTE", 500, 500)]).proposals
    assert (bare.reference_confidence, bare.value_confidence) == (0.0, 0.0)


@pytest.mark.parametrize(("score", "kind", "value"), [(0.4, "resistor", "27k"), (0.9, "coil", "27k")])
def test_a_kind_that_the_reader_doubts_gives_way_to_the_reference(
    score: float, kind: str, value: str
) -> None:
    ends = (Terminal("1", 100, 110, 1), Terminal("2", 160, 110, 2))
    sheet = TracedSheet((600, 800), 3.0, (), (), (Proposal(0, RESISTOR[1], "coil", score, ends),), 2, "drawn")
    (part,) = name_proposals(sheet, [line("R24", 110, 82, 0.99), line("27k", 110, 122)], shares=()).proposals
    assert (part.kind, part.reference, part.value) == (kind, "R24", value)


def test_letters_do_not_overrule_the_kind() -> None:
    sheet = name_proposals(_sheet([("pot", (100, 100, 160, 120))]), [line("P3", 110, 78)])
    assert [(part.kind, part.reference) for part in sheet.proposals] == [("pot", "P3")]


def test_a_slip_is_put_right_and_a_guess_is_not_made() -> None:
    assert _named(_sheet([RESISTOR]), [line("RI2", 110, 58), line("4kT", 110, 78)]) == [("R12", "4k7")]
    assert _named(_sheet([RESISTOR]), [line("R12", 110, 58, 0.2), line("4k7", 110, 78, 0.2)]) == [
        (None, None)
    ]


def test_values_of_two_words_and_the_right_one_of_two_values() -> None:
    assert _named(_sheet([RESISTOR]), [line("R1", 110, 58), line("1 meg", 110, 78)]) == [("R1", "1 meg")]
    coil = ("coil", (100, 100, 160, 120))
    assert _named(_sheet([coil]), [line("L1", 110, 58), line("10H 220R", 90, 78)]) == [("L1", "10H")]


def test_the_number_of_a_pin_is_no_value() -> None:
    assert _named(_sheet([("capacitor", (100, 100, 130, 120))]), [line("8", 90, 80)]) == [(None, None)]


def test_a_label_is_named_by_its_rail_and_no_part_by_one() -> None:
    sheet = _sheet([("label", (100, 100, 115, 115)), ("resistor", (300, 100, 330, 130))])
    assert _named(sheet, [line("HT1", 90, 80), line("HT2", 300, 80)]) == [(None, "HT1"), (None, None)]


def test_what_a_person_gave_is_kept() -> None:
    part = Proposal(0, RESISTOR[1], "resistor", 0.9, (Terminal("1", 100, 110, 1),), "R99", "1k")
    sheet = TracedSheet((600, 800), 3.0, (), (), (part,), 1, "drawn")
    assert _named(sheet, [line("R12", 110, 58), line("4k7", 110, 78)]) == [("R99", "1k")]


PARTS = {
    "resistor.box": ("R", ("4k7", "100k", "2M2", "330", "1M", "0M5", "47k", "10k")),
    "capacitor.plates": ("C", (".05", "100pF", "16u", "470p", ".1", "32u", "50u", "220p")),
}


def _drawn(seed: int) -> SheetTruth:
    """A sheet of forty parts in a grid, every one with its reference and value."""
    rng = np.random.default_rng(seed)
    lettering = Lettering("stroke", 0.0, 0.65, 0.01, 0.8)
    sheet = SheetDrawing(1200, 1000, SheetStyle(3.0, 8.0, 22.0, lettering=lettering), seed)
    for number in range(40):
        symbol = list(PARTS)[int(rng.integers(2))]
        letter, values = PARTS[symbol]
        x, y = 110 + 140 * (number % 8), 110 + 190 * (number // 8)
        value = values[int(rng.integers(len(values)))]
        place = str(rng.choice(["above", "below"]))
        part = sheet.place(
            symbol, x, y, reference=f"{letter}{int(rng.integers(1, 200))}", value=value, text=place
        )
        for terminal in part.terminals:
            sheet.wire([(terminal.x, terminal.y), part.out(terminal.name, 30)])
    return sheet.finish()


def _rate(level: int) -> float:
    """The share of parts with reference and value both right, all but the naming taken from the drawing."""
    right = 0
    total = 0
    for seed in (1, 2):
        truth = spoil(_drawn(seed), level, seed)
        page = Page(truth.image, Path("drawn.png"), 1, None, "")
        plain = np.array([[1.0, 0.0, 0.0], [0.0, 1.0, 0.0]])
        kinds = truth.kinds
        layers = Layers(
            truth.classes,
            np.full_like(truth.classes, 255),
            kinds,
            kinds,
            truth.kind_names,
            plain,
            3.0,
            "drawn",
        )
        boxes = [(part.kind, tuple(round(edge) for edge in part.box)) for part in truth.parts]
        sheet = name_proposals(
            _sheet([(kind, (box[0], box[1], box[2], box[3])) for kind, box in boxes]),
            read_lettering(page, layers),
        )
        for drawn, found in zip(truth.parts, sheet.proposals, strict=True):
            total += 1
            right += (found.reference, found.value) == (drawn.reference, drawn.value)
    return right / total


@pytest.mark.parametrize(("level", "least"), [(0, 0.95), (1, 0.95), (2, 0.9), (3, 0.75)])
def test_drawn_sheets_are_named(level: int, least: float) -> None:
    assert _rate(level) >= least


def test_how_sure_a_name_is_follows_the_curve_that_was_fitted() -> None:
    def sure(shares: list[tuple[float, float]], confidence: float) -> float:
        sheet = name_proposals(_sheet([RESISTOR]), [line("R12", 110, 78, confidence)], shares=shares)
        return sheet.proposals[0].reference_confidence

    curve = [(0.3, 0.1), (0.9, 0.7)]
    assert sure(curve, 0.99) <= 0.7
    assert sure(curve, 0.6) < sure(curve, 0.8) < sure([], 0.8)
    assert calibration_points() == tuple(sorted(calibration_points())), "the card's curve rises"
    assert all(0.0 <= share <= 1.0 for _, share in calibration_points())


def test_of_all_that_a_word_may_say_the_one_that_names_something_is_taken() -> None:
    read_as = line("I3", 110, 58)
    word = replace(read_as.words[0], texts=(("I3", 0.4), ("IC3", 0.35), ("K3", 0.05)))
    doubted = replace(read_as, words=(word,))
    block = ("block", (100, 100, 160, 140))
    assert _named(_sheet([block]), [doubted]) == [("IC3", None)]
    sure = replace(read_as, words=(replace(word, texts=(("I3", 0.97), ("IC3", 0.02))),))
    assert _named(_sheet([block]), [sure])[0][0] != "IC3"


def test_a_lone_digit_below_a_capacitors_name_is_its_value_and_one_elsewhere_is_not() -> None:
    capacitor = ("capacitor", (100, 100, 130, 120))
    assert _named(_sheet([capacitor]), [line("C4", 140, 95), line("8", 140, 114)]) == [("C4", "8")]
    assert _named(_sheet([capacitor]), [line("C4", 140, 95), line("8", 80, 125)]) == [("C4", None)]
    assert _named(_sheet([capacitor]), [line("C4", 140, 95), line("1", 140, 114)]) == [("C4", None)]


def test_a_name_that_was_parted_by_mistake_is_whole_again() -> None:
    parted = line("R1 2", 110, 78)
    first, second = parted.words
    right = first.box[1][0] + 3.0
    box = ((right, 78.0), (right + 10.0, 78.0), (right + 10.0, 93.0), (right, 93.0))
    close = replace(parted, words=(first, replace(second, box=box)))
    assert _named(_sheet([RESISTOR]), [close]) == [("R12", None)]

"""The bench line: points as they are said, leads and switches typed, causes chosen with keys alone."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest
import small_sheet
from PyQt6.QtCore import Qt
from pytestqt.qtbot import QtBot

from tracer.bench.spoken import nodes_in_words
from tracer.circuit.elements import Bank, BankStyle, Circuit, Setting
from tracer.circuit.wiring import parse_wiring
from tracer.desk.spoken_points import leads_in_text, point_in_words, point_of_words
from tracer.desk.typed_setting import typed_setting
from tracer.desk.window import DeskWindow
from tracer.job.banks import put_bank, put_rail
from tracer.job.choices import current_setting, record_cautions_shown
from tracer.job.readings import readings
from tracer.job.records import Rail, Tag, TagTerminal
from tracer.job.tags import add_tag

Settled = Callable[[DeskWindow], None]


@pytest.fixture
def bench(window: DeskWindow, settled: Settled) -> DeskWindow:
    """The window with every part of the small sheet confirmed, two banks and the cautions seen."""
    for tag in small_sheet.TAGS:
        window.desk.edit(lambda job, tag=tag: add_tag(job, tag), lay_out=False)
    window.desk.edit(lambda job: put_rail(job, Rail("HT1")), lay_out=False)
    window.desk.edit(lambda job: put_bank(job, Bank("INPUT", ("Mic", "Gram"))))
    window.desk.edit(record_cautions_shown, lay_out=False)
    settled(window)
    return window


def type_line(window: DeskWindow, qtbot: QtBot, settled: Settled, text: str) -> None:
    window.strip.entry.setFocus()
    qtbot.keyClicks(window.strip.entry, text)
    qtbot.keyClick(window.strip.entry, Qt.Key.Key_Return)
    settled(window)


CIRCUIT = parse_wiring(
    "bank INPUT: Mic, Gram, Tape\nbank BAND: Long, Medium; keys\nrail HT1\n"
    "resistor R1: 1=HT1 2=N1.3; 1k\nwire W1.1: 1=N1.3 2=N1.3_2\nvalve V3: a/6=N1.3_2 g1/2=chassis"
)
VALVE = Tag(1, (0, 0, 9, 9), "valve", "V3", None, (TagTerminal("a/6", 5, 0), TagTerminal("g1/2", 0, 5)))


@pytest.mark.parametrize(
    ("text", "point"),
    [
        ("v3 6", "V3.6"),
        ("V3 pin 6", "V3.6"),
        ("v3.a", "V3.6"),
        ("ht1", "HT1"),
        ("R1 top", "R1.1"),
        ("r1 bottom", "R1.2"),
        ("r1.2", "R1.2"),
        ("N1.3", "R1.2"),
        ("CHASSIS", "chassis"),
        ("R9.1", None),
        ("v3 9", None),
        ("", None),
    ],
)
def test_points_are_understood_as_they_are_said(text: str, point: str | None) -> None:
    upright = Tag(1, (0, 0, 9, 40), "resistor", "R1", "1k", (TagTerminal("1", 5, 0), TagTerminal("2", 5, 40)))
    assert point_of_words(text, CIRCUIT, [upright, VALVE]) == point


def test_what_is_said_is_understood_again() -> None:
    circuit = Circuit(CIRCUIT.elements, rails=CIRCUIT.rails)
    lying = Tag(1, (0, 0, 40, 9), "resistor", "R1", "1k", (TagTerminal("1", 0, 5), TagTerminal("2", 40, 5)))
    for point, said in (("R1.1", "R1 left"), ("R1.2", "R1 right"), ("V3.6", "V3 pin 6"), ("HT1", "HT1")):
        assert point_in_words(point, [lying, VALVE]) == said
        assert point_of_words(said, circuit, [lying, VALVE]) == point
    assert leads_in_text("ht1 v3 pin 6", circuit, [lying, VALVE]) == ("HT1", "V3.6")
    assert leads_in_text("r1 left v3.2", circuit, [lying, VALVE]) == ("R1.1", "V3.2")
    assert leads_in_text("ht1 nowhere", circuit, [lying, VALVE]) is None
    assert nodes_in_words(circuit)["N1.3"] == "R1.2"


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("input gram", "turn INPUT to Gram"),
        ("INPUT=Tape", "turn INPUT to Tape"),
        ("b none", "turn BAND to none"),
        ("v3 out", "take V3 out"),
        ("lift r1.2", "lift R1.2"),
        ("inp x", None),
        ("3k1", None),
        ("v3 away", None),
    ],
)
def test_a_setting_is_typed_in_a_few_letters(text: str, said: str | None) -> None:
    made = typed_setting(text, CIRCUIT, Setting())
    assert (made[1] if made is not None else None) == said
    assert BankStyle.KEYS in {bank.style for bank in CIRCUIT.banks}


def test_one_line_places_both_leads_and_another_turns_a_switch(
    bench: DeskWindow, qtbot: QtBot, settled: Settled
) -> None:
    type_line(bench, qtbot, settled, "ht1 r2 top")
    assert bench.desk.state.leads == ("HT1", "R2.1")
    assert [edit.text() for edit in bench.strip.leads] == ["HT1", "R2 top"]
    assert bench.measuring.expectation is not None
    type_line(bench, qtbot, settled, "inp g")
    assert current_setting(bench.desk.job).banks == {"INPUT": "Gram"}  # type: ignore[arg-type]
    assert "INPUT at Gram" in bench.strip.setting.text()
    type_line(bench, qtbot, settled, "what now")
    assert "what now" in bench.strip.path.text()
    assert readings(bench.desk.job) == ()  # type: ignore[arg-type]


def test_the_pointer_follows_what_is_typed(bench: DeskWindow, qtbot: QtBot, settled: Settled) -> None:
    type_line(bench, qtbot, settled, "ht1 chassis")
    qtbot.keyClicks(bench.strip.entry, "14k")
    assert bench.strip.dial.shown == 14_000
    qtbot.keyClicks(bench.strip.entry, "x")
    assert bench.strip.dial.shown is None
    assert readings(bench.desk.job) == ()  # type: ignore[arg-type]


def test_enter_goes_where_the_likeliest_cause_is_settled(
    bench: DeskWindow, qtbot: QtBot, settled: Settled
) -> None:
    type_line(bench, qtbot, settled, "ht1 chassis")
    type_line(bench, qtbot, settled, "OL")
    assert bench.causes.isVisible()
    ways = [cause.then_measure for cause in bench.causes.ways if cause is not None]
    assert len(ways) > 1
    qtbot.keyClick(bench.strip.entry, Qt.Key.Key_Down)
    chosen = ways[1]
    assert chosen is not None
    qtbot.keyClick(bench.strip.entry, Qt.Key.Key_Return)
    settled(bench)
    assert set(bench.desk.state.leads) == {chosen.start, chosen.end}
    assert not bench.causes.isVisible()
    assert bench.strip.entry.hasFocus()


def test_going_on_leaves_the_causes(bench: DeskWindow, qtbot: QtBot, settled: Settled) -> None:
    type_line(bench, qtbot, settled, "ht1 chassis")
    type_line(bench, qtbot, settled, "OL")
    offered = bench.measuring.next
    assert offered is not None
    qtbot.keyClick(bench.strip.entry, Qt.Key.Key_Up)
    qtbot.keyClick(bench.strip.entry, Qt.Key.Key_Return)
    settled(bench)
    assert bench.desk.state.leads == (offered.start, offered.end)


def test_the_drawer_is_there_after_a_first_look(
    make_window: Callable[[None], DeskWindow], scan: Path
) -> None:
    first = make_window(None)
    first.close()
    again = make_window(None)
    again.open(scan)
    assert again.drawer.isVisible()


def test_undo_withdraws_the_reading_while_the_field_has_the_keys(
    bench: DeskWindow, qtbot: QtBot, settled: Settled
) -> None:
    type_line(bench, qtbot, settled, "ht1 chassis")
    type_line(bench, qtbot, settled, "14k7")
    assert bench.strip.entry.hasFocus()
    qtbot.keyClick(bench.strip.entry, Qt.Key.Key_Z, Qt.KeyboardModifier.ControlModifier)
    settled(bench)
    assert readings(bench.desk.job) == ()  # type: ignore[arg-type]
    assert bench.strip.entry.text() == ""


def test_what_was_not_understood_is_written_over(bench: DeskWindow, qtbot: QtBot, settled: Settled) -> None:
    type_line(bench, qtbot, settled, "what now")
    assert bench.strip.entry.selectedText() == "what now"
    type_line(bench, qtbot, settled, "ht1 chassis")
    assert bench.desk.state.leads == ("HT1", "chassis")
    qtbot.keyClick(bench.strip.entry, Qt.Key.Key_Question)
    assert bench.keys.isVisible(), "the keys are one key away here too"


def test_a_typed_lead_is_shown_as_it_is_said(bench: DeskWindow, qtbot: QtBot, settled: Settled) -> None:
    for lead, text in enumerate(("r1.1", "r2.2")):
        bench.strip.leads[lead].setFocus()
        qtbot.keyClicks(bench.strip.leads[lead], text)
        qtbot.keyClick(bench.strip.leads[lead], Qt.Key.Key_Return)
    settled(bench)
    assert [edit.text() for edit in bench.strip.leads] == ["R1 left", "R2 bottom"]


def test_what_has_to_be_turned_stands_out_until_the_reading_is_taken(
    bench: DeskWindow, qtbot: QtBot, settled: Settled
) -> None:
    offered = bench.measuring.next
    assert offered is not None
    turned = Setting({"INPUT": "Gram"}, lifted=frozenset({"R2.2"}))
    bench.measuring.take(replace(offered, setting=turned))
    settled(bench)
    assert bench.strip.setting.text() == "<b><u>INPUT at Gram</u></b> · <b><u>R2.2 lifted</u></b>"
    qtbot.keyClicks(bench.strip.entry, "OL")
    qtbot.keyClick(bench.strip.entry, Qt.Key.Key_Return)
    settled(bench)
    assert bench.strip.setting.text() == "INPUT at Gram · R2.2 lifted"
    bench.measuring.take(offered)
    settled(bench)
    assert bench.strip.setting.text() == "<b><u>INPUT at Mic</u></b> · <b><u>R2.2 put back</u></b>"

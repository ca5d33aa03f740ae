"""Two leads, what to expect, the reading and what follows."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import replace
from datetime import datetime, timedelta
from pathlib import Path

import pytest
import small_sheet
from PyQt6.QtCore import Qt
from pytestqt.qtbot import QtBot

from tracer.circuit.elements import Bank
from tracer.circuit.results import Tint, Verdict
from tracer.desk import words
from tracer.desk.cautions_due import asked_today
from tracer.desk.dial import decades, place_of
from tracer.desk.listing import ListKind, listed
from tracer.desk.window import DeskWindow
from tracer.errors import UnknownPoint
from tracer.job.banks import put_bank, put_rail
from tracer.job.choices import cautions_shown, current_setting, record_cautions_shown
from tracer.job.readings import readings
from tracer.job.records import Rail, Tag, TagTerminal
from tracer.job.tags import add_tag, tags

Settled = Callable[[DeskWindow], None]


@pytest.fixture
def bench(window: DeskWindow, settled: Settled) -> DeskWindow:
    """The window with every part of the small sheet confirmed and the cautions seen."""
    for tag in small_sheet.TAGS:
        window.desk.edit(lambda job, tag=tag: add_tag(job, tag), lay_out=False)
    window.desk.edit(lambda job: put_rail(job, Rail("HT1")))
    window.desk.edit(record_cautions_shown, lay_out=False)
    settled(window)
    return window


def lead(window: DeskWindow, qtbot: QtBot, settled: Settled, start: str, end: str) -> None:
    for number, point in enumerate((start, end)):
        edit = window.strip.leads[number]
        edit.setFocus()
        edit.selectAll()
        qtbot.keyClicks(edit, point)
        qtbot.keyClick(edit, Qt.Key.Key_Return)
    settled(window)


def enter(window: DeskWindow, qtbot: QtBot, settled: Settled, text: str) -> None:
    window.strip.entry.setFocus()
    qtbot.keyClicks(window.strip.entry, text)
    qtbot.keyClick(window.strip.entry, Qt.Key.Key_Return)
    settled(window)


def test_leads_go_to_terminals_pressed_on_the_sheet(
    bench: DeskWindow, qtbot: QtBot, settled: Settled
) -> None:
    for tag, number in ((small_sheet.TAGS[0], 0), (small_sheet.TAGS[1], 1)):
        terminal = tag.terminals[number]
        spot = bench.view.screen_at(terminal.x, terminal.y).toPoint()
        qtbot.mouseClick(bench.view, Qt.MouseButton.LeftButton, pos=spot)
    settled(bench)
    assert bench.desk.state.leads == ("R1.1", "R2.2")
    assert bench.strip.entry.hasFocus(), "with both leads on, the meter's figure is asked for"


def test_signs_stand_for_what_they_name(bench: DeskWindow, qtbot: QtBot) -> None:
    bench.view.pressed.emit(440.0, 342.0)
    assert bench.desk.state.leads[0] == "chassis"
    bench.view.pressed.emit(63.0, 80.0)
    assert bench.desk.state.leads == ("chassis", "HT1")


def test_a_point_that_is_not_there_is_refused_where_it_was_typed(
    bench: DeskWindow, qtbot: QtBot, settled: Settled
) -> None:
    bench.strip.leads[0].setFocus()
    with qtbot.waitSignal(bench.desk.failed) as told:
        qtbot.keyClicks(bench.strip.leads[0], "R77.1")
        qtbot.keyClick(bench.strip.leads[0], Qt.Key.Key_Return)
    assert isinstance(told.args[0], UnknownPoint)
    assert bench.desk.state.leads[0] == ""


def test_enter_on_empty_leads_takes_the_offered_reading(
    bench: DeskWindow, qtbot: QtBot, settled: Settled
) -> None:
    assert bench.measuring.next is not None
    wanted = (bench.measuring.next.start, bench.measuring.next.end)
    bench.strip.leads[0].setFocus()
    qtbot.keyClick(bench.strip.leads[0], Qt.Key.Key_Return)
    settled(bench)
    assert bench.desk.state.leads == wanted


def test_expected_ohms_of_two_resistors_in_series(bench: DeskWindow, qtbot: QtBot, settled: Settled) -> None:
    """Ohm's law for resistors in series, 4k7 + 10k, each ±20 % where the sheet prints no tolerance."""
    lead(bench, qtbot, settled, "HT1", "chassis")
    expected = bench.measuring.expectation
    assert expected is not None
    assert expected.expected == pytest.approx(14_700, rel=1e-3)
    assert expected.low == pytest.approx(14_700 * 0.8, rel=1e-2)
    assert expected.high == pytest.approx(14_700 * 1.2, rel=1e-2)
    assert bench.strip.middle.text() == "14k7"
    assert "R2 68 %" in bench.strip.path.text()
    assert {"R1", "R2"} <= set(bench.measuring.way)
    assert any(reference.startswith("W1.") for reference in bench.measuring.way)


def test_a_good_reading_passes_and_the_tint_grows(bench: DeskWindow, qtbot: QtBot, settled: Settled) -> None:
    lead(bench, qtbot, settled, "HT1", "chassis")
    bare = bench.view.grab().toImage().pixelColor(bench.view.screen_at(150, 101 + 4).toPoint())
    enter(bench, qtbot, settled, "14k9")
    assert bench.strip.verdict.text() == "good"
    (record,) = readings(bench.desk.job)  # type: ignore[arg-type]
    assert (record.start, record.end, record.ohms) == ("HT1", "chassis", 14_900)
    assert record.verdict == Verdict.PASS
    tints = bench.desk.laid.tints  # type: ignore[union-attr]
    assert tints["R1"] in (Tint.CARRIED, Tint.PINNED)
    assert not bench.causes.isVisible()
    inked = bench.view.grab().toImage().pixelColor(bench.view.screen_at(150, 101 + 4).toPoint())
    assert inked != bare


def test_a_wrong_reading_lists_causes(bench: DeskWindow, qtbot: QtBot, settled: Settled) -> None:
    lead(bench, qtbot, settled, "HT1", "chassis")
    enter(bench, qtbot, settled, "OL")
    assert bench.strip.verdict.text() == "high"
    assert bench.causes.isVisible()
    assert bench.measuring.causes
    assert sum(cause.weight for cause in bench.measuring.causes) == pytest.approx(1)
    named = next(cause.element for cause in bench.measuring.causes if cause.element)
    bench.causes.looked_at.emit(named)
    assert bench.overlays._looked_at


def test_undo_withdraws_a_reading(bench: DeskWindow, qtbot: QtBot, settled: Settled) -> None:
    lead(bench, qtbot, settled, "HT1", "chassis")
    enter(bench, qtbot, settled, "14k9")
    bench.actions_by_name["undo"].trigger()
    settled(bench)
    assert readings(bench.desk.job) == ()  # type: ignore[arg-type]
    assert set(bench.desk.laid.tints.values()) == {Tint.NOT_MEASURED}  # type: ignore[union-attr]
    bench.actions_by_name["redo"].trigger()
    settled(bench)
    assert len(readings(bench.desk.job)) == 1  # type: ignore[arg-type]


def test_an_open_pair_says_what_is_off_and_what_blocks(
    bench: DeskWindow, qtbot: QtBot, settled: Settled
) -> None:
    ends = (TagTerminal("common", 300, 101), TagTerminal("make", 340, 101))
    switch = Tag(1, (300, 90, 340, 112), "contact", "S1", None, ends, (("closed", "POWER:On"),))
    bench.desk.edit(lambda job: put_bank(job, Bank("POWER", ("Off", "On"))), lay_out=False)
    bench.desk.edit(lambda job: add_tag(job, switch))
    settled(bench)
    lead(bench, qtbot, settled, "S1.common", "S1.make")
    expected = bench.measuring.expectation
    assert expected is not None
    assert bench.strip.path.text().startswith(f"{words.EXPECT_OPEN_LONG} · S1 is off")
    assert "stopped" not in bench.strip.path.text()


def test_redo_of_a_withdrawn_reading_adds_one_that_cites_it(
    bench: DeskWindow, qtbot: QtBot, settled: Settled
) -> None:
    lead(bench, qtbot, settled, "HT1", "chassis")
    enter(bench, qtbot, settled, "14k9")
    job = bench.desk.job
    assert job is not None
    (first,) = readings(job)
    bench.view.setFocus()
    qtbot.keyClick(bench.view, Qt.Key.Key_Z, Qt.KeyboardModifier.ControlModifier)
    settled(bench)
    assert readings(job) == ()
    shift = Qt.KeyboardModifier.ControlModifier | Qt.KeyboardModifier.ShiftModifier
    qtbot.keyClick(bench.view, Qt.Key.Key_Z, shift)
    settled(bench)
    kept, again = readings(job, withdrawn=True)
    assert (kept.number, kept.withdrawn) == (first.number, True), "it stays in the record"
    assert (again.cites, again.withdrawn) == (first.number, False)
    assert (again.start, again.end, again.ohms, again.setting) == (kept.start, kept.end, 14_900, kept.setting)
    rows = listed(ListKind.READINGS, job, bench.desk.laid.bench, {})  # type: ignore[union-attr]
    said = [row.cells[-1] for row in rows]
    assert said == ["14k9 good; 1 again", "14k9 withdrawn"], "the newest first"


def test_cautions_come_before_the_first_reading_of_a_day(
    window: DeskWindow, qtbot: QtBot, settled: Settled
) -> None:
    for tag in small_sheet.TAGS:
        window.desk.edit(lambda job, tag=tag: add_tag(job, tag))
    settled(window)
    lead(window, qtbot, settled, "R1.1", "R2.2")
    enter(window, qtbot, settled, "14k7")
    job = window.desk.job
    assert job is not None
    assert window.cautions.isVisible()
    assert readings(job) == ()
    assert not window.cautions.accept.isEnabled()
    qtbot.keyClick(window.cautions.tick, Qt.Key.Key_Return)
    assert window.cautions.isVisible(), "an Enter that was meant for the reading agrees to nothing"
    qtbot.keyClick(window.cautions.tick, Qt.Key.Key_Space)
    qtbot.keyClick(window.cautions.accept, Qt.Key.Key_Return)
    settled(window)
    assert not window.cautions.isVisible()
    assert cautions_shown(job) is not None
    assert len(readings(job)) == 1, "the reading that waited was taken"
    now = datetime.now().astimezone()
    assert asked_today(now.isoformat(), now)
    assert not asked_today(now.isoformat(), now + timedelta(days=1))
    assert not asked_today(None, now)


def test_the_next_reading_is_one_key_away(bench: DeskWindow, qtbot: QtBot, settled: Settled) -> None:
    assert bench.measuring.next is not None
    offered = bench.measuring.next
    bench.view.setFocus()
    qtbot.keyClick(bench.view, Qt.Key.Key_G)
    settled(bench)
    assert bench.desk.state.leads == (offered.start, offered.end)
    assert bench.strip.entry.hasFocus()


def test_words_that_are_no_reading_are_refused(bench: DeskWindow, qtbot: QtBot, settled: Settled) -> None:
    lead(bench, qtbot, settled, "HT1", "chassis")
    enter(bench, qtbot, settled, "some")
    assert "some" in bench.strip.path.text()
    assert readings(bench.desk.job) == ()  # type: ignore[arg-type]


def test_the_setting_is_kept_and_undone(bench: DeskWindow, settled: Settled) -> None:
    job = bench.desk.job
    assert job is not None
    bench.desk.edit(lambda job: put_bank(job, Bank("INPUT", ("Disc", "Tape"))))
    settled(bench)
    bench.measuring.set_setting(
        replace(bench.desk.state.setting, banks={"INPUT": "Tape"}), "turn INPUT to Tape"
    )
    assert current_setting(job).banks == {"INPUT": "Tape"}
    bench.actions_by_name["undo"].trigger()
    settled(bench)
    assert current_setting(job).banks == {}
    assert bench.desk.state.setting.banks == {}


def test_closed_and_opened_again_all_is_there(
    bench: DeskWindow,
    make_window: Callable[[Path | None], DeskWindow],
    qtbot: QtBot,
    settled: Settled,
    scan: Path,
) -> None:
    lead(bench, qtbot, settled, "HT1", "chassis")
    enter(bench, qtbot, settled, "14k9")
    bench.view.zoom_by(2.0)
    seen, tints = bench.view.view, dict(bench.desk.laid.tints)  # type: ignore[union-attr]
    where = bench.desk.job.path  # type: ignore[union-attr]
    bench.close()
    again = make_window(where)
    job = again.desk.job
    assert job is not None
    assert [tag.reference for tag in tags(job)] == [tag.reference for tag in small_sheet.TAGS]
    assert len(readings(job)) == 1
    assert dict(again.desk.laid.tints) == tints  # type: ignore[union-attr]
    assert again.view.view.scale == pytest.approx(seen.scale, rel=1e-3)
    assert again.view.view.x == pytest.approx(seen.x, abs=1)
    assert again.rails._desk.laid.standing.rails  # type: ignore[union-attr]
    again.actions_by_name["undo"].trigger()
    settled(again)
    assert readings(job) == (), "undo outlives the window"


def test_the_dial_holds_everything_it_has_to_show() -> None:
    for values in ((2_790.0, 3_100.0, 3_410.0, None), (0.0, 0.2, 0.5, 12e6), (1.0, None, None, math.inf)):
        first, last = decades(*values)
        assert last - first >= 3
        for value in values:
            if value is not None and 0.1 <= value < math.inf:
                assert 0.0 <= place_of(value, first, last) < 1.0
    assert place_of(math.inf, 0, 3) == 1.0
    assert place_of(0.0, 0, 3) == 0.0

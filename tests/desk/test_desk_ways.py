"""How a sheet draws and prints: shown as it seems, overruled by a person, undone like any edit."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest
import small_sheet
from PyQt6.QtCore import Qt
from PyQt6.QtWidgets import QLabel, QPushButton
from pytestqt.qtbot import QtBot

from tracer.bench.meant import as_meant
from tracer.desk import words
from tracer.desk.notes import Stand, stand_of
from tracer.desk.window import DeskWindow
from tracer.job.choices import record_cautions_shown
from tracer.job.tags import add_tag
from tracer.job.ways import SheetWays, sheet_ways
from tracer.trace import naming
from tracer.trace import trace as tracing
from tracer.trace.sheet import Convention, ConventionKind, DrawingHabits

Settled = Callable[[DeskWindow], None]


def test_what_a_person_says_of_the_joins_reaches_the_tracing(
    window: DeskWindow, qtbot: QtBot, settled: Settled, monkeypatch: pytest.MonkeyPatch
) -> None:
    job = window.desk.job
    assert job is not None
    told: list[DrawingHabits | None] = []
    real = tracing.trace

    def watched(*given: object, **named: object) -> object:
        told.append(named["habits"])  # type: ignore[arg-type]
        return real(*given, **named)  # type: ignore[arg-type]

    monkeypatch.setattr(tracing, "trace", watched)
    box = window.sheet.habits["dots"]
    assert box.currentText().startswith("as it seems")
    box.setFocus()
    qtbot.keyClick(box, Qt.Key.Key_Down)
    qtbot.keyClick(box, Qt.Key.Key_Down)
    settled(window)
    assert sheet_ways(job, 1).dots is False
    assert told[-1] == DrawingHabits(dots=False)
    assert box.currentText() == "no"
    while sheet_ways(job, 1).dots is not None:
        window.actions_by_name["undo"].trigger()
        settled(window)
    assert box.currentIndex() == 0


def test_the_letter_m_means_what_the_sheet_says(window: DeskWindow, qtbot: QtBot, settled: Settled) -> None:
    """M for a thousand is found on early sheets (common practice); IEC 60062 has it for a million."""
    for tag in (replace(small_sheet.TAGS[0], value="250M"), *small_sheet.TAGS[1:]):
        window.desk.edit(lambda job, tag=tag: add_tag(job, tag))
    settled(window)

    def value() -> str | None:
        assert window.desk.laid is not None
        return next(e.value for e in window.desk.laid.bench.circuit.elements if e.reference == "R1")

    assert value() == "250M"
    window.drawer.open_section(window.sheet)
    tick = window.sheet.prints["m_is_thousand"]
    tick.setFocus()
    qtbot.keyClick(tick, Qt.Key.Key_Space)
    settled(window)
    assert value() == "250k"
    assert tick.text() == words.PRINTS["m_is_thousand"]


def test_a_note_on_the_sheet_is_offered_taken_and_overruled(
    make_window: Callable[[object], DeskWindow],
    scan: Path,
    qtbot: QtBot,
    settled: Settled,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """Notes such as these stand on many sheets (common practice)."""
    notes = (
        Convention(ConventionKind.BARE_MICRO, "CONDENSERS IN MFD", (300, 300, 420, 320), 0.91),
        Convention(ConventionKind.K_IS_THOUSAND, "K = 1000", (300, 330, 420, 350), 0.97),
    )
    monkeypatch.setattr(naming, "name_proposals", lambda sheet, _: replace(sheet, conventions=notes))
    window = make_window(scan)
    job = window.desk.job
    assert job is not None
    shown = " ".join(label.text() for label in window.sheet.notes.findChildren(QLabel))
    assert "“CONDENSERS IN MFD” (91 % sure)" in shown
    assert words.NOTE_STANDS["OPEN"] in shown
    assert sheet_ways(job, 1) == SheetWays(), "a note is proposed, and not obeyed by itself"
    assert window.warnings.notes.isVisibleTo(window.warnings)
    window.drawer.open_section(window.sheet)

    def answer(word: str) -> None:
        wanted = f"{word}: CONDENSERS IN MFD"
        buttons = window.sheet.notes.findChildren(QPushButton)
        # The rows before the last answer are still there until the event loop runs.
        button = next(b for b in buttons if b.accessibleName() == wanted and b.isVisible())
        button.setFocus()
        qtbot.keyClick(button, Qt.Key.Key_Space)
        settled(window)

    answer(words.NOTE_TAKE)
    assert sheet_ways(job, 1) == SheetWays(bare_is_micro=True)
    assert window.sheet.prints["bare_is_micro"].isChecked()
    assert not window.warnings.notes.isVisibleTo(window.warnings)
    answer(words.NOTE_LEAVE)
    assert not sheet_ways(job, 1).bare_is_micro
    assert [stand_of(note, sheet_ways(job, 1)) for note in notes] == [Stand.LEFT, Stand.ALWAYS]
    for _ in range(2):
        window.actions_by_name["undo"].trigger()
        settled(window)
    assert stand_of(notes[0], sheet_ways(job, 1)) is Stand.OPEN
    answer(words.NOTE_SHOW)
    assert window.view.rect().contains(window.view.screen_at(360, 310).toPoint())


@pytest.mark.parametrize(
    ("kind", "printed", "ways", "meant"),
    [
        ("resistor", "0M5", SheetWays(m_is_thousand=True), "500"),
        ("resistor", "1 meg", SheetWays(m_is_thousand=True), "1 meg"),
        ("resistor", "47k", SheetWays(m_is_thousand=True), "47k"),
        ("capacitor", "8", SheetWays(bare_is_micro=True), "8u"),
        ("capacitor", ".05", SheetWays(bare_is_micro=True), ".05"),
        ("resistor", "lots", SheetWays(m_is_thousand=True), "lots"),
        ("resistor", "250M", SheetWays(), "250M"),
    ],
)
def test_only_values_that_mean_something_else_are_written_anew(
    kind: str, printed: str, ways: SheetWays, meant: str
) -> None:
    tag = replace(small_sheet.TAGS[0], kind=kind, value=printed)
    assert as_meant([tag], {1: ways})[0].value == meant


def test_the_tint_is_as_strong_as_it_is_set(window: DeskWindow) -> None:
    window.legend.strength.setValue(40)
    assert window.view._tiles is not None
    assert window.view._tiles.strength == pytest.approx(0.4)
    window.legend.strength.setValue(100)


def test_the_legend_lies_on_the_sheet_once_there_is_tint_and_can_be_taken_off(
    make_window: Callable[[object], DeskWindow], window: DeskWindow, qtbot: QtBot, settled: Settled
) -> None:
    legend = window.on_sheet
    assert not legend.isVisible(), "nothing is tinted yet"
    job = window.desk.job
    assert job is not None
    for tag in small_sheet.TAGS:
        window.desk.edit(lambda job, tag=tag: add_tag(job, tag))
    window.desk.edit(record_cautions_shown, lay_out=False)
    settled(window)
    window.strip.lead_typed.emit(0, "HT1")
    window.strip.lead_typed.emit(1, "chassis")
    settled(window)
    window.strip.entered.emit("14k7")
    settled(window)
    assert legend.isVisible()
    shown = [label.text() for label in legend.findChildren(QLabel) if label.isVisible()]
    assert "carried" in shown
    assert words.LEGEND_ROUTE in shown
    corner = window.view.rect().bottomRight() - legend.geometry().bottomRight()
    assert (corner.x(), corner.y()) == (6, 6)
    window.view.setFocus()
    qtbot.keyClick(window.view, Qt.Key.Key_W)
    assert not legend.isVisible()
    path = job.path
    window.close()
    again = make_window(path)
    assert not again.on_sheet.isVisible(), "it stays as it was left"
    again.actions_by_name["legend"].trigger()
    assert again.on_sheet.isVisible()

"""How a sheet draws and prints: shown as it seems, overruled by a person, undone like any edit."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import pytest
import small_sheet
from PyQt6.QtCore import Qt
from pytestqt.qtbot import QtBot

from tracer.bench.meant import as_meant
from tracer.desk import words
from tracer.desk.window import DeskWindow
from tracer.job.tags import add_tag
from tracer.job.ways import SheetWays, sheet_ways
from tracer.trace import trace as tracing
from tracer.trace.sheet import DrawingHabits

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

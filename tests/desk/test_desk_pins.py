"""Pins of a valve type: typed once, known for the next one. The types here are invented."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from PyQt6.QtCore import Qt
from pytestqt.qtbot import QtBot

from tracer.desk.draft import Draft
from tracer.desk.pinning import keep_pins, kept_pins, with_pins
from tracer.desk.window import DeskWindow
from tracer.job.records import TagTerminal
from tracer.job.tags import tags


def ends(*names: str) -> tuple[TagTerminal, ...]:
    return tuple(TagTerminal(name, 0.0, float(n)) for n, name in enumerate(names))


def valve(*names: str) -> Draft:
    return Draft(1, (0, 0, 9, 9), "valve", "V1", "QX-1", terminals=ends(*names))


def test_pins_are_kept_by_type_and_halves_add_up(tmp_path: Path) -> None:
    place = tmp_path / "data" / "pins.json"
    assert kept_pins("QX1", place) == {}
    assert keep_pins("QX 1", ends("a/1", "g1/2", "k/3"), place) == 3
    assert keep_pins("qx-1", ends("a'/6", "g1'/7", "k'/8"), place) == 3
    assert kept_pins("QX1", place) == dict(zip("123678", ("a", "g1", "k", "a'", "g1'", "k'"), strict=True))
    assert keep_pins("QX1", ends("a/1"), place) == 0, "nothing new"
    assert keep_pins("", ends("a/1"), place) == 0
    assert keep_pins("QX1", ends("h/4", "h/5", "g2/3"), place) == 3
    assert [kept_pins("QX1", place)[pin] for pin in "3456"] == ["g2", "h", "h", "a'"]


def test_a_file_that_cannot_be_read_is_put_aside(tmp_path: Path) -> None:
    place = tmp_path / "pins.json"
    place.write_text("{ by hand", encoding="utf-8")
    assert kept_pins("QX1", place) == {}
    keep_pins("QX1", ends("a/1"), place)
    assert kept_pins("QX1", place) == {"1": "a"}
    assert place.with_suffix(".unread").read_text(encoding="utf-8") == "{ by hand"


def test_bare_electrodes_and_bare_pins_are_completed() -> None:
    pins = {"1": "a", "2": "g1", "3": "k", "4": "h", "5": "h"}
    named = [end.name for end in with_pins(valve("a", "2", "k/8", "s", "h", "5"), pins).terminals]
    assert named == ["a/1", "g1/2", "k/8", "s", "h", "h/5"], "what a person wrote whole stays"
    other = Draft(1, (0, 0, 9, 9), "block", "IC1", terminals=ends("1", "2"))
    assert with_pins(other, pins) is other


def test_the_next_valve_of_a_type_needs_its_electrodes_only(
    window: DeskWindow, qtbot: QtBot, settled: Callable[[DeskWindow], None]
) -> None:
    for x, reference, names in ((500, "V1", ("a/6", "k/8")), (560, "V2", ("a", "8"))):
        window.view.boxed.emit(float(x), 80.0, float(x + 40), 125.0)
        card = window.card
        card.kind.setCurrentText("valve")
        card.kind_chosen.emit("valve")
        assert "wiring side" in card.hint.text()
        card.reference.setText(reference)
        card.value.setText("QX-1")
        card.value.editingFinished.emit()
        assert ("Known of QX-1: a/6 k/8" in card.hint.text()) == (reference == "V2")
        for edit, name in zip(card._rows.fields, names, strict=True):
            edit.setText(name)
        qtbot.keyClick(card.reference, Qt.Key.Key_Return)
        settled(window)
    stored = tags(window.desk.job)  # type: ignore[arg-type]
    assert [[end.name for end in tag.terminals] for tag in stored] == [["a/6", "k/8"], ["a/6", "k/8"]]

"""The contacts of a switch bank, ticked in a table and read from CSV."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest
from PyQt6.QtCore import Qt
from PyQt6.QtTest import QTest
from PyQt6.QtWidgets import QComboBox, QLineEdit, QPushButton
from pytestqt.qtbot import QtBot

from tracer.bench.check import element_of
from tracer.circuit.elements import Bank, BankStyle, Setting
from tracer.circuit.stand import bank_positions, condition_holds
from tracer.desk import words
from tracer.desk.contact_table import changed_tags, parse_table, print_table, ticks_of
from tracer.desk.window import DeskWindow
from tracer.errors import BadConfirmation
from tracer.job.banks import banks, put_bank
from tracer.job.records import Tag, TagTerminal
from tracer.job.tags import add_tag, tags

INPUT = Bank("INPUT", ("Mic", "Gram", "Tape"))


def contact(reference: str, closed: str = "") -> Tag:
    ends = (TagTerminal("common", 300, 101), TagTerminal("make", 340, 101))
    options = (("closed", closed),) if closed else ()
    return Tag(1, (300, 90, 340, 112), "contact", reference, None, ends, options)


@pytest.fixture
def switched(window: DeskWindow, settled: Callable[[DeskWindow], None]) -> DeskWindow:
    """The small sheet with a bank and three contacts, one of which waits on another bank as well."""
    window.desk.edit(lambda job: put_bank(job, INPUT), lay_out=False)
    window.desk.edit(lambda job: put_bank(job, Bank("BAND", ("Long", "Medium"))), lay_out=False)
    for tag in (contact("S1a", "INPUT:Mic"), contact("S1b"), contact("S10", "BAND:Long")):
        window.desk.edit(lambda job, tag=tag: add_tag(job, tag), lay_out=False)
    window.desk.lay_out()
    settled(window)
    return window


def closed(window: DeskWindow) -> dict[str, str]:
    return {tag.reference: dict(tag.options).get("closed", "") for tag in tags(window.desk.job)}  # type: ignore[arg-type]


def test_contacts_are_ticked_with_keys_and_kept_as_one_edit(
    switched: DeskWindow, qtbot: QtBot, settled: Callable[[DeskWindow], None]
) -> None:
    before = closed(switched)
    switched.actions_by_name["contacts"].trigger()
    table = switched.contacts.table
    assert table.contacts() == ["S1a", "S1b", "S10"]
    assert table.hasFocus()
    for key in (Qt.Key.Key_Right, Qt.Key.Key_Space, Qt.Key.Key_Down, Qt.Key.Key_Space, Qt.Key.Key_Down):
        qtbot.keyClick(table, key)
    qtbot.keyClick(table, Qt.Key.Key_Space)
    spoken = table.item(0, 1).data(Qt.ItemDataRole.AccessibleTextRole)
    assert spoken == "S1a closed at Gram"
    qtbot.keyClick(table, Qt.Key.Key_Return)
    assert not switched.contacts.isVisible()
    settled(switched)
    assert closed(switched) == {"S1a": "INPUT:Mic,Gram", "S1b": "INPUT:Gram", "S10": "BAND:Long&INPUT:Gram"}
    assert "contacts of INPUT" in switched.actions_by_name["undo"].text()
    switched.actions_by_name["undo"].trigger()
    settled(switched)
    assert closed(switched) == before


def test_escape_keeps_nothing(switched: DeskWindow, qtbot: QtBot) -> None:
    before = closed(switched)
    switched.contacts.open()
    qtbot.keyClick(switched.contacts.table, Qt.Key.Key_Space)
    qtbot.keyClick(switched.contacts.table, Qt.Key.Key_Escape)
    assert not switched.contacts.isVisible()
    assert closed(switched) == before


def test_a_table_is_read_and_looked_at_before_it_is_kept(switched: DeskWindow, tmp_path: Path) -> None:
    path = tmp_path / "contacts.csv"
    path.write_text("Contact;Mic;Gram;Tape\ns1b;;x;X\n", encoding="utf-8")
    switched.contacts.open()
    switched.contacts.read_file(path)
    assert switched.contacts.table.ticks() == {
        "S1a": {"Mic"},
        "S1b": {"Gram", "Tape"},
        "S10": frozenset(),
    }
    assert closed(switched)["S1b"] == ""
    path.write_text("S9,Mic", encoding="utf-8")
    switched.contacts.read_file(path)
    assert "S9" in switched.contacts.wrong.text()
    switched.contacts.read_file(tmp_path / "none.csv")
    assert "none.csv" in switched.contacts.wrong.text()


def test_a_table_is_written_and_read_back(switched: DeskWindow, tmp_path: Path) -> None:
    path = tmp_path / "written.csv"
    switched.contacts.open()
    switched.contacts.table.turn(1, 2)
    before = switched.contacts.table.ticks()
    switched.contacts.write_file(path)
    assert path.read_text(encoding="utf-8").splitlines()[:2] == ["contact,Mic,Gram,Tape", "S1a,x,,"]
    switched.contacts.table.turn(1, 2)
    switched.contacts.read_file(path)
    assert switched.contacts.table.ticks() == before
    switched.contacts.write_file(tmp_path / "no folder" / "written.csv")
    assert "written.csv" in switched.contacts.wrong.text()


def test_without_a_bank_or_contacts_it_says_what_is_missing(window: DeskWindow) -> None:
    window.actions_by_name["contacts"].trigger()
    assert not window.contacts.isVisible()
    assert "switch bank" in window.slip.label.text()


@pytest.mark.parametrize(
    "text",
    [
        "contact,Mic,Gram,Tape\nS1a,1,0,1\nS1b,-,x,",
        'contact,positions\nS1a,"Mic, Tape"\nS1b,Gram',
        "S1a;Mic/Tape\nS1b;gram",
        "S1a\tMic+Tape\nS1b\tGram\n\n",
    ],
)
def test_tables_are_read_in_the_ways_people_write_them(text: str) -> None:
    assert parse_table(text, INPUT, ["S1a", "S1b"]) == {"S1a": {"Mic", "Tape"}, "S1b": {"Gram"}}


def test_a_position_that_is_not_there_is_refused() -> None:
    with pytest.raises(BadConfirmation, match="Radio"):
        parse_table("S1a,Radio", INPUT, ["S1a"])


def test_what_is_written_is_read_again_and_means_the_same() -> None:
    """The option written is what the circuit's own reading of it says, position by position."""
    ticks = {"S1a": frozenset({"Mic", "Tape"}), "S1b": frozenset({"Gram"})}
    listed = [contact("S1a"), contact("S1b", "INPUT:Mic")]
    made = changed_tags(listed, INPUT, parse_table(print_table(INPUT, ticks), INPUT, ticks))
    assert ticks_of(made, INPUT) == ticks
    for tag in made:
        element = element_of(tag, {"common": "A", "make": "B"})
        for position in INPUT.positions:
            holds = condition_holds(dict(tag.options)["closed"], {"INPUT": frozenset({position})}, element)
            assert holds == (position in ticks[tag.reference])
    assert changed_tags(made, INPUT, ticks) == ()


def test_a_bank_is_made_with_its_style(window: DeskWindow, settled: Callable[[DeskWindow], None]) -> None:
    fields = {edit.accessibleName(): edit for edit in window.setting.findChildren(QLineEdit)}
    fields[words.BANK_ADD].setText("WAVE: Long, Medium, Short")
    (style,) = (
        box for box in window.setting.findChildren(QComboBox) if box.accessibleName() == words.BANK_STYLE
    )
    style.setCurrentText(words.BANK_STYLES[BankStyle.KEYS])
    fields[words.BANK_ADD].returnPressed.emit()
    settled(window)
    assert banks(window.desk.job) == (Bank("WAVE", ("Long", "Medium", "Short"), BankStyle.KEYS),)  # type: ignore[arg-type]


def test_interlocked_keys_stand_one_in_or_none_and_a_bank_s_style_is_changed_in_its_table(
    switched: DeskWindow, qtbot: QtBot, settled: Callable[[DeskWindow], None]
) -> None:
    job = switched.desk.job
    assert job is not None

    def key(position: str) -> QPushButton:
        named = f"INPUT {position}"
        buttons = switched.setting.findChildren(QPushButton)
        return next(b for b in buttons if b.accessibleName() == named and b.isVisible())

    def press(position: str) -> str | None:
        QTest.mouseClick(key(position), Qt.MouseButton.LeftButton)
        settled(switched)
        return switched.desk.state.setting.banks.get("INPUT")

    switched.drawer.open_section(switched.setting)
    assert (press("Gram"), press("Gram")) == ("Gram", "Gram"), "a rotary switch stands somewhere"
    switched.actions_by_name["contacts"].trigger()
    panel = switched.contacts
    panel.style_of.setFocus()
    while panel.style_of.currentData() is not BankStyle.KEYS:
        qtbot.keyClick(panel.style_of, Qt.Key.Key_Down)
    panel.table.setFocus()
    qtbot.keyClick(panel.table, Qt.Key.Key_Return)
    settled(switched)
    assert banks(job)[0] == replace(INPUT, style=BankStyle.KEYS)
    assert (press("Tape"), press("Tape")) == ("Tape", ""), "the key that is in comes out again"
    assert key("none").isChecked(), "no key being in is seen"
    assert (press("Gram"), press("none"), press("none")) == ("Gram", "", ""), "and can be chosen"
    assert "INPUT at none" in switched.strip.setting.text()
    for _ in range(5):
        switched.actions_by_name["undo"].trigger()
        settled(switched)
    assert banks(job)[0] == INPUT


def test_a_contact_that_no_key_being_in_closes_is_ticked_kept_and_written(
    switched: DeskWindow, qtbot: QtBot, settled: Callable[[DeskWindow], None], tmp_path: Path
) -> None:
    job = switched.desk.job
    assert job is not None
    switched.actions_by_name["contacts"].trigger()
    panel = switched.contacts
    assert panel.table.columnCount() == 3, "a rotary switch stands somewhere"
    panel.table.turn(1, 1)
    panel.style_of.setFocus()
    while panel.style_of.currentData() is not BankStyle.KEYS:
        qtbot.keyClick(panel.style_of, Qt.Key.Key_Down)
    heads = [panel.table.horizontalHeaderItem(n) for n in range(panel.table.columnCount())]
    assert [head.text() for head in heads if head is not None] == ["Mic", "Gram", "Tape", "none"]
    assert panel.table.ticks()["S1b"] == {"Gram"}, "what was ticked stays"
    panel.table.setFocus()
    panel.table.setCurrentCell(1, 2)
    qtbot.keyClick(panel.table, Qt.Key.Key_Right)
    qtbot.keyClick(panel.table, Qt.Key.Key_Space)
    panel.write_file(tmp_path / "keys.csv")
    qtbot.keyClick(panel.table, Qt.Key.Key_Return)
    settled(switched)
    assert closed(switched)["S1b"] == "INPUT:Gram,none"
    written = (tmp_path / "keys.csv").read_text(encoding="utf-8")
    assert parse_table(written, banks(job)[0], ["S1a", "S1b", "S10"])["S1b"] == {"Gram", "none"}
    circuit = switched.desk.laid.bench.circuit  # type: ignore[union-attr]
    s1b = next(element for element in circuit.elements if element.reference == "S1b")
    for at, holds in (("", True), ("Gram", True), ("Mic", False)):
        stands = bank_positions(circuit, Setting(banks={"INPUT": at}))
        assert condition_holds(s1b.option("closed") or "", stands, s1b) is holds
    panel.open_bank("INPUT")
    assert "none" in panel.table.ticks()["S1b"]


def test_a_new_bank_asks_for_its_contacts_and_a_bank_s_name_brings_its_line_back(
    switched: DeskWindow, qtbot: QtBot, settled: Callable[[DeskWindow], None]
) -> None:
    job = switched.desk.job
    assert job is not None
    switched.actions_by_name["new_bank"].trigger()
    maker = switched.setting.maker
    assert maker is not None
    qtbot.keyClicks(maker, "WAVE: Long, Short")
    qtbot.keyClick(maker, Qt.Key.Key_Return)
    assert switched.contacts.isVisible()
    table = switched.contacts.table
    assert (switched.contacts.bank.currentText(), table.currentRow()) == ("WAVE", 0)
    qtbot.keyClicks(table, "1b")
    assert table.contacts()[table.currentRow()] == "S1b"
    qtbot.keyClick(table, Qt.Key.Key_Space)
    qtbot.keyClick(table, Qt.Key.Key_Return)
    settled(switched)
    assert "Long" in ticks_of(tags(job), Bank("WAVE", ("Long", "Short")))["S1b"]
    assert switched.setting.maker is not None
    assert switched.setting.maker.hasFocus(), "the next bank can be named"
    named = words.BANK_CHANGE_NAMED.format(bank="WAVE")
    buttons = switched.setting.findChildren(QPushButton)
    name = next(b for b in buttons if b.accessibleName() == named and b.isVisible())
    name.setFocus()
    qtbot.keyClick(name, Qt.Key.Key_Space)
    assert switched.setting.maker.text() == "WAVE: Long, Short"
    qtbot.keyClicks(switched.setting.maker, ", Medium")
    qtbot.keyClick(switched.setting.maker, Qt.Key.Key_Return)
    settled(switched)
    assert banks(job)[-1] == Bank("WAVE", ("Long", "Short", "Medium"))
    assert not switched.contacts.isVisible(), "only a new bank asks"

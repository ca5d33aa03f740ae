"""Everything is listed, searched and sorted; a row shows its place, and the sheet what is listed of it."""

from __future__ import annotations

from collections.abc import Callable

import pytest
import small_sheet
from PyQt6.QtCore import QPoint, Qt
from pytestqt.qtbot import QtBot

from tracer.circuit.elements import Bank
from tracer.desk.listing import HEADS, ListKind, listed
from tracer.desk.pinning import all_pins, keep_pins
from tracer.desk.window import DeskWindow
from tracer.job.banks import banks, put_bank, put_rail, rails
from tracer.job.choices import record_cautions_shown, record_power_applied
from tracer.job.edits import perform
from tracer.job.fitted import fitted_changes
from tracer.job.marks import add_mark, marks
from tracer.job.mends import add_mend, mends
from tracer.job.readings import readings
from tracer.job.records import FittedValue, Mark, MarkKind, Rail, TagTerminal, ValueSource
from tracer.job.tags import add_tag, tags
from tracer.trace.mend import Mend, MendKind

Settled = Callable[[DeskWindow], None]
WHEN = "1990-05-01T09:00:00+00:00"


@pytest.fixture
def full(window: DeskWindow, settled: Settled) -> DeskWindow:
    """The small sheet with one of everything that is listed."""
    desk = window.desk
    for tag in small_sheet.TAGS:
        desk.edit(lambda job, tag=tag: add_tag(job, tag), lay_out=False)
    desk.edit(lambda job: put_rail(job, Rail("HT1")), lay_out=False)
    desk.edit(lambda job: put_bank(job, Bank("INPUT", ("Mic", "Gram"))), lay_out=False)
    desk.edit(lambda job: add_mark(job, Mark(1, 440, 220, MarkKind.REPLACED, WHEN)), lay_out=False)
    desk.edit(lambda job: add_mend(job, Mend(MendKind.NOT_WIRE, 10, 10)), lay_out=False)
    fitted = FittedValue(2, "11k", ValueSource.SERVICE_NOTE, WHEN)
    desk.edit(lambda job: perform(job, "fit", fitted_changes(job, [fitted])), lay_out=False)
    desk.edit(record_cautions_shown, lay_out=False)
    desk.lay_out()
    settled(window)
    window.strip.entered.emit("ht1 chassis")
    settled(window)
    window.strip.entered.emit("15k7")
    settled(window)
    desk.edit(record_power_applied, lay_out=False)
    keep_pins("PX-1", (TagTerminal("a/6", 0, 0), TagTerminal("k/3", 0, 0)))
    return window


def cells(window: DeskWindow) -> list[str]:
    table = window.lists.table
    return [
        " | ".join(table.item(row, column).text() for column in range(table.columnCount()))  # type: ignore[union-attr]
        for row in range(table.rowCount())
        if not table.isRowHidden(row)
    ]


def test_every_list_has_its_rows(full: DeskWindow) -> None:
    assert full.desk.job is not None
    assert full.desk.laid is not None
    rows = {
        kind: listed(kind, full.desk.job, full.desk.laid.bench, full.desk.laid.tints) for kind in ListKind
    }
    assert [row.cells[0] for row in rows[ListKind.PARTS]] == ["E1", "HT1@1", "R1", "R2"]
    assert rows[ListKind.PARTS][3].cells[1] == "10k → 11k service note 1990-05-01"
    joined = [row.cells[1] for row in rows[ListKind.CONDUCTORS]]
    assert "R1 right, R2 top" in joined
    assert [row.cells[1] for row in rows[ListKind.READINGS]] == ["Power applied", "HT1 → chassis"]
    assert [row.cells[:2] for row in rows[ListKind.MARKS]] == [("R2", "replaced")]
    assert [row.cells[0] for row in rows[ListKind.MENDS]] == ["not wire"]
    assert [row.cells[0] for row in rows[ListKind.BANKS_AND_RAILS]] == ["INPUT", "HT1"]
    assert [row.cells for row in rows[ListKind.PINS]] == [("PX1", "k/3 a/6", "2")]
    for kind, found in rows.items():
        assert all(len(row.cells) == len(HEADS[kind]) for row in found)


def test_a_part_is_found_with_keys_and_shown(full: DeskWindow, qtbot: QtBot) -> None:
    full.view.setFocus()
    qtbot.keyClick(full.view, Qt.Key.Key_F, Qt.KeyboardModifier.ControlModifier)
    assert full.lists.search.hasFocus()
    qtbot.keyClicks(full.lists.search, "r2")
    assert [row.split(" | ")[0] for row in cells(full)] == ["R2"]
    full.view.zoom_by(8.0)
    full.view.bring_up(0.0, 0.0)
    qtbot.keyClick(full.lists.search, Qt.Key.Key_Tab)
    full.lists.table.pick(("tag", "2"))
    qtbot.keyClick(full.lists.table, Qt.Key.Key_Return)
    assert full.desk.state.tag == 2
    x, y = full.view.screen_at(440, 225).x(), full.view.screen_at(440, 225).y()
    assert full.view.rect().contains(QPoint(round(x), round(y)))


def test_a_part_picked_on_the_sheet_is_picked_in_the_list(full: DeskWindow) -> None:
    full.desk.pick(tag=1)
    assert full.lists.table.key_at(full.lists.table.currentRow()) == ("tag", "1")


def test_a_head_sorts_as_a_person_counts(full: DeskWindow, settled: Settled) -> None:
    ends = small_sheet.TAGS[1].terminals
    for reference in ("R10", "R9"):
        tag = small_sheet.TAGS[1].__class__(1, (500, 90, 540, 112), "resistor", reference, "1k", ends)
        full.desk.edit(lambda job, tag=tag: add_tag(job, tag), lay_out=False)
    full.lists.search.setText("R")
    full.lists.table.sortItems(0, Qt.SortOrder.DescendingOrder)
    order = [row.split(" | ")[0] for row in cells(full)]
    assert [each for each in order if each.startswith("R")] == ["R10", "R9", "R2", "R1"]


@pytest.mark.parametrize(
    ("kind", "left"),
    [
        (ListKind.BANKS_AND_RAILS, lambda job: [bank.name for bank in banks(job)]),
        (ListKind.MARKS, marks),
        (ListKind.MENDS, mends),
        (ListKind.READINGS, readings),
    ],
)
def test_delete_removes_and_undo_brings_back(
    full: DeskWindow, qtbot: QtBot, settled: Settled, kind: ListKind, left: Callable[[object], object]
) -> None:
    job = full.desk.job
    full.lists.show_list(kind)
    row = 1 if kind is ListKind.READINGS else 0
    full.lists.table.setCurrentCell(row, 0)
    qtbot.keyClick(full.lists.table, Qt.Key.Key_Delete)
    settled(full)
    assert not left(job)
    full.actions_by_name["undo"].trigger()
    settled(full)
    assert left(job)


def test_a_rail_and_a_part_are_removed_and_a_fact_is_not(
    full: DeskWindow, qtbot: QtBot, settled: Settled
) -> None:
    job = full.desk.job
    assert job is not None
    full.lists.show_list(ListKind.BANKS_AND_RAILS)
    full.lists.table.pick(("rail", "HT1"))
    qtbot.keyClick(full.lists.table, Qt.Key.Key_Delete)
    settled(full)
    assert rails(job) == ()
    full.lists.show_list(ListKind.PARTS)
    full.lists.table.pick(("tag", "1"))
    qtbot.keyClick(full.lists.table, Qt.Key.Key_Delete)
    settled(full)
    assert "R1" not in [tag.reference for tag in tags(job)]
    full.lists.show_list(ListKind.READINGS)
    full.lists.table.setCurrentCell(0, 0)
    qtbot.keyClick(full.lists.table, Qt.Key.Key_Delete)
    assert "fact" in full.slip.label.text()


def test_kept_pins_are_forgotten(full: DeskWindow, qtbot: QtBot) -> None:
    full.lists.show_list(ListKind.PINS)
    full.lists.table.setCurrentCell(0, 0)
    qtbot.keyClick(full.lists.table, Qt.Key.Key_Delete)
    assert all_pins() == {}
    assert full.lists.table.rowCount() == 0


def test_what_is_picked_is_looked_at_from_near_by(full: DeskWindow, qtbot: QtBot) -> None:
    full.view.setFocus()
    full.desk.pick(tag=1)
    before = full.view.view.scale
    qtbot.keyClick(full.view, Qt.Key.Key_Z)
    assert full.view.view.scale > before
    assert full.view.view.x == pytest.approx(245, abs=1)
    qtbot.keyClick(full.view, Qt.Key.Key_0, Qt.KeyboardModifier.ControlModifier)
    left, right = full.view.screen_at(0, 0).x(), full.view.screen_at(small_sheet.WIDE, 0).x()
    assert right - left == pytest.approx(full.view.width() * 0.94, rel=0.01)

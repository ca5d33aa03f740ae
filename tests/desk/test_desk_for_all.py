"""For eyes, ears and hands of every kind: names, keys, room for every text."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
import small_sheet
from PyQt6.QtCore import QPoint, Qt
from PyQt6.QtGui import QFont, QFontMetrics
from PyQt6.QtWidgets import (
    QAbstractButton,
    QAbstractItemView,
    QApplication,
    QComboBox,
    QHeaderView,
    QLabel,
    QLineEdit,
    QScrollArea,
    QSlider,
    QWidget,
)
from pytestqt.qtbot import QtBot

from tracer.circuit.elements import Bank, Setting
from tracer.circuit.results import Cause, CauseKind, NextReading
from tracer.desk import words
from tracer.desk.in_lines import in_lines
from tracer.desk.sheet_view import SheetView
from tracer.desk.window import DeskWindow
from tracer.job.banks import put_bank, put_rail
from tracer.job.records import Rail, Tag, TagTerminal
from tracer.job.tags import add_tag

Settled = Callable[[DeskWindow], None]
SPEAKING = (QAbstractButton, QLineEdit, QComboBox, QSlider, QAbstractItemView, SheetView)


@pytest.fixture
def full(window: DeskWindow, settled: Settled) -> DeskWindow:
    """The window with something in every part of it."""
    ends = (TagTerminal("common", 500, 101), TagTerminal("make", 540, 101))
    pot = (TagTerminal("1", 300, 101), TagTerminal("w", 320, 112), TagTerminal("2", 340, 101))
    for tag in (
        *small_sheet.TAGS,
        Tag(1, (500, 90, 540, 112), "contact", "S1a", None, ends, (("closed", "INPUT:Mic"),)),
        Tag(1, (300, 90, 340, 112), "pot", "P1", "500k", pot),
    ):
        window.desk.edit(lambda job, tag=tag: add_tag(job, tag), lay_out=False)
    window.desk.edit(lambda job: put_bank(job, Bank("INPUT", ("Mic", "Gram", "Tape"))), lay_out=False)
    window.desk.edit(lambda job: put_rail(job, Rail("HT1")))
    settled(window)
    for section in window.drawer.sections:
        section.heading.setChecked(True)
    return window


def every_card(window: DeskWindow) -> list[Callable[[], None]]:
    """Return what shows each card in turn."""
    return [
        window.walking.step,
        window.contacts.open,
        window.cautions.open,
        window.keys.open,
        lambda: window.tagging.open_tag(window.overlays.tags[0]),
    ]


def test_everything_that_takes_keys_says_what_it_is(full: DeskWindow) -> None:
    for show in every_card(full):
        show()
    nameless = []
    for widget in full.findChildren(QWidget):
        takes_keys = widget.focusPolicy() != Qt.FocusPolicy.NoFocus
        # What Qt makes for itself (a list's own frame, a menu's extension) has no name of ours.
        own = isinstance(widget, SPEAKING) and not isinstance(widget.parentWidget(), (QComboBox, QHeaderView))
        if not takes_keys or not own or widget.objectName().startswith("qt_"):
            continue
        text = widget.text() if isinstance(widget, QAbstractButton) else ""
        # Headers and the corner of a table, and the list that a box opens, are read with what they belong to.
        within = ("QHeaderView", "QTableCornerButton", "QComboBoxListView")
        if getattr(widget.metaObject(), "className", str)() in within:
            continue
        if not (widget.accessibleName() or text.strip(" ✕⇅↵")):
            nameless.append(f"{type(widget).__name__} in {type(widget.parentWidget()).__name__}")
    assert nameless == []


@pytest.mark.parametrize("times", [1.0, 1.25, 1.5])
def test_no_text_is_cut_off(
    full: DeskWindow, times: float, qtbot: QtBot, make_window: Callable[[Path | None], DeskWindow]
) -> None:
    before = QApplication.font()
    larger = QFont(before)
    larger.setPointSizeF(before.pointSizeF() * times)
    job = full.desk.job
    assert job is not None
    path = job.path
    full.close()
    QApplication.setFont(larger)
    try:
        window = make_window(path)
        window.resize(1400, 1000)
        cut = [name for show in every_card(window) for name in _cut_off(window, show)]
    finally:
        QApplication.setFont(before)
    assert cut == []


def _cut_off(window: DeskWindow, show: Callable[[], None]) -> list[str]:
    show()
    for _ in range(3):
        QApplication.processEvents()
    found = []
    for widget in window.findChildren(QWidget):
        if not widget.isVisible() or not isinstance(widget, (QAbstractButton, QLabel)):
            continue
        if isinstance(widget.parentWidget(), (QHeaderView, QAbstractItemView)) or not widget.text():
            continue
        wraps = isinstance(widget, QLabel) and widget.wordWrap()
        needed = widget.heightForWidth(widget.width()) if wraps else widget.sizeHint().width()
        given = widget.height() if wraps else widget.width()
        if needed > given + 1:
            found.append(f"{widget.text()!r}: {given} of {needed} px")
    window.tagging.leave()
    for card in (window.contacts, window.cautions, window.keys):
        card.hide()
    return found


@pytest.mark.parametrize("size", [(1440, 900), (1200, 800), (960, 540), (800, 640)])
def test_every_cause_and_way_on_has_room_on_its_card(full: DeskWindow, size: tuple[int, int]) -> None:
    full.resize(*size)
    for _ in range(3):
        QApplication.processEvents()
    then = NextReading("V2.anode", "C14.left", Setting(), 1e3, 2e3, 3e3, 0.0, (), ())
    full.causes.show_causes(
        [
            Cause(CauseKind.OPEN, "R1", None, None, weight, "R1 (4k7) is open.", then)
            for weight in (0.4, 0.3, 0.2)
        ]
    )
    assert _cut_off(full, lambda: None) == []
    buttons = [button for button, _ in full.causes._ways]
    assert words.WHY_GO_ON.split()[-1] in buttons[-1].text()
    for button in buttons:
        edge = button.mapTo(full.causes, button.rect().bottomRight())
        assert full.causes.rect().contains(edge), button.text()


def test_the_least_screen_is_enough(full: DeskWindow, qtbot: QtBot) -> None:
    """A full-HD screen at 300 % has 640 × 360 px of type: nothing is cut off, what does not fit scrolls."""
    assert full.drawer.isVisible()
    full.resize(640, 360)
    for _ in range(3):
        QApplication.processEvents()
    assert (full.width(), full.height()) == (640, 360)
    assert not full.drawer.isVisible(), "the drawer folds away"
    cards = (full.card, full.contacts, full.cautions, full.keys)
    for show in every_card(full):
        assert _cut_off(full, show) == []
        show()
        for card in cards:
            where = card.rect().translated(card.mapTo(full, QPoint(0, 0)))
            assert not card.isVisible() or full.rect().contains(where)
        full.tagging.leave()
        for card in cards:
            card.hide()
    for part in (full.strip.entry, full.strip.middle, *full.strip.leads, full.strip.path, full.view):
        where = part.rect().translated(part.mapTo(full, QPoint(0, 0)))
        assert full.rect().contains(where)
        assert part.visibleRegion().boundingRect() == part.rect(), "the line that is measured by is in sight"
    assert full.view.height() >= 100
    qtbot.keyClick(full.view, Qt.Key.Key_F9)
    assert full.drawer.isVisible(), "by hand it comes out all the same"
    qtbot.keyClick(full.view, Qt.Key.Key_F9)
    full.resize(1400, 900)
    for _ in range(3):
        QApplication.processEvents()
    assert not full.drawer.isVisible(), "what was put away by hand stays away"


def test_a_drawer_that_was_folded_away_comes_out_again(full: DeskWindow) -> None:
    full.resize(640, 360)
    QApplication.processEvents()
    assert full.drawer.is_wanted
    full.resize(1400, 900)
    QApplication.processEvents()
    assert full.drawer.isVisible()


def test_the_start_page_scrolls_on_the_least_screen(
    make_window: Callable[[Path | None], DeskWindow],
) -> None:
    window = make_window(None)
    window.resize(640, 360)
    for _ in range(3):
        QApplication.processEvents()
    assert (window.width(), window.height()) == (640, 360)
    assert _cut_off(window, lambda: None) == []
    last = window.start.doors[-1]
    window.start.ensureWidgetVisible(last)
    assert last.visibleRegion().boundingRect() == last.rect()


def test_a_long_line_is_parted_at_its_arrow_and_between_words() -> None:
    metrics = QFontMetrics(QApplication.font())
    text = "then chassis → C3 right"
    wide = metrics.horizontalAdvance(text)
    assert in_lines(text, metrics, wide) == text
    assert in_lines(text, metrics, wide - 1) == "then chassis\n→ C3 right"
    narrow = in_lines(text, metrics, metrics.horizontalAdvance("chassis") + 1)
    assert narrow.split() == text.split()
    assert all(metrics.horizontalAdvance(line) <= wide / 2 for line in narrow.splitlines())


def test_tab_goes_round_all_of_the_drawer(full: DeskWindow, qtbot: QtBot) -> None:
    wanted = {
        widget
        for widget in full.drawer.findChildren(QWidget)
        if isinstance(widget, SPEAKING)
        and widget.isVisible()
        and widget.isEnabled()
        and widget.focusPolicy() & Qt.FocusPolicy.TabFocus
        and not isinstance(widget.parentWidget(), (QScrollArea, QComboBox))
        # Of positions that exclude each other Tab reaches the chosen one, and the arrows the others.
        and not (isinstance(widget, QAbstractButton) and widget.autoExclusive() and not widget.isChecked())
    }
    full.view.setFocus()
    reached: set[QWidget | None] = set()
    for _ in range(200):
        now = QApplication.focusWidget()
        assert now is not None
        if now in reached and now is full.view:
            break
        # The field of a box that can be typed in has the keys in the box's stead.
        reached |= {now, now.parentWidget()} if isinstance(now.parentWidget(), QComboBox) else {now}
        qtbot.keyClick(now, Qt.Key.Key_Tab)
    assert {type(w).__name__ + w.accessibleName() for w in wanted - reached} == set()

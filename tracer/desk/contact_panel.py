"""The card on which the contacts of a switch bank are ticked, as service sheets print them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

from PyQt6.QtCore import Qt, pyqtSignal
from PyQt6.QtGui import QFont, QKeyEvent
from PyQt6.QtWidgets import (
    QComboBox,
    QFileDialog,
    QHBoxLayout,
    QLabel,
    QPushButton,
    QVBoxLayout,
    QWidget,
)

from tracer.circuit.elements import Bank, BankStyle
from tracer.desk import words
from tracer.desk.colours import Look
from tracer.desk.contact_table import changed_tags, parse_table, print_table, ticks_of
from tracer.desk.desk import Desk
from tracer.desk.panels import Panel
from tracer.desk.tick_table import TickTable
from tracer.errors import TracerError
from tracer.job.banks import bank_changes, banks
from tracer.job.edits import perform
from tracer.job.file import Job, transaction
from tracer.job.records import Tag
from tracer.job.tags import changed_tag, tags

__all__ = ["ContactPanel"]


class ContactPanel(Panel):
    """Rows are contacts, columns positions; Space or a press ticks. What is kept is one edit.

    `closed` tells that the card was put away, kept or not.
    """

    closed = pyqtSignal()

    def __init__(self, desk: Desk, look: Look, parent: QWidget) -> None:
        super().__init__(look, parent)
        self._desk = desk
        self.title = QLabel(words.CONTACTS, self)
        font = QFont(self.title.font())
        font.setPointSizeF(font.pointSizeF() * 1.6)
        self.title.setFont(font)
        self.bank = QComboBox(self)
        self.bank.setAccessibleName(words.CONTACTS_BANK)
        self.bank.activated.connect(self._fill)
        self.style_of = QComboBox(self)
        self.style_of.setAccessibleName(words.BANK_STYLE)
        self.style_of.setToolTip(words.BANK_STYLE)
        for style, text in words.BANK_STYLES.items():
            self.style_of.addItem(text, style)
        self.style_of.activated.connect(self._restyle_bank)
        self.table = TickTable(self)
        self.table.left.connect(self.leave)
        self.hint = QLabel(words.CONTACTS_HINT, self)
        self.hint.setWordWrap(True)
        self.hint.setObjectName("faint")
        self.wrong = QLabel(self)
        self.wrong.setWordWrap(True)
        self.wrong.setObjectName("warning")
        self.read = QPushButton(words.CONTACTS_READ, self)
        self.read.clicked.connect(self._choose)
        self.write = QPushButton(words.CONTACTS_WRITE, self)
        self.write.clicked.connect(self._choose_place)
        self.keep = QPushButton(words.CONTACTS_KEEP, self)
        self.keep.clicked.connect(self._keep)
        leave = QPushButton(words.PART_LEAVE, self)
        leave.clicked.connect(self.leave)
        top, buttons = QHBoxLayout(), QHBoxLayout()
        for choice, letters in ((self.bank, 12), (self.style_of, 17)):
            choice.setMinimumContentsLength(letters)
            top.addWidget(choice)
        top.addStretch()
        buttons.addWidget(self.read)
        buttons.addWidget(self.write)
        buttons.addStretch()
        buttons.addWidget(leave)
        buttons.addWidget(self.keep)
        box = QVBoxLayout(self)
        box.setContentsMargins(30, 22, 30, 20)
        box.setSpacing(10)
        box.addWidget(self.title)
        box.addLayout(top)
        for widget in (self.table, self.hint, self.wrong):
            box.addWidget(widget)
        box.addLayout(buttons)

    def open_bank(self, name: str) -> bool:
        """Show the contacts of the bank `name`, if any contact is confirmed; return whether it did."""
        job = self._desk.job
        bank = next((b for b in banks(job) if b.name == name), None) if job is not None else None
        if job is None or bank is None or not ticks_of(tags(job), bank):
            return False
        self.open()
        self.bank.setCurrentText(name)
        self._fill()
        return True

    def open(self) -> None:
        """Show the contacts of the bank shown last, or say what is missing for a table."""
        job = self._desk.job
        stored = banks(job) if job is not None else ()
        if job is None or not stored or not ticks_of(tags(job), stored[0]):
            self._desk.told.emit(words.CONTACTS_NONE)
            return
        before = self.bank.currentText()
        self.bank.clear()
        self.bank.addItems([bank.name for bank in stored])
        self.bank.setCurrentText(before)
        self._fill()
        super().open()
        self.table.setFocus()

    def leave(self) -> None:
        """Close without keeping."""
        self.hide()
        self.closed.emit()

    def read_file(self, path: Path) -> None:
        """Tick what a CSV file says; the other rows stay, and nothing is kept before it is looked at."""
        bank = self._bank()
        if bank is None:
            return
        try:
            text = path.read_text(encoding="utf-8-sig")
            ticks = parse_table(text, bank, self.table.contacts())
        except (OSError, UnicodeDecodeError) as error:
            self._say(words.CONTACTS_UNREAD.format(path=path, error=error))
            return
        except TracerError as error:
            self._say(str(error))
            return
        self._say("")
        self.table.tick({**self.table.ticks(), **ticks})

    def write_file(self, path: Path) -> None:
        """Write the table as it stands, for a spreadsheet or another job; `read_file` reads it back."""
        bank = self._bank()
        if bank is None:
            return
        try:
            path.write_text(print_table(bank, self.table.ticks()), encoding="utf-8")
        except OSError as error:
            self._say(words.CONTACTS_UNWRITTEN.format(path=path, error=error.strerror))
            return
        self._say("")
        self._desk.told.emit(words.CONTACTS_WRITTEN.format(path=path))

    def keyPressEvent(self, a0: QKeyEvent | None) -> None:
        """Keep on Enter, leave on Esc."""
        if a0 is not None and a0.key() == Qt.Key.Key_Escape:
            self.leave()
        elif a0 is not None and a0.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter):
            self._keep()

    def width_wanted(self) -> int:
        """Return room for the hint, or for the table where that is wider."""
        return max(self.fontMetrics().averageCharWidth() * 84, self.table.width_needed() + 80)

    def _stored(self) -> Bank | None:
        stored = banks(self._desk.job) if self._desk.job is not None else ()
        return next((bank for bank in stored if bank.name == self.bank.currentText()), None)

    def _bank(self) -> Bank | None:
        """Return the bank as the card has it now."""
        stored = self._stored()
        return replace(stored, style=BankStyle(self.style_of.currentData())) if stored is not None else None

    def _restyle_bank(self) -> None:
        """Show or take away the column for no key, as the bank's style has it; the ticks stay."""
        bank = self._bank()
        if bank is not None:
            self.table.show_rows(bank, self.table.ticks())
            self.place()

    def _fill(self) -> None:
        bank = self._stored()
        if bank is not None and self._desk.job is not None:
            self._say("")
            self.style_of.setCurrentIndex(self.style_of.findData(bank.style))
            self.table.show_rows(bank, ticks_of(tags(self._desk.job), bank))
            self.place()

    def _keep(self) -> None:
        bank, job = self._bank(), self._desk.job
        if bank is not None and job is not None:
            changed = changed_tags(tags(job), bank, self.table.ticks())
            if changed or bank != self._stored():
                self._desk.edit(lambda job: _keep(job, bank, changed))
            self._desk.told.emit(words.CONTACTS_KEPT.format(bank=bank.name, count=len(changed)))
        self.hide()
        self.closed.emit()

    def _choose(self) -> None:
        name, _ = QFileDialog.getOpenFileName(self, words.CONTACTS_READ, "", words.FILTER_TABLES)
        if name:
            self.read_file(Path(name))

    def _choose_place(self) -> None:
        name, _ = QFileDialog.getSaveFileName(self, words.CONTACTS_WRITE, "", words.FILTER_TABLES)
        if name:
            self.write_file(Path(name))

    def _say(self, text: str) -> None:
        self.wrong.setText(text)
        self.wrong.setVisible(bool(text))
        self.place()


def _keep(job: Job, bank: Bank, changed: Sequence[Tag]) -> None:
    """Store the contacts that a table changed, and how its bank's positions exclude each other: one edit."""
    with transaction(job):
        before = {tag.id: tag for tag in tags(job)}
        changes = [change for tag in changed for change in changed_tag(before[tag.id], tag)]
        if bank not in banks(job):
            changes += bank_changes(job, [bank])
        perform(job, words.SAID_CONTACTS.format(bank=bank.name), changes)

"""The card on which the contacts of a switch bank are ticked, as service sheets print them."""

from __future__ import annotations

from pathlib import Path

from PyQt6.QtCore import Qt, pyqtSignal
from PyQt6.QtGui import QFont, QKeyEvent
from PyQt6.QtWidgets import (
    QAbstractItemView,
    QComboBox,
    QFileDialog,
    QHBoxLayout,
    QHeaderView,
    QLabel,
    QPushButton,
    QTableWidget,
    QTableWidgetItem,
    QVBoxLayout,
    QWidget,
)

from tracer.circuit.elements import Bank
from tracer.desk import words
from tracer.desk.colours import Look
from tracer.desk.contact_table import changed_tags, parse_table, print_table, ticks_of
from tracer.desk.desk import Desk
from tracer.desk.panels import Panel
from tracer.errors import TracerError
from tracer.job.banks import banks
from tracer.job.tags import change_tags, tags

__all__ = ["ContactPanel"]

DOT = "●"
ROWS, NARROW = 12, 6
"""Up to how many rows are shown at once, and up to how many columns fill the card."""


class ContactPanel(Panel):
    """Rows are contacts, columns positions; Space or a press ticks. What is kept is one edit."""

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
        self.table = _Ticks(self)
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
        top.addWidget(self.title, 1)
        top.addWidget(self.bank)
        buttons.addWidget(self.read)
        buttons.addWidget(self.write)
        buttons.addStretch()
        buttons.addWidget(leave)
        buttons.addWidget(self.keep)
        box = QVBoxLayout(self)
        box.setContentsMargins(30, 22, 30, 20)
        box.setSpacing(10)
        box.addLayout(top)
        for widget in (self.hint, self.table, self.wrong):
            box.addWidget(widget)
        box.addLayout(buttons)

    def open(self) -> None:
        """Show the first bank's contacts, or say what is missing for a table."""
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

    def _bank(self) -> Bank | None:
        stored = banks(self._desk.job) if self._desk.job is not None else ()
        return next((bank for bank in stored if bank.name == self.bank.currentText()), None)

    def _fill(self) -> None:
        bank = self._bank()
        if bank is not None and self._desk.job is not None:
            self._say("")
            self.table.show_rows(bank, ticks_of(tags(self._desk.job), bank))
            self.place()

    def _keep(self) -> None:
        bank, job = self._bank(), self._desk.job
        if bank is not None and job is not None:
            changed = changed_tags(tags(job), bank, self.table.ticks())
            if changed:
                said = words.SAID_CONTACTS.format(bank=bank.name)
                self._desk.edit(lambda job: change_tags(job, changed, said))
            self._desk.told.emit(words.CONTACTS_KEPT.format(bank=bank.name, count=len(changed)))
        self.hide()

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


class _Ticks(QTableWidget):
    """A table of dots."""

    left = pyqtSignal()

    def __init__(self, parent: QWidget) -> None:
        super().__init__(parent)
        self._positions: tuple[str, ...] = ()
        self.setAccessibleName(words.CONTACTS)
        self.setEditTriggers(QAbstractItemView.EditTrigger.NoEditTriggers)
        self.setSelectionMode(QAbstractItemView.SelectionMode.SingleSelection)
        self.setTabKeyNavigation(False)
        self.cellClicked.connect(self.turn)
        for header in (self.horizontalHeader(), self.verticalHeader()):
            if header is not None:
                header.setSectionsClickable(False)
                header.setSectionResizeMode(QHeaderView.ResizeMode.ResizeToContents)

    def show_rows(self, bank: Bank, ticks: dict[str, frozenset[str]]) -> None:
        """Show a row for each contact and a column for each position."""
        self._positions = bank.positions
        self.setColumnCount(len(bank.positions))
        self.setRowCount(len(ticks))
        self.setHorizontalHeaderLabels(list(bank.positions))
        self.setVerticalHeaderLabels(list(ticks))
        for row in range(len(ticks)):
            for column in range(len(bank.positions)):
                item = QTableWidgetItem()
                item.setTextAlignment(Qt.AlignmentFlag.AlignCenter)
                self.setItem(row, column, item)
        self.tick(ticks)
        self.setCurrentCell(0, 0)
        head, mode = self.horizontalHeader(), QHeaderView.ResizeMode
        if head is not None:
            narrow = len(bank.positions) <= NARROW
            head.setSectionResizeMode(mode.Stretch if narrow else mode.ResizeToContents)
        high = (head.sizeHint().height() if head is not None else 24) + 6
        self.setFixedHeight(high + self.rowHeight(0) * min(ROWS, len(ticks)))

    def contacts(self) -> list[str]:
        """Return the contacts, row by row."""
        heads = (self.verticalHeaderItem(row) for row in range(self.rowCount()))
        return [head.text() for head in heads if head is not None]

    def ticks(self) -> dict[str, frozenset[str]]:
        """Return what is ticked."""
        return {
            contact: frozenset(p for column, p in enumerate(self._positions) if self._is_on(row, column))
            for row, contact in enumerate(self.contacts())
        }

    def tick(self, ticks: dict[str, frozenset[str]]) -> None:
        """Tick what `ticks` says of each contact."""
        for row, contact in enumerate(self.contacts()):
            for column, position in enumerate(self._positions):
                self._put(row, column, position in ticks.get(contact, ()))

    def turn(self, row: int, column: int) -> None:
        """Tick a cell, or take its tick away."""
        self._put(row, column, not self._is_on(row, column))

    def width_needed(self) -> int:
        """Return how wide the whole table is, px."""
        head = self.verticalHeader()
        wide = head.sizeHint().width() if head is not None else 0
        return wide + sum(self.columnWidth(column) for column in range(self.columnCount())) + 16

    def keyPressEvent(self, e: QKeyEvent | None) -> None:
        """Tick with Space; Esc and Enter are the card's."""
        if e is not None and e.key() == Qt.Key.Key_Space:
            self.turn(self.currentRow(), self.currentColumn())
        elif e is not None and e.key() in (Qt.Key.Key_Escape, Qt.Key.Key_Return, Qt.Key.Key_Enter):
            e.ignore()
        else:
            super().keyPressEvent(e)

    def _is_on(self, row: int, column: int) -> bool:
        item = self.item(row, column)
        return item is not None and item.text() == DOT

    def _put(self, row: int, column: int, on: bool) -> None:
        item, head = self.item(row, column), self.verticalHeaderItem(row)
        if item is not None and head is not None:
            item.setText(DOT if on else "")
            said = words.CONTACT_CLOSED if on else words.CONTACT_OPEN
            spoken = said.format(contact=head.text(), position=self._positions[column])
            item.setData(Qt.ItemDataRole.AccessibleTextRole, spoken)

"""A table of contacts by positions, a dot where a contact is closed."""

from __future__ import annotations

from PyQt6.QtCore import QElapsedTimer, QSize, Qt, pyqtSignal
from PyQt6.QtGui import QKeyEvent
from PyQt6.QtWidgets import (
    QAbstractItemView,
    QApplication,
    QHeaderView,
    QTableWidget,
    QTableWidgetItem,
    QWidget,
)

from tracer.circuit.conditions import condition_positions
from tracer.circuit.elements import Bank
from tracer.desk import words

__all__ = ["TickTable"]

DOT = "●"
ROWS, NARROW = 12, 6
"""Up to how many rows are shown at once, and up to how many columns fill the card."""


class TickTable(QTableWidget):
    """A table of dots."""

    left = pyqtSignal()

    def __init__(self, parent: QWidget) -> None:
        super().__init__(parent)
        self._positions: tuple[str, ...] = ()
        self._typed, self._typed_at = "", QElapsedTimer()
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
        """Show a row for each contact and a column for each position, and for no key where that can be."""
        self._positions = condition_positions(bank)
        self.setColumnCount(len(self._positions))
        self.setRowCount(len(ticks))
        self.setHorizontalHeaderLabels(list(self._positions))
        self.setVerticalHeaderLabels(list(ticks))
        no_key = self.horizontalHeaderItem(len(bank.positions))
        if no_key is not None:
            no_key.setToolTip(words.CONTACTS_NO_KEY)
        for row in range(len(ticks)):
            for column in range(len(self._positions)):
                item = QTableWidgetItem()
                item.setTextAlignment(Qt.AlignmentFlag.AlignCenter)
                self.setItem(row, column, item)
        self.tick(ticks)
        self.setCurrentCell(0, 0)
        head, mode = self.horizontalHeader(), QHeaderView.ResizeMode
        if head is not None:
            narrow = len(self._positions) <= NARROW
            head.setSectionResizeMode(mode.Stretch if narrow else mode.ResizeToContents)
        high = (head.sizeHint().height() if head is not None else 24) + 6
        # The card gives it this height where it can; in a low window the table scrolls.
        self.setMaximumHeight(high + self.rowHeight(0) * min(ROWS, len(ticks)))
        self.setMinimumHeight(high + self.rowHeight(0) * min(2, len(ticks)))
        self.updateGeometry()

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

    def sizeHint(self) -> QSize:
        """Return the height of the rows that are shown at once."""
        return QSize(super().sizeHint().width(), self.maximumHeight())

    def keyPressEvent(self, e: QKeyEvent | None) -> None:
        """Tick with Space; Esc and Enter are the card's."""
        if e is not None and e.key() == Qt.Key.Key_Space:
            self.turn(self.currentRow(), self.currentColumn())
        elif e is not None and e.key() in (Qt.Key.Key_Escape, Qt.Key.Key_Return, Qt.Key.Key_Enter):
            e.ignore()
        else:
            super().keyPressEvent(e)

    def keyboardSearch(self, search: str | None) -> None:
        """Go to the contact whose name has what is typed: 3 for S3, 1c for S1c."""
        rested = self._typed_at.isValid() and self._typed_at.elapsed() > QApplication.keyboardInputInterval()
        self._typed = ("" if rested else self._typed) + (search or "").casefold()
        self._typed_at.restart()
        names = [name.casefold() for name in self.contacts()]
        for wanted in (self._typed, (search or "").casefold()):
            row = next((n for n, name in enumerate(names) if wanted in name), None)
            if row is not None:
                self._typed = wanted
                self.setCurrentCell(row, max(0, self.currentColumn()))
                return

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

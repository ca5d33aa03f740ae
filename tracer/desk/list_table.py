"""The table of a list: rows that are shown, removed, sorted and searched."""

from __future__ import annotations

from PyQt6.QtCore import Qt, pyqtSignal
from PyQt6.QtGui import QKeyEvent
from PyQt6.QtWidgets import QAbstractItemView, QHeaderView, QTableWidget, QTableWidgetItem, QWidget

from tracer.desk import words
from tracer.desk.colours import Look
from tracer.desk.listing import Row
from tracer.desk.natural import natural

__all__ = ["ListTable"]

ROWS = 11
"""How many rows are in sight before the table scrolls."""


class ListTable(QTableWidget):
    """Rows that Enter shows and Delete removes; a press on a head sorts."""

    entered = pyqtSignal(int)
    deleted = pyqtSignal()

    def __init__(self, parent: QWidget) -> None:
        super().__init__(parent)
        self.setAccessibleName(words.SECTION_LISTS)
        self.setEditTriggers(QAbstractItemView.EditTrigger.NoEditTriggers)
        self.setSelectionBehavior(QAbstractItemView.SelectionBehavior.SelectRows)
        self.setSelectionMode(QAbstractItemView.SelectionMode.SingleSelection)
        self.setTabKeyNavigation(False)
        self.setShowGrid(False)
        self.setWordWrap(False)
        side, head = self.verticalHeader(), self.horizontalHeader()
        if side is not None:
            side.hide()
            side.setDefaultSectionSize(round(1.75 * self.fontMetrics().height()))
        if head is not None:
            head.setSortIndicatorShown(True)
            head.setDefaultAlignment(Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignVCenter)

    def fill(self, heads: tuple[str, ...], rows: tuple[Row, ...], look: Look) -> None:
        """Show `rows` in their own order, until a head is pressed."""
        self.setSortingEnabled(False)
        self.setColumnCount(len(heads))
        self.setHorizontalHeaderLabels(list(heads))
        self.setRowCount(len(rows))
        for number, row in enumerate(rows):
            for column, text in enumerate(row.cells):
                item = _Item(text)
                item.setData(Qt.ItemDataRole.UserRole, row.key)
                item.setToolTip(text)
                if row.faded:
                    font = item.font()
                    font.setStrikeOut(True)
                    item.setFont(font)
                    item.setForeground(look.faint)
                self.setItem(number, column, item)
        head = self.horizontalHeader()
        if head is not None:
            head.setSortIndicator(-1, Qt.SortOrder.AscendingOrder)
            mode = QHeaderView.ResizeMode
            for column in range(len(heads)):
                head.setSectionResizeMode(column, mode.Stretch if column == 1 else mode.ResizeToContents)
        self.setSortingEnabled(True)
        high = self.rowHeight(0) if rows else 0
        frame = (head.sizeHint().height() if head is not None else 24) + 8
        self.setFixedHeight(frame + high * min(ROWS, len(rows)))

    def filter(self, text: str) -> int:
        """Hide the rows without `text`; return how many are left."""
        wanted, shown = text.casefold(), 0
        for row in range(self.rowCount()):
            items = (self.item(row, column) for column in range(self.columnCount()))
            fits = any(wanted in item.text().casefold() for item in items if item is not None)
            self.setRowHidden(row, not fits)
            shown += fits
        return shown

    def key_at(self, row: int) -> tuple[str, str] | None:
        """Return what a row stands for."""
        item = self.item(row, 0)
        return item.data(Qt.ItemDataRole.UserRole) if item is not None else None

    def pick(self, key: tuple[str, str]) -> None:
        """Pick the row that stands for `key`, and bring it into sight."""
        for row in range(self.rowCount()):
            if self.key_at(row) == key:
                self.setCurrentCell(row, 0)
                return

    def keyPressEvent(self, e: QKeyEvent | None) -> None:
        """Show a row's place with Enter, remove with Delete."""
        if e is not None and e.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter):
            self.entered.emit(self.currentRow())
        elif e is not None and e.key() == Qt.Key.Key_Delete:
            self.deleted.emit()
        else:
            super().keyPressEvent(e)


class _Item(QTableWidgetItem):
    """Sorts as a person counts: R2 before R10."""

    def __lt__(self, other: QTableWidgetItem) -> bool:
        return natural(self.text()) < natural(other.text())

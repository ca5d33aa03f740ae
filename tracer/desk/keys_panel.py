"""One sheet with every key on it, set in as many columns as the window has room for."""

from __future__ import annotations

from collections.abc import Iterable

from PyQt6.QtCore import Qt
from PyQt6.QtGui import QFont, QKeyEvent
from PyQt6.QtWidgets import QGridLayout, QHBoxLayout, QLabel, QScrollArea, QVBoxLayout, QWidget

from tracer.desk import words
from tracer.desk.colours import Look
from tracer.desk.panels import Panel, heading

__all__ = ["KeysPanel"]

Group = tuple[str, tuple[tuple[str, str], ...]]
"""A heading, and under it keys and what they do."""

COLUMN = 47
"""How wide a column is, in the width of a usual letter."""

MOST = 4


class KeysPanel(Panel):
    """Every key and what it does, by menu."""

    def __init__(self, look: Look, parent: QWidget, groups: Iterable[Group]) -> None:
        super().__init__(look, parent)
        self._groups = tuple(groups)
        self._columns = 0
        self._inner = QWidget(self)
        self._scroll = QScrollArea(self)
        self._scroll.setWidgetResizable(True)
        self._scroll.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        self._scroll.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        close = QLabel(words.KEYS_CLOSE, self)
        close.setObjectName("faint")
        box = QVBoxLayout(self)
        box.setContentsMargins(26, 18, 18, 14)
        box.addWidget(heading(words.KEYS_TITLE, self))
        box.addWidget(self._scroll, 1)
        box.addWidget(close)

    def place(self) -> None:
        """Lie in the middle, set anew where the number of columns is another."""
        parent, layout = self.parentWidget(), self.layout()
        if parent is None or layout is None:
            return
        column = self.fontMetrics().averageCharWidth() * COLUMN
        room = parent.width() - 24
        columns = max(1, min(MOST, (room - 60) // column))
        if columns != self._columns:
            self._columns = columns
            self._set_in(columns)
        wide = min(room, columns * column + 60)
        inner = self._inner.layout()
        text = inner.totalSizeHint().height() if inner is not None else 0
        rest = layout.totalSizeHint().height() - self._scroll.sizeHint().height()
        high = min(parent.height() - 16, text + rest + 12)
        self.setGeometry((parent.width() - wide) // 2, (parent.height() - high) // 2, wide, high)

    def _set_in(self, columns: int) -> None:
        """Fill the columns one after the other, a group being parted only where it must be."""
        rows = sum(len(group) + 2 for _, group in self._groups)
        self._inner = QWidget()
        across = QHBoxLayout(self._inner)
        across.setContentsMargins(0, 0, 10, 0)
        across.setSpacing(22)
        least = -(-rows // columns)
        groups = list(self._groups)
        for number in range(columns):
            cell = QGridLayout()
            cell.setColumnStretch(1, 1)
            cell.setHorizontalSpacing(12)
            cell.setVerticalSpacing(3)
            filled = 0
            last = number == columns - 1
            while groups and (last or filled + (len(groups[0][1]) + 2) // 2 < least):
                filled += self._add(cell, *groups.pop(0))
            cell.setRowStretch(cell.rowCount(), 1)
            across.addLayout(cell, 1)
        self._scroll.setWidget(self._inner)

    def _add(self, cell: QGridLayout, title: str, keys: tuple[tuple[str, str], ...]) -> int:
        bold = QFont(self.font())
        bold.setBold(True)
        name = QLabel(title.replace("&", ""), self._inner)
        name.setObjectName("faint")
        name.setFont(bold)
        cell.addWidget(name, cell.rowCount(), 0, 1, 2)
        for key, text in keys:
            row = cell.rowCount()
            press, said = QLabel(key, self._inner), QLabel(text, self._inner)
            press.setFont(bold)
            said.setWordWrap(True)
            cell.addWidget(press, row, 0, Qt.AlignmentFlag.AlignTop | Qt.AlignmentFlag.AlignRight)
            cell.addWidget(said, row, 1, Qt.AlignmentFlag.AlignTop)
        cell.setRowMinimumHeight(cell.rowCount(), 6)
        return len(keys) + 2

    def keyPressEvent(self, a0: QKeyEvent | None) -> None:
        """Move with the arrows where not all fits; any other key closes."""
        bar = self._scroll.verticalScrollBar()
        steps = {Qt.Key.Key_Down: 40, Qt.Key.Key_Up: -40, Qt.Key.Key_PageDown: 300, Qt.Key.Key_PageUp: -300}
        step = next((by for key, by in steps.items() if a0 is not None and a0.key() == key), None)
        if step is not None and bar is not None and bar.maximum() > 0:
            bar.setValue(bar.value() + step)
        else:
            self.hide()

    def mousePressEvent(self, a0: object) -> None:
        """Close on a press."""
        self.hide()

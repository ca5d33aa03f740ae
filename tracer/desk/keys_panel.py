"""One sheet with every key on it, set in as many columns as the window has room for."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from PyQt6.QtCore import Qt
from PyQt6.QtGui import QFont, QKeyEvent
from PyQt6.QtWidgets import QGridLayout, QHBoxLayout, QLabel, QScrollArea, QVBoxLayout, QWidget

from tracer.desk import words
from tracer.desk.colours import Look
from tracer.desk.panels import Panel, heading

__all__ = ["KeysPanel", "shared_out"]

Row = tuple[str, str]
"""Keys and what they do; without keys, the heading of what follows."""

Group = tuple[str, tuple[Row, ...]]
"""A heading, and under it keys and what they do."""

COLUMN = 45
"""How wide a column is, in the width of a usual letter."""

MOST = 4

LINE = 25
"""About how many letters a line of a column holds."""


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
        text = inner.totalHeightForWidth(wide - 70) if inner is not None else 0
        rest = layout.totalSizeHint().height() - self._scroll.sizeHint().height()
        high = min(parent.height() - 16, text + rest + 12)
        self.setGeometry((parent.width() - wide) // 2, (parent.height() - high) // 2, wide, high)

    def _set_in(self, columns: int) -> None:
        """Fill the columns one after the other, each about as high as the others."""
        self._inner = QWidget()
        across = QHBoxLayout(self._inner)
        across.setContentsMargins(0, 0, 10, 0)
        across.setSpacing(22)
        rows = [("", title.replace("&", "")) for title, _ in self._groups]
        rows = [row for head, (_, keys) in zip(rows, self._groups, strict=True) for row in (head, *keys)]
        cells = [QGridLayout() for _ in range(columns)]
        for cell, listed in zip(cells, shared_out(rows, columns), strict=True):
            for row in listed:
                self._add(cell, *row)
            cell.setColumnStretch(1, 1)
            cell.setHorizontalSpacing(12)
            cell.setVerticalSpacing(3)
            cell.setRowStretch(cell.rowCount(), 1)
            across.addLayout(cell, 1)
        self._scroll.setWidget(self._inner)

    def _add(self, cell: QGridLayout, key: str, text: str) -> None:
        """Add a key and what it does, or without a key the name of what follows."""
        bold = QFont(self.font())
        bold.setBold(True)
        row, said = cell.rowCount(), QLabel(text, self._inner)
        if not key:
            said.setObjectName("faint")
            said.setFont(bold)
            cell.addWidget(said, row, 0, 1, 2)
            return
        press = QLabel(key, self._inner)
        press.setFont(bold)
        said.setWordWrap(True)
        cell.addWidget(press, row, 0, Qt.AlignmentFlag.AlignTop)
        cell.addWidget(said, row, 1, Qt.AlignmentFlag.AlignTop)

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


def shared_out(rows: Sequence[Row], columns: int) -> list[list[Row]]:
    """Share rows out over columns, in their order, so that the highest column is as low as can be.

    A heading (a row without a key) goes where the row after it goes.

    Examples
    --------
    >>> rows = [("", "Job"), ("A", "x"), ("B", "y"), ("", "View"), ("C", "z")]
    >>> [len(column) for column in shared_out(rows, 2)]
    [3, 2]
    """
    least, most = 1, sum(_lines(text) + 1 for _, text in rows)
    while least < most:
        middle = (least + most) // 2
        if len(_filled(rows, middle)) <= columns:
            most = middle
        else:
            least = middle + 1
    filled = _filled(rows, least)
    return [*filled, *([] for _ in range(columns - len(filled)))]


def _filled(rows: Sequence[Row], room: int) -> list[list[Row]]:
    """Fill columns of so many lines one after the other."""
    columns: list[list[Row]] = [[]]
    used = 0
    for (key, text), (_, after) in zip(rows, [*rows[1:], ("", "")], strict=True):
        high = _lines(text)
        if used + high + (_lines(after) if not key else 0) > room and used:
            columns.append([])
            used = 0
        columns[-1].append((key, text))
        used += high
    return columns


def _lines(text: str) -> int:
    """About how many lines `text` takes in a column."""
    return 1 + len(text) // LINE

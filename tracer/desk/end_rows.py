"""The ends of the part on the card: a field for each name, and the wire that each sits on."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from PyQt6.QtCore import QObject, pyqtSignal
from PyQt6.QtWidgets import QGridLayout, QLabel, QWidget

from tracer.desk import words
from tracer.desk.end_field import EndField
from tracer.job.records import TagTerminal

__all__ = ["EndRows"]

ACROSS = 2
"""How many ends stand beside each other."""


class EndRows(QWidget):
    """Fields for the ends' names. `typed` tells of each letter, `named` carries the field that was left."""

    typed = pyqtSignal()
    named = pyqtSignal(object)

    def __init__(self, watcher: QObject, parent: QWidget) -> None:
        super().__init__(parent)
        self._watcher = watcher
        self.fields: list[EndField] = []
        self._grid = QGridLayout(self)
        self._grid.setContentsMargins(0, 0, 0, 0)

    def show_ends(
        self, ends: Sequence[TagTerminal], conductor_of: Callable[[TagTerminal], int | None], hint: str
    ) -> None:
        """Show a field for each of `ends`; `hint` stands in one without a name."""
        while (item := self._grid.takeAt(0)) is not None:
            old = item.widget()
            if old is not None:
                old.hide()
                old.deleteLater()
        self.fields = []
        for end in ends:
            conductor = conductor_of(end)
            where = words.PART_NO_CONDUCTOR if conductor is None else words.PART_ON.format(number=conductor)
            self._add(end, where, hint)

    def _add(self, end: TagTerminal, where: str, hint: str) -> None:
        field, label = EndField(end.name, self), QLabel(where, self)
        field.editingFinished.connect(lambda: self.named.emit(field))
        field.textEdited.connect(lambda _: self.typed.emit())
        field.setAccessibleName(f"{words.PART_TERMINALS}: {where}")
        field.setPlaceholderText(hint)
        field.installEventFilter(self._watcher)
        label.setObjectName("faint")
        row, column = divmod(len(self.fields), ACROSS)
        number = QLabel(str(len(self.fields) + 1), self)
        for place, widget in enumerate((number, field, label)):
            self._grid.addWidget(widget, row, 3 * column + place)
            widget.show()
        self.fields.append(field)

    def names(self) -> list[str]:
        """Return the names as typed so far."""
        return [field.text().strip() for field in self.fields]

    def put_in_order(self, before: QWidget, after: QWidget) -> None:
        """Let Tab go from `before` through the fields to `after`."""
        for field in self.fields:
            QWidget.setTabOrder(before, field)
            before = field
        QWidget.setTabOrder(before, after)

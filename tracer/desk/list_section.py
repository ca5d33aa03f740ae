"""Everything the job holds, in one table to be searched and sorted; a row shows its place on the sheet."""

from __future__ import annotations

from PyQt6.QtCore import pyqtSignal
from PyQt6.QtWidgets import QComboBox, QLabel, QVBoxLayout, QWidget

from tracer.desk import words
from tracer.desk.colours import Look
from tracer.desk.desk import Desk
from tracer.desk.field import Field
from tracer.desk.list_table import ListTable
from tracer.desk.listing import HEADS, ListKind, Row, listed
from tracer.desk.state import State

__all__ = ["ListSection"]


class ListSection(QWidget):
    """A list is chosen, searched and sorted. `picked` and `removed` carry a `Row`."""

    picked = pyqtSignal(object)
    removed = pyqtSignal(object)

    def __init__(self, desk: Desk, look: Look, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._desk, self._look = desk, look
        self._rows: tuple[Row, ...] = ()
        self.kind = QComboBox(self)
        self.kind.setAccessibleName(words.LIST_KIND)
        for kind, name in zip(ListKind, words.LIST_NAMES, strict=True):
            self.kind.addItem(name, kind)
        self.kind.currentIndexChanged.connect(self._turn)
        self.search = Field(self)
        self.search.setPlaceholderText(words.LIST_FIND)
        self.search.setAccessibleName(words.LIST_FIND)
        self.search.textChanged.connect(self._filter)
        self.table = ListTable(self)
        self.table.cellClicked.connect(lambda row, _: self._pick(row))
        self.table.entered.connect(self._pick)
        self.table.deleted.connect(self._remove)
        self.count = QLabel(self)
        self.count.setObjectName("faint")
        self.count.setWordWrap(True)
        box = QVBoxLayout(self)
        box.setContentsMargins(0, 0, 0, 0)
        for widget in (self.kind, self.search, self.table, self.count):
            box.addWidget(widget)
        for signal in (desk.opened, desk.changed, desk.laid_out):
            signal.connect(self.refresh)
        desk.state_changed.connect(self._follow)
        self._turn()

    def restyle(self, look: Look) -> None:
        """Draw in other colours."""
        self._look = look
        self.refresh()

    def show_list(self, kind: ListKind) -> None:
        """Turn to another list."""
        self.kind.setCurrentIndex(self.kind.findData(kind))

    def refresh(self) -> None:
        """Show the list as it is now; what was picked stays picked."""
        job, laid = self._desk.job, self._desk.laid
        kind = self._kind()
        bench, tints = (laid.bench, laid.tints) if laid is not None else (None, {})
        rows = listed(kind, job, bench, tints) if job is not None else ()
        if rows != self._rows or self.table.columnCount() != len(HEADS[kind]):
            before = self._picked()
            self._rows = rows
            self.table.fill(HEADS[kind], rows, self._look)
            if before is not None:
                self.table.pick(before.key)
        self._filter(self.search.text())

    def _turn(self) -> None:
        self._rows = ()
        self.table.setColumnCount(0)
        self.refresh()

    def _kind(self) -> ListKind:
        return ListKind(self.kind.currentData())

    def _filter(self, text: str) -> None:
        shown = self.table.filter(text)
        whole = len(self._rows)
        said = words.LIST_COUNT.format(shown=shown, whole=whole) if whole else words.LIST_NONE
        self.count.setText(said)

    def _follow(self, old: State, new: State) -> None:
        """Pick the row of what is picked on the sheet."""
        kind = self._kind()
        if kind is ListKind.PARTS and old.tag != new.tag and new.tag is not None:
            self.table.pick(("tag", str(new.tag)))
        elif kind is ListKind.CONDUCTORS and new.conductor is not None and old.conductor != new.conductor:
            self.table.pick(("conductor", f"{new.sheet} {new.conductor}"))

    def _picked(self) -> Row | None:
        return self._at(self.table.currentRow())

    def _at(self, row: int) -> Row | None:
        key = self.table.key_at(row)
        return next((each for each in self._rows if each.key == key), None)

    def _pick(self, row: int) -> None:
        found = self._at(row)
        if found is not None:
            self.picked.emit(found)

    def _remove(self) -> None:
        found = self._picked()
        if found is not None:
            self.removed.emit(found)

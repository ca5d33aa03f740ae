"""The sheets of a job as leaves sticking out at the upper left, when there is more than one."""

from __future__ import annotations

from PyQt6.QtCore import Qt
from PyQt6.QtWidgets import QHBoxLayout, QPushButton, QWidget

from tracer.desk import words
from tracer.desk.colours import Look
from tracer.desk.desk import Desk
from tracer.desk.state import State
from tracer.job.sheets import sheets

__all__ = ["Leaves"]


class Leaves(QWidget):
    """One leaf a sheet; a press turns to it."""

    def __init__(self, desk: Desk, look: Look, parent: QWidget) -> None:
        super().__init__(parent)
        self.setObjectName("leaves")
        self._desk = desk
        self._row = QHBoxLayout(self)
        self._row.setContentsMargins(10, 0, 0, 0)
        self._row.setSpacing(2)
        self.leaves: dict[int, QPushButton] = {}
        self.restyle(look)
        desk.opened.connect(self.refresh)
        desk.changed.connect(self.refresh)
        desk.state_changed.connect(self._follow)
        self.refresh()

    def restyle(self, look: Look) -> None:
        """Draw in other colours."""
        self.setStyleSheet(
            f"""#leaves QPushButton {{ background: {look.card.name()}; color: {look.faint.name()};
                border: 1px solid {look.edge.name()}; border-top: none; padding: 4px 12px; }}
            #leaves QPushButton:checked {{ background: {look.paper.name()}; color: {look.text.name()};
                border-bottom: 3px solid {look.band.name()}; }}"""
        )

    def refresh(self) -> None:
        """Show the sheets that the job has now."""
        job = self._desk.job
        listed = sheets(job) if job is not None else ()
        if [sheet.number for sheet in listed] != list(self.leaves):
            for leaf in self.leaves.values():
                self._row.removeWidget(leaf)
                leaf.hide()
                leaf.deleteLater()
            self.leaves = {sheet.number: self._leaf(sheet.number, sheet.name) for sheet in listed}
        self.setVisible(len(listed) > 1)
        self._mark(self._desk.state.sheet)
        self.adjustSize()
        self.raise_()

    def _leaf(self, number: int, name: str) -> QPushButton:
        leaf = QPushButton(str(number), self)
        leaf.setCheckable(True)
        leaf.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        leaf.setToolTip(name)
        leaf.setAccessibleName(words.LEAF.format(number=number, name=name))
        leaf.clicked.connect(lambda _checked=False, number=number: self._desk.turn(number))
        self._row.addWidget(leaf)
        leaf.show()
        return leaf

    def _follow(self, old: State, new: State) -> None:
        if old.sheet != new.sheet:
            self._mark(new.sheet)

    def _mark(self, shown: int) -> None:
        for number, leaf in self.leaves.items():
            leaf.setChecked(number == shown)

"""What is still to be seen to: what does not fit, proposals not answered, joins in doubt."""

from __future__ import annotations

from PyQt6.QtCore import Qt, pyqtSignal
from PyQt6.QtWidgets import QLabel, QPushButton, QVBoxLayout, QWidget

from tracer.desk import words
from tracer.desk.cornering import Cornering
from tracer.desk.desk import Desk
from tracer.desk.doubts import Doubts
from tracer.desk.notes import unanswered
from tracer.desk.state import State

__all__ = ["DoubtsSection"]

ROWS = 9


class DoubtsSection(QWidget):
    """Counts what is left and goes through it. `counted` carries how many things are left to see to."""

    counted = pyqtSignal(int)
    proposals_wanted = pyqtSignal()
    joins_wanted = pyqtSignal()
    corners_wanted = pyqtSignal()
    notes_wanted = pyqtSignal()

    def __init__(
        self, desk: Desk, doubts: Doubts, cornering: Cornering, parent: QWidget | None = None
    ) -> None:
        super().__init__(parent)
        self._desk, self._doubts, self._cornering = desk, doubts, cornering
        self.proposals, self.joins, self.corners, self.notes = (QPushButton(self) for _ in range(4))
        self.corners.setText(words.SEE_CORNERS)
        self.corners.clicked.connect(self.corners_wanted)
        self.notes.setText(words.SEE_NOTES)
        self.notes.clicked.connect(self.notes_wanted)
        self.proposals.clicked.connect(self.proposals_wanted)
        self.joins.clicked.connect(self.joins_wanted)
        self.text = QLabel(self)
        self.text.setWordWrap(True)
        self.text.setTextInteractionFlags(Qt.TextInteractionFlag.TextSelectableByMouse)
        box = QVBoxLayout(self)
        box.setContentsMargins(0, 0, 0, 0)
        for widget in (self.corners, self.notes, self.proposals, self.joins, self.text):
            box.addWidget(widget)
        for signal in (desk.laid_out, desk.opened, desk.changed, desk.lit, cornering.found):
            signal.connect(self.refresh)
        desk.state_changed.connect(self._follow)
        self.refresh()

    def refresh(self) -> None:
        """Show what is left on the sheet in view, the bench's warnings, and readings that count no more."""
        laid = self._desk.laid
        offered, doubted = len(self._desk.proposals_in_view()), len(self._doubts.joins())
        self.proposals.setText(words.SEE_PROPOSALS.format(count=offered))
        self.joins.setText(words.SEE_JOINS.format(count=doubted))
        noted = len(unanswered(self._desk.notes_in_view(), self._desk.ways_in_view()))
        self.corners.setVisible(self._cornering.is_open)
        self.notes.setVisible(noted > 0)
        self.proposals.setVisible(offered > 0)
        self.joins.setVisible(doubted > 0)
        told: list[str] = []
        if laid is not None:
            told = [*laid.bench.warnings, *(sentence for _, sentence in laid.standing.skipped)]
        shown = told[:ROWS]
        if len(told) > ROWS:
            shown.append(words.DOUBTS_MORE.format(count=len(told) - ROWS))
        none = "" if offered or doubted or noted or self._cornering.is_open else words.DOUBTS_NONE
        self.text.setText("\n\n".join(shown) or none)
        self.counted.emit(offered + doubted + len(told) + noted + self._cornering.is_open)

    def _follow(self, old: State, new: State) -> None:
        if old.sheet != new.sheet:
            self.refresh()

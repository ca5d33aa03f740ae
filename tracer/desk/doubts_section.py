"""What does not fit yet."""

from __future__ import annotations

from PyQt6.QtCore import Qt
from PyQt6.QtWidgets import QLabel, QVBoxLayout, QWidget

from tracer.desk import words
from tracer.desk.desk import Desk

__all__ = ["DoubtsSection"]

ROWS = 9


class DoubtsSection(QWidget):
    """What does not fit yet: tags off their wires, values that cannot be read."""

    def __init__(self, desk: Desk, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._desk = desk
        self.text = QLabel(self)
        self.text.setWordWrap(True)
        self.text.setTextInteractionFlags(Qt.TextInteractionFlag.TextSelectableByMouse)
        box = QVBoxLayout(self)
        box.setContentsMargins(0, 0, 0, 0)
        box.addWidget(self.text)
        desk.laid_out.connect(self.refresh)
        desk.opened.connect(self.refresh)
        self.refresh()

    def refresh(self) -> None:
        """Show the bench's warnings, and readings that no longer count."""
        laid = self._desk.laid
        told: list[str] = []
        if laid is not None:
            told = [*laid.bench.warnings, *(sentence for _, sentence in laid.standing.skipped)]
        shown = told[:ROWS]
        if len(told) > ROWS:
            shown.append(words.DOUBTS_MORE.format(count=len(told) - ROWS))
        self.text.setText("\n\n".join(shown) or words.DOUBTS_NONE)

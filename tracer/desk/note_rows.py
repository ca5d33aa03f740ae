"""The notes of a sheet that say how its values are meant, each to be taken or left."""

from __future__ import annotations

from collections.abc import Sequence

from PyQt6.QtCore import pyqtSignal
from PyQt6.QtWidgets import QHBoxLayout, QLabel, QPushButton, QVBoxLayout, QWidget

from tracer.desk import words
from tracer.desk.notes import Stand, stand_of
from tracer.job.ways import SheetWays
from tracer.trace.sheet import Convention

__all__ = ["NoteRows"]


class NoteRows(QWidget):
    """Signals: `taken` and `left` carry the note that was answered, `shown` the one whose place is wanted."""

    taken = pyqtSignal(object)
    left = pyqtSignal(object)
    shown = pyqtSignal(object)

    def __init__(self, parent: QWidget) -> None:
        super().__init__(parent)
        self._box = QVBoxLayout(self)
        self._box.setContentsMargins(0, 0, 0, 0)
        self._rows: QWidget | None = None
        self._now: object = None

    def show_notes(self, notes: Sequence[Convention], ways: SheetWays) -> None:
        """Show what each note says, how sure it was read, and where the person stands to it."""
        now = (tuple(notes), tuple(stand_of(note, ways) for note in notes))
        if now == self._now:
            return
        self._now = now
        if self._rows is not None:
            self._box.removeWidget(self._rows)
            self._rows.hide()
            self._rows.deleteLater()
        self._rows = QWidget(self)
        rows = QVBoxLayout(self._rows)
        rows.setContentsMargins(0, 0, 0, 0)
        for note in notes:
            self._add(rows, note, stand_of(note, ways))
        self._box.addWidget(self._rows)
        self._rows.show()
        self.setVisible(bool(notes))

    def _add(self, rows: QVBoxLayout, note: Convention, stand: Stand) -> None:
        says = words.NOTE_SAYS.format(text=note.text, means=note.kind, share=round(100 * note.confidence))
        said = QLabel(f"{says} {words.NOTE_STANDS[stand.name]}".strip(), self._rows)
        said.setWordWrap(True)
        rows.addWidget(said)
        line = QHBoxLayout()
        answers = [(words.NOTE_SHOW, self.shown, False)]
        if stand is not Stand.ALWAYS:
            answers += [
                (words.NOTE_TAKE, self.taken, stand is Stand.TAKEN),
                (words.NOTE_LEAVE, self.left, stand is Stand.LEFT),
            ]
        for text, signal, is_on in answers:
            button = QPushButton(text, self._rows)
            button.setAccessibleName(f"{text}: {note.text}")
            button.setCheckable(signal is not self.shown)
            button.setChecked(is_on)
            button.clicked.connect(lambda _, signal=signal: signal.emit(note))
            line.addWidget(button)
        line.addStretch()
        rows.addLayout(line)

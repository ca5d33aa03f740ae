"""How the sheet in view draws and prints: what it seems to do, and a person's word where that is wrong."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

from PyQt6.QtCore import pyqtSignal
from PyQt6.QtWidgets import QCheckBox, QComboBox, QFormLayout, QLabel, QPushButton, QVBoxLayout, QWidget

from tracer.desk import words
from tracer.desk.cornering import Cornering
from tracer.desk.desk import Desk
from tracer.desk.note_rows import NoteRows
from tracer.desk.notes import left, taken
from tracer.desk.state import State
from tracer.job.ways import SheetWays, set_sheet_ways, sheet_ways
from tracer.trace.sheet import Convention

__all__ = ["SheetSection"]

ANSWERS: tuple[bool | None, ...] = (None, True, False)


class SheetSection(QWidget):
    """Each change is an edit that undo takes back, and the sheet is traced anew by it.

    `place_wanted` carries a box of the page to be looked at.
    """

    place_wanted = pyqtSignal(object)

    def __init__(self, desk: Desk, cornering: Cornering, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._desk, self._cornering = desk, cornering
        self.habits: dict[str, QComboBox] = {}
        form = QFormLayout()
        form.setContentsMargins(0, 0, 0, 0)
        form.setRowWrapPolicy(QFormLayout.RowWrapPolicy.WrapAllRows)
        for name, text in words.HABITS.items():
            box = QComboBox(self)
            box.setAccessibleName(text)
            box.activated.connect(lambda _, name=name, box=box: self._say(name, box.currentData()))
            form.addRow(text, box)
            self.habits[name] = box
        self.prints: dict[str, QCheckBox] = {}
        whole = QVBoxLayout(self)
        whole.setContentsMargins(0, 0, 0, 0)
        whole.addLayout(form)
        for name, text in words.PRINTS.items():
            tick = QCheckBox(text, self)
            tick.clicked.connect(lambda on, name=name: self._say(name, on))
            whole.addWidget(tick)
            self.prints[name] = tick
        self.flat = QLabel(self)
        self.flat.setObjectName("faint")
        self.flat.setWordWrap(True)
        self.corners = QPushButton(words.CORNERS_SHOW, self)
        self.corners.clicked.connect(cornering.ask)
        whole.addWidget(self.flat)
        whole.addWidget(self.corners)
        self.notes = NoteRows(self)
        self.notes.taken.connect(lambda note: self._answer(note, taken))
        self.notes.left.connect(lambda note: self._answer(note, left))
        self.notes.shown.connect(lambda note: self.place_wanted.emit(note.box))
        whole.addWidget(self.notes)
        for signal in (desk.opened, desk.changed, desk.laid_out, desk.lit, cornering.found):
            signal.connect(self.refresh)
        desk.state_changed.connect(self._follow)
        self.refresh()

    def refresh(self) -> None:
        """Show what the sheet seems to do, and what was said of it."""
        job, lighting = self._desk.job, self._desk.lighting
        ways = self._desk.ways_in_view()
        seems = lighting.sheet.habits if lighting is not None else None
        for name, box in self.habits.items():
            said = getattr(ways, name)
            found = getattr(seems, name) if seems is not None and said is None else None
            texts = (words.HABIT_SEEMS.format(seems=words.HABIT_ANSWERS[found]), *words.HABIT_SAID)
            box.clear()
            for answer, text in zip(ANSWERS, texts, strict=True):
                box.addItem(text, answer)
            box.setCurrentIndex(ANSWERS.index(said))
        for name, tick in self.prints.items():
            tick.setChecked(getattr(ways, name))
        self.flat.setText(words.CORNERS_STAND[self._cornering.stands()])
        self.notes.show_notes(self._desk.notes_in_view(), ways)
        self.setEnabled(job is not None)

    def _follow(self, old: State, new: State) -> None:
        if old.sheet != new.sheet:
            self.refresh()

    def _say(self, name: str, answer: bool | None) -> None:
        job, number = self._desk.job, self._desk.state.sheet
        if job is not None:
            ways = replace(sheet_ways(job, number), **{name: answer})  # type: ignore[arg-type]
            self._desk.edit(lambda job: set_sheet_ways(job, number, ways))

    def _answer(self, note: Convention, answer: Callable[[Convention, SheetWays], SheetWays]) -> None:
        job, number = self._desk.job, self._desk.state.sheet
        if job is not None:
            ways = answer(note, sheet_ways(job, number))
            self._desk.edit(lambda job: set_sheet_ways(job, number, ways))

"""What could explain a wrong reading, over the lower corner of the sheet in large type."""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence

from PyQt6.QtCore import QEvent, QObject, Qt, QTimer, pyqtSignal
from PyQt6.QtGui import QFont, QMouseEvent
from PyQt6.QtWidgets import QFrame, QGridLayout, QLabel, QPushButton, QVBoxLayout, QWidget

from tracer.circuit.results import Cause
from tracer.desk import words
from tracer.desk.colours import Look

__all__ = ["CausesCard"]

MOST = 4

WIDE = 130
"""How wide the card is at most, in the width of a usual letter."""

_WIRE = re.compile(r" \(WW?\d+\.\d+\)")
"""A stretch of wire's own name behind where it runs, which tells a person nothing."""


class CausesCard(QFrame):
    """Causes by weight, one of them chosen.

    Signals: `looked_at` carries an element's reference, `taken` the reading that would tell, `chosen` the
    reading of the chosen cause, None where the work is to go on.
    """

    looked_at = pyqtSignal(str)
    taken = pyqtSignal(object)
    chosen = pyqtSignal(object)

    def __init__(self, look: Look, parent: QWidget) -> None:
        super().__init__(parent)
        self.setObjectName("causes")
        self._rows = QWidget(self)
        self._box = QVBoxLayout(self)
        self._box.setContentsMargins(18, 12, 18, 14)
        self._title = QLabel(words.WHY, self)
        font = QFont(self.font())
        font.setPointSizeF(font.pointSizeF() * 1.3)
        self._title.setFont(font)
        self._box.addWidget(self._title)
        self._box.addWidget(self._rows)
        self._keys = QLabel(words.WHY_KEYS, self)
        self._keys.setObjectName("faint")
        self._box.addWidget(self._keys)
        self._ways: list[tuple[QPushButton, Cause | None]] = []
        self._at = 0
        self._laying = QTimer(self)
        self._laying.setSingleShot(True)
        self._laying.timeout.connect(self._lay_rows)
        self._say: Callable[[str], str] = str
        self.restyle(look)
        parent.installEventFilter(self)
        self.hide()

    def restyle(self, look: Look) -> None:
        """Draw in other colours."""
        self.setStyleSheet(
            f"""#causes {{ background: {look.card.name()}; border: 1px solid {look.edge.name()};
                border-left: 8px solid {look.failed.name()}; border-radius: 4px; }}
            #causes QLabel {{ color: {look.text.name()}; background: transparent; }}
            #causes #faint {{ color: {look.faint.name()}; }}
            #causes QPushButton {{ color: {look.pen.name()}; background: transparent; border: none;
                text-align: left; padding: 1px 0; }}
            #causes QPushButton[chosen="true"] {{ background: {look.band.name()};
                color: {(look.bench if look.night else look.ink).name()};
                border-radius: 3px; padding: 1px 6px; }}
            #causes QPushButton:hover, #causes QPushButton:focus {{ text-decoration: underline; }}"""
        )

    def say_points_with(self, say: Callable[[str], str]) -> None:
        """Say the points of readings as `say` does."""
        self._say = say

    def show_causes(self, causes: Sequence[Cause]) -> None:
        """List the likeliest causes; none hides the card."""
        self._box.removeWidget(self._rows)
        self._ways = []
        self._rows.hide()
        self._rows.deleteLater()
        self._rows = QWidget(self)
        grid = QGridLayout(self._rows)
        grid.setContentsMargins(0, 0, 0, 0)
        grid.setHorizontalSpacing(14)
        grid.setColumnStretch(1, 1)
        for row, cause in enumerate(sorted(causes, key=lambda c: -c.weight)[: self._most()]):
            self._add(grid, row, cause)
        go_on = self._add_way(grid, grid.rowCount(), words.WHY_GO_ON, None)
        go_on.clicked.connect(self._leave)
        self._box.insertWidget(1, self._rows)
        self.setVisible(bool(causes))
        self.place()
        # How high wrapped sentences are is known once the new rows were laid out.
        self._laying.start(0)
        self.raise_()
        self._at = 0
        self._choose(0)

    def _size(self) -> float:
        """How much larger than usual the type is; in a low window the sheet needs the room."""
        parent = self.parentWidget()
        return min(1.4, max(1.0, (parent.height() if parent is not None else 0) / 400))

    def _most(self) -> int:
        """How many causes there is room for, each taken to need three lines."""
        parent, line = self.parentWidget(), self.fontMetrics().lineSpacing() * self._size()
        room = 0.7 * parent.height() - 5 * line if parent is not None else 0
        return max(1, min(MOST, int(room // (3.2 * line))))

    @property
    def ways(self) -> tuple[Cause | None, ...]:
        """What can be chosen: causes that a reading would settle, and None for going on."""
        return tuple(cause for _, cause in self._ways)

    def move_on(self, step: int) -> None:
        """Choose the next cause that a reading would settle, or the one before."""
        if self.isVisible():
            self._choose(step)

    def _leave(self) -> None:
        self.chosen.emit(None)
        self.hide()

    def _choose(self, step: int) -> None:
        self._at = (self._at + step) % len(self._ways)
        for number, (button, _) in enumerate(self._ways):
            button.setProperty("chosen", number == self._at)
            style = button.style()
            if style is not None:
                style.unpolish(button)
                style.polish(button)
        cause = self._ways[self._at][1]
        self.chosen.emit(cause.then_measure if cause is not None else None)
        if step and cause is not None and cause.element:
            self.looked_at.emit(cause.element)

    def _add_way(self, grid: QGridLayout, row: int, text: str, cause: Cause | None) -> QPushButton:
        button = QPushButton(text, self._rows)
        font = QFont(self.font())
        font.setPointSizeF(font.pointSizeF() * self._size())
        button.setFont(font)
        if cause is not None:
            grid.addWidget(button, row, 2)
        else:
            grid.addWidget(button, row, 1, 1, 2, Qt.AlignmentFlag.AlignLeft)
        self._ways.append((button, cause))
        return button

    def _add(self, grid: QGridLayout, row: int, cause: Cause) -> None:
        share = QLabel(_share(cause.weight), self._rows)
        share.setAlignment(Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignTop)
        said = _Said(_WIRE.sub("", cause.says), self._rows)
        font = QFont(self.font())
        font.setPointSizeF(font.pointSizeF() * self._size())
        for widget in (share, said):
            widget.setFont(font)
        grid.addWidget(share, row, 0)
        grid.addWidget(said, row, 1)
        if cause.element is not None:
            said.pressed.connect(lambda element=cause.element: self.looked_at.emit(element))
        then = cause.then_measure
        if then is not None:
            text = words.THEN_MEASURE.format(start=self._say(then.start), end=self._say(then.end))
            button = self._add_way(grid, row, text, cause)
            button.clicked.connect(lambda _, then=then: self.taken.emit(then))

    def _lay_rows(self) -> None:
        """Give each sentence the height it needs at the width it was given."""
        for said in self._rows.findChildren(_Said):
            said.setMinimumHeight(said.heightForWidth(said.width()))
        inner = self._rows.layout()
        if inner is not None:
            inner.invalidate()
            self._rows.setMinimumHeight(inner.totalMinimumSize().height())
        self.place()

    def place(self) -> None:
        """Lie in the lower left corner of the parent."""
        parent = self.parentWidget()
        if parent is None:
            return
        wide = min(parent.width() - 24, self.fontMetrics().averageCharWidth() * WIDE)
        self.resize(wide, self.sizeHint().height())
        layout, high = self.layout(), self.sizeHint().height()
        if layout is not None and layout.hasHeightForWidth():
            layout.invalidate()
            high = max(layout.totalHeightForWidth(wide), layout.totalMinimumSize().height()) + 4
        self.resize(wide, min(high, parent.height() - 24))
        self.move(12, parent.height() - self.height() - 12)

    def eventFilter(self, a0: QObject | None, a1: QEvent | None) -> bool:
        """Stay in the corner when the parent changes size."""
        if a1 is not None and a1.type() == QEvent.Type.Resize and self.isVisible():
            self.place()
        return False


class _Said(QLabel):
    """A sentence in as many lines as it needs; a press on it shows what it speaks of."""

    pressed = pyqtSignal()

    def __init__(self, text: str, parent: QWidget) -> None:
        super().__init__(text, parent)
        self.setWordWrap(True)
        self.setMinimumWidth(self.fontMetrics().averageCharWidth() * 40)

    def mouseReleaseEvent(self, ev: QMouseEvent | None) -> None:
        """Tell of a press."""
        self.pressed.emit()


def _share(weight: float) -> str:
    return words.WHY_SHARE.format(share=round(100 * weight)) if weight >= 0.01 else words.WHY_HARDLY

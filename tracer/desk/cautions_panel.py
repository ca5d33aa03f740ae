"""The cautions, before the leads touch a set: read, ticked once, kept in the record."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from PyQt6.QtCore import Qt, pyqtSignal
from PyQt6.QtGui import QKeyEvent
from PyQt6.QtWidgets import QCheckBox, QHBoxLayout, QLabel, QPushButton, QScrollArea, QVBoxLayout, QWidget

from tracer.cautions import CAUTIONS
from tracer.desk import words
from tracer.desk.colours import Look
from tracer.desk.panels import Panel, heading
from tracer.desk.reservoirs import Reservoir

__all__ = ["CautionsPanel"]

BESIDE = 74
"""What lies beside the text across the card: its margins and its edge, px."""


class CautionsPanel(Panel):
    """What must be done before the first reading of a day. `accepted` once it is ticked, `left` if not."""

    accepted = pyqtSignal()
    left = pyqtSignal()

    def __init__(self, look: Look, parent: QWidget) -> None:
        super().__init__(look, parent)
        self.power, self.large, self.unbled = (QLabel(self) for _ in range(3))
        self.power.setText(words.CAUTIONS_POWER)
        self.lines = [QLabel(text, self) for text in CAUTIONS]
        self.tick = QCheckBox(words.CAUTIONS_DONE, self)
        self.tick.setObjectName("large")
        self.accept = QPushButton(words.CAUTIONS_GO_ON, self)
        self.accept.clicked.connect(self._accept)
        self.tick.toggled.connect(self._ticked)
        leave = QPushButton(words.CAUTIONS_LEAVE, self)
        leave.clicked.connect(self.leave)
        self._text = QWidget(self)
        inner = QVBoxLayout(self._text)
        inner.setContentsMargins(0, 0, 8, 0)
        inner.setSpacing(10)
        for label in (self.power, self.large, self.unbled):
            label.setObjectName("warning")
            label.hide()
        for label in (self.power, self.large, self.unbled, *self.lines):
            label.setWordWrap(True)
            inner.addWidget(label)
        inner.addStretch()
        self._scroll = QScrollArea(self)
        self._scroll.setWidgetResizable(True)
        self._scroll.setWidget(self._text)
        self._scroll.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self._scroll.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        when = QLabel(words.CAUTIONS_WHEN, self)
        when.setObjectName("faint")
        when.setWordWrap(True)
        buttons = QHBoxLayout()
        buttons.addWidget(self.tick)
        buttons.addStretch()
        buttons.addWidget(leave)
        buttons.addWidget(self.accept)
        box = QVBoxLayout(self)
        box.setContentsMargins(30, 22, 30, 20)
        box.setSpacing(10)
        box.addWidget(heading(words.CAUTIONS, self))
        box.addWidget(self._scroll, 1)
        box.addWidget(when)
        box.addLayout(buttons)

    def open(self) -> None:
        """Ask again, with nothing ticked."""
        self.tick.setChecked(False)
        self.accept.setEnabled(False)
        super().open()
        self.tick.setFocus()

    def place(self) -> None:
        """Lie in the middle, as high as the text needs and the window has."""
        super().place()
        parent, layout = self.parentWidget(), self.layout()
        inner = self._text.layout()
        if parent is None or layout is None or inner is None:
            return
        rest = layout.totalSizeHint().height() - self._scroll.sizeHint().height()
        most, bar = parent.height() - 24, self._scroll.verticalScrollBar()
        for aside in (BESIDE, BESIDE + (bar.sizeHint().width() if bar is not None else 0)):
            # A wrapped label asks for the height it has in a narrower place: tell it how wide it will be.
            for label in (self.power, self.large, self.unbled, *self.lines):
                label.setFixedHeight(label.heightForWidth(self.width() - aside))
            high = rest + inner.totalMinimumSize().height() + 8
            if high <= most:
                break
        high = min(most, high)
        self.setGeometry(self.x(), (parent.height() - high) // 2, self.width(), high)

    def show_set(self, large: Iterable[Reservoir], powered: bool, unbled: Sequence[str] = ()) -> None:
        """Tell of the set's large capacitors, those nothing bleeds, and whether it had power since."""
        listed = [
            (words.CAUTIONS_RATED if each.rated else words.CAUTIONS_UNRATED).format(
                reference=each.reference, value=each.value, rated=each.rated
            )
            for each in large
        ]
        self.large.setText(words.CAUTIONS_LARGE.format(listed=", ".join(listed)))
        self.large.setVisible(bool(listed))
        self.unbled.setText(words.CAUTIONS_UNBLED.format(listed=", ".join(unbled)))
        self.unbled.setVisible(bool(unbled))
        self.power.setVisible(powered)

    def leave(self) -> None:
        """Close without agreeing."""
        self.hide()
        self.left.emit()

    def _ticked(self, is_on: bool) -> None:
        self.accept.setEnabled(is_on)
        if is_on:
            self.accept.setFocus()

    def _accept(self) -> None:
        self.hide()
        self.accepted.emit()

    def keyPressEvent(self, a0: QKeyEvent | None) -> None:
        """Go on with Enter once it is ticked, so that an Enter meant for a reading agrees to nothing."""
        if a0 is None:
            return
        bar = self._scroll.verticalScrollBar()
        if a0.key() == Qt.Key.Key_Escape:
            self.leave()
        elif a0.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter):
            if self.tick.isChecked():
                self._accept()
        elif a0.key() in (Qt.Key.Key_Down, Qt.Key.Key_Up) and bar is not None:
            bar.setValue(bar.value() + (40 if a0.key() == Qt.Key.Key_Down else -40))

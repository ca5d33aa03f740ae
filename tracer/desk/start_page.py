"""What is seen before any job: three ways to begin, and what the program is for."""

from __future__ import annotations

from collections.abc import Callable

from PyQt6.QtCore import Qt, pyqtSignal
from PyQt6.QtGui import QFont, QKeySequence, QResizeEvent
from PyQt6.QtWidgets import (
    QBoxLayout,
    QFrame,
    QHBoxLayout,
    QLabel,
    QPushButton,
    QScrollArea,
    QVBoxLayout,
    QWidget,
)

from tracer.cautions import SHORT_CAUTION
from tracer.desk import words
from tracer.desk.colours import Look

__all__ = ["StartPage"]

DOOR = 38
"""How wide a door is, in the width of a usual letter."""

SIDE = 40
"""Room at either side, px."""


class StartPage(QScrollArea):
    """Three doors, side by side or one below the other. Signals: `scan`, `job` and `demo`."""

    scan = pyqtSignal()
    job = pyqtSignal()
    demo = pyqtSignal()

    def __init__(self, look: Look, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setObjectName("start")
        self.setWidgetResizable(True)
        self.setFrameShape(QFrame.Shape.NoFrame)
        self.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        inside = QWidget(self)
        inside.setObjectName("inside")
        box = QVBoxLayout(inside)
        box.setContentsMargins(SIDE, 30, SIDE, 26)
        box.addStretch(3)
        title = QLabel(words.WELCOME, self)
        title.setWordWrap(True)
        title.setAlignment(Qt.AlignmentFlag.AlignHCenter)
        self._size(title, 2.4)
        purpose = QLabel(words.PURPOSE, self)
        purpose.setWordWrap(True)
        purpose.setMaximumWidth(self.fontMetrics().averageCharWidth() * 100)
        purpose.setMinimumHeight(self.fontMetrics().lineSpacing() * 5)
        self._size(purpose, 1.15)
        purpose.setAlignment(Qt.AlignmentFlag.AlignHCenter)
        box.addWidget(title)
        box.addSpacing(14)
        box.addWidget(purpose, 0, Qt.AlignmentFlag.AlignHCenter)
        box.addSpacing(30)
        self._row = doors = QHBoxLayout()
        doors.setSpacing(22)
        doors.addStretch()
        self.doors = [
            self._door(doors, words.BEGIN_SCAN, words.BEGIN_SCAN_HINT, "Ctrl+O", self.scan.emit),
            self._door(doors, words.BEGIN_JOB, words.BEGIN_JOB_HINT, "Ctrl+J", self.job.emit),
            self._door(doors, words.BEGIN_DEMO, words.BEGIN_DEMO_HINT, "Ctrl+D", self.demo.emit),
        ]
        doors.addStretch()
        box.addLayout(doors)
        box.addSpacing(14)
        drop = QLabel(words.DROP_HINT, self)
        drop.setObjectName("faint")
        box.addWidget(drop, 0, Qt.AlignmentFlag.AlignHCenter)
        box.addStretch(4)
        caution = QLabel(SHORT_CAUTION, self)
        caution.setObjectName("faint")
        caution.setWordWrap(True)
        caution.setAlignment(Qt.AlignmentFlag.AlignHCenter)
        box.addWidget(caution)
        self.setWidget(inside)
        self.restyle(look)

    def resizeEvent(self, a0: QResizeEvent | None) -> None:
        """Set the doors side by side where there is room."""
        needed = self.fontMetrics().averageCharWidth() * DOOR * len(self.doors) + 2 * SIDE + 60
        ways = QBoxLayout.Direction
        self._row.setDirection(ways.LeftToRight if self.width() >= needed else ways.TopToBottom)
        super().resizeEvent(a0)

    def _size(self, label: QLabel, times: float) -> None:
        font = QFont(self.font())
        font.setPointSizeF(font.pointSizeF() * times)
        label.setFont(font)

    def _door(
        self, row: QHBoxLayout, name: str, hint: str, key: str, opens: Callable[[], None]
    ) -> QPushButton:
        frame = QFrame(self)
        frame.setObjectName("door")
        frame.setFixedWidth(self.fontMetrics().averageCharWidth() * DOOR)
        inside = QVBoxLayout(frame)
        inside.setContentsMargins(18, 18, 18, 16)
        button = QPushButton(name, frame)
        button.setAccessibleDescription(hint)
        font = QFont(self.font())
        font.setPointSizeF(font.pointSizeF() * 1.35)
        button.setFont(font)
        button.setCursor(Qt.CursorShape.PointingHandCursor)
        button.clicked.connect(lambda _checked=False: opens())
        said = QLabel(hint, frame)
        said.setWordWrap(True)
        said.setMinimumHeight(self.fontMetrics().lineSpacing() * 3)
        said.setAlignment(Qt.AlignmentFlag.AlignTop)
        shortcut = QLabel(QKeySequence(key).toString(QKeySequence.SequenceFormat.NativeText), frame)
        shortcut.setObjectName("faint")
        for widget in (button, said, shortcut):
            inside.addWidget(widget)
        row.addWidget(frame, 0, Qt.AlignmentFlag.AlignHCenter)
        return button

    def restyle(self, look: Look) -> None:
        """Draw in other colours."""
        self.setStyleSheet(
            f"""#start, #start #inside {{ background: {look.bench.name()}; }}
            #start QLabel {{ color: {look.text.name()}; background: transparent; }}
            #start #faint {{ color: {look.faint.name()}; }}
            #start #door {{ background: {look.paper.name()}; border: 1px solid {look.edge.name()};
                border-bottom: 4px solid {look.band.name()}; border-radius: 4px; }}
            #start QPushButton {{ color: {look.pen.name()}; background: transparent; border: none;
                text-align: left; padding: 2px 0; }}
            #start QPushButton:hover, #start QPushButton:focus {{ text-decoration: underline; }}"""
        )

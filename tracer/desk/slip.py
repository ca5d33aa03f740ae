"""The slip of paper at the sheet's upper edge: what was pressed, what happened, how far a reading is."""

from __future__ import annotations

from PyQt6.QtCore import QEvent, QObject, QPoint, QRect, Qt, QTimer
from PyQt6.QtWidgets import QFrame, QHBoxLayout, QLabel, QProgressBar, QPushButton, QWidget

from tracer.desk import words
from tracer.desk.colours import Look

__all__ = ["Slip"]

PASSING_MS = 6000

ASIDE = 20
"""Room left free at either side, px."""


class Slip(QFrame):
    """Shows a lasting text, a passing one in its place for a while, and a bar with a stop while work runs."""

    def __init__(self, look: Look, parent: QWidget) -> None:
        super().__init__(parent)
        self.setObjectName("slip")
        self._lasting = self._waiting = ""
        self._over: QWidget | None = None
        self.label = QLabel(self)
        self.bar = QProgressBar(self)
        self.bar.setTextVisible(False)
        self.bar.setRange(0, 1000)
        self.bar.setFixedWidth(180)
        self.bar.setFixedHeight(8)
        self.bar.setAccessibleName(words.READING_SHEET)
        self.stop = QPushButton(words.CANCEL, self)
        self.stop.setFlat(True)
        row = QHBoxLayout(self)
        row.setContentsMargins(14, 6, 14, 6)
        row.setSpacing(12)
        for widget in (self.label, self.bar, self.stop):
            row.addWidget(widget, int(widget is self.label), Qt.AlignmentFlag.AlignVCenter)
        self._timer = QTimer(self)
        self._timer.setSingleShot(True)
        self._timer.timeout.connect(self._settle)
        self.restyle(look)
        self.end_work()
        parent.installEventFilter(self)
        self._settle()

    def restyle(self, look: Look) -> None:
        """Draw in other colours."""
        self.setStyleSheet(
            f"""#slip {{ background: {look.card.name()}; border: 1px solid {look.edge.name()};
                border-top: none; border-bottom-left-radius: 6px;
                border-bottom-right-radius: 6px; }}
            #slip QLabel {{ color: {look.text.name()}; background: transparent; }}
            #slip QPushButton {{ color: {look.pen.name()}; border: none; text-decoration: underline; }}
            #slip QProgressBar {{ background: {look.line.name()}; border: none; border-radius: 4px; }}
            #slip QProgressBar::chunk {{ background: {look.band.name()}; border-radius: 4px; }}"""
        )

    def last(self, text: str) -> None:
        """Show `text` from now on, but for passing texts; an empty one waits until such a text has passed."""
        news, self._lasting = text != self._lasting, text
        if not self._timer.isActive() or (news and text):
            self._settle()

    def tell(self, text: str) -> None:
        """Show `text` for a while."""
        self._waiting = ""
        self._put(text)
        self._timer.start(PASSING_MS)

    def tell_after(self, text: str) -> None:
        """Show `text` for a while, once what is being told has been read."""
        if self._timer.isActive():
            self._waiting = text
        else:
            self.tell(text)

    def show_work(self, stage: str, share: float) -> None:
        """Show how far the work is."""
        self.bar.setVisible(True)
        self.stop.setVisible(True)
        self.bar.setValue(round(1000 * share))
        self._timer.stop()
        self._put(words.STAGE.format(stage=stage, share=round(100 * share)))

    def end_work(self) -> None:
        """Take the bar away."""
        self.bar.hide()
        self.stop.hide()
        if self._timer.isActive():
            self._put(self.label.text())
        else:
            self._settle()

    def _settle(self) -> None:
        self._timer.stop()
        waiting, self._waiting = self._waiting, ""
        if waiting:
            self.tell(waiting)
        else:
            self._put(self._lasting)

    def _put(self, text: str) -> None:
        self.label.setText(text)
        self.setVisible(bool(text) or self.bar.isVisible())
        self.place()

    def hang_over(self, widget: QWidget) -> None:
        """Stay within `widget`, somewhere in the parent, while that is in sight."""
        self._over = widget
        widget.installEventFilter(self)

    def place(self) -> None:
        """Hang from the middle of the upper edge of what it stays within."""
        parent = self.parentWidget()
        if parent is None:
            return
        area = parent.rect()
        if self._over is not None and self._over.isVisible():
            area = QRect(self._over.mapTo(parent, QPoint(0, 0)), self._over.size())
        self.label.setWordWrap(False)
        self.adjustSize()
        wide = min(self.width(), area.width() - 2 * ASIDE)
        high, layout = self.height(), self.layout()
        if wide < self.width() and layout is not None:
            self.label.setWordWrap(True)
            layout.invalidate()
            high = layout.totalHeightForWidth(wide)
        self.resize(wide, high)
        self.move(area.left() + (area.width() - wide) // 2, area.top())
        self.raise_()

    def eventFilter(self, a0: QObject | None, a1: QEvent | None) -> bool:
        """Stay in place when what it hangs over changes size, comes or goes."""
        kinds = (QEvent.Type.Resize, QEvent.Type.Show, QEvent.Type.Hide)
        if a1 is not None and a1.type() in kinds:
            self.place()
        return False

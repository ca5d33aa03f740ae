"""What could explain a wrong reading, over the drawer, in as large type as has room."""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence

from PyQt6.QtCore import QEvent, QObject, QPoint, QRect, Qt, pyqtSignal
from PyQt6.QtGui import QFont, QFontMetrics, QMouseEvent
from PyQt6.QtWidgets import QFrame, QHBoxLayout, QLabel, QPushButton, QVBoxLayout, QWidget

from tracer.circuit.results import Cause, NextReading
from tracer.desk import words
from tracer.desk.colours import Look
from tracer.desk.in_lines import in_lines

__all__ = ["CausesCard"]

MOST = 4

SIZES = (1.65, 1.5, 1.4, 1.3, 1.2, 1.1, 1.0)
"""How much larger than usual the type may be, for eyes two metres away, the largest that has room first."""

MARGINS = (18, 12, 14, 12)
GAP, INDENT = 5, 16

BESIDE = 6
"""Room beside a way on within its band, px; the same for one that is not chosen, so that none moves."""

_WIRE = re.compile(r" \(WW?\d+\.\d+\)")
"""A stretch of wire's own name behind where it runs, which tells a person nothing."""


class CausesCard(QFrame):
    """Causes by weight, one of them chosen. It lies over the drawer, so that the sheet stays whole in sight.

    Signals: `looked_at` carries an element's reference, `taken` the reading that would tell, `chosen` the
    reading of the chosen cause, None where the work is to go on.
    """

    looked_at = pyqtSignal(str)
    taken = pyqtSignal(object)
    chosen = pyqtSignal(object)

    def __init__(self, look: Look, view: QWidget, drawer: QWidget, parent: QWidget) -> None:
        super().__init__(parent)
        self.setObjectName("causes")
        self._view, self._drawer = view, drawer
        self._title = QLabel(words.WHY, self)
        self._title.setWordWrap(True)
        self._keys = QLabel(words.WHY_KEYS, self)
        self._keys.setObjectName("faint")
        self._rows = QWidget(self)
        self._box = QVBoxLayout(self)
        self._box.setContentsMargins(*MARGINS)
        for widget in (self._title, self._rows):
            self._box.addWidget(widget)
        self._box.addStretch()
        self._box.addWidget(self._keys)
        self._causes: tuple[Cause, ...] = ()
        self._ways: list[tuple[QPushButton, Cause | None]] = []
        self._at = 0
        self._size = 1.0
        self._say: Callable[[str], str] = str
        self.restyle(look)
        for widget in (view, drawer):
            widget.installEventFilter(self)
        self.hide()

    def restyle(self, look: Look) -> None:
        """Draw in other colours."""
        self.setStyleSheet(
            f"""#causes {{ background: {look.card.name()}; border: 1px solid {look.edge.name()};
                border-left: 8px solid {look.failed.name()}; border-radius: 4px; }}
            #causes QLabel {{ color: {look.text.name()}; background: transparent; }}
            #causes #faint {{ color: {look.faint.name()}; }}
            #causes QPushButton {{ color: {look.pen.name()}; background: transparent; border: none;
                text-align: left; padding: 1px {BESIDE}px; }}
            #causes QPushButton[chosen="true"] {{ background: {look.band.name()};
                color: {(look.bench if look.night else look.ink).name()};
                border-radius: 3px; }}
            #causes QPushButton:hover, #causes QPushButton:focus {{ text-decoration: underline; }}"""
        )

    def say_points_with(self, say: Callable[[str], str]) -> None:
        """Say the points of readings as `say` does."""
        self._say = say

    def show_causes(self, causes: Sequence[Cause]) -> None:
        """List the likeliest causes; none hides the card."""
        self._causes = tuple(sorted(causes, key=lambda c: -c.weight))
        self._at = 0
        self.setVisible(bool(causes))
        self._fill()
        self.raise_()
        self._choose(0)

    def _fill(self) -> None:
        """Write the causes as large as there is room for, and of as many as there is room for."""
        self.setGeometry(self._place())
        self._size, most = self._fitting()
        font = QFont(self.font())
        font.setPointSizeF(font.pointSizeF() * self._size * 1.15)
        font.setBold(True)
        self._title.setFont(font)
        self._box.removeWidget(self._rows)
        self._ways = []
        self._rows.hide()
        self._rows.deleteLater()
        self._rows = QWidget(self)
        rows = QVBoxLayout(self._rows)
        rows.setContentsMargins(0, 0, 0, 0)
        rows.setSpacing(GAP)
        for cause in self._causes[:most]:
            self._add(rows, cause)
        on = in_lines(words.WHY_GO_ON, QFontMetrics(self._type()), self._wide())
        self._add_way(rows, on, None).clicked.connect(self._leave)
        self._box.insertWidget(1, self._rows)
        self._rows.setVisible(True)

    def _fitting(self) -> tuple[float, int]:
        """Return how much larger than usual the type can be, and how many causes there is room for."""
        room = self.height() - MARGINS[1] - MARGINS[3] - 4 * self.fontMetrics().lineSpacing()
        for most in range(min(MOST, max(1, len(self._causes))), 0, -1):
            for size in SIZES:
                if self._fits(self._causes[:most], size, room):
                    return size, most
        return SIZES[-1], 1

    def _fits(self, causes: Sequence[Cause], size: float, room: float) -> bool:
        """Whether the sentences, wrapped to the card's width, and the ways on have room in that type."""
        font = QFont(self.font())
        font.setPointSizeF(font.pointSizeF() * size)
        metrics = QFontMetrics(font)
        wide = self._wide()
        on = in_lines(words.WHY_GO_ON, metrics, wide)
        high = (2.0 + on.count("\n")) * metrics.lineSpacing()
        for cause in causes:
            high += _height(_said(cause), metrics, wide) + 2 * GAP
            if cause.then_measure is not None:
                way = self._way(cause.then_measure, metrics)
                high += (1 + way.count("\n")) * metrics.lineSpacing() + 4 + GAP
        return high <= room

    def _wide(self) -> int:
        """How wide a sentence may be, px."""
        return self.width() - MARGINS[0] - MARGINS[2] - 10

    def _way(self, then: NextReading, metrics: QFontMetrics) -> str:
        """Where the leads go for a reading, on as many lines as it needs."""
        text = words.THEN_MEASURE.format(start=self._say(then.start), end=self._say(then.end))
        return in_lines(text, metrics, self._wide() - INDENT - 14)

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

    def _add_way(self, rows: QVBoxLayout, text: str, cause: Cause | None) -> QPushButton:
        button = QPushButton(text, self._rows)
        button.setFont(self._type())
        line = QHBoxLayout()
        line.setContentsMargins(INDENT - BESIDE if cause is not None else 0, 0, 0, 0)
        line.addWidget(button)
        line.addStretch()
        rows.addLayout(line)
        self._ways.append((button, cause))
        return button

    def _add(self, rows: QVBoxLayout, cause: Cause) -> None:
        said = _Said(_said(cause), self._rows)
        said.setFont(self._type())
        said.setFixedHeight(_height(said.text(), said.fontMetrics(), self._wide()) + 2)
        rows.addWidget(said)
        if cause.element is not None:
            said.pressed.connect(lambda element=cause.element: self.looked_at.emit(element))
        then = cause.then_measure
        if then is not None:
            button = self._add_way(rows, self._way(then, said.fontMetrics()), cause)
            button.clicked.connect(lambda _, then=then: self.taken.emit(then))

    def _type(self) -> QFont:
        font = QFont(self.font())
        font.setPointSizeF(font.pointSizeF() * self._size)
        return font

    def _place(self) -> QRect:
        """Where the card lies: over the drawer, or over the right of the sheet where the drawer is in."""
        under, around = (self._drawer if self._drawer.isVisible() else self._view), self.parentWidget()
        corner = under.mapTo(around, QPoint(0, 0)) if around is not None else QPoint(0, 0)
        area = QRect(corner, under.size())
        if under is self._view:
            area.setLeft(max(area.left(), area.right() - self._drawer.width()))
        return area

    def eventFilter(self, a0: QObject | None, a1: QEvent | None) -> bool:
        """Stay where the drawer is when that changes size, comes or goes."""
        kinds = (QEvent.Type.Resize, QEvent.Type.Show, QEvent.Type.Hide)
        if a1 is not None and a1.type() in kinds and self.isVisible():
            at = self._at
            self._fill()
            self._at = min(at, len(self._ways) - 1)
            self._choose(0)
        return False


class _Said(QLabel):
    """A sentence in as many lines as it needs; a press on it shows what it speaks of."""

    pressed = pyqtSignal()

    def __init__(self, text: str, parent: QWidget) -> None:
        super().__init__(text, parent)
        self.setWordWrap(True)
        self.setAlignment(Qt.AlignmentFlag.AlignTop)

    def mouseReleaseEvent(self, ev: QMouseEvent | None) -> None:
        """Tell of a press."""
        self.pressed.emit()


def _height(text: str, metrics: QFontMetrics, wide: int) -> int:
    """How high a sentence is, wrapped to a width, px."""
    return metrics.boundingRect(0, 0, wide, 10_000, Qt.TextFlag.TextWordWrap.value, text).height()


def _said(cause: Cause) -> str:
    """What a cause says, behind how likely it is."""
    weight = cause.weight
    share = words.WHY_SHARE.format(share=round(100 * weight)) if weight >= 0.01 else words.WHY_HARDLY
    return f"{share}  {_WIRE.sub('', cause.says)}"

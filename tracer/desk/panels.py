"""Cards that lie over the sheet for a while: the cautions, the keys, an error."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from PyQt6.QtCore import QEvent, QObject, Qt, pyqtSignal
from PyQt6.QtGui import QFont, QKeyEvent
from PyQt6.QtWidgets import (
    QCheckBox,
    QFrame,
    QGridLayout,
    QHBoxLayout,
    QLabel,
    QPushButton,
    QScrollArea,
    QToolButton,
    QVBoxLayout,
    QWidget,
)

from tracer.cautions import CAUTIONS
from tracer.desk import words
from tracer.desk.colours import Look, controls
from tracer.desk.reservoirs import Reservoir
from tracer.errors import TracerError

__all__ = ["CautionsPanel", "ErrorNote", "KeysPanel", "Panel"]


class Panel(QFrame):
    """A card in the middle of its parent, as large as it needs to be."""

    def __init__(self, look: Look, parent: QWidget) -> None:
        super().__init__(parent)
        self.setObjectName("panel")
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.restyle(look)
        parent.installEventFilter(self)
        self.hide()

    def restyle(self, look: Look) -> None:
        """Draw in other colours."""
        self.setStyleSheet(
            controls(look, "#panel")
            + f"""#panel {{ background: {look.card.name()}; border: 2px solid {look.edge.name()};
                border-radius: 8px; }}
            #panel QLabel, #panel QCheckBox {{ color: {look.text.name()}; background: transparent; }}
            #panel #faint {{ color: {look.faint.name()}; }}
            #panel #warning {{ border-left: 6px solid {look.failed.name()}; padding: 4px 10px;
                background: {look.glass.name()}; }}
            #panel QTableWidget {{ background: {look.paper.name()}; color: {look.text.name()};
                gridline-color: {look.line.name()}; border: 1px solid {look.edge.name()}; }}
            #panel QTableWidget::item:selected {{ background: {look.band.name()};
                color: {look.bench.name() if look.night else look.ink.name()}; }}
            #panel QHeaderView::section, #panel QTableCornerButton::section {{
                background: {look.glass.name()}; color: {look.text.name()}; padding: 4px 9px;
                border: none; border-right: 1px solid {look.line.name()};
                border-bottom: 1px solid {look.line.name()}; }}
            #panel QScrollArea, #panel QScrollArea > QWidget > QWidget {{ background: transparent;
                border: none; }}"""
        )

    def event(self, a0: QEvent | None) -> bool:
        """Keep plain keys from the menus while the card is open: they are meant for it."""
        override = isinstance(a0, QKeyEvent) and a0.type() == QEvent.Type.ShortcutOverride
        if (
            isinstance(a0, QKeyEvent)
            and override
            and not a0.modifiers() & Qt.KeyboardModifier.ControlModifier
        ):
            a0.accept()
            return True
        return super().event(a0)

    def open(self) -> None:
        """Show the card and take the keys."""
        self.place()
        self.show()
        self.raise_()
        self.setFocus()

    def place(self) -> None:
        """Lie in the middle of the parent."""
        parent = self.parentWidget()
        if parent is None:
            return
        wide = min(parent.width() - 24, self.width_wanted())
        layout = self.layout()
        needed = layout.totalHeightForWidth(wide) if layout is not None and layout.hasHeightForWidth() else -1
        high = min(parent.height() - 24, max(needed, self.sizeHint().height()))
        self.setGeometry((parent.width() - wide) // 2, (parent.height() - high) // 2, wide, high)

    def width_wanted(self) -> int:
        """Return a width that reads well, px."""
        return self.fontMetrics().averageCharWidth() * 92

    def eventFilter(self, a0: QObject | None, a1: QEvent | None) -> bool:
        """Stay in the middle when the parent changes size."""
        if a1 is not None and a1.type() == QEvent.Type.Resize and self.isVisible():
            self.place()
        return False


def _heading(text: str, parent: QWidget, size: float = 1.6) -> QLabel:
    label = QLabel(text, parent)
    font = QFont(parent.font())
    font.setPointSizeF(font.pointSizeF() * size)
    label.setFont(font)
    label.setWordWrap(True)
    return label


class CautionsPanel(Panel):
    """The usual cautions, each to be ticked, before the first reading of a day."""

    accepted = pyqtSignal()
    left = pyqtSignal()

    def __init__(self, look: Look, parent: QWidget) -> None:
        super().__init__(look, parent)
        self.ticks: list[QCheckBox] = []
        box = QVBoxLayout(self)
        box.setContentsMargins(30, 24, 30, 22)
        box.setSpacing(12)
        box.addWidget(_heading(words.CAUTIONS, self))
        rows = QGridLayout()
        rows.setColumnStretch(1, 1)
        rows.setVerticalSpacing(12)
        for number, text in enumerate(CAUTIONS):
            tick = QCheckBox(self)
            tick.setAccessibleName(text)
            tick.toggled.connect(self._count)
            label = QLabel(text, self)
            label.setWordWrap(True)
            label.setBuddy(tick)
            label.installEventFilter(self)
            rows.addWidget(tick, number, 0, Qt.AlignmentFlag.AlignTop)
            rows.addWidget(label, number, 1)
            self.ticks.append(tick)
            label.setProperty("tick", number)
        box.addLayout(rows)
        self.power, self.large, self.unbled = (QLabel(self) for _ in range(3))
        self.power.setText(words.CAUTIONS_POWER)
        for label in (self.power, self.large, self.unbled):
            label.setWordWrap(True)
            label.setObjectName("warning")
            label.hide()
            box.addWidget(label)
        when = QLabel(words.CAUTIONS_WHEN, self)
        when.setObjectName("faint")
        box.addWidget(when)
        buttons = QHBoxLayout()
        self.accept = QPushButton(words.CAUTIONS_DONE, self)
        self.accept.clicked.connect(self._accept)
        leave = QPushButton(words.CAUTIONS_LEAVE, self)
        leave.clicked.connect(self.leave)
        buttons.addStretch()
        buttons.addWidget(leave)
        buttons.addWidget(self.accept)
        box.addLayout(buttons)

    def open(self) -> None:
        """Ask again, with nothing ticked."""
        for tick in self.ticks:
            tick.setChecked(False)
        self._count()
        super().open()
        self.ticks[0].setFocus()

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

    def _count(self) -> None:
        self.accept.setEnabled(all(tick.isChecked() for tick in self.ticks))

    def _accept(self) -> None:
        self.hide()
        self.accepted.emit()

    def eventFilter(self, a0: QObject | None, a1: QEvent | None) -> bool:
        """Tick by a press on the sentence as well."""
        if isinstance(a0, QLabel) and a1 is not None and a1.type() == QEvent.Type.MouseButtonRelease:
            self.ticks[a0.property("tick")].toggle()
            return True
        return super().eventFilter(a0, a1)

    def keyPressEvent(self, a0: QKeyEvent | None) -> None:
        """Tick and go on with Enter; Esc leaves."""
        if a0 is None:
            return
        if a0.key() == Qt.Key.Key_Escape:
            self.leave()
        elif a0.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter):
            waiting = [tick for tick in self.ticks if not tick.isChecked()]
            if not waiting:
                self._accept()
                return
            focused = [tick for tick in waiting if tick.hasFocus()]
            (focused or waiting)[0].setChecked(True)
            left = [tick for tick in self.ticks if not tick.isChecked()]
            (left[0] if left else self.accept).setFocus()


class KeysPanel(Panel):
    """Every key and what it does."""

    def __init__(self, look: Look, parent: QWidget, keys: Iterable[tuple[str, str]]) -> None:
        super().__init__(look, parent)
        box = QVBoxLayout(self)
        box.setContentsMargins(30, 22, 30, 20)
        box.addWidget(_heading(words.KEYS_TITLE, self))
        inner = QWidget(self)
        grid = QGridLayout(inner)
        grid.setHorizontalSpacing(18)
        listed = [*words.KEYS_MOUSE, *keys]
        rows = (len(listed) + 1) // 2
        for number, (key, text) in enumerate(listed):
            row, column = number % rows, (number // rows) * 2
            name = QLabel(key, inner)
            bold = QFont(name.font())
            bold.setBold(True)
            name.setFont(bold)
            said = QLabel(text, inner)
            said.setWordWrap(True)
            grid.addWidget(name, row, column, Qt.AlignmentFlag.AlignTop | Qt.AlignmentFlag.AlignRight)
            grid.addWidget(said, row, column + 1, Qt.AlignmentFlag.AlignTop)
        grid.setColumnStretch(1, 1)
        grid.setColumnStretch(3, 1)
        scroll = QScrollArea(self)
        scroll.setWidgetResizable(True)
        scroll.setWidget(inner)
        scroll.setMinimumHeight(min(560, 27 * rows))
        scroll.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        box.addWidget(scroll, 1)
        close = QLabel(words.KEYS_CLOSE, self)
        close.setObjectName("faint")
        box.addWidget(close)

    def width_wanted(self) -> int:
        """Return room for two columns."""
        return self.fontMetrics().averageCharWidth() * 130

    def keyPressEvent(self, a0: QKeyEvent | None) -> None:
        """Close on any key."""
        self.hide()

    def mousePressEvent(self, a0: object) -> None:
        """Close on a press."""
        self.hide()


class ErrorNote(QFrame):
    """What went wrong, to which file, and what to do next; along the top until it is closed."""

    def __init__(self, look: Look, parent: QWidget) -> None:
        super().__init__(parent)
        self.setObjectName("note")
        self.setAccessibleName(words.NOTE_NAME)
        self.text = QLabel(self)
        self.text.setWordWrap(True)
        self.text.setTextInteractionFlags(Qt.TextInteractionFlag.TextSelectableByMouse)
        close = QToolButton(self)
        close.setText("✕")
        close.setAutoRaise(True)
        close.setAccessibleName(words.CLOSE_NOTE)
        close.setToolTip(words.CLOSE_NOTE)
        close.clicked.connect(self.hide)
        row = QHBoxLayout(self)
        row.setContentsMargins(18, 10, 10, 10)
        row.addWidget(self.text, 1)
        row.addWidget(close, 0, Qt.AlignmentFlag.AlignTop)
        self.restyle(look)
        self.hide()

    def restyle(self, look: Look) -> None:
        """Draw in other colours."""
        self.setStyleSheet(
            f"""#note {{ background: {look.glass.name()}; border-bottom: 1px solid {look.glass_line.name()};
                border-left: 10px solid {look.failed.name()}; }}
            #note QLabel, #note QToolButton {{ color: {look.text.name()}; background: transparent; }}"""
        )

    def tell(self, error: TracerError) -> None:
        """Show an error."""
        self.text.setText(str(error))
        self.setAccessibleDescription(str(error))
        self.show()

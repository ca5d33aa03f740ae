"""Cards that lie over the sheet for a while, and the note that tells of an error."""

from __future__ import annotations

from PyQt6.QtCore import QEvent, QObject, Qt
from PyQt6.QtGui import QFont, QKeyEvent
from PyQt6.QtWidgets import QFrame, QHBoxLayout, QLabel, QToolButton, QWidget

from tracer.desk import words
from tracer.desk.colours import Look, controls
from tracer.errors import TracerError

__all__ = ["ErrorNote", "Panel", "heading"]


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


def heading(text: str, parent: QWidget, size: float = 1.6) -> QLabel:
    """Return a card's title in larger type."""
    label = QLabel(text, parent)
    font = QFont(parent.font())
    font.setPointSizeF(font.pointSizeF() * size)
    label.setFont(font)
    label.setWordWrap(True)
    return label


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

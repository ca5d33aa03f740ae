"""The drawer on the right: a column of sections that open and close."""

from __future__ import annotations

from collections.abc import Callable

from PyQt6.QtCore import Qt
from PyQt6.QtGui import QFont, QShowEvent
from PyQt6.QtWidgets import QFrame, QScrollArea, QSizePolicy, QToolButton, QVBoxLayout, QWidget

from tracer.desk import words
from tracer.desk.colours import Look, controls

__all__ = ["Drawer", "Section"]

LEAST_SHEET = 420
"""How wide the sheet must be for the drawer to stay out beside it, px."""


class Section(QWidget):
    """A heading that opens and closes what is under it."""

    def __init__(
        self, title: str, body: QWidget, *, is_open: bool = True, parent: QWidget | None = None
    ) -> None:
        super().__init__(parent)
        self.title = title
        self.body = body
        self.heading = QToolButton(self)
        self.heading.setObjectName("heading")
        self.heading.setText(title)
        self.heading.setCheckable(True)
        self.heading.setToolButtonStyle(Qt.ToolButtonStyle.ToolButtonTextBesideIcon)
        font = QFont(self.font())
        font.setPointSizeF(font.pointSizeF() * 1.15)
        font.setBold(True)
        self.heading.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        self.heading.setFont(font)
        self.heading.toggled.connect(self._toggle)
        box = QVBoxLayout(self)
        box.setContentsMargins(0, 0, 0, 8)
        box.setSpacing(4)
        box.addWidget(self.heading)
        box.addWidget(body)
        self.heading.setChecked(is_open)
        self._toggle(is_open)

    def show_count(self, text: str) -> None:
        """Put a few words behind the title."""
        self.heading.setText(f"{self.title}   {text}" if text else self.title)

    def _toggle(self, is_open: bool) -> None:
        self.heading.setArrowType(Qt.ArrowType.DownArrow if is_open else Qt.ArrowType.RightArrow)
        self.body.setVisible(is_open)


class Drawer(QScrollArea):
    """Sections one below the other."""

    def __init__(self, look: Look, sections: list[Section], parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setObjectName("drawer")
        self.sections = sections
        self._narrow = self._folded = False
        self.setWidgetResizable(True)
        self.setFrameShape(QFrame.Shape.NoFrame)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.setAccessibleName(words.DRAWER)
        inside = QWidget(self)
        inside.setObjectName("inside")
        box = QVBoxLayout(inside)
        box.setContentsMargins(16, 14, 16, 14)
        box.setSpacing(6)
        for section in sections:
            box.addWidget(section)
        box.addStretch()
        self.setWidget(inside)
        self.setFixedWidth(self.fontMetrics().averageCharWidth() * 50)
        self.restyle(look)

    @property
    def is_wanted(self) -> bool:
        """Whether it is out, or only folded away for want of room."""
        return self._folded or not self.isHidden()

    def fit_into(self, width: int) -> None:
        """Fold away where a window gets too narrow for it and a sheet, come out again where one is not.

        In a narrow window it may still be brought out by hand.
        """
        narrow = width < self.width() + LEAST_SHEET
        if narrow == self._narrow:
            return
        self._narrow = narrow
        if narrow:
            self._folded = not self.isHidden()
            self.hide()
        elif self._folded:
            self._folded = False
            self.show()

    def showEvent(self, a0: QShowEvent | None) -> None:
        """Brought out by hand it is no longer folded away."""
        self._folded = False

    def counter(self, body: QWidget) -> Callable[[int], None]:
        """Return what shows a count behind the title of the section of `body`."""
        section = next(section for section in self.sections if section.body is body)
        return lambda count: section.show_count(str(count) if count else "")

    def open_section(self, body: QWidget) -> None:
        """Open the section of `body` and bring it into view."""
        for section in self.sections:
            if section.body is body:
                section.heading.setChecked(True)
                self.ensureWidgetVisible(section)

    def restyle(self, look: Look) -> None:
        """Draw in other colours."""
        self.setStyleSheet(
            controls(look, "#drawer")
            + f"""#drawer {{ background: {look.card.name()}; border-left: 1px solid {look.line.name()}; }}
            #drawer #inside {{ background: {look.card.name()}; }}
            #drawer QLabel, #drawer QCheckBox {{ color: {look.text.name()}; background: transparent; }}
            #drawer #faint {{ color: {look.faint.name()}; }}
            #drawer #heading {{ color: {look.text.name()}; background: transparent; border: none;
                border-bottom: 1px solid {look.line.name()}; padding: 5px 0; text-align: left; }}
            #drawer QListWidget {{ background: {look.paper.name()}; color: {look.text.name()};
                border: 1px solid {look.line.name()}; border-radius: 3px; }}
            #drawer QListWidget::item {{ padding: 4px 6px; }}
            #drawer QListWidget::item:selected {{ background: {look.band.name()}; color: {
                look.bench.name() if look.night else look.ink.name()
            }; }}"""
        )

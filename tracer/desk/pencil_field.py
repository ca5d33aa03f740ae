"""A field whose text stands in pencil as long as only the reader has read it."""

from __future__ import annotations

from PyQt6.QtGui import QFont
from PyQt6.QtWidgets import QWidget

from tracer.desk.field import Field

__all__ = ["PencilField"]


class PencilField(Field):
    """What was read stands in italics, underlined where it is doubted, until it is written over."""

    def __init__(self, parent: QWidget) -> None:
        super().__init__(parent)
        self.textEdited.connect(lambda _: self.write_in_pencil(False))

    def write_in_pencil(self, is_read: bool, *, is_doubted: bool = False) -> None:
        """Show the text as read, or as written by a person."""
        parent = self.parentWidget()
        font = QFont(parent.font() if parent is not None else self.font())
        font.setItalic(is_read)
        self.setFont(font)
        self.setProperty("doubted", is_read and is_doubted)
        style = self.style()
        if style is not None:
            style.unpolish(self)
            style.polish(self)

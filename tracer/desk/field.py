"""A field of one line that leaves dropped files to the window."""

from __future__ import annotations

from PyQt6.QtWidgets import QLineEdit, QWidget

__all__ = ["Field"]


class Field(QLineEdit):
    """A field into which no file's name is dropped: a file dropped anywhere on the window is opened."""

    def __init__(self, *given: str | QWidget | None) -> None:
        super().__init__(*given)  # type: ignore[arg-type]
        self.setAcceptDrops(False)

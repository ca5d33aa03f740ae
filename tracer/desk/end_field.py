"""The field in which an end of a part is named: the electrode is written, its pin stays."""

from __future__ import annotations

from PyQt6.QtGui import QFocusEvent

from tracer.desk.draft import PIN
from tracer.desk.field import Field

__all__ = ["EndField"]


class EndField(Field):
    """A field that keeps the pin while the electrode before it is written."""

    @property
    def is_whole(self) -> bool:
        """Whether the end is named: more than its pin is known."""
        text = self.text().strip()
        return bool(text) and not text.startswith(PIN)

    def take(self) -> None:
        """Take the keys, with what is to be written over picked."""
        self.setFocus()
        self._pick()

    def focusInEvent(self, a0: QFocusEvent | None) -> None:
        """Pick the electrode alone: its pin was read beside it."""
        super().focusInEvent(a0)
        self._pick()

    def _pick(self) -> None:
        place = self.text().find(PIN)
        if place < 0:
            self.selectAll()
        elif place == 0:
            self.deselect()
            self.setCursorPosition(0)
        else:
            self.setSelection(0, place)

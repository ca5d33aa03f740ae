"""A linked meter's readings in the strip: what it shows, and once it stands still, one key to take it."""

from __future__ import annotations

from PyQt6.QtCore import QEvent, QObject, Qt
from PyQt6.QtGui import QKeyEvent

from tracer.circuit.values import format_value
from tracer.desk import words
from tracer.desk.desk import Desk
from tracer.desk.measuring import Measuring
from tracer.desk.meter_watch import MeterWatch
from tracer.desk.state import State
from tracer.desk.strip import ReadingStrip
from tracer.job.choices import current_meter

__all__ = ["MeterReading"]

DIGITS = 4
_HELD = frozenset({Qt.Key.Key_Shift, Qt.Key.Key_Control, Qt.Key.Key_Alt, Qt.Key.Key_Meta, Qt.Key.Key_AltGr})


class MeterReading(QObject):
    """Puts what the meter shows into the strip; nothing is taken before a key says so."""

    def __init__(
        self, desk: Desk, strip: ReadingStrip, measuring: Measuring, watch: MeterWatch, parent: QObject
    ) -> None:
        super().__init__(parent)
        self._desk, self._strip, self._measuring, self._watch = desk, strip, measuring, watch
        self.offered = ""
        watch.shown.connect(self._show)
        watch.stood.connect(self._offer)
        watch.moved.connect(self._move)
        watch.failed.connect(desk.fail)
        watch.linked.connect(self._linked)
        desk.state_changed.connect(self._follow)
        desk.opened.connect(self._leave)
        strip.entry.installEventFilter(self)

    def eventFilter(self, a0: QObject | None, a1: QEvent | None) -> bool:
        """Take what is offered on any key; Esc leaves it."""
        if not self.offered or not isinstance(a1, QKeyEvent):
            return False
        if a1.type() == QEvent.Type.ShortcutOverride:
            # Plain keys and Esc are meant for the offer, not for the menus.
            if not a1.modifiers() & Qt.KeyboardModifier.ControlModifier:
                a1.accept()
                return True
            return False
        if a1.type() != QEvent.Type.KeyPress or a1.key() in _HELD:
            return False
        if a1.modifiers() & Qt.KeyboardModifier.ControlModifier or a1.key() == Qt.Key.Key_Tab:
            return False
        text = self.offered
        self._leave()
        if a1.key() != Qt.Key.Key_Escape:
            self._measuring.enter(text)
        return True

    def _show(self, ohms: float) -> None:
        if not self._strip.entry.text():
            self._strip.entry.setPlaceholderText(_text(ohms))

    def _move(self) -> None:
        """The meter shows something else now: what was offered is no longer what it shows."""
        self._leave()

    def _offer(self, ohms: float) -> None:
        typed = self._strip.entry.text() and not self.offered
        if typed or self._measuring.expectation is None or not all(self._desk.state.leads):
            return
        self.offered = _text(ohms)
        self._strip.entry.setText(self.offered)
        self._strip.entry.setFocus()
        self._strip.say(words.METER_STEADY)

    def _leave(self) -> None:
        if self.offered:
            self.offered = ""
            self._strip.entry.setText("")

    def _follow(self, old: State, new: State) -> None:
        if (old.leads, old.setting) != (new.leads, new.setting):
            self._leave()
            self._watch.again()

    def _linked(self, who: str) -> None:
        job = self._desk.job
        if job is not None:
            self._watch.meter = current_meter(job)
        if who:
            self._desk.told.emit(words.METER_LINKED.format(who=who))
        else:
            self._leave()
            self._strip.entry.setPlaceholderText(words.ENTRY_HINT)


def _text(ohms: float) -> str:
    return format_value(ohms, "ohm", DIGITS)

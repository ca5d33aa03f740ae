"""Joins cut and made by hand, at the place that was last pressed."""

from __future__ import annotations

from PyQt6.QtCore import QObject

from tracer.desk import words
from tracer.desk.desk import Desk
from tracer.desk.state import Hand
from tracer.job.mends import add_mend
from tracer.trace.mend import Mend, MendKind

__all__ = ["Mending"]


class Mending(QObject):
    """Puts mends into the job."""

    def __init__(self, desk: Desk, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._desk = desk

    def mend(self, kind: MendKind) -> None:
        """Mend at the last pressed place; a join waits for a second one."""
        spot = self._desk.state.spot
        if spot is None:
            self._desk.told.emit(words.MEND_NEEDS_SPOT)
        elif kind is MendKind.JOIN:
            self._desk.pick(hand=Hand.JOIN)
            self._desk.told.emit(words.JOIN_HINT)
        else:
            self._store(Mend(kind, *spot, sheet=self._desk.state.sheet))

    def join_to(self, x: float, y: float) -> None:
        """Join the last pressed place to (x, y)."""
        spot = self._desk.state.spot
        self._desk.pick(hand=Hand.LOOK)
        if spot is not None:
            self._store(Mend(MendKind.JOIN, *spot, x, y, sheet=self._desk.state.sheet))

    def _store(self, mend: Mend) -> None:
        if self._desk.edit(lambda job: add_mend(job, mend)) is not None:
            self._desk.told.emit(words.MENDED.format(kind=mend.kind))

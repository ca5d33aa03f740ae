"""What a person says of a place without a reading: replaced, seen by eye, left for later."""

from __future__ import annotations

from PyQt6.QtCore import QObject

from tracer.desk import words
from tracer.desk.desk import Desk
from tracer.job.edits import now
from tracer.job.marks import add_mark, marks, remove_mark
from tracer.job.records import Mark, MarkKind

__all__ = ["Marking"]


class Marking(QObject):
    """Puts dated marks on the picked part, or on the place that was last pressed."""

    def __init__(self, desk: Desk, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._desk = desk

    def mark(self, kind: MarkKind) -> None:
        """Mark the picked part or place; a second time takes the same mark off again."""
        spot = self._spot()
        if spot is None:
            self._desk.told.emit(words.MEND_NEEDS_SPOT)
            return
        job, sheet = self._desk.job, self._desk.state.sheet
        # What is proved does not hang on any other mark.
        proves = kind is MarkKind.REPLACED
        there = [] if job is None else [m for m in marks(job, sheet) if m.kind is kind and (m.x, m.y) == spot]
        if there and there[0].id is not None:
            number = there[0].id
            self._desk.edit(lambda job: remove_mark(job, number), lay_out=proves)
            return
        mark = Mark(sheet, *spot, kind, now())
        if self._desk.edit(lambda job: add_mark(job, mark), lay_out=proves) is not None:
            self._desk.told.emit(words.MARKED.format(kind=kind))

    def _spot(self) -> tuple[float, float] | None:
        picked = next((tag for tag in self._desk.tags_in_view() if tag.id == self._desk.state.tag), None)
        if picked is not None:
            return (picked.box[0] + picked.box[2]) / 2, (picked.box[1] + picked.box[3]) / 2
        return self._desk.state.spot

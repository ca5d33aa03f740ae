"""Marks: what a person says of a place without a reading."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from tracer.job.edits import Change, next_id, perform
from tracer.job.file import Job, transaction
from tracer.job.records import Mark, MarkKind

__all__ = ["add_mark", "mark_changes", "marks", "remove_mark"]


def marks(job: Job, sheet: int | None = None) -> tuple[Mark, ...]:
    """Return the marks of one sheet, or of all, in the order they were made."""
    rows = job.connection.execute('SELECT id, sheet, x, y, kind, "when", note FROM marks ORDER BY id')
    found = (Mark(on, x, y, MarkKind(kind), when, note, id) for id, on, x, y, kind, when, note in rows)
    return tuple(mark for mark in found if sheet is None or mark.sheet == sheet)


def add_mark(job: Job, mark: Mark) -> Mark:
    """Store a mark as one undoable edit and return it with its id."""
    with transaction(job):
        stored = replace(mark, id=next_id(job.connection, "marks"))
        perform(job, f"mark “{mark.kind}” on sheet {mark.sheet}", [Change("marks", None, _to_row(stored))])
        return stored


def mark_changes(job: Job, new: Iterable[Mark]) -> list[Change]:
    """Return the changes that add `new`, for an edit of several things; ids are given here."""
    first = next_id(job.connection, "marks")
    return [Change("marks", None, _to_row(replace(mark, id=first + n))) for n, mark in enumerate(new)]


def remove_mark(job: Job, id: int) -> None:
    """Remove the mark of that id, as one undoable edit; nothing happens when there is none."""
    with transaction(job):
        for mark in marks(job):
            if mark.id == id:
                perform(job, f"remove the mark “{mark.kind}”", [Change("marks", _to_row(mark), None)])


def _to_row(mark: Mark) -> dict[str, str | int | float | None]:
    return {
        "id": mark.id,
        "sheet": mark.sheet,
        "x": float(mark.x),
        "y": float(mark.y),
        "kind": str(mark.kind),
        "when": mark.when,
        "note": mark.note,
    }

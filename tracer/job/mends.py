"""Mends: joins cut or made by hand. They anchor on pixels, so they survive a new reading of the sheet."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from tracer.job.edits import Change, next_id, perform
from tracer.job.file import Job, transaction
from tracer.trace.mend import Mend, MendKind

__all__ = ["add_mend", "mend_changes", "mends", "remove_mend"]


def mends(job: Job, sheet: int | None = None) -> tuple[Mend, ...]:
    """Return the mends of one sheet, or of all, in the order they were made."""
    rows = job.connection.execute("SELECT id, sheet, kind, x, y, x2, y2 FROM mends ORDER BY id")
    found = (Mend(MendKind(kind), x, y, x2, y2, on, id) for id, on, kind, x, y, x2, y2 in rows)
    return tuple(mend for mend in found if sheet is None or mend.sheet == sheet)


def add_mend(job: Job, mend: Mend) -> Mend:
    """Store a mend as one undoable edit and return it with its id."""
    with transaction(job):
        (change,) = mend_changes(job, [mend])
        perform(job, f"mend by hand: {mend.kind} on sheet {mend.sheet}", [change])
        return replace(mend, id=int((change.after or {})["id"] or 0))


def remove_mend(job: Job, id: int) -> None:
    """Remove the mend of that id, as one undoable edit; nothing happens when there is none."""
    with transaction(job):
        for mend in mends(job):
            if mend.id == id:
                perform(job, f"remove the mend: {mend.kind}", [Change("mends", _to_row(mend), None)])


def mend_changes(job: Job, new: Iterable[Mend]) -> list[Change]:
    """Return the changes that add `new`, for an edit of several things; ids are given here."""
    first = next_id(job.connection, "mends")
    return [Change("mends", None, _to_row(replace(mend, id=first + n))) for n, mend in enumerate(new)]


def _to_row(mend: Mend) -> dict[str, str | int | float | None]:
    return {
        "id": mend.id,
        "sheet": mend.sheet,
        "kind": str(mend.kind),
        "x": float(mend.x),
        "y": float(mend.y),
        "x2": mend.x2,
        "y2": mend.y2,
    }

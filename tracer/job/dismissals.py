"""Boxes of which a person said that no part is there: the reader's proposal is offered no more."""

from __future__ import annotations

import json
from collections.abc import Iterable

from tracer.job.edits import Change, next_id, perform
from tracer.job.file import Job, transaction
from tracer.job.records import Dismissal

__all__ = ["dismiss", "dismissals"]


def dismissals(job: Job, sheet: int | None = None) -> tuple[Dismissal, ...]:
    """Return the dismissed boxes of one sheet, or of all, in the order they were dismissed."""
    rows = job.connection.execute("SELECT id, sheet, box, kind FROM dismissals ORDER BY id")
    found = (_from_row(row) for row in rows)
    return tuple(each for each in found if sheet is None or each.sheet == sheet)


def dismiss(job: Job, new: Iterable[Dismissal]) -> None:
    """Store that no part is in those boxes, as one undoable edit."""
    new = tuple(new)
    with transaction(job):
        first = next_id(job.connection, "dismissals")
        changes = [Change("dismissals", None, _to_row(each, first + n)) for n, each in enumerate(new)]
        what = f"not a {new[0].kind}" if len(new) == 1 else f"{len(new)} proposals are no parts"
        perform(job, what, changes)


def _from_row(row: tuple[int, int, str, str]) -> Dismissal:
    id, sheet, box, kind = row
    x0, y0, x1, y1 = json.loads(box)
    return Dismissal(sheet, (x0, y0, x1, y1), kind, id)


def _to_row(each: Dismissal, id: int) -> dict[str, str | int | float | None]:
    return {"id": id, "sheet": each.sheet, "box": json.dumps(list(each.box)), "kind": each.kind}

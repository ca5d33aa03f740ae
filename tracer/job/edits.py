"""Every edit with its inverse: undo and redo that outlive the program.

An edit is a list of rows before and after. Its inverse is the same list turned round, so undo needs no
knowledge of tags or banks. Readings are the exception: a reading is a fact, so undoing one withdraws it
and bringing it back adds a new reading that cites the withdrawn one.
"""

from __future__ import annotations

import json
import sqlite3
from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import datetime
from typing import Any

from tracer.job.file import Job, transaction

__all__ = [
    "Change",
    "Edit",
    "Step",
    "apply_changes",
    "can_redo",
    "can_undo",
    "history",
    "next_id",
    "now",
    "perform",
    "redo",
    "undo",
]

Row = dict[str, str | int | float | None]
"""A table's row as plain values by column."""

_KEYS = {
    "sheets": "number",
    "tags": "id",
    "marks": "id",
    "mends": "id",
    "banks": "id",
    "rails": "id",
    "choices": "name",
    "dismissals": "id",
    "fitted": "id",
}


@dataclass(frozen=True, slots=True)
class Change:
    """One row of `table` before and after; None where the row is not there."""

    table: str
    before: Row | None
    after: Row | None

    def turned(self) -> Change:
        """Return the change that undoes this one."""
        return Change(self.table, self.after, self.before)


@dataclass(frozen=True, slots=True)
class Step:
    """What an edit does in one direction: rows changed, readings (by number) withdrawn or brought back."""

    changes: tuple[Change, ...] = ()
    withdraw: tuple[int, ...] = ()
    bring_back: tuple[int, ...] = ()

    def turned(self) -> Step:
        """Return the step that undoes this one."""
        return Step(tuple(c.turned() for c in reversed(self.changes)), self.bring_back, self.withdraw)

    def renumbered(self, numbers: dict[int, int]) -> Step:
        """Return the step with readings that got a new number named by it."""
        return replace(
            self,
            withdraw=tuple(numbers.get(n, n) for n in self.withdraw),
            bring_back=tuple(numbers.get(n, n) for n in self.bring_back),
        )

    def to_json(self) -> str:
        """Return the step as JSON text."""
        changes = [{"table": c.table, "before": c.before, "after": c.after} for c in self.changes]
        return json.dumps({"changes": changes, "withdraw": self.withdraw, "bring_back": self.bring_back})

    @staticmethod
    def from_json(text: str) -> Step:
        """Read what `to_json` wrote."""
        data: dict[str, Any] = json.loads(text)
        return Step(
            tuple(Change(c["table"], c["before"], c["after"]) for c in data["changes"]),
            tuple(data["withdraw"]),
            tuple(data["bring_back"]),
        )


@dataclass(frozen=True, slots=True)
class Edit:
    """One line of the history; `state` is ``done``, ``undone`` or ``dropped`` (undone, then replaced)."""

    id: int
    when: str
    words: str
    state: str


def now() -> str:
    """Return the present moment as ISO 8601 with its offset, to the second."""
    return datetime.now().astimezone().isoformat(timespec="seconds")


def next_id(connection: sqlite3.Connection, table: str) -> int:
    """Return an id that `table` never gave before: no edit can bring back a row under another's id."""
    row = connection.execute("SELECT seq FROM sqlite_sequence WHERE name = ?", (table,)).fetchone()
    return int(row[0]) + 1 if row else 1


def perform(job: Job, words: str, plan: Step | Iterable[Change]) -> int:
    """Do an edit and store it with its inverse, in one transaction; return the edit's id.

    A change to what stands already is left out, and an edit without changes is none: its id is 0.

    Parameters
    ----------
    job : Job
    words : str
        The edit as a person would say it: ``"tag R12"``.
    plan : Step or iterable of Change
        The changes, or a step with readings to withdraw. Readings to bring back are taken as being there:
        only redo adds them again.

    Raises
    ------
    TargetUnwritable
        When the job file cannot be written; nothing was changed.
    """
    with transaction(job) as connection:
        step = plan if isinstance(plan, Step) else Step(tuple(plan))
        step = replace(step, changes=tuple(c for c in step.changes if c.before != c.after))
        if step == Step():
            return 0
        apply_changes(connection, step.changes)
        for number in step.withdraw:
            _set_withdrawn(connection, number)
        inverse = step.turned()
        connection.execute("UPDATE edits SET state = 'dropped' WHERE state = 'undone'")
        cursor = connection.execute(
            'INSERT INTO edits ("when", words, forward, inverse, state) VALUES (?, ?, ?, ?, ?)',
            (now(), words, step.to_json(), inverse.to_json(), "done"),
        )
        return int(cursor.lastrowid or 0)


def apply_changes(connection: sqlite3.Connection, changes: Iterable[Change]) -> None:
    """Write the `after` rows. Table and column names come from this room's own code, never from a user."""
    for change in changes:
        key = _KEYS[change.table]
        if change.before is not None:
            where = f'DELETE FROM {change.table} WHERE "{key}" = ?'
            connection.execute(where, (change.before[key],))
        if change.after is not None:
            names = ", ".join(f'"{name}"' for name in change.after)
            marks = ", ".join("?" * len(change.after))
            values = tuple(change.after.values())
            connection.execute(f"INSERT INTO {change.table} ({names}) VALUES ({marks})", values)


def undo(job: Job) -> str | None:
    """Take back the last edit; return it in words, or None when there is nothing to undo."""
    return _move(job, "done", "undone", newest=True)


def redo(job: Job) -> str | None:
    """Do the last undone edit again; return it in words, or None when there is nothing to redo."""
    return _move(job, "undone", "done", newest=False)


def can_undo(job: Job) -> str | None:
    """Return in words what `undo` would take back, or None."""
    row = _candidate(job.connection, "done", newest=True)
    return None if row is None else str(row[1])


def can_redo(job: Job) -> str | None:
    """Return in words what `redo` would do again, or None."""
    row = _candidate(job.connection, "undone", newest=False)
    return None if row is None else str(row[1])


def history(job: Job) -> tuple[Edit, ...]:
    """Return every edit ever made, the oldest first."""
    rows = job.connection.execute('SELECT id, "when", words, state FROM edits ORDER BY id')
    return tuple(Edit(*row) for row in rows)


def _candidate(
    connection: sqlite3.Connection, state: str, *, newest: bool
) -> tuple[int, str, str, str] | None:
    order = "DESC" if newest else "ASC"
    row: tuple[int, str, str, str] | None = connection.execute(
        f"SELECT id, words, forward, inverse FROM edits WHERE state = ? ORDER BY id {order} LIMIT 1", (state,)
    ).fetchone()
    return row


def _move(job: Job, before: str, after: str, *, newest: bool) -> str | None:
    with transaction(job) as connection:
        row = _candidate(connection, before, newest=newest)
        if row is None:
            return None
        number, words, forward, inverse = row
        step = Step.from_json(inverse if after == "undone" else forward)
        apply_changes(connection, step.changes)
        for reading in step.withdraw:
            _set_withdrawn(connection, reading)
        renamed = {reading: _bring_back(connection, reading) for reading in step.bring_back}
        connection.execute(
            "UPDATE edits SET state = ?, forward = ?, inverse = ? WHERE id = ?",
            (
                after,
                Step.from_json(forward).renumbered(renamed).to_json(),
                Step.from_json(inverse).renumbered(renamed).to_json(),
                number,
            ),
        )
        return words


def _set_withdrawn(connection: sqlite3.Connection, number: int) -> None:
    connection.execute("UPDATE readings SET withdrawn = 1 WHERE number = ?", (number,))


def _bring_back(connection: sqlite3.Connection, number: int) -> int:
    cursor = connection.execute(
        """INSERT INTO readings
           (start, "end", shown, ohms, rising, setting, meter, "when", network, verdict, cites)
           SELECT start, "end", shown, ohms, rising, setting, meter, "when", network, verdict, number
           FROM readings WHERE number = ?""",
        (number,),
    )
    return int(cursor.lastrowid or 0)

"""Switch banks and rails."""

from __future__ import annotations

import json
from collections.abc import Iterable

from tracer.circuit.elements import Bank, BankStyle
from tracer.errors import BadConfirmation
from tracer.job.edits import Change, next_id, perform
from tracer.job.file import Job, transaction
from tracer.job.records import Rail

__all__ = [
    "bank_changes",
    "banks",
    "put_bank",
    "put_rail",
    "rail_changes",
    "rails",
    "remove_bank",
    "remove_rail",
]

_Row = dict[str, str | int | float | None]


def banks(job: Job) -> tuple[Bank, ...]:
    """Return the switch banks in the order they were made."""
    return tuple(bank for _, bank in _stored_banks(job))


def put_bank(job: Job, bank: Bank) -> None:
    """Store a bank, in place of one of the same name if there is one: one undoable edit.

    Raises
    ------
    BadConfirmation
        When it has no position, or one twice.
    """
    with transaction(job):
        changes = bank_changes(job, [bank])
        verb = "change" if changes[0].before else "add"
        perform(job, f"{verb} the switch bank {bank.name}", changes)


def remove_bank(job: Job, name: str) -> None:
    """Remove a bank, as one undoable edit; nothing happens when there is none of that name."""
    with transaction(job):
        for id, bank in _stored_banks(job):
            if bank.name == name:
                perform(job, f"remove the switch bank {name}", [Change("banks", _bank_row(id, bank), None)])


def bank_changes(job: Job, new: Iterable[Bank]) -> list[Change]:
    """Return the changes that put `new`, for an edit of several things."""
    stored = {bank.name: (id, bank) for id, bank in _stored_banks(job)}
    free = next_id(job.connection, "banks")
    changes = []
    for bank in new:
        if not bank.positions or len(set(bank.positions)) != len(bank.positions):
            raise BadConfirmation(f"The switch bank {bank.name} needs positions of different names.")
        before = _bank_row(*stored[bank.name]) if bank.name in stored else None
        id = stored[bank.name][0] if bank.name in stored else free
        free += bank.name not in stored
        changes.append(Change("banks", before, _bank_row(id, bank)))
    return changes


def rails(job: Job) -> tuple[Rail, ...]:
    """Return the rails in the order they were made."""
    return tuple(rail for _, rail in _stored_rails(job))


def put_rail(job: Job, rail: Rail) -> None:
    """Store a rail, in place of one of the same name if there is one: one undoable edit."""
    with transaction(job):
        changes = rail_changes(job, [rail])
        verb = "change" if changes[0].before else "add"
        perform(job, f"{verb} the rail {rail.name}", changes)


def remove_rail(job: Job, name: str) -> None:
    """Remove a rail, as one undoable edit; nothing happens when there is none of that name."""
    with transaction(job):
        for id, rail in _stored_rails(job):
            if rail.name == name:
                perform(job, f"remove the rail {name}", [Change("rails", _rail_row(id, rail), None)])


def rail_changes(job: Job, new: Iterable[Rail]) -> list[Change]:
    """Return the changes that put `new`, for an edit of several things."""
    stored = {rail.name: (id, rail) for id, rail in _stored_rails(job)}
    free = next_id(job.connection, "rails")
    changes = []
    for rail in new:
        before = _rail_row(*stored[rail.name]) if rail.name in stored else None
        id = stored[rail.name][0] if rail.name in stored else free
        free += rail.name not in stored
        changes.append(Change("rails", before, _rail_row(id, rail)))
    return changes


def _stored_banks(job: Job) -> list[tuple[int, Bank]]:
    rows = job.connection.execute("SELECT id, name, positions, style FROM banks ORDER BY id")
    return [(id, Bank(name, tuple(json.loads(text)), BankStyle(style))) for id, name, text, style in rows]


def _stored_rails(job: Job) -> list[tuple[int, Rail]]:
    rows = job.connection.execute('SELECT id, name, "at" FROM rails ORDER BY id')
    return [(id, Rail(name, at)) for id, name, at in rows]


def _bank_row(id: int, bank: Bank) -> _Row:
    return {"id": id, "name": bank.name, "positions": json.dumps(bank.positions), "style": str(bank.style)}


def _rail_row(id: int, rail: Rail) -> _Row:
    return {"id": id, "name": rail.name, "at": rail.at}

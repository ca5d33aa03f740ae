"""Removing what a row of a list stands for; facts stay."""

from __future__ import annotations

from tracer.desk import words
from tracer.desk.desk import Desk
from tracer.desk.listing import Row
from tracer.desk.pinning import forget_pins
from tracer.job.banks import remove_bank, remove_rail
from tracer.job.marks import remove_mark
from tracer.job.mends import remove_mend
from tracer.job.readings import withdraw_reading
from tracer.job.tags import remove_tag

__all__ = ["remove"]


def remove(desk: Desk, row: Row) -> None:
    """Remove a part, mark, mend, bank or rail, withdraw a reading, forget a type's pins: one edit each."""
    kind, name = row.key
    if kind == "tag":
        desk.edit(lambda job: remove_tag(job, int(name)))
    elif kind == "reading":
        desk.edit(lambda job: withdraw_reading(job, int(name)))
    elif kind == "mark":
        desk.edit(lambda job: remove_mark(job, int(name)))
    elif kind == "mend":
        desk.edit(lambda job: remove_mend(job, int(name)))
    elif kind == "bank":
        desk.edit(lambda job: remove_bank(job, name))
    elif kind == "rail":
        desk.edit(lambda job: remove_rail(job, name))
    elif kind == "pins":
        forget_pins(name)
        desk.told.emit(words.PINS_FORGOTTEN.format(type=name))
        desk.changed.emit()
    else:
        desk.told.emit(words.NOT_REMOVED)

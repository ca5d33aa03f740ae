"""Readings: facts, only ever added. Undo withdraws one; it stays in the record."""

from __future__ import annotations

import hashlib

from tracer.circuit.elements import Setting
from tracer.circuit.results import Meter, Reading
from tracer.errors import UnknownPoint
from tracer.job.choices import meter_from_text, meter_to_text, setting_from_text, setting_to_text
from tracer.job.edits import Step, now, perform
from tracer.job.file import Job, transaction
from tracer.job.records import ReadingRecord

__all__ = ["add_reading", "as_reading", "network_text", "reading", "readings", "withdraw_reading"]

_COLUMNS = """number, start, "end", shown, ohms, rising, setting, meter, "when", network, verdict,
    withdrawn, cites"""


def readings(job: Job, *, withdrawn: bool = False) -> tuple[ReadingRecord, ...]:
    """Return the readings in the order they were taken, with the withdrawn ones if asked."""
    rows = job.connection.execute(f"SELECT {_COLUMNS} FROM readings ORDER BY number")
    found = (_from_row(row) for row in rows)
    return tuple(record for record in found if withdrawn or not record.withdrawn)


def reading(job: Job, number: int) -> ReadingRecord:
    """Return one reading, withdrawn or not; raise `UnknownPoint` when there is none of that number."""
    row = job.connection.execute(f"SELECT {_COLUMNS} FROM readings WHERE number = ?", (number,)).fetchone()
    if row is None:
        raise UnknownPoint(f"The job {job.path} has no reading {number}.")
    return _from_row(row)


def add_reading(
    job: Job,
    start: str,
    end: str,
    shown: str,
    ohms: float,
    rising: bool,
    setting: Setting,
    meter: Meter,
    wiring: str,
    verdict: str,
    *,
    when: str | None = None,
) -> ReadingRecord:
    """Store a reading with the whole network it was judged on; undoing it withdraws it.

    Parameters
    ----------
    job : Job
    start, end : str
        Points; `start` took the positive lead.
    shown : str
        What was typed or received.
    ohms : float
        Ω; ``inf`` for OL.
    rising : bool
        Whether it was still climbing.
    setting, meter : Setting, Meter
        What it was taken with.
    wiring : str
        The circuit it was judged on, as a wiring list; stored once for all readings that share it.
    verdict : str
        The verdict at the time.
    when : str, optional
        ISO 8601; now when not given.
    """
    network = hashlib.sha256(wiring.encode()).hexdigest()
    with transaction(job) as connection:
        connection.execute("INSERT OR IGNORE INTO networks VALUES (?, ?)", (network, wiring))
        cursor = connection.execute(
            """INSERT INTO readings
               (start, "end", shown, ohms, rising, setting, meter, "when", network, verdict)
               VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?)""",
            (
                start,
                end,
                shown,
                float(ohms),
                int(rising),
                setting_to_text(setting),
                meter_to_text(meter),
                when or now(),
                network,
                verdict,
            ),
        )
        number = int(cursor.lastrowid or 0)
        # The row is there already; the step says what redo does after an undo.
        perform(job, f"reading {start} to {end}: {shown}", Step(bring_back=(number,)))
    return reading(job, number)


def withdraw_reading(job: Job, number: int) -> None:
    """Withdraw a reading, as one undoable edit; it stays in the record and no longer counts."""
    with transaction(job):
        record = reading(job, number)
        if not record.withdrawn:
            words = f"withdraw reading {number} ({record.start} to {record.end})"
            perform(job, words, Step(withdraw=(number,)))


def network_text(job: Job, network: str) -> str:
    """Return the wiring list stored under a reading's `network` hash."""
    row = job.connection.execute("SELECT wiring FROM networks WHERE hash = ?", (network,)).fetchone()
    if row is None:
        raise UnknownPoint(f"The job {job.path} holds no network {network[:12]}.")
    return str(row[0])


def as_reading(record: ReadingRecord) -> Reading:
    """Return the record as the arithmetic wants it.

    The record's own number travels with it, so that proof can name the reading that carried an element.
    """
    return Reading(record.start, record.end, record.ohms, record.setting, record.rising, record.number)


def _from_row(
    row: tuple[int, str, str, str, float, int, str, str, str, str, str, int, int | None],
) -> ReadingRecord:
    number, start, end, shown, ohms, rising, setting, meter, when, network, verdict, withdrawn, cites = row
    return ReadingRecord(
        number,
        start,
        end,
        shown,
        ohms,
        bool(rising),
        setting_from_text(setting),
        when,
        network,
        verdict,
        bool(withdrawn),
        cites,
        meter_from_text(meter),
    )

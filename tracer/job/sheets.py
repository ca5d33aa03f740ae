"""The sheets of a job: the original file's bytes, and what reading and tracing gave, kept to save time."""

from __future__ import annotations

import hashlib
from pathlib import Path

from tracer.errors import FileMissing, TargetUnwritable
from tracer.job.edits import Change, apply_changes, perform
from tracer.job.file import Job, transaction
from tracer.job.records import SheetRecord

__all__ = ["add_sheet", "keep_trace", "kept_trace", "remove_sheet", "sheet_bytes", "sheets"]

_KEEP_PER_SHEET = 6
_COLUMNS = "number, name, page, sha256, dpi"


def sheets(job: Job) -> tuple[SheetRecord, ...]:
    """Return the job's sheets in order of their numbers."""
    rows = job.connection.execute(f"SELECT {_COLUMNS} FROM sheets ORDER BY number")
    return tuple(SheetRecord(*row) for row in rows)


def add_sheet(job: Job, path: Path, page: int = 1, dpi: int = 300, *, undoable: bool = True) -> SheetRecord:
    """Store a scan's bytes and add its page as the next sheet: one undoable edit.

    Parameters
    ----------
    job : Job
    path : Path
        An image, PDF or multi-page TIFF. It is stored as it is and not decoded here.
    page : int
        Page of that file, from 1.
    dpi : int
        Dots per inch that a PDF page is rendered at.
    undoable : bool
        False for the sheet that a new job is made for: a job without it would be no use.

    Raises
    ------
    FileMissing
        When the scan cannot be read.
    """
    try:
        data = Path(path).read_bytes()
    except OSError as error:
        raise FileMissing(f"The scan {path} cannot be read ({error.strerror}). Check the name.") from error
    sha256 = hashlib.sha256(data).hexdigest()
    with transaction(job) as connection:
        record = SheetRecord(_free_number(job), Path(path).name, page, sha256, dpi)
        # The bytes stay when the edit is undone, so that redo has them.
        connection.execute("INSERT OR IGNORE INTO files VALUES (?, ?, ?)", (sha256, record.name, data))
        changes = [Change("sheets", None, _to_row(record))]
        if undoable:
            perform(job, f"add sheet {record.number} ({record.name}, page {page})", changes)
        else:
            apply_changes(connection, changes)
    return record


def _free_number(job: Job) -> int:
    """Return a number that no sheet has or had, so that old tags never fall on a new sheet."""
    in_use = [sheet.number for sheet in sheets(job)]
    for table in ("tags", "marks", "mends", "dismissals"):
        in_use += [row[0] for row in job.connection.execute(f"SELECT DISTINCT sheet FROM {table}")]
    return max(in_use, default=0) + 1


def remove_sheet(job: Job, number: int) -> None:
    """Take a sheet out of the job: one undoable edit. Its tags stay and count again if it comes back."""
    with transaction(job):
        for sheet in sheets(job):
            if sheet.number == number:
                perform(job, f"remove sheet {number}", [Change("sheets", _to_row(sheet), None)])


def sheet_bytes(job: Job, number: int) -> bytes:
    """Return the bytes of the original file that sheet `number` is a page of.

    Raises
    ------
    FileMissing
        When the job has no such sheet.
    """
    row = job.connection.execute(
        "SELECT bytes FROM files JOIN sheets USING (sha256) WHERE number = ?", (number,)
    ).fetchone()
    if row is None:
        raise FileMissing(f"The job {job.path} has no sheet {number}.")
    return bytes(row[0])


def kept_trace(job: Job, sheet: int, key: str) -> bytes | None:
    """Return what was kept for `sheet` under `key`, or None."""
    row = job.connection.execute(
        "SELECT bytes FROM traces WHERE sheet = ? AND key = ?", (sheet, key)
    ).fetchone()
    return None if row is None else bytes(row[0])


def keep_trace(job: Job, sheet: int, key: str, data: bytes) -> bool:
    """Keep `data` for `sheet` under `key`, forgetting what was kept longest ago; return whether it was kept.

    Only keys with the same first word push each other out: a dozen tracings leave the reading in place.
    A job on read-only media can still be worked on, so failing to keep is no error.
    """
    try:
        with transaction(job) as connection:
            (latest,) = connection.execute("SELECT coalesce(max(used), 0) FROM traces").fetchone()
            connection.execute(
                "INSERT OR REPLACE INTO traces (sheet, key, bytes, used) VALUES (?, ?, ?, ?)",
                (sheet, key, data, latest + 1),
            )
            connection.execute(
                """DELETE FROM traces WHERE sheet = :sheet AND key LIKE :like AND key NOT IN
                   (SELECT key FROM traces WHERE sheet = :sheet AND key LIKE :like
                    ORDER BY used DESC LIMIT :most)""",
                {"sheet": sheet, "like": key.partition(" ")[0] + " %", "most": _KEEP_PER_SHEET},
            )
    except TargetUnwritable:
        return False
    return True


def _to_row(sheet: SheetRecord) -> dict[str, str | int | float | None]:
    return {
        "number": sheet.number,
        "name": sheet.name,
        "page": sheet.page,
        "sha256": sheet.sha256,
        "dpi": sheet.dpi,
    }

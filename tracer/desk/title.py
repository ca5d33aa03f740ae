"""What stands in the window's title."""

from __future__ import annotations

from tracer.desk import words
from tracer.job.file import Job
from tracer.job.sheets import sheets

__all__ = ["title_of_window"]


def title_of_window(job: Job | None, sheet: int) -> str:
    """Return which sheet of which job is in view."""
    if job is None:
        return words.PROGRAM
    listed = sheets(job)
    now = next((each for each in listed if each.number == sheet), None)
    where = ""
    if now is not None:
        where = words.SHEET_OF.format(number=now.number, count=len(listed), name=now.name)
    return f"{where} — {job.path.name} — {words.PROGRAM}"

"""The corners a person gave a photographed sheet, kept beside the job's other choices."""

from __future__ import annotations

from tracer.job.choices import choice, choose
from tracer.job.file import Job, transaction

__all__ = ["set_sheet_corners", "sheet_corners"]


def sheet_corners(job: Job, sheet: int) -> str:
    """Return the corners given for `sheet` as text, ``"none"`` for no straightening, or "" if none were."""
    return choice(job, f"corners {sheet}") or ""


def set_sheet_corners(job: Job, sheet: int, corners: str) -> None:
    """Store the corners of `sheet`, as `tracer.scan.corners.parse_corners` takes them: one undoable edit.

    An empty text leaves it to the program to look for them.
    """
    with transaction(job):
        if corners != sheet_corners(job, sheet):
            choose(job, f"corners {sheet}", corners, f"set the corners of sheet {sheet}")

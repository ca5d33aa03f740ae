"""How a sheet draws and prints, where a person knows better than what the sheet seems to do."""

from __future__ import annotations

import json
from dataclasses import asdict, dataclass

from tracer.job.edits import Change, perform
from tracer.job.file import Job, transaction
from tracer.trace.sheet import DrawingHabits

__all__ = ["SheetWays", "set_sheet_ways", "sheet_ways"]


@dataclass(frozen=True, slots=True)
class SheetWays:
    """What a person said of one sheet; None and False leave it as the sheet seems and as values usually are.

    Attributes
    ----------
    dots, wide_crossings, broken : bool or None
        As in `tracer.trace.sheet.DrawingHabits`.
    m_is_thousand : bool
        The letter M alone on a resistor or pot means a thousand.
    bare_is_micro : bool
        A capacitor's bare number is in µF, whatever its size.
    left : tuple of str
        Notes on the sheet (`tracer.trace.sheet.ConventionKind` values) that a person read and overruled.
    """

    dots: bool | None = None
    wide_crossings: bool | None = None
    broken: bool | None = None
    m_is_thousand: bool = False
    bare_is_micro: bool = False
    left: tuple[str, ...] = ()

    @property
    def habits(self) -> DrawingHabits | None:
        """What the tracing is told; None where the sheet shall tell all."""
        told = DrawingHabits(self.dots, self.wide_crossings, self.broken)
        return None if told == DrawingHabits() else told


def sheet_ways(job: Job, sheet: int) -> SheetWays:
    """Return what was said of a sheet."""
    row = job.connection.execute("SELECT value FROM choices WHERE name = ?", (_name(sheet),)).fetchone()
    if row is None:
        return SheetWays()
    said = json.loads(row[0])
    return SheetWays(**{**said, "left": tuple(said.get("left", ()))})


def set_sheet_ways(job: Job, sheet: int, ways: SheetWays) -> None:
    """Store what a person says of a sheet, as one undoable edit; the same again is none.

    Examples
    --------
    >>> import tempfile
    >>> from pathlib import Path
    >>> from tracer.job.file import create_job
    >>> with tempfile.TemporaryDirectory() as folder, create_job(Path(folder) / "a.tracer") as job:
    ...     set_sheet_ways(job, 1, SheetWays(dots=False))
    ...     sheet_ways(job, 1).dots
    False
    """
    with transaction(job):
        before = sheet_ways(job, sheet)
        row = job.connection.execute("SELECT 1 FROM choices WHERE name = ?", (_name(sheet),)).fetchone()
        old = None if row is None else {"name": _name(sheet), "value": json.dumps(asdict(before))}
        new = {"name": _name(sheet), "value": json.dumps(asdict(ways))}
        if ways != before:
            perform(job, f"how sheet {sheet} is drawn", [Change("choices", old, new)])  # type: ignore[arg-type]


def _name(sheet: int) -> str:
    return f"ways {sheet}"

"""Writing the whole report into a folder, each file whole or not at all."""

from __future__ import annotations

from pathlib import Path

from tracer.bench.records import Bench
from tracer.circuit.results import Meter
from tracer.job.file import Job
from tracer.progress import Progress

__all__ = ["write_all"]


def write_all(
    job: Job, bench: Bench, folder: Path, meter: Meter, progress: Progress | None = None
) -> tuple[Path, ...]:
    """Write sheet.png (sheet-2.png…), checklist.csv, checklist.html and wiring.txt; return their paths.

    Raises
    ------
    TargetUnwritable
        When `folder` cannot be made or written; nothing is half written.
    """
    raise NotImplementedError

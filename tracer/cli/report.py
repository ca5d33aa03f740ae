"""``tracer report``: everything that is handed over, in one folder."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from tracer.cli.options import AsJson, ToFolder
from tracer.progress import Progress

__all__ = ["report", "write_report"]


def report(
    job: Annotated[Path, typer.Argument(metavar="JOB", help="A job file.")],
    folder: ToFolder,
    as_json: AsJson = False,
) -> None:
    """Write the tinted sheets, the check list (CSV and HTML) and the wiring list of a job into a folder."""
    from tracer.cli.output import print_json, print_lines
    from tracer.cli.progress import watched

    with watched() as progress:
        written, warnings = write_report(job, folder, progress)
    if as_json:
        print_json({"files": [str(path) for path in written], "warnings": list(warnings)})
    else:
        print_lines(*warnings, *(f"Wrote {path}" for path in written))


def write_report(job: Path, folder: Path, progress: Progress) -> tuple[tuple[Path, ...], tuple[str, ...]]:
    """Write the report of the job file `job` into `folder`; return the paths and the bench's warnings.

    Raises
    ------
    TracerError
        `NotAJob`, `DamagedJob`, `JobTooNew`, `TargetUnwritable`; nothing is half written.
    """
    from tracer.bench.assemble import assemble
    from tracer.job.choices import current_meter
    from tracer.job.file import open_job
    from tracer.report.write import write_all

    with open_job(job) as opened:
        bench = assemble(opened, progress)
        written = write_all(opened, bench, folder, current_meter(opened), progress)
    return written, bench.warnings

"""``tracer report``: everything that is handed over, in one folder."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from tracer.cli.options import AsJson, ToFolder
from tracer.progress import Progress

if TYPE_CHECKING:
    from tracer.bench.records import RailShare

__all__ = ["Report", "rails_text", "report", "write_report"]


def report(
    job: Annotated[Path, typer.Argument(metavar="JOB", help="A job file.")],
    folder: ToFolder,
    as_json: AsJson = False,
) -> None:
    """Write a job's tinted sheets, check list, resistance chart and wiring list into a folder."""
    from tracer.cli.output import print_json, print_lines
    from tracer.cli.progress import watched

    with watched() as progress:
        done = write_report(job, folder, progress)
    if as_json:
        print_json({"files": [str(path) for path in done.files], "warnings": list(done.warnings)})
    else:
        print_lines(*done.warnings, rails_text(done.rails), *(f"Wrote {path}" for path in done.files))


@dataclass(frozen=True, slots=True)
class Report:
    """What was written, how the rails stand, and the bench's warnings."""

    files: tuple[Path, ...]
    rails: tuple[RailShare, ...]
    warnings: tuple[str, ...]


def write_report(job: Path, folder: Path, progress: Progress) -> Report:
    """Write the report of the job file `job` into `folder`.

    Raises
    ------
    TracerError
        `NotAJob`, `DamagedJob`, `JobTooNew`, `TargetUnwritable`; nothing is half written.
    """
    from tracer.bench.assemble import assemble
    from tracer.bench.standing import standing
    from tracer.job.choices import current_meter
    from tracer.job.file import open_job
    from tracer.report.write import write_all

    with open_job(job) as opened:
        bench = assemble(opened, progress)
        meter = current_meter(opened)
        files = write_all(opened, bench, folder, meter, progress)
        return Report(files, standing(opened, bench, meter).rails, bench.warnings)


def rails_text(rails: Sequence[RailShare]) -> str:
    """Tell how much of each rail is proved, in one sentence; nothing where there is no rail."""
    shares = ", ".join(f"{rail.rail} {rail.carried} of {rail.total}" for rail in rails)
    return f"Pieces proved, by rail: {shares}." if shares else ""

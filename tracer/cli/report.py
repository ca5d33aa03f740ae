"""``tracer report``: everything that is handed over, in one folder."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from tracer.cli.options import AsJson, ToFolder

__all__ = ["report"]


def report(
    job: Annotated[Path, typer.Argument(metavar="JOB", help="A job file.")],
    folder: ToFolder,
    as_json: AsJson = False,
) -> None:
    """Write the tinted sheets, the check list (CSV and HTML) and the wiring list of a job into a folder."""
    from tracer.bench.assemble import assemble
    from tracer.cli.output import print_json, print_lines
    from tracer.cli.progress import watched
    from tracer.job.choices import current_meter
    from tracer.job.file import open_job
    from tracer.report.write import write_all

    with watched() as progress, open_job(job) as opened:
        bench = assemble(opened, progress)
        written = write_all(opened, bench, folder, current_meter(opened), progress)
    if as_json:
        print_json({"files": [str(path) for path in written], "warnings": list(bench.warnings)})
    else:
        print_lines(*bench.warnings, *(f"Wrote {path}" for path in written))

"""``tracer desk``: the window."""

from __future__ import annotations

import signal
from pathlib import Path
from typing import Annotated

import typer

__all__ = ["desk"]


def desk(
    path: Annotated[
        Path | None,
        typer.Argument(metavar="[JOB|SCAN]", help="A job to open, or a scan to begin a job with."),
    ] = None,
) -> None:
    """Open the window on a job, on a scan, or empty."""
    from tracer.cli.source import is_job

    if path is not None:
        is_job(path)  # tells of a missing or empty file here, where a message still reaches the terminal
    from tracer.desk.app import open_desk

    # Qt's loop never comes back to Python for Python's own handler. A job commits every change at once, so
    # ending on the spot loses nothing.
    signal.signal(signal.SIGINT, signal.SIG_DFL)
    raise typer.Exit(open_desk(path))

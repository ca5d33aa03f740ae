"""The command line's entry: the commands by name, and nothing heavy before one is chosen.

Each command lives in a file of its own that imports the other rooms only when it runs, so ``tracer --help``
answers at once.
"""

from __future__ import annotations

import sys
from collections.abc import Sequence
from typing import Annotated

import typer

from tracer.cli import demo, desk, discharge, nets, ohms, parts, report, why
from tracer.cli import next as next_readings
from tracer.cli.boundary import guarded

__all__ = ["application", "main"]

application = typer.Typer(
    name="tracer",
    add_completion=False,
    no_args_is_help=True,
    pretty_exceptions_enable=False,
    rich_markup_mode=None,
    context_settings={"help_option_names": ["-h", "--help"]},
)

COMMANDS = (
    ("demo", demo.demo, "Go through the worked example."),
    ("desk", desk.desk, "Open the window."),
    ("nets", nets.nets, "Which conductor of a scan is each point on?"),
    ("parts", parts.parts, "Which parts does a scan show?"),
    ("ohms", ohms.ohms, "What ought the meter to show?"),
    ("why", why.why, "What would explain a reading?"),
    ("next", next_readings.next_readings, "Which readings would prove most?"),
    ("discharge", discharge.discharge, "What keeps its charge, plug out?"),
    ("report", report.report, "Write what is handed over of a job."),
)
for _name, _function, _short in COMMANDS:
    application.command(_name, short_help=_short)(guarded(_function))


def _version(wanted: bool) -> None:
    if wanted:
        from importlib.metadata import version

        typer.echo(version("tracer"))
        raise typer.Exit


@application.callback()
def root(
    version: Annotated[
        bool, typer.Option("--version", help="Print the version and stop.", callback=_version, is_eager=True)
    ] = False,
) -> None:
    """Check the wiring of a valve-era set against its scanned circuit diagram, with an ohmmeter, plug out."""


def main(arguments: Sequence[str] | None = None) -> int:
    """Run one command and return the exit code; the codes are listed in ``shared/exit_codes.json``.

    Parameters
    ----------
    arguments : sequence of str, optional
        What follows the program's name; those of the process by default.

    Examples
    --------
    >>> main(["--version"])  # doctest: +SKIP
    0.1.0
    0
    """
    try:
        application(args=list(sys.argv[1:] if arguments is None else arguments), prog_name="tracer")
    except SystemExit as stop:
        return stop.code if isinstance(stop.code, int) else int(bool(stop.code))
    return 0


if __name__ == "__main__":
    sys.exit(main())

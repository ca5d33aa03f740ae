"""The one place where an error becomes a message and an exit code."""

from __future__ import annotations

import functools
import json
import os
import sys
from collections.abc import Callable
from typing import ParamSpec

import typer

from tracer.errors import Cancelled, TracerError

__all__ = ["guarded"]

Parameters = ParamSpec("Parameters")


def guarded(command: Callable[Parameters, None]) -> Callable[Parameters, None]:
    """Wrap `command` so that a `TracerError` or Ctrl-C ends the process plainly.

    The message goes to stderr, and the process ends on the error's ``exit_code``. Where the command was asked
    for JSON (its parameter ``as_json``), stdout also gets ``{"error": {"code", "kind", "message"}}``, so that
    whoever reads stdout always finds one document. Ctrl-C counts as `Cancelled`.

    Raises
    ------
    typer.Exit
        With the code to end on.
    """

    @functools.wraps(command)
    def run(*positional: Parameters.args, **named: Parameters.kwargs) -> None:
        try:
            command(*positional, **named)
            sys.stdout.flush()
        except TracerError as error:
            _tell(error, as_json=bool(named.get("as_json")))
            raise typer.Exit(error.exit_code) from error
        except KeyboardInterrupt as interrupt:
            cancelled = Cancelled("Cancelled. Nothing was half written.")
            _tell(cancelled, as_json=bool(named.get("as_json")))
            raise typer.Exit(cancelled.exit_code) from interrupt
        except BrokenPipeError as broken:
            # The reader of our output has gone (`tracer ohms … | head`); keep Python from flushing into the
            # closed pipe at exit, which would print a traceback.
            os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
            raise typer.Exit(0) from broken

    return run


def _tell(error: TracerError, *, as_json: bool) -> None:
    if as_json:
        document = {"code": error.exit_code, "kind": type(error).__name__, "message": str(error)}
        print(json.dumps({"error": document}, ensure_ascii=False, indent=2))
    print(f"tracer: {error}", file=sys.stderr)

"""Progress on a terminal, and Ctrl-C as a wish to stop at the next checkpoint."""

from __future__ import annotations

import signal
import sys
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from types import FrameType
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from rich.progress import Progress as Bar

__all__ = ["TerminalProgress", "watched"]


class TerminalProgress:
    """Shows one bar, or nothing where `bar` is None, and remembers that Ctrl-C was pressed."""

    def __init__(self, bar: Bar | None) -> None:
        self._bar = bar
        self._task = None if bar is None else bar.add_task("starting", total=1.0)
        self._stop = threading.Event()

    def advance(self, stage: str, share: float) -> None:
        """Show `stage` at `share`, 0 to 1, of the whole work."""
        if self._bar is not None and self._task is not None:
            self._bar.update(self._task, description=stage, completed=min(max(share, 0.0), 1.0))

    def cancelled(self) -> bool:
        """Whether Ctrl-C was pressed."""
        return self._stop.is_set()

    def stop(self) -> None:
        """Ask the work to stop at its next checkpoint."""
        self._stop.set()


@contextmanager
def watched() -> Iterator[TerminalProgress]:
    """Give a `TerminalProgress` for the work inside the ``with`` block.

    The bar is drawn on stderr, only where that is a terminal, and is wiped at the end. The first Ctrl-C asks
    the work to stop at its next checkpoint; a second one interrupts it at once.
    """
    from rich.console import Console
    from rich.progress import BarColumn, Progress, TextColumn, TimeElapsedColumn

    console = Console(stderr=True)
    bar = None
    if console.is_terminal:
        columns = (TextColumn("{task.description}"), BarColumn(bar_width=24), TimeElapsedColumn())
        bar = Progress(*columns, console=console, transient=True)
    progress = TerminalProgress(bar)
    if bar is not None:
        bar.start()
    try:
        with _first_interrupt(progress):
            yield progress
    finally:
        if bar is not None:
            bar.stop()


@contextmanager
def _first_interrupt(progress: TerminalProgress) -> Iterator[None]:
    if threading.current_thread() is not threading.main_thread():
        yield  # signals can be taken over in the main thread only
        return

    def stop(_number: int, _frame: FrameType | None) -> None:
        if progress.cancelled():
            raise KeyboardInterrupt
        progress.stop()
        print("Stopping; press Ctrl-C again to stop at once.", file=sys.stderr)

    before = signal.signal(signal.SIGINT, stop)
    try:
        yield
    finally:
        signal.signal(signal.SIGINT, before)

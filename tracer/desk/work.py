"""Long work beside the window: functions run on threads, their ends come back to the window's own thread."""

from __future__ import annotations

import threading
import time
from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Any, Protocol

from PyQt6 import sip
from PyQt6.QtCore import QObject, pyqtSignal

from tracer.errors import Cancelled, TracerError
from tracer.progress import Progress

__all__ = ["Watch", "Work"]


class Watch(Progress, Protocol):
    """Watches a piece of work, and takes what it has before its end."""

    def hand_over(self, piece: object) -> None:
        """Take a piece of the result."""


Function = Callable[[Watch], Any]
Done = Callable[[Any], None]
Failed = Callable[[Exception], None]

TELL_EVERY_S = 0.05
"""Progress is told no oftener, so that fast steps do not fill the window's queue."""

AT_ONCE = 6
"""How many pieces of work run beside each other; the rest wait."""

PATIENCE_S = 3.0
"""How long closing waits at most for work that writes; what it was writing is whole or not there."""


@dataclass(eq=False)
class _Task:
    """One piece of work; it is its own `Progress`."""

    key: str
    function: Function
    done: Done
    failed: Failed
    tell: Callable[[str, str, float], None]
    give: Callable[[str, object], None]
    writes: bool = False
    stop: threading.Event = field(default_factory=threading.Event)
    over: threading.Event = field(default_factory=threading.Event)
    told_stage: str = ""
    told_at: float = 0.0

    def advance(self, stage: str, share: float) -> None:
        now = time.monotonic()
        if stage != self.told_stage or now - self.told_at >= TELL_EVERY_S:
            self.told_stage, self.told_at = stage, now
            self.tell(self.key, stage, share)

    def cancelled(self) -> bool:
        return self.stop.is_set()

    def hand_over(self, piece: object) -> None:
        if not self.stop.is_set():
            self.give(self.key, piece)


class Work(QObject):
    """Runs functions that take a `Progress`, one a key at a time.

    New work under a key stops the work before it under the same key, whose end is then never told. The
    threads end with the program: only work that `writes` is waited for on closing.

    Signals: `stage` (key, a few words, share 0 to 1), `piece` (key, what the work handed over before its end)
    and `idle` when nothing is left to do.
    """

    piece = pyqtSignal(str, object)

    stage = pyqtSignal(str, str, float)
    idle = pyqtSignal()
    _ended = pyqtSignal(object, object, object)

    def __init__(self, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._room = threading.Semaphore(AT_ONCE)
        self._writing: list[_Task] = []
        self._tasks: dict[str, _Task] = {}
        self._ended.connect(self._end)

    @property
    def busy(self) -> bool:
        """Whether any work is under way or waits."""
        return bool(self._tasks)

    def is_busy(self, key: str) -> bool:
        """Whether work under `key` is under way or waits."""
        return key in self._tasks

    def run(self, key: str, function: Function, done: Done, failed: Failed, *, writes: bool = False) -> None:
        """Run `function` on a thread, then `done` with its result or `failed` with its error, here.

        `writes` says that it writes a file or the job, so that closing waits for it.
        """
        self.stop(key)
        task = _Task(key, function, done, failed, self._tell, self._give, writes)
        self._tasks[key] = task
        if writes:
            self._writing = [*(each for each in self._writing if not each.over.is_set()), task]
        # Python waits at its end for the threads of an executor, but not for those that are its daemons.
        threading.Thread(target=self._perform, args=(task,), name=f"desk {key}", daemon=True).start()

    def stop(self, key: str | None = None) -> None:
        """Stop the work under `key`, or all of it; its end is not told."""
        for name in [key] if key is not None else list(self._tasks):
            task = self._tasks.pop(name, None)
            if task is not None:
                task.stop.set()

    def cancel(self, key: str) -> None:
        """Ask the work under `key` to stop; its end is told as the error `Cancelled`."""
        task = self._tasks.get(key)
        if task is not None:
            task.stop.set()

    def close(self) -> None:
        """Stop everything, and wait a while for what writes."""
        self.stop()
        until = time.monotonic() + PATIENCE_S
        for task in self._writing:
            task.over.wait(max(0.0, until - time.monotonic()))

    def _tell(self, key: str, stage: str, share: float) -> None:
        if not sip.isdeleted(self):
            self.stage.emit(key, stage, share)

    def _give(self, key: str, piece: object) -> None:
        if not sip.isdeleted(self):
            self.piece.emit(key, piece)

    def _perform(self, task: _Task) -> None:
        result, error = None, None
        with self._room:
            try:
                if task.stop.is_set():
                    raise Cancelled("Cancelled before it began. Nothing was written.")
                result = task.function(task)
            except Exception as caught:  # told on the window's thread, whatever it is
                error = caught
        task.over.set()
        if not sip.isdeleted(self):
            self._ended.emit(task, result, error)

    def _end(self, task: _Task, result: object, error: Exception | None) -> None:
        if self._tasks.get(task.key) is not task:
            return
        del self._tasks[task.key]
        if error is None:
            task.done(result)
        else:
            task.failed(error)
            if not isinstance(error, TracerError):
                raise error
        if not self._tasks:
            self.idle.emit()

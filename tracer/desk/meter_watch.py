"""Watches a bench meter on a thread; what it shows is offered once it stands still."""

from __future__ import annotations

import threading
from collections import deque

from PyQt6 import sip
from PyQt6.QtCore import QObject, pyqtSignal

from tracer.circuit.results import Meter
from tracer.desk.meter_link import LIBRARY, STEADY, MeterLink, steady_value
from tracer.errors import TracerError

__all__ = ["MeterWatch"]

PAUSE_S = 0.15
"""Between two readings; the meter itself takes longer than this as a rule."""


class MeterWatch(QObject):
    """Signals: `linked` (who it is, "" when it ended), `shown` (ohms, each reading), `stood` (ohms, once it
    stands still; again only after it `moved`), `failed` (a `TracerError`).
    """

    linked = pyqtSignal(str)
    shown = pyqtSignal(float)
    stood = pyqtSignal(float)
    moved = pyqtSignal()
    failed = pyqtSignal(object)
    _came = pyqtSignal(object, float)
    _over = pyqtSignal(object, object)

    def __init__(self, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self.meter = Meter()
        self._stop: threading.Event | None = None
        self._last: deque[float] = deque(maxlen=STEADY)
        self._told = False
        self._came.connect(self._take)
        self._over.connect(self._end)

    @property
    def running(self) -> bool:
        """Whether a meter is watched."""
        return self._stop is not None

    def start(self, resource: str, library: str = LIBRARY) -> None:
        """Begin to watch the meter named `resource`."""
        self.stop()
        self._stop = threading.Event()
        self.again()
        arguments = (resource, library, self._stop)
        threading.Thread(target=self._watch, args=arguments, name="meter", daemon=True).start()

    def stop(self) -> None:
        """Let the meter go."""
        if self._stop is not None:
            self._stop.set()
            self._stop = None
            self.linked.emit("")

    def again(self) -> None:
        """Forget what was shown, so that the next steady reading is told: the leads are elsewhere."""
        self._last.clear()
        self._told = False

    def _watch(self, resource: str, library: str, stop: threading.Event) -> None:
        error: TracerError | None = None
        try:
            with MeterLink(resource, library) as link:
                self._emit(stop, link.identity)
                while not stop.wait(PAUSE_S):
                    self._emit(stop, link.read())
        except TracerError as caught:
            error = caught
        if not sip.isdeleted(self):
            self._over.emit(stop, error)

    def _emit(self, stop: threading.Event, what: str | float) -> None:
        if sip.isdeleted(self) or stop.is_set():
            return
        if isinstance(what, str):
            self.linked.emit(what)
        else:
            self._came.emit(stop, what)

    def _take(self, stop: object, ohms: float) -> None:
        if stop is not self._stop:
            return
        self._last.append(ohms)
        self.shown.emit(ohms)
        steady = steady_value(list(self._last), self.meter)
        if steady is None:
            if self._told:
                self.moved.emit()
            self._told = False
        elif not self._told:
            self._told = True
            self.stood.emit(steady)

    def _end(self, stop: object, error: TracerError | None) -> None:
        if stop is self._stop:
            self.stop()
            if error is not None:
                self.failed.emit(error)

"""Starting the window from the command line."""

from __future__ import annotations

import os
import sys
from collections.abc import Callable
from functools import partial
from pathlib import Path
from types import TracebackType

from tracer.errors import TracerError

__all__ = ["open_desk"]


def open_desk(path: Path | None = None) -> int:
    """Open the window on a job or a scan, or on neither, and return the exit code when it is closed.

    Parameters
    ----------
    path : Path or None
        A job file, or a scan. What is wrong with it is told in the window.

    Returns
    -------
    int
        0 when the window was closed by the user.
    """
    # OpenCV points Qt at plugins of its own build when it is imported.
    for name in ("QT_QPA_PLATFORM_PLUGIN_PATH", "QT_PLUGIN_PATH"):
        os.environ.pop(name, None)
    from PyQt6.QtGui import QIcon
    from PyQt6.QtWidgets import QApplication

    from tracer.desk import words
    from tracer.desk.window import DeskWindow
    from tracer.resources import asset

    for name in ("QT_QPA_PLATFORM_PLUGIN_PATH", "QT_PLUGIN_PATH"):
        os.environ.pop(name, None)
    application = QApplication.instance() or QApplication(sys.argv[:1])
    assert isinstance(application, QApplication)
    application.setApplicationName(words.PROGRAM)
    application.setStyle("Fusion")
    application.setWindowIcon(QIcon(str(asset("icons/tracer.svg"))))
    window = DeskWindow()
    window.show()
    if path is not None:
        window.open(path)
    before = sys.excepthook
    sys.excepthook = partial(_tell, window.note.tell)
    try:
        return application.exec()
    finally:
        sys.excepthook = before


def _tell(
    show: Callable[[TracerError], None],
    kind: type[BaseException],
    error: BaseException,
    trace: TracebackType | None,
) -> None:
    """Tell of a fault of the program itself in the window; Qt would end the program without this."""
    from tracer.desk import words

    sys.__excepthook__(kind, error, trace)
    if issubclass(kind, KeyboardInterrupt):
        sys.exit(130)
    show(TracerError(words.UNEXPECTED.format(error=f"{kind.__name__}: {error}")))

"""A window without a screen, a small drawn sheet, and a reader that knows it."""

from __future__ import annotations

import os
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
import small_sheet
from PyQt6 import sip
from PyQt6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

import tracer.reader.read
from tracer.bench import tracing
from tracer.desk.colours import DAY
from tracer.desk.window import DeskWindow


@pytest.fixture(scope="session")
def qapp_args() -> list[str]:
    """Begin the application with Qt's own plugins, as the program does; OpenCV names others on import."""
    os.environ["QT_QPA_PLATFORM"] = "offscreen"
    for name in ("QT_QPA_PLATFORM_PLUGIN_PATH", "QT_PLUGIN_PATH"):
        os.environ.pop(name, None)
    return ["desk"]


@pytest.fixture(autouse=True)
def quiet_home(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Keep what the window remembers out of the user's own folders."""
    monkeypatch.setenv("XDG_CONFIG_HOME", str(tmp_path / "config"))
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path / "data"))
    monkeypatch.setenv("HOME", str(tmp_path))


@pytest.fixture
def known_reader(monkeypatch: pytest.MonkeyPatch) -> None:
    """A reader that knows the small sheet, so that these tests are of the desk alone."""
    monkeypatch.setattr(
        tracer.reader.read, "read", lambda page, progress=None, corners=None: small_sheet.layers()
    )
    monkeypatch.setattr(tracing, "_reader_sha256", lambda: "drawn")


@pytest.fixture
def scan(tmp_path: Path) -> Path:
    """The small sheet as a file."""
    return small_sheet.write(tmp_path / "small.png")


@pytest.fixture
def make_window(qtbot: QtBot, known_reader: None) -> Iterator[Callable[[Path | None], DeskWindow]]:
    """Open windows; whatever is still open at the end is closed."""
    made: list[DeskWindow] = []

    def make(path: Path | None = None) -> DeskWindow:
        window = DeskWindow(DAY)
        made.append(window)
        window.resize(1400, 900)
        with qtbot.waitActive(window):
            window.show()
            window.activateWindow()
        if path is not None:
            window.open(path)
            settle(qtbot, window)
        return window

    yield make
    for window in made:
        if not sip.isdeleted(window):
            window.close()
            window.deleteLater()
    QApplication.processEvents()


@pytest.fixture
def window(make_window: Callable[[Path | None], DeskWindow], scan: Path) -> DeskWindow:
    """A window on a new job of the small sheet, read and laid out."""
    return make_window(scan)


def settle(qtbot: QtBot, window: DeskWindow) -> None:
    """Wait until no work is left."""
    qtbot.waitUntil(lambda: not window.desk.work.busy, timeout=20_000)
    QApplication.processEvents()


@pytest.fixture
def settled(qtbot: QtBot) -> Callable[[DeskWindow], None]:
    """Return the waiting."""
    return lambda window: settle(qtbot, window)

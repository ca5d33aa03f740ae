"""The corners of a photographed sheet: offered, moved by mouse and by keys, kept, undone."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import cv2
import numpy as np
import pytest
import small_sheet
from PyQt6.QtCore import QPoint, Qt
from PyQt6.QtTest import QTest
from pytestqt.qtbot import QtBot

import tracer.reader.read
from tracer.desk import words
from tracer.desk.state import Hand
from tracer.desk.window import DeskWindow
from tracer.job.corners import sheet_corners
from tracer.reader.layers import Layers
from tracer.scan.corners import Corners

Make = Callable[[Path | None], DeskWindow]
Settled = Callable[[DeskWindow], None]
Key = Qt.Key

TABLE = (600, 900)
LAID = np.array([(90, 60), (800, 110), (770, 540), (120, 500)], np.float32)
"""Where the small sheet's corners lie on the photographed table, page px."""


@pytest.fixture
def photograph(tmp_path: Path) -> Path:
    """The small sheet at an angle on a dark table."""
    sheet = cv2.imread(str(small_sheet.write(tmp_path / "sheet.png")), cv2.IMREAD_GRAYSCALE)
    assert sheet is not None
    high, wide = sheet.shape
    flat = np.array([(0, 0), (wide - 1, 0), (wide - 1, high - 1), (0, high - 1)], np.float32)
    there = cv2.getPerspectiveTransform(flat, LAID)
    table = cv2.warpPerspective(
        sheet, there, TABLE[::-1], borderMode=cv2.BORDER_CONSTANT, borderValue=(35, 35, 35)
    )
    path = tmp_path / "photo.png"
    cv2.imwrite(str(path), table)
    return path


@pytest.fixture
def read_with(known_reader: None, monkeypatch: pytest.MonkeyPatch) -> list[Corners | None]:
    """The corners that the reader was handed, one for each time it read."""
    told: list[Corners | None] = []

    def read(page: object, progress: object = None, corners: Corners | None = None) -> Layers:
        told.append(corners)
        return small_sheet.layers()

    monkeypatch.setattr(tracer.reader.read, "read", read)
    return told


def spot(window: DeskWindow, x: float, y: float) -> QPoint:
    return window.view.screen_at(x, y).toPoint()


def corners_of(window: DeskWindow) -> np.ndarray:
    assert window.cornering.corners is not None
    return np.array(window.cornering.corners.points)


def test_corners_found_are_offered_and_one_key_confirms_them(
    make_window: Make, photograph: Path, read_with: list[Corners | None], qtbot: QtBot, settled: Settled
) -> None:
    window = make_window(photograph)
    settled(window)
    assert window.warnings.corners.isVisibleTo(window.warnings), "they stand among what is to be seen to"
    assert window.sheet.flat.text() == words.CORNERS_STAND["found"]
    window.view.setFocus()
    qtbot.keyClick(window.view, Key.Key_L)
    assert np.abs(corners_of(window) - LAID).max() < 4
    qtbot.keyClick(window.view, Key.Key_Return)
    settled(window)
    job = window.desk.job
    assert job is not None
    assert sheet_corners(job, 1).count(",") == 4
    assert window.sheet.flat.text() == words.CORNERS_STAND["given"]
    assert not window.warnings.corners.isVisibleTo(window.warnings)
    assert str(read_with[-1]) == sheet_corners(job, 1)
    window.actions_by_name["undo"].trigger()
    settled(window)
    assert sheet_corners(job, 1) == ""
    assert window.sheet.flat.text() == words.CORNERS_STAND["found"]


def test_a_corner_is_dragged_with_the_mouse(
    make_window: Make, photograph: Path, read_with: list[Corners | None], settled: Settled
) -> None:
    window = make_window(photograph)
    window.actions_by_name["corners"].trigger()
    first, last = spot(window, *corners_of(window)[2]), spot(window, 700, 500)
    left = Qt.MouseButton.LeftButton
    QTest.mousePress(window.view, left, pos=first)
    for part in (0.3, 0.7, 1.0):
        QTest.mouseMove(window.view, first + (last - first) * part)
    QTest.mouseRelease(window.view, left, pos=last)
    assert np.abs(corners_of(window)[2] - (700, 500)).max() < 2
    assert window.desk.state.conductor is None, "nothing is lit meanwhile"
    QTest.keyClick(window.view, Key.Key_Return)
    settled(window)
    kept = read_with[-1]
    assert kept is not None
    assert np.abs(np.array(kept.bottom_right) - (700, 500)).max() < 2


def test_keys_alone_choose_and_move_a_corner(
    make_window: Make, photograph: Path, read_with: list[Corners | None], qtbot: QtBot
) -> None:
    window = make_window(photograph)
    window.actions_by_name["corners"].trigger()
    before, scale = corners_of(window), window.view.view.scale
    qtbot.keyClick(window.view, Key.Key_Tab)
    qtbot.keyClick(window.view, Key.Key_Right)
    qtbot.keyClick(window.view, Key.Key_Down, Qt.KeyboardModifier.ShiftModifier)
    step = corners_of(window) - before
    assert step[1] == pytest.approx((1 / scale, 12 / scale))
    qtbot.keyClick(window.view, Key.Key_4)
    qtbot.keyClick(window.view, Key.Key_Left)
    assert corners_of(window)[3][0] == pytest.approx(before[3][0] - 1 / scale)
    assert window.strip.leads[0].hasFocus() is False, "a digit chooses a corner, and no lead"
    qtbot.keyClick(window.view, Key.Key_Escape)
    assert window.desk.state.hand is Hand.LOOK
    assert window.cornering.corners is None
    job = window.desk.job
    assert job is not None
    assert sheet_corners(job, 1) == ""


def test_a_page_can_be_taken_as_it_lies(
    make_window: Make, photograph: Path, read_with: list[Corners | None], qtbot: QtBot, settled: Settled
) -> None:
    window = make_window(photograph)
    window.actions_by_name["corners"].trigger()
    qtbot.keyClick(window.view, Key.Key_N)
    settled(window)
    assert read_with[-1] is None
    assert window.sheet.flat.text() == words.CORNERS_STAND["none"]


def test_a_flat_sheet_offers_nothing_and_crossed_corners_are_refused(
    window: DeskWindow, qtbot: QtBot, settled: Settled
) -> None:
    assert window.sheet.flat.text() == words.CORNERS_STAND[""]
    assert not window.cornering.is_open
    window.actions_by_name["corners"].trigger()
    left = Qt.MouseButton.LeftButton
    for place in ((600, 400), (100, 60), (600, 60), (100, 400)):
        QTest.mouseClick(window.view, left, pos=spot(window, *place))
    qtbot.keyClick(window.view, Key.Key_Return)
    assert "clockwise" in window.note.text.text()
    assert window.cornering.corners is not None, "what was placed is there to be put right"
    job = window.desk.job
    assert job is not None
    assert sheet_corners(job, 1) == ""


@pytest.mark.parametrize("size", [(1440, 900), (1100, 700), (640, 360)])
def test_what_the_keys_do_is_said_over_the_sheet_alone(
    make_window: Make,
    photograph: Path,
    read_with: list[Corners | None],
    settled: Settled,
    size: tuple[int, int],
) -> None:
    window = make_window(photograph)
    settled(window)
    window.resize(*size)
    window.actions_by_name["corners"].trigger()
    slip = window.slip
    assert window.strip.isVisible() == (size[1] > 400), "a low window is the sheet's alone"
    for shown in (True, False):
        window.drawer.setVisible(shown)
        for _ in range(3):
            QTest.qWait(0)
        said = slip.rect().translated(slip.mapTo(window, QPoint(0, 0)))
        sheet = window.view.rect().translated(window.view.mapTo(window, QPoint(0, 0)))
        assert slip.isVisible()
        assert slip.label.text() == words.CORNERS_KEYS
        assert sheet.contains(said)
        assert slip.label.height() >= slip.label.heightForWidth(slip.label.width())
    places = [window.view.screen_at(x, y).toPoint() for x, y in window.cornering.corners.points]  # type: ignore[union-attr]
    hidden = slip.rect().translated(window.view.mapFrom(window, slip.mapTo(window, QPoint(0, 0))))
    assert not [place for place in places if hidden.contains(place)], "no corner lies under it"
    QTest.keyClick(window.view, Key.Key_Escape)
    assert window.strip.isVisible()

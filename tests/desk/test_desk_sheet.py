"""The sheet under glass: what a press, a drag, the wheel and the keys do."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import pytest
import small_sheet
from PyQt6.QtCore import QPoint, QPointF, Qt
from PyQt6.QtGui import QWheelEvent
from PyQt6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from tracer.desk.doubts import doubtful
from tracer.desk.state import Hand
from tracer.desk.window import DeskWindow
from tracer.job.marks import marks
from tracer.job.mends import mends
from tracer.job.records import Mark, MarkKind
from tracer.job.tags import add_tag
from tracer.trace.mend import Mend, MendKind
from tracer.trace.sheet import JoinKind


def press(qtbot: QtBot, window: DeskWindow, x: float, y: float) -> None:
    at = window.view.screen_at(x, y).toPoint()
    qtbot.mouseClick(window.view, Qt.MouseButton.LeftButton, pos=at)


def drag(window: DeskWindow, qtbot: QtBot, start: QPoint, end: QPoint) -> None:
    qtbot.mousePress(window.view, Qt.MouseButton.LeftButton, pos=start)
    qtbot.mouseMove(window.view, start + (end - start) / 2)
    qtbot.mouseMove(window.view, end)
    qtbot.mouseRelease(window.view, Qt.MouseButton.LeftButton, pos=end)


def test_a_press_lights_the_whole_conductor_and_only_it(window: DeskWindow, qtbot: QtBot) -> None:
    press(qtbot, window, *small_sheet.ON_MIDDLE)
    lit = window.desk.state.conductor
    lighting = window.desk.lighting
    assert lit is not None
    assert lighting is not None
    # The branch that goes down from the dot is the same conductor; the feed before R1 is another.
    assert lighting.conductor_at(440, 150) == lit
    assert lighting.conductor_at(*small_sheet.ON_FEED) not in (lit, None)
    bounds = lighting.path(lit).boundingRect()
    assert bounds.left() == pytest.approx(290, abs=6)
    assert bounds.right() == pytest.approx(620, abs=6)
    assert bounds.bottom() == pytest.approx(180, abs=6)


def test_lighting_changes_the_picture_along_the_wire(window: DeskWindow, qtbot: QtBot) -> None:
    at = window.view.screen_at(560, 101 - 1.7 * small_sheet.STROKE).toPoint()
    before = window.view.grab().toImage().pixelColor(at)
    press(qtbot, window, *small_sheet.ON_MIDDLE)
    after = window.view.grab().toImage().pixelColor(at)
    assert after.blue() < before.blue() - 40, "the marker is yellow"


def test_a_press_on_bare_paper_says_so(window: DeskWindow, qtbot: QtBot) -> None:
    press(qtbot, window, *small_sheet.ON_MIDDLE)
    press(qtbot, window, *small_sheet.ON_PAPER)
    assert window.desk.state.conductor is None
    assert "No conductor" in window.slip.label.text()


def test_terminals_of_the_lit_conductor_are_listed(
    window: DeskWindow, qtbot: QtBot, settled: Callable[[DeskWindow], None]
) -> None:
    for tag in small_sheet.TAGS:
        window.desk.edit(lambda job, tag=tag: add_tag(job, tag))
    settled(window)
    press(qtbot, window, *small_sheet.ON_MIDDLE)
    text = window.slip.label.text()
    assert "R1 right" in text
    assert "R2 top" in text
    assert "R1 left" not in text


def test_the_pointer_lights_what_lies_under_it(window: DeskWindow, qtbot: QtBot) -> None:
    qtbot.mouseMove(window.view, window.view.screen_at(*small_sheet.ON_FOOT).toPoint())
    window.view.hovered.emit(*small_sheet.ON_FOOT)
    assert window.desk.state.hover == window.desk.lighting.conductor_at(*small_sheet.ON_FOOT)  # type: ignore[union-attr]
    window.view.left.emit()
    assert window.desk.state.hover is None


def test_a_drag_moves_the_page_and_is_no_press(window: DeskWindow, qtbot: QtBot) -> None:
    before = window.view.view
    drag(window, qtbot, QPoint(300, 300), QPoint(360, 340))
    after = window.view.view
    assert (before.x - after.x) * after.scale == pytest.approx(60)
    assert (before.y - after.y) * after.scale == pytest.approx(40)
    assert window.desk.state.spot is None


def test_the_wheel_zooms_at_the_pointer(window: DeskWindow) -> None:
    at = QPointF(250, 180)
    page = window.view.page_at(at)
    turn = QWheelEvent(
        at,
        at,
        QPoint(),
        QPoint(0, 240),
        Qt.MouseButton.NoButton,
        Qt.KeyboardModifier.NoModifier,
        Qt.ScrollPhase.NoScrollPhase,
        False,
    )
    scale = window.view.view.scale
    QApplication.sendEvent(window.view, turn)
    assert window.view.view.scale > scale * 1.2
    assert window.view.page_at(at) == pytest.approx(page, abs=1e-6)


def test_keys_alone_move_zoom_and_press(window: DeskWindow, qtbot: QtBot) -> None:
    window.view.setFocus()
    qtbot.keyClick(window.view, Qt.Key.Key_Plus)
    zoomed = window.view.view
    qtbot.keyClick(window.view, Qt.Key.Key_Right)
    assert window.view.view.x > zoomed.x
    window.view.look_from(window.view.view.__class__(*small_sheet.ON_MIDDLE, 2.0))
    qtbot.keyClick(window.view, Qt.Key.Key_Space)
    assert window.desk.state.conductor == window.desk.lighting.conductor_at(*small_sheet.ON_MIDDLE)  # type: ignore[union-attr]
    qtbot.keyClick(window.view, Qt.Key.Key_Home)
    wide, high = window.view.page_size or (0, 0)
    assert (window.view.view.x, window.view.view.y) == pytest.approx((wide / 2, high / 2))


def test_a_cut_divides_the_conductor_and_undo_joins_it(
    window: DeskWindow, qtbot: QtBot, settled: Callable[[DeskWindow], None]
) -> None:
    lighting = window.desk.lighting
    assert lighting is not None
    assert lighting.conductor_at(320, 101) == lighting.conductor_at(600, 101)
    press(qtbot, window, 540, 101)
    qtbot.keyClick(window.view, Qt.Key.Key_C)
    settled(window)
    assert [mend.kind for mend in mends(window.desk.job)] == [MendKind.CUT]  # type: ignore[arg-type]
    cut = window.desk.lighting
    assert cut is not None
    assert cut.conductor_at(320, 101) != cut.conductor_at(600, 101)
    window.actions_by_name["undo"].trigger()
    settled(window)
    whole = window.desk.lighting
    assert whole is not None
    assert whole.conductor_at(320, 101) == whole.conductor_at(600, 101)


def test_a_join_takes_two_places(
    window: DeskWindow, qtbot: QtBot, settled: Callable[[DeskWindow], None]
) -> None:
    press(qtbot, window, 615, 101)
    qtbot.keyClick(window.view, Qt.Key.Key_J)
    assert window.desk.state.hand is Hand.JOIN
    press(qtbot, window, *small_sheet.ON_FOOT)
    settled(window)
    lighting = window.desk.lighting
    assert lighting is not None
    assert window.desk.state.hand is Hand.LOOK
    assert lighting.conductor_at(600, 101) == lighting.conductor_at(*small_sheet.ON_FOOT)


def test_doubtful_joins_are_stepped_through_and_answered(window: DeskWindow, qtbot: QtBot) -> None:
    lighting, job = window.desk.lighting, window.desk.job
    assert lighting is not None
    assert job is not None
    sheet = lighting.sheet
    unsure = tuple(
        replace(join, kind=JoinKind.GAP, score=0.3 + 0.1 * number) if number < 2 else replace(join, score=1.0)
        for number, join in enumerate(sheet.joins)
    )
    doubted = replace(sheet, joins=unsure)
    assert [join.id for join in doubtful(doubted, (), ())] == [0, 1], "the least sure first"
    seen = Mark(1, unsure[0].x, unsure[0].y, MarkKind.SEEN, "1990-01-01T00:00:00+00:00")
    assert [join.id for join in doubtful(doubted, (), (seen,))] == [1]
    mend = Mend(MendKind.CUT, unsure[1].x, unsure[1].y)
    assert [join.id for join in doubtful(doubted, (mend,), (seen,))] == []

    lighting.sheet = doubted
    window.view.setFocus()
    qtbot.keyClick(window.view, Qt.Key.Key_D)
    assert window.desk.state.spot == (unsure[0].x, unsure[0].y)
    assert (window.view.view.x, window.view.view.y) == pytest.approx((unsure[0].x, unsure[0].y))
    qtbot.keyClick(window.view, Qt.Key.Key_D)
    assert window.desk.state.spot == (unsure[1].x, unsure[1].y)
    qtbot.keyClick(window.view, Qt.Key.Key_D, Qt.KeyboardModifier.ShiftModifier)
    qtbot.keyClick(window.view, Qt.Key.Key_Y)
    assert [(mark.kind, mark.x, mark.y) for mark in marks(job)] == [
        (MarkKind.SEEN, unsure[0].x, unsure[0].y)
    ], "yes: a person saw it"
    assert window.desk.state.spot == (unsure[1].x, unsure[1].y), "and the next is asked about"
    qtbot.keyClick(window.view, Qt.Key.Key_X)
    (mended,) = mends(job)
    assert (mended.kind, mended.x) == (MendKind.CUT, unsure[1].x), "a gap that is none is cut"


def test_all_joins_as_sure_are_answered_at_once(window: DeskWindow, qtbot: QtBot) -> None:
    lighting, job = window.desk.lighting, window.desk.job
    assert lighting is not None
    assert job is not None
    unsure = tuple(
        replace(join, kind=JoinKind.GAP if number < 3 else JoinKind.CROSSING, score=0.3 + 0.1 * number)
        for number, join in enumerate(lighting.sheet.joins[:4])
    )
    lighting.sheet = replace(lighting.sheet, joins=unsure)
    window.view.setFocus()
    qtbot.keyClick(window.view, Qt.Key.Key_D)
    qtbot.keyClick(window.view, Qt.Key.Key_D)
    qtbot.keyClick(window.view, Qt.Key.Key_A)
    assert len(marks(job)) == 2, "those of its kind that are at least as sure"
    window.actions_by_name["undo"].trigger()
    assert marks(job) == ()


def test_what_is_left_to_see_to_is_counted_anew_with_each_answer(window: DeskWindow, qtbot: QtBot) -> None:
    heading = next(s.heading for s in window.drawer.sections if s.body is window.warnings)
    assert "3 proposals" in window.warnings.proposals.text()
    before = heading.text()
    window.view.setFocus()
    qtbot.keyClick(window.view, Qt.Key.Key_P)
    qtbot.keyClick(window.view, Qt.Key.Key_X)
    assert "2 proposals" in window.warnings.proposals.text()
    assert heading.text() != before
    qtbot.mouseClick(window.warnings.proposals, Qt.MouseButton.LeftButton)
    assert window.card.isVisible()

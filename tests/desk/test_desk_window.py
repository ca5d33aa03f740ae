"""The window as a whole: beginning, menus, errors, nothing left behind."""

from __future__ import annotations

import gc
import subprocess
import sys
import threading
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
import small_sheet
from PIL import Image
from PyQt6.QtCore import Qt
from PyQt6.QtWidgets import QApplication, QFileDialog, QInputDialog, QLabel, QMenu, QWidget
from pytestqt.qtbot import QtBot

import tracer.reader.read
from tracer.bench import tracing
from tracer.bench.demo import DemoDone
from tracer.cautions import CAUTIONS
from tracer.desk import app, opening, words
from tracer.desk.colours import NIGHT
from tracer.desk.menus import ENTRIES
from tracer.desk.window import DeskWindow
from tracer.desk.work import Work
from tracer.errors import Cancelled, TracerError, WeightsDamaged
from tracer.job.choices import current_meter, record_cautions_shown
from tracer.job.file import create_job, open_job
from tracer.job.marks import marks
from tracer.job.readings import readings
from tracer.job.records import MarkKind
from tracer.job.sheets import add_sheet, sheets
from tracer.job.tags import add_tag
from tracer.progress import Progress, checkpoint
from tracer.reader.layers import Layers

Make = Callable[[Path | None], DeskWindow]


def test_the_first_sight_gives_three_ways_to_begin(make_window: Make) -> None:
    window = make_window(None)
    assert window.stack.currentWidget() is window.start
    assert [door.text() for door in window.start.doors] == [
        words.BEGIN_SCAN,
        words.BEGIN_JOB,
        words.BEGIN_DEMO,
    ]
    assert words.PURPOSE.count(". ") == 1, "what it is for, in two sentences"


def test_every_action_has_words_and_a_key_of_its_own(make_window: Make) -> None:
    window = make_window(None)
    assert set(window.actions_by_name) == {entry.name for entry in ENTRIES}
    keys: list[str] = []
    for entry in ENTRIES:
        action = window.actions_by_name[entry.name]
        assert action.text()
        assert action.shortcuts(), entry.name
        keys += [shortcut.toString() for shortcut in action.shortcuts()]
        assert all(shortcut.toString() for shortcut in action.shortcuts()), entry.name
    assert len(keys) == len(set(keys))
    window.keys.open()
    listed = window.keys.findChildren(QLabel)
    assert all(any(entry.text.rstrip("…") in label.text() for label in listed) for entry in ENTRIES)


def test_everything_that_takes_keys_has_a_name_for_those_who_hear_it(window: DeskWindow) -> None:
    nameless = [
        type(widget).__name__
        for widget in window.findChildren(QWidget)
        if widget.focusPolicy() & Qt.FocusPolicy.TabFocus
        and type(widget).__module__.startswith(("tracer", "PyQt6"))
        and type(widget).__name__ in ("QLineEdit", "QComboBox", "QListWidget", "SheetView", "QSlider")
        and not widget.accessibleName()
        and not isinstance(widget.parentWidget(), type(window.card.kind))
    ]
    assert nameless == []


def test_the_cautions_are_those_of_the_whole_program(make_window: Make) -> None:
    window = make_window(None)
    assert [line.text() for line in window.cautions.lines] == list(CAUTIONS)


@pytest.mark.parametrize(
    ("name", "content"),
    [("empty.png", b""), ("words.png", b"no picture at all"), ("words.tracer", b"no job at all")],
)
def test_what_cannot_be_opened_is_told_in_the_window(
    make_window: Make, tmp_path: Path, name: str, content: bytes
) -> None:
    path = tmp_path / name
    path.write_bytes(content)
    window = make_window(None)
    window.open(path)
    assert window.note.isVisible()
    assert name in window.note.text.text()
    assert window.desk.job is None
    assert path.read_bytes() == content


def test_without_a_reader_the_scan_is_still_there(
    make_window: Make, scan: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def fail(page: object, progress: object = None, corners: object = None) -> None:
        raise WeightsDamaged("The reader's weights are missing. Install the program again.")

    monkeypatch.setattr(tracer.reader.read, "read", fail)
    window = make_window(scan)
    assert "weights" in window.note.text.text()
    assert window.view.page_size is not None
    window.tagging.begin_box()
    window.view.boxed.emit(200.0, 90.0, 290.0, 112.0)
    assert window.card.isVisible()


def test_reading_can_be_stopped(
    make_window: Make, scan: Path, monkeypatch: pytest.MonkeyPatch, qtbot: QtBot
) -> None:
    def slow(page: object, progress: Progress, corners: object = None) -> None:
        while True:
            checkpoint(progress, "reading", 0.4)

    monkeypatch.setattr(tracer.reader.read, "read", slow)
    window = make_window(None)
    window.open(scan)
    qtbot.waitUntil(lambda: window.slip.bar.isVisible(), timeout=10_000)
    assert "40 %" in window.slip.label.text() or "%" in window.slip.label.text()
    qtbot.mouseClick(window.slip.stop, Qt.MouseButton.LeftButton)
    qtbot.waitUntil(lambda: not window.desk.work.busy, timeout=10_000)
    assert not window.slip.bar.isVisible()
    assert window.slip.label.text() == words.READ_STOPPED
    assert window.view.page_size is not None


def test_no_window_is_left_behind(make_window: Make, scan: Path) -> None:
    before = {id(widget) for widget in QApplication.topLevelWidgets()}
    window = make_window(scan)
    window.keys.open()
    window.cautions.open()
    window.walking.step()
    window.close()
    window.deleteLater()
    del window
    for _ in range(3):
        QApplication.sendPostedEvents(None, 52)  # QEvent.Type.DeferredDelete
        QApplication.processEvents()
        gc.collect()
    left = [widget for widget in QApplication.topLevelWidgets() if id(widget) not in before]
    assert [type(widget).__name__ for widget in left if widget.isVisible()] == []


def test_refreshing_does_not_pile_up_widgets(window: DeskWindow) -> None:
    def count() -> int:
        QApplication.sendPostedEvents(None, 52)
        QApplication.processEvents()
        return len(window.findChildren(QWidget))

    window.setting.refresh()
    before = count()
    for _ in range(5):
        window.setting.refresh()
        window.rails.refresh()
        window.lists.refresh()
        window.causes.show_causes(())
    assert count() == before


def test_night_is_drawn_light_on_dark(window: DeskWindow) -> None:
    window.restyle(NIGHT)
    image = window.view.grab().toImage()
    paper = image.pixelColor(window.view.screen_at(150, 400).toPoint())
    ink = image.pixelColor(window.view.screen_at(120, 101).toPoint())
    assert ink.lightness() > paper.lightness() + 80


def test_work_tells_its_end_once_and_new_work_stops_the_old(qtbot: QtBot) -> None:
    work = Work()
    ends: list[object] = []

    def wait(progress: Progress) -> str:
        while not progress.cancelled():
            pass
        raise Cancelled("Stopped.")

    work.run("a", wait, ends.append, ends.append)
    work.run("a", lambda _: "second", ends.append, ends.append)
    qtbot.waitUntil(lambda: not work.busy, timeout=5_000)
    assert ends == ["second"]
    work.run("b", wait, ends.append, ends.append)
    work.cancel("b")
    qtbot.waitUntil(lambda: not work.busy, timeout=5_000)
    assert isinstance(ends[-1], TracerError)
    work.close()


def test_marks_are_put_on_and_taken_off(window: DeskWindow, qtbot: QtBot) -> None:
    job = window.desk.job
    assert job is not None
    window.view.pressed.emit(360.0, 101.0)
    window.actions_by_name["mark_seen"].trigger()
    (mark,) = marks(job)
    assert (mark.kind, mark.x, mark.y) == (MarkKind.SEEN, 360.0, 101.0)
    window.actions_by_name["mark_seen"].trigger()
    assert marks(job) == ()
    window.actions_by_name["undo"].trigger()
    assert len(marks(job)) == 1


def test_the_meter_is_kept_in_the_job(window: DeskWindow, qtbot: QtBot) -> None:
    job = window.desk.job
    assert job is not None
    window.meter.error.setText("0.5%")
    window.meter.top.setText("40M")
    window.meter.top.returnPressed.emit()
    kept = current_meter(job)
    assert (kept.error, kept.top) == (0.005, 40e6)
    window.meter.leads.setText("a lot")
    window.meter.leads.returnPressed.emit()
    assert "a lot" in window.note.text.text()
    assert current_meter(job) == kept


def test_larger_type_is_remembered(make_window: Make) -> None:
    window = make_window(None)
    before = window.strip.middle.font().pointSizeF()
    window.actions_by_name["larger"].trigger()
    assert window.strip.middle.font().pointSizeF() > before * 1.1
    window.close()
    again = make_window(None)
    assert again.strip.middle.font().pointSizeF() == pytest.approx(before * 1.15, rel=0.02)


def test_a_second_sheet_has_a_leaf_of_its_own(
    window: DeskWindow, qtbot: QtBot, tmp_path: Path, settled: Callable[[DeskWindow], None]
) -> None:
    assert not window.leaves.isVisible()
    other = small_sheet.write(tmp_path / "other.png")
    window.desk.edit(lambda job: add_sheet(job, other))
    settled(window)
    assert list(window.leaves.leaves) == [1, 2]
    assert window.leaves.isVisible()
    qtbot.mouseClick(window.leaves.leaves[2], Qt.MouseButton.LeftButton)
    settled(window)
    assert window.desk.state.sheet == 2
    assert window.desk.lighting is not None
    assert "other.png" in window.windowTitle()
    window.actions_by_name["previous_sheet"].trigger()
    assert window.desk.state.sheet == 1
    window.actions_by_name["next_sheet"].trigger()
    window.actions_by_name["undo"].trigger()
    settled(window)
    assert window.desk.state.sheet == 1, "a sheet that is gone is not looked at"
    assert not window.leaves.isVisible()


def test_an_open_card_has_the_keys_to_itself(window: DeskWindow, qtbot: QtBot) -> None:
    window.actions_by_name["keys"].trigger()
    qtbot.keyClick(window.keys, Qt.Key.Key_P)
    assert not window.keys.isVisible()
    assert not window.card.isVisible(), "the key closed the list of keys and did nothing else"
    window.actions_by_name["cautions"].trigger()
    qtbot.keyClick(window.cautions.tick, Qt.Key.Key_Escape)
    assert not window.cautions.isVisible()


def test_the_menu_says_what_undo_would_undo(window: DeskWindow) -> None:
    window.view.pressed.emit(360.0, 101.0)
    window.actions_by_name["mark_seen"].trigger()
    assert "seen by eye" in window.actions_by_name["undo"].text()
    window.actions_by_name["undo"].trigger()
    assert "seen by eye" in window.actions_by_name["redo"].text()


def test_a_fault_of_the_program_is_told_and_ends_nothing(
    make_window: Make, capsys: pytest.CaptureFixture[str]
) -> None:
    window = make_window(None)
    try:
        raise ZeroDivisionError("none left")
    except ZeroDivisionError as error:
        app._tell(window.note.tell, type(error), error, error.__traceback__)
    assert "none left" in window.note.text.text()
    assert "job file is whole" in window.note.text.text()
    assert "ZeroDivisionError" in capsys.readouterr().err


def test_the_demo_is_made_once_and_opened(
    make_window: Make,
    scan: Path,
    monkeypatch: pytest.MonkeyPatch,
    settled: Callable[[DeskWindow], None],
    tmp_path: Path,
) -> None:
    made: list[Path] = []

    def small_demo(folder: Path, progress: Progress) -> DemoDone:
        made.append(folder)
        with create_job(folder / "demo.tracer") as job:
            add_sheet(job, scan)
        return DemoDone(folder / "demo.tracer", ())

    monkeypatch.setattr(opening, "run_demo", small_demo)
    for _ in range(2):
        window = make_window(None)
        window.actions_by_name["open_demo"].trigger()
        settled(window)
        assert window.desk.job is not None
        assert window.desk.job.path == tmp_path / "data" / "tracer" / "demo" / "demo.tracer"
        window.close()
    assert len(made) == 1


def test_the_report_goes_where_it_is_asked_to(
    window: DeskWindow,
    monkeypatch: pytest.MonkeyPatch,
    settled: Callable[[DeskWindow], None],
    tmp_path: Path,
) -> None:
    folder = tmp_path / "report"
    monkeypatch.setattr(QFileDialog, "getExistingDirectory", lambda *_: str(folder))
    window.actions_by_name["write_report"].trigger()
    settled(window)
    assert {"sheet.png", "checklist.csv", "checklist.html"} <= {path.name for path in folder.iterdir()}
    assert str(folder) in window.slip.label.text()


def test_a_page_is_asked_for_where_a_file_has_several(
    make_window: Make,
    scan: Path,
    monkeypatch: pytest.MonkeyPatch,
    settled: Callable[[DeskWindow], None],
    tmp_path: Path,
) -> None:
    pages = tmp_path / "two.tif"
    with Image.open(scan) as page:
        page.save(pages, save_all=True, append_images=[page.rotate(180)])
    asked: list[tuple[object, ...]] = []

    def answer(*question: object, **named: object) -> tuple[str, bool]:
        asked.append(question)
        return "2", True

    monkeypatch.setattr(QFileDialog, "getOpenFileName", lambda *_: (str(pages), ""))
    monkeypatch.setattr(QInputDialog, "getText", answer)
    window = make_window(None)
    window.actions_by_name["open_scan"].trigger()
    settled(window)
    assert len(asked) == 1
    job = window.desk.job
    assert job is not None
    assert [(sheet.number, sheet.page) for sheet in sheets(job)] == [(1, 2)]
    assert window.desk.page(1)[0][small_sheet.HIGH - 1 - 101, small_sheet.WIDE - 1 - 360] < 128


def test_a_place_offers_what_can_be_done_there(window: DeskWindow, qtbot: QtBot) -> None:
    spot = window.view.screen_at(360, 101).toPoint()
    window.view.customContextMenuRequested.emit(spot)
    (menu,) = [menu for menu in window.findChildren(QMenu) if menu.isVisible()]
    offered = [action for action in menu.actions() if not action.isSeparator()]
    assert window.actions_by_name["cut"] in offered
    assert window.desk.state.leads == ("", "")
    assert window.desk.state.spot == pytest.approx((360, 101), abs=1)
    menu.close()


def test_edits_made_during_a_reading_do_not_begin_it_anew(
    make_window: Make,
    scan: Path,
    monkeypatch: pytest.MonkeyPatch,
    qtbot: QtBot,
    settled: Callable[[DeskWindow], None],
) -> None:
    begun: list[int] = []
    go_on = threading.Event()

    def slow(page: object, progress: object = None, corners: object = None) -> Layers:
        begun.append(1)
        go_on.wait(10)
        return small_sheet.layers()

    monkeypatch.setattr(tracer.reader.read, "read", slow)
    window = make_window(None)
    window.open(scan)
    qtbot.waitUntil(lambda: len(begun) == 1, timeout=5_000)
    for tag in small_sheet.TAGS:
        window.desk.edit(lambda job, tag=tag: add_tag(job, tag))
    go_on.set()
    settled(window)
    assert len(begun) == 1
    laid = window.desk.laid
    assert laid is not None
    assert {"R1", "R2"} <= {element.reference for element in laid.bench.circuit.elements}


def test_closing_waits_for_what_writes_alone(qtbot: QtBot) -> None:
    work, ends, go_on = Work(), [], threading.Event()
    work.run("thinking", lambda _: go_on.wait(20), ends.append, ends.append)

    def write(progress: Any) -> None:
        writing.set()
        # Closing stops all work first: what is written here is written while it waits.
        progress.stop.wait(20)
        ends.append("written")

    writing = threading.Event()
    work.run("writing", write, ends.append, ends.append, writes=True)
    assert writing.wait(20)
    work.close()
    assert ends == ["written"]
    assert "desk thinking" in [thread.name for thread in threading.enumerate()], "nobody waited for it"
    go_on.set()


def test_the_process_ends_while_something_is_still_worked_out(tmp_path: Path) -> None:
    """Python waits at its end for threads that are not daemons; the desk's must not hold it."""
    script = (
        "import threading\n"
        "from PyQt6.QtCore import QCoreApplication\n"
        "from tracer.desk.work import Work\n"
        "application = QCoreApplication([])\n"
        "work = Work()\n"
        "work.run('thinking', lambda _: threading.Event().wait(), print, print)\n"
        "work.close()\n"
    )
    done = subprocess.run([sys.executable, "-c", script], capture_output=True, timeout=120, text=True)
    assert (done.returncode, done.stderr) == (0, "")


def test_a_reading_entered_just_before_closing_is_kept(
    window: DeskWindow, settled: Callable[[DeskWindow], None]
) -> None:
    job = window.desk.job
    assert job is not None
    path = job.path
    for tag in small_sheet.TAGS:
        window.desk.edit(lambda job, tag=tag: add_tag(job, tag))
    window.desk.edit(record_cautions_shown, lay_out=False)
    settled(window)
    window.strip.lead_typed.emit(0, "HT1")
    window.strip.lead_typed.emit(1, "chassis")
    settled(window)
    window.strip.entered.emit("14k7")
    window.close()
    assert not path.with_name(path.name + "-journal").exists()
    with open_job(path) as kept:
        assert [record.shown for record in readings(kept)] == ["14k7"]


def test_conductors_are_lit_before_the_lettering_is_read(
    make_window: Make, scan: Path, monkeypatch: pytest.MonkeyPatch, qtbot: QtBot
) -> None:
    go_on = threading.Event()

    def slow(*given: object) -> tuple[object, ...]:
        go_on.wait(20)
        return ()

    monkeypatch.setattr(tracing, "_lettering", slow)
    window = make_window(None)
    window.open(scan)
    qtbot.waitUntil(lambda: window.desk.lighting is not None, timeout=10_000)
    assert window.desk.laid is None, "the rest is still worked out"
    assert len(window.overlays.proposals) == 3
    window.view.pressed.emit(*small_sheet.ON_MIDDLE)
    assert window.desk.state.conductor is not None
    go_on.set()
    qtbot.waitUntil(lambda: window.desk.laid is not None, timeout=10_000)
    assert window.desk.state.conductor is not None, "what was lit stays lit"

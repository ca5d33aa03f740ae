"""The states that pictures are taken of: each puts the window where a user would have brought it."""

from __future__ import annotations

import os
from collections.abc import Callable, Collection
from dataclasses import dataclass
from pathlib import Path
from tempfile import TemporaryDirectory

import cv2
import numpy as np
from PyQt6.QtCore import QEventLoop, QPoint, Qt, QTimer
from PyQt6.QtGui import QPainter
from PyQt6.QtTest import QTest
from PyQt6.QtWidgets import QApplication, QWidget

from tracer.bench.demo import run_demo
from tracer.desk.colours import DAY, NIGHT
from tracer.desk.viewpoint import Viewpoint, fit
from tracer.desk.window import DeskWindow
from tracer.errors import FileMissing
from tracer.job.choices import record_cautions_shown
from tracer.job.marks import add_mark
from tracer.job.records import Mark, MarkKind
from tracer.job.sheets import add_sheet
from tracer.job.tags import tags
from tracer.resources import asset
from tracer.trace.sheet import Convention, ConventionKind

__all__ = ["STATES", "Stage", "take"]

PATIENCE_MS = 120_000
WHEN = "2026-11-25T09:00:00+00:00"
"""When the marks of the pictures were made."""
Key = Qt.Key


@dataclass(slots=True)
class Stage:
    """A window, a folder with the demo's job and scan, and what brings the window somewhere."""

    folder: Path
    size: tuple[int, int]
    window: DeskWindow

    def wait(self, over: Callable[[], bool] | None = None) -> None:
        """Let the window work until `over`, or until it has nothing left to do."""
        done = over or (lambda: not self.window.desk.work.busy)
        loop, watch, late = QEventLoop(), QTimer(), QTimer()
        watch.timeout.connect(lambda: loop.quit() if done() else None)
        late.setSingleShot(True)
        late.timeout.connect(loop.quit)
        watch.start(20)
        late.start(PATIENCE_MS)
        loop.exec()
        assert done(), "the window was still at work after two minutes"
        QApplication.processEvents()

    def keys(self, *presses: int | str, to: QWidget | None = None) -> None:
        """Press keys, or type texts, in the widget that has the keys."""
        typed = (each for press in presses for each in (press if isinstance(press, str) else (press,)))
        for press in typed:
            # An open list of offers takes the keys first, as it does on a screen.
            target = QApplication.activePopupWidget() or to or QApplication.focusWidget() or self.window
            if isinstance(press, str):
                QTest.keyClicks(target, press)
            else:
                QTest.keyClick(target, Key(press))
            QApplication.processEvents()

    def open(self, name: str) -> None:
        """Open a file of the folder and wait until it is read."""
        self.window.open(self.folder / name)
        self.wait()

    def do(self, action: str) -> None:
        """Do what a menu's entry does."""
        self.window.actions_by_name[action].trigger()
        QApplication.processEvents()

    def look(self, reference: str, scale: float) -> None:
        """Bring a part into the middle."""
        job = self.window.desk.job
        assert job is not None
        box = next(tag.box for tag in tags(job) if tag.reference == reference)
        self.window.view.look_from(Viewpoint((box[0] + box[2]) / 2, (box[1] + box[3]) / 2, scale))

    def reading(self, start: str, end: str, shown: str = "") -> None:
        """Put the leads on two points and type a reading."""
        strip = self.window.strip
        for edit, point in zip(strip.leads, (start, end), strict=True):
            edit.setFocus()
            edit.selectAll()
            self.keys(point, Key.Key_Return, to=edit)
        self.wait()
        if shown:
            self.keys(shown, Key.Key_Return, to=strip.entry)
            self.wait()
            QTest.qWait(1600)  # the glow fades and the pointer comes to rest


def start(stage: Stage) -> None:
    """What is seen before any job."""


def start_night(stage: Stage) -> None:
    """The same by night."""
    stage.window.restyle(NIGHT)


def reading(stage: Stage) -> None:
    """A scan while it is read."""
    stage.window.open(stage.folder / "raw.png")
    stage.wait(lambda: stage.window.slip.bar.isVisible() and stage.window.view.page_size is not None)


def raw(stage: Stage) -> None:
    """A scan once it is read: proposals in pencil."""
    stage.open("raw.png")


def card(stage: Stage) -> None:
    """Going through the proposals."""
    stage.open("raw.png")
    stage.keys(Key.Key_P, Key.Key_P, Key.Key_P, to=stage.window.view)


def doubt(stage: Stage) -> None:
    """A doubtful join asked about."""
    stage.open("raw.png")
    stage.keys(Key.Key_D, to=stage.window.view)


def flood(stage: Stage) -> None:
    """A conductor lit."""
    stage.open("demo.tracer")
    stage.window.view.fit_page()
    bench = stage.window.desk.laid.bench  # type: ignore[union-attr]
    place = bench.point_places["V2.6"]
    stage.window.view.pressed.emit(place.x, place.y - 30)
    stage.wait()


def valve(stage: Stage) -> None:
    """A valve on the card."""
    stage.open("demo.tracer")
    stage.look("V3", 0.9)
    stage.window.tagging.open_tag(next(t for t in stage.window.desk.tags_in_view() if t.reference == "V3"))


def contacts(stage: Stage) -> None:
    """The table of a switch bank."""
    stage.open("demo.tracer")
    stage.do("contacts")
    stage.window.contacts.bank.setCurrentText("INPUT")
    stage.window.contacts._fill()


def corners(stage: Stage) -> None:
    """The corners of a photographed sheet."""
    grey = cv2.imread(str(stage.folder / "raw.png"), cv2.IMREAD_GRAYSCALE)
    assert grey is not None
    high, wide = (side // 2 for side in grey.shape)
    small = cv2.resize(grey, (wide, high), interpolation=cv2.INTER_AREA)
    flat = np.array([(0, 0), (wide, 0), (wide, high), (0, high)], np.float32)
    laid = flat + np.array([(130, 90), (60, 150), (10, 60), (190, 110)], np.float32)
    there = cv2.getPerspectiveTransform(flat, laid)
    table = np.full((high + 240, wide + 240), 58, np.uint8)
    cv2.warpPerspective(small, there, table.shape[::-1], dst=table, borderMode=cv2.BORDER_TRANSPARENT)
    cv2.imwrite(str(stage.folder / "photo.png"), table)
    stage.open("photo.png")
    stage.keys(Key.Key_L, Key.Key_Tab, to=stage.window.view)


def cautions(stage: Stage) -> None:
    """Before the first reading of a day."""
    stage.open("demo.tracer")
    stage.do("power")
    stage.do("cautions")


def measure(stage: Stage) -> None:
    """Leads placed, the expected ohms shown."""
    stage.open("demo.tracer")
    stage.reading("HT2", "V3.9")


def settling(stage: Stage) -> None:
    """Leads on a pair that a capacitor lets settle slowly, by night."""
    stage.window.restyle(NIGHT)
    stage.open("demo.tracer")
    stage.reading("HT1", "chassis")


def good(stage: Stage) -> None:
    """A reading that passes."""
    _prepared(stage)
    stage.reading("HT1", "V5.3", "226")


def causes(stage: Stage) -> None:
    """A reading that fails, and why."""
    _prepared(stage)
    stage.reading("chassis", "C3.2", "OL")


def tinted(stage: Stage) -> None:
    """The whole sheet after its readings."""
    stage.open("demo.tracer")
    stage.window.view.fit_page()


def tinted_near(stage: Stage) -> None:
    """The tint from near by."""
    stage.open("demo.tracer")
    stage.look("R11", 1.1)


def night(stage: Stage) -> None:
    """Measuring by night."""
    stage.window.restyle(NIGHT)
    _prepared(stage)
    stage.reading("HT1", "V5.3", "226")


def keys(stage: Stage) -> None:
    """Every key."""
    stage.open("demo.tracer")
    stage.do("keys")


def error(stage: Stage) -> None:
    """Something that went wrong."""
    stage.open("demo.tracer")
    stage.window.desk.fail(FileMissing("The scan /media/sheets/hall.png cannot be read. Check the name."))


def lists(stage: Stage) -> None:
    """The drawer's lists."""
    stage.open("demo.tracer")
    for section in stage.window.drawer.sections:
        section.heading.setChecked(section.body in (stage.window.lists,))


def meter(stage: Stage) -> None:
    """The rest of the drawer."""
    stage.open("demo.tracer")
    for section in stage.window.drawer.sections:
        section.heading.setChecked(section.body in (stage.window.meter, stage.window.legend))


def marks(stage: Stage) -> None:
    """Every kind of mark."""
    stage.open("demo.tracer")
    job = stage.window.desk.job
    assert job is not None
    for kind, tag in zip(MarkKind, [t for t in tags(job) if t.kind == "resistor"], strict=False):
        x, y = (tag.box[0] + tag.box[2]) / 2, (tag.box[1] + tag.box[3]) / 2
        stage.window.desk.edit(lambda job, x=x, y=y, kind=kind: add_mark(job, Mark(1, x, y, kind, WHEN)))
    stage.wait()
    boxes = [tag.box for tag in tags(job) if tag.kind == "resistor"][: len(MarkKind)]
    whole = (
        *(min(b[n] for b in boxes) - 90.0 for n in (0, 1)),
        *(max(b[n] for b in boxes) + 90.0 for n in (2, 3)),
    )
    stage.window.view.look_from(fit(stage.window.view.glass, whole))  # type: ignore[arg-type]


def this_sheet(stage: Stage) -> None:
    """What is known of the sheet in view, with notes on its values."""
    stage.open("demo.tracer")
    for section in stage.window.drawer.sections:
        section.heading.setChecked(section.body in (stage.window.sheet, stage.window.warnings))
    notes = (
        Convention(ConventionKind.BARE_MICRO, "CAPACITORS IN MFD", (60, 60, 300, 90), 0.93),
        Convention(ConventionKind.K_IS_THOUSAND, "K = 1000", (60, 100, 300, 130), 0.97),
    )
    stage.window.sheet.notes.show_notes(notes, stage.window.desk.ways_in_view())


def two_sheets(stage: Stage) -> None:
    """Two sheets of one set."""
    stage.open("demo.tracer")
    stage.window.desk.edit(lambda job: add_sheet(job, stage.folder / "raw.png"))
    stage.wait()


def menu(stage: Stage) -> None:
    """What a place on the sheet offers."""
    stage.open("demo.tracer")
    stage.window.view.customContextMenuRequested.emit(QPoint(400, 300))


STATES = {
    each.__name__: each
    for each in (
        *(start, start_night, reading, raw, card, doubt, flood, valve),
        *(contacts, corners, cautions, measure, settling, good, causes, tinted),
        *(tinted_near, night, keys, error, lists, meter, marks, this_sheet),
        *(two_sheets, menu),
    )
}


def _prepared(stage: Stage) -> None:
    """The demo's job with the cautions seen, looked at whole."""
    stage.open("demo.tracer")
    stage.window.desk.edit(record_cautions_shown, lay_out=False)
    stage.window.view.fit_page()


def take(out: Path, ending: str, size: tuple[int, int], wanted: Collection[str] | None) -> None:
    """Take the pictures of `wanted` states, or all, into `out`."""
    for name in ("QT_QPA_PLATFORM_PLUGIN_PATH", "QT_PLUGIN_PATH"):
        os.environ.pop(name, None)
    application = QApplication.instance() or QApplication(["shots"])
    assert isinstance(application, QApplication)
    application.setStyle("Fusion")
    with TemporaryDirectory() as made:
        master = Path(made) / "master"
        run_demo(master)
        raw_scan = master / "raw.png"
        raw_scan.write_bytes(asset("demo/sheet.png").read_bytes())
        for name, bring in STATES.items():
            if wanted is None or name in wanted:
                _picture(bring, name, out / f"{name}{'_' if ending else ''}{ending}.png", master, size)
                print(name, ending, flush=True)


def _picture(
    bring: Callable[[Stage], None], name: str, path: Path, master: Path, size: tuple[int, int]
) -> None:
    with TemporaryDirectory() as made:
        folder = Path(made)
        for file in master.iterdir():
            (folder / file.name).write_bytes(file.read_bytes())
        window = DeskWindow(DAY)
        window.resize(*size)
        window.show()
        window.activateWindow()
        QApplication.processEvents()
        bring(Stage(folder, size, window))
        QTest.qWait(120)
        picture = window.grab()
        popup = QApplication.activePopupWidget()
        if popup is not None:
            painter = QPainter(picture)
            painter.drawPixmap(window.mapFromGlobal(popup.pos()), popup.grab())
            painter.end()
            popup.close()
        picture.save(str(path))
        window.close()
        window.deleteLater()
        QApplication.processEvents()

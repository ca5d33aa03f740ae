"""Opening scans, jobs and the demo: the dialogs, and which kind of file was given."""

from __future__ import annotations

import hashlib
import shutil
from collections.abc import Sequence
from functools import partial
from pathlib import Path
from tempfile import TemporaryDirectory

from platformdirs import user_data_path
from PyQt6.QtCore import QObject
from PyQt6.QtWidgets import QFileDialog, QInputDialog, QWidget

from tracer.bench.demo import run_demo
from tracer.desk import words
from tracer.desk.desk import Desk
from tracer.errors import BadConfirmation, TracerError
from tracer.job.beside import find_job, job_for_scan
from tracer.job.choices import current_meter
from tracer.job.file import Job, open_job
from tracer.job.sheets import add_sheet, sheets
from tracer.progress import Progress
from tracer.report.write import write_all
from tracer.scan.open import page_count

__all__ = ["Opening", "pages_of"]

DEMO, REPORT = "demo", "report"
_HEADER = b"SQLite format 3\x00"


class Opening(QObject):
    """Puts jobs on the desk."""

    def __init__(self, desk: Desk, window: QWidget) -> None:
        super().__init__(window)
        self._desk, self._window = desk, window

    def open(self, path: Path) -> None:
        """Open a job, or a scan with the job beside it; what is wrong is told in the window."""
        try:
            job = open_job(path) if _is_job(path) else self._job_of_scan(path)
        except TracerError as error:
            self._desk.fail(error)
            return
        if job is not None:
            self._desk.lay(job)

    def choose_scan(self) -> None:
        """Ask for a scan and open it."""
        name, _ = QFileDialog.getOpenFileName(self._window, words.CHOOSE_SCAN, "", words.FILTER_SCANS)
        if name:
            self.open(Path(name))

    def choose_job(self) -> None:
        """Ask for a job and open it."""
        name, _ = QFileDialog.getOpenFileName(self._window, words.CHOOSE_JOB, "", words.FILTER_JOBS)
        if name:
            self.open(Path(name))

    def add_sheet(self) -> None:
        """Ask for another sheet of the same set."""
        if self._desk.job is None:
            self.choose_scan()
            return
        name, _ = QFileDialog.getOpenFileName(self._window, words.ADD_SHEET, "", words.FILTER_SCANS)
        if name:
            self._add(Path(name))

    def _add(self, path: Path) -> None:
        try:
            pages = self._which_pages(path)
        except TracerError as error:
            self._desk.fail(error)
            return
        self._add_pages(path, pages)

    def _add_pages(self, path: Path, pages: Sequence[int]) -> None:
        for page in pages:
            record = self._desk.edit(partial(add_sheet, path=path, page=page))
            if record is not None:
                self._desk.turn(record.number)

    def open_demo(self) -> None:
        """Lay out the demo's job, made anew in the user's own data folder the first time."""
        place = user_data_path("tracer", appauthor=False) / "demo" / "demo.tracer"

        def make(progress: Progress) -> Path:
            if not place.exists():
                # Made aside first, so that a demo stopped half way is not taken for a whole one.
                with TemporaryDirectory() as folder:
                    made = run_demo(Path(folder), progress).job
                    place.parent.mkdir(parents=True, exist_ok=True)
                    shutil.move(made, place)
            return place

        self._desk.work.run(DEMO, make, self.open, self._desk.fail, writes=True)

    def write_report(self) -> None:
        """Ask for a folder and write the report there, on a thread."""
        job, laid = self._desk.job, self._desk.laid
        if job is None or laid is None:
            self._desk.told.emit(words.NO_JOB)
            return
        name = QFileDialog.getExistingDirectory(self._window, words.REPORT_PLACE, str(job.path.parent))
        if not name:
            return
        folder, bench, meter = Path(name), laid.bench, current_meter(job)

        def write(progress: Progress) -> Path:
            write_all(job, bench, folder, meter, progress)
            return folder

        def tell(path: Path) -> None:
            self._desk.told.emit(words.REPORT_WRITTEN.format(path=path))

        self._desk.work.run(REPORT, write, tell, self._desk.fail, writes=True)

    def turn(self, step: int) -> None:
        """Turn to the next sheet, or the one before."""
        job = self._desk.job
        numbers = [sheet.number for sheet in sheets(job)] if job is not None else []
        if self._desk.state.sheet in numbers:
            self._desk.turn(numbers[(numbers.index(self._desk.state.sheet) + step) % len(numbers)])

    def take(self, paths: Sequence[Path]) -> None:
        """Take files that were dropped: a job, or the scans of one set, the first of which has the job.

        A scan that lies in the open job already is turned to; nothing is asked and nothing is lost.
        """
        if not paths:
            return
        first, *others = paths
        here = self._sheet_of(first)
        if here is not None:
            self._desk.turn(here)
        else:
            self.open(first)
        for path in others:
            if self._desk.job is not None and not _is_job(path) and self._sheet_of(path) is None:
                self._add(path)

    def _sheet_of(self, path: Path) -> int | None:
        """Return the number of the open job's sheet that was made from this very file."""
        job = self._desk.job
        if job is None or _is_job(path):
            return None
        try:
            sha256 = hashlib.sha256(path.read_bytes()).hexdigest()
        except OSError:
            return None
        return next((sheet.number for sheet in sheets(job) if sheet.sha256 == sha256), None)

    def _job_of_scan(self, path: Path) -> Job | None:
        found = find_job(path)
        if found is not None:
            return found.job
        pages = self._which_pages(path)
        if not pages:
            return None
        opened = job_for_scan(path, pages[0])
        for page in pages[1:]:
            add_sheet(opened.job, path, page)
        if opened.created:
            self._desk.told.emit(words.KEPT_IN.format(path=opened.where))
        return opened.job

    def _which_pages(self, path: Path) -> tuple[int, ...]:
        """Ask for pages where a file has several; none when the question is left."""
        count = page_count(path)
        if count < 2:
            return (1,)
        label = words.PAGE_LABEL.format(name=path.name, count=count)
        text, sure = QInputDialog.getText(self._window, words.PAGE_QUESTION, label, text="1")
        return pages_of(text, count, path.name) if sure else ()


def pages_of(text: str, count: int, name: str) -> tuple[int, ...]:
    """Return the pages that ``1-3, 5`` names, each once and in that order.

    Raises
    ------
    BadConfirmation
        One of them is no page of a file of `count` pages.

    Examples
    --------
    >>> pages_of("1-3, 5, 2", 6, "set.pdf")
    (1, 2, 3, 5)
    """
    found: list[int] = []
    for piece in text.replace(";", ",").split(","):
        first, dash, last = (part.strip() for part in piece.partition("-"))
        last = last if dash else first
        if not (first.isdecimal() and last.isdecimal() and 1 <= int(first) <= int(last) <= count):
            raise BadConfirmation(words.PAGE_UNKNOWN.format(text=repr(text), name=name, count=count))
        found += range(int(first), int(last) + 1)
    return tuple(dict.fromkeys(found))


def _is_job(path: Path) -> bool:
    """Whether the file begins as a job does; what else is wrong with it is told by opening it."""
    if path.suffix.lower() == ".tracer":
        return True
    try:
        with path.open("rb") as stream:
            return stream.read(len(_HEADER)) == _HEADER
    except OSError:
        return False

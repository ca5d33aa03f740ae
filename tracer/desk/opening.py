"""Opening scans, jobs and the demo: the dialogs, and which kind of file was given."""

from __future__ import annotations

import hashlib
import shutil
from collections.abc import Sequence
from pathlib import Path
from tempfile import TemporaryDirectory

from platformdirs import user_data_path
from PyQt6.QtCore import QObject
from PyQt6.QtWidgets import QFileDialog, QInputDialog, QWidget

from tracer.bench.demo import run_demo
from tracer.desk import words
from tracer.desk.desk import Desk
from tracer.errors import TracerError
from tracer.job.beside import find_job, job_for_scan
from tracer.job.choices import current_meter
from tracer.job.file import Job, open_job
from tracer.job.sheets import add_sheet, sheets
from tracer.progress import Progress
from tracer.report.write import write_all
from tracer.scan.open import page_count

__all__ = ["Opening"]

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
            page = self._which_page(path)
        except TracerError as error:
            self._desk.fail(error)
            return
        if page is not None:
            record = self._desk.edit(lambda job: add_sheet(job, path, page))
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
        page = self._which_page(path)
        if page is None:
            return None
        opened = job_for_scan(path, page)
        if opened.created:
            self._desk.told.emit(words.KEPT_IN.format(path=opened.where))
        return opened.job

    def _which_page(self, path: Path) -> int | None:
        count = page_count(path)
        if count < 2:
            return 1
        label = words.PAGE_LABEL.format(name=path.name, count=count)
        page, sure = QInputDialog.getInt(self._window, words.PAGE_QUESTION, label, 1, 1, count)
        return page if sure else None


def _is_job(path: Path) -> bool:
    """Whether the file begins as a job does; what else is wrong with it is told by opening it."""
    if path.suffix.lower() == ".tracer":
        return True
    try:
        with path.open("rb") as stream:
            return stream.read(len(_HEADER)) == _HEADER
    except OSError:
        return False

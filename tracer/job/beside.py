"""The job that goes with a scan: beside it, or in the user's data folder where that cannot be written."""

from __future__ import annotations

import hashlib
from pathlib import Path
from typing import NamedTuple

from platformdirs import user_data_path

from tracer.errors import FileMissing, TargetUnwritable
from tracer.job.file import Job, create_job, open_job
from tracer.job.sheets import add_sheet, sheets

__all__ = ["OpenedJob", "find_job", "job_for_scan"]


class OpenedJob(NamedTuple):
    """A job, whether it was made just now, and where its file lies."""

    job: Job
    created: bool
    where: Path


def job_for_scan(scan: Path, page: int = 1, dpi: int = 300, *, data_folder: Path | None = None) -> OpenedJob:
    """Open the job of a scan, or make ``NAME.tracer`` beside it with the scan's page as its first sheet.

    Parameters
    ----------
    scan : Path
        The scanned file; its bytes go into a new job.
    page, dpi : int
        Page of the file from 1, and dots per inch for a PDF; used when the job is made.
    data_folder : Path, optional
        Where jobs go whose scan lies in a folder that cannot be written; the user's data folder if not given.

    Raises
    ------
    FileMissing
        When the scan cannot be read.
    TargetUnwritable
        When neither place can be written.
    """
    scan = Path(scan)
    return find_job(scan, data_folder=data_folder) or _make(
        scan, page, dpi, tuple(place for place in _places(scan, data_folder) if not place.exists())
    )


def find_job(scan: Path, *, data_folder: Path | None = None) -> OpenedJob | None:
    """Open the job that holds this very scan, in the places where `job_for_scan` makes one, or return None.

    Raises
    ------
    FileMissing
        When the scan cannot be read.
    """
    scan = Path(scan)
    sha256 = _sha256(scan)
    for place in _places(scan, data_folder):
        if place.exists():
            job = open_job(place)
            if any(sheet.sha256 == sha256 for sheet in sheets(job)):
                return OpenedJob(job, False, place)
            job.close()
    return None


def _places(scan: Path, data_folder: Path | None) -> tuple[Path, ...]:
    """Two scans may share a stem (set.png, set.jpg), and one file may hold several sheets' pages."""
    away = data_folder or user_data_path("tracer", appauthor=False) / "jobs"
    return (
        scan.with_suffix(".tracer"),
        scan.with_name(scan.name + ".tracer"),
        away / f"{scan.stem}-{_sha256(scan)[:8]}.tracer",
    )


def _sha256(scan: Path) -> str:
    try:
        return hashlib.sha256(scan.read_bytes()).hexdigest()
    except OSError as error:
        raise FileMissing(f"The scan {scan} cannot be read ({error.strerror}). Check the name.") from error


def _make(scan: Path, page: int, dpi: int, places: tuple[Path, ...]) -> OpenedJob:
    refused: list[str] = []
    for place in places:
        try:
            if place.parent != scan.parent:
                place.parent.mkdir(parents=True, exist_ok=True)
            job = create_job(place)
        except (TargetUnwritable, OSError) as error:
            refused.append(f"{place.parent}: {error}")
            continue
        try:
            add_sheet(job, scan, page, dpi, undoable=False)
        except BaseException:
            job.close()
            place.unlink(missing_ok=True)
            raise
        return OpenedJob(job, True, place)
    raise TargetUnwritable(f"No job file can be made for {scan}. Tried: {'; '.join(refused)}")

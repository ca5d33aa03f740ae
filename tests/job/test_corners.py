"""Corners of a photographed sheet in the job: kept, undone, done again."""

from pathlib import Path

from tracer.job.corners import set_sheet_corners, sheet_corners
from tracer.job.edits import redo, undo
from tracer.job.file import create_job, open_job


def test_corners_are_kept_and_undone(tmp_path: Path) -> None:
    path = tmp_path / "set.tracer"
    with create_job(path) as job:
        assert sheet_corners(job, 1) == ""
        set_sheet_corners(job, 1, "10,12 480,30 470,300 25,310")
        set_sheet_corners(job, 2, "none")
        assert undo(job) == "set the corners of sheet 2"
        assert sheet_corners(job, 2) == ""
        redo(job)
    with open_job(path) as job:
        assert sheet_corners(job, 1) == "10,12 480,30 470,300 25,310"
        assert sheet_corners(job, 2) == "none"

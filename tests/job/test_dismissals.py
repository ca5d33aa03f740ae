"""What is no part, and when power was applied."""

from __future__ import annotations

import sqlite3
from pathlib import Path

import pytest

from tracer.job.choices import power_applied, record_power_applied
from tracer.job.dismissals import dismiss, dismissals
from tracer.job.edits import redo, undo
from tracer.job.file import create_job, open_job
from tracer.job.records import Dismissal


def test_what_is_no_part_is_kept_and_undone_in_one_step(tmp_path: Path) -> None:
    path = tmp_path / "a.tracer"
    with create_job(path) as job:
        dismiss(job, [Dismissal(1, (1, 2, 30, 40), "coil")])
        dismiss(job, [Dismissal(2, (5, 5, 9, 9), "lamp"), Dismissal(1, (50, 2, 60, 40), "lamp")])
    with open_job(path) as job:
        assert [each.box for each in dismissals(job, 1)] == [(1, 2, 30, 40), (50, 2, 60, 40)]
        assert undo(job) == "2 proposals are no parts"
        assert [each.kind for each in dismissals(job)] == ["coil"]
        assert undo(job) == "not a coil"
        assert dismissals(job) == ()
        redo(job)
        assert len(dismissals(job)) == 1


def test_that_power_was_applied_stays_in_the_record(tmp_path: Path) -> None:
    with create_job(tmp_path / "a.tracer") as job:
        assert power_applied(job) == ()
        moments = [record_power_applied(job) for _ in range(2)]
        assert list(power_applied(job)) == moments
        assert undo(job) is None
        with pytest.raises(sqlite3.IntegrityError):
            job.connection.execute("DELETE FROM power")

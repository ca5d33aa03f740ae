"""Job files: made whole, opened with care, and whole after a kill."""

from __future__ import annotations

import os
import signal
import sqlite3
import subprocess
import sys
from pathlib import Path

import pytest

from tracer.errors import DamagedJob, FileMissing, JobTooNew, NotAJob, TargetUnwritable
from tracer.job.beside import job_for_scan
from tracer.job.file import create_job, open_job
from tracer.job.schema import APPLICATION_ID, NEWEST
from tracer.job.sheets import add_sheet, keep_trace, kept_trace, sheet_bytes, sheets
from tracer.job.tags import remove_tag, tags


def test_a_new_job_is_one_file_with_its_marks(tmp_path: Path) -> None:
    with create_job(tmp_path / "set.tracer") as job:
        assert job.connection.execute("PRAGMA application_id").fetchone() == (APPLICATION_ID,)
        assert job.connection.execute("PRAGMA user_version").fetchone() == (NEWEST,)
    assert [path.name for path in tmp_path.iterdir()] == ["set.tracer"]


def test_an_existing_file_is_never_overwritten(tmp_path: Path) -> None:
    path = tmp_path / "set.tracer"
    path.write_text("something dear")
    with pytest.raises(TargetUnwritable, match="untouched"):
        create_job(path)
    assert path.read_text() == "something dear"


def test_a_missing_folder_leaves_nothing(tmp_path: Path) -> None:
    with pytest.raises(TargetUnwritable):
        create_job(tmp_path / "no such folder" / "set.tracer")
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize("content", [b"", b"GIF89a not a job", b"SQLite format 3\x00", b"\x00" * 4096])
def test_what_is_no_job_is_refused(tmp_path: Path, content: bytes) -> None:
    path = tmp_path / "x.tracer"
    path.write_bytes(content)
    with pytest.raises(NotAJob):
        open_job(path)
    assert path.read_bytes() == content


def test_another_program_s_database_is_refused(tmp_path: Path) -> None:
    path = tmp_path / "other.db"
    connection = sqlite3.connect(path)
    connection.execute("CREATE TABLE t (x)")
    connection.close()
    with pytest.raises(NotAJob):
        open_job(path)


def test_a_missing_file_says_so(tmp_path: Path) -> None:
    with pytest.raises(FileMissing):
        open_job(tmp_path / "gone.tracer")


def test_a_newer_job_is_left_untouched(tmp_path: Path) -> None:
    path = tmp_path / "set.tracer"
    with create_job(path) as job:
        job.connection.execute(f"PRAGMA user_version = {NEWEST + 1}")
    before = path.read_bytes()
    with pytest.raises(JobTooNew, match=str(NEWEST + 1)):
        open_job(path)
    assert path.read_bytes() == before


@pytest.mark.parametrize("harm", ["cut short", "scribbled"])
def test_a_damaged_job_is_left_untouched(tmp_path: Path, harm: str) -> None:
    path = tmp_path / "set.tracer"
    scan = tmp_path / "set.png"
    scan.write_bytes(os.urandom(50_000))
    with create_job(path) as job:
        add_sheet(job, scan)
    whole = path.read_bytes()
    harmed = (
        whole[: len(whole) // 2] if harm == "cut short" else whole[:4096] + b"\xff" * 8192 + whole[12288:]
    )
    path.write_bytes(harmed)
    with pytest.raises(DamagedJob, match="untouched"):
        open_job(path)
    assert path.read_bytes() == harmed


_KILLED = """
import sys, time
from pathlib import Path
from tracer.job.file import open_job
from tracer.job.records import Tag, TagTerminal
from tracer.job.tags import add_tag
job = open_job(Path(sys.argv[1]))
for n in range(1, 100_000):
    add_tag(job, Tag(1, (0, 0, 9, 9), "resistor", f"R{n}", "1k", (TagTerminal("1", 0, 0),)))
    print(n, flush=True)
"""


def test_a_kill_loses_nothing_that_was_told(tmp_path: Path) -> None:
    path = tmp_path / "set.tracer"
    create_job(path).close()
    child = subprocess.Popen([sys.executable, "-c", _KILLED, str(path)], stdout=subprocess.PIPE, text=True)
    assert child.stdout is not None
    told = [int(child.stdout.readline()) for _ in range(5)]
    child.send_signal(signal.SIGKILL)
    rest = child.stdout.read().split()
    child.wait()
    last = int(rest[-1]) if rest else told[-1]
    with open_job(path) as job:
        found = [tag.reference for tag in tags(job)]
    # The edit under way may or may not be in; those told are.
    assert found[:last] == [f"R{n}" for n in range(1, last + 1)]
    assert len(found) <= last + 1
    # A journal that was begun and holds nothing yet may stay; the next edit uses it up.
    with open_job(path) as job:
        first = tags(job)[0].id
        assert first is not None
        remove_tag(job, first)
    assert [p.name for p in tmp_path.iterdir()] == ["set.tracer"]


_KILLED_HALFWAY = """
import sys, time
from pathlib import Path
from tracer.job.file import open_job, transaction
job = open_job(Path(sys.argv[1]))
job.connection.execute("PRAGMA cache_size = 4")  # pages reach the file long before the commit
with transaction(job) as connection:
    for n in range(200):
        connection.execute("INSERT INTO files VALUES (?, 'x', zeroblob(20000))", (str(n),))
    connection.execute("UPDATE sheets SET name = 'half done'")
    print("halfway", flush=True)
    time.sleep(60)
"""


def test_a_kill_halfway_through_an_edit_leaves_what_was_before(tmp_path: Path) -> None:
    path, scan = tmp_path / "set.tracer", tmp_path / "set.png"
    scan.write_bytes(os.urandom(100_000))
    with create_job(path) as job:
        add_sheet(job, scan)
    child = subprocess.Popen(
        [sys.executable, "-c", _KILLED_HALFWAY, str(path)], stdout=subprocess.PIPE, text=True
    )
    assert child.stdout is not None
    assert child.stdout.readline() == "halfway\n"
    child.send_signal(signal.SIGKILL)
    child.wait()
    assert path.stat().st_size > 1_000_000
    assert path.with_name("set.tracer-journal").exists()
    with open_job(path) as job:
        assert [sheet.name for sheet in sheets(job)] == ["set.png"]
        assert sheet_bytes(job, 1) == scan.read_bytes()
        assert job.connection.execute("SELECT count(*) FROM files").fetchone() == (1,)
    assert sorted(p.name for p in tmp_path.iterdir()) == ["set.png", "set.tracer"]


def test_a_scan_s_bytes_travel_in_the_job(tmp_path: Path) -> None:
    scan = tmp_path / "set.png"
    scan.write_bytes(b"the scan")
    with create_job(tmp_path / "set.tracer") as job:
        add_sheet(job, scan)
        add_sheet(job, scan, page=2)
    scan.unlink()
    with open_job(tmp_path / "set.tracer") as job:
        assert [(sheet.number, sheet.page) for sheet in sheets(job)] == [(1, 1), (2, 2)]
        assert sheet_bytes(job, 2) == b"the scan"
        assert job.connection.execute("SELECT count(*) FROM files").fetchone() == (1,)


def test_only_the_latest_traces_are_kept(tmp_path: Path) -> None:
    with create_job(tmp_path / "set.tracer") as job:
        assert keep_trace(job, 1, "read once", b"layers")
        for n in range(20):
            assert keep_trace(job, 1, f"key {n}", bytes([n]))
        assert kept_trace(job, 1, "read once") == b"layers"
        assert kept_trace(job, 1, "key 19") == bytes([19])
        assert kept_trace(job, 1, "key 0") is None


def test_the_job_of_a_scan_lies_beside_it(tmp_path: Path) -> None:
    scan = tmp_path / "set.png"
    scan.write_bytes(b"one scan")
    job, created, where = job_for_scan(scan)
    job.close()
    assert (created, where) == (True, tmp_path / "set.tracer")
    job, created, where = job_for_scan(scan)
    assert (created, where) == (False, tmp_path / "set.tracer")
    assert sheet_bytes(job, 1) == b"one scan"
    job.close()
    other = tmp_path / "set.jpg"
    other.write_bytes(b"another scan")
    job, created, where = job_for_scan(other)
    job.close()
    assert (created, where) == (True, tmp_path / "set.jpg.tracer")


def test_where_the_folder_is_read_only_the_job_goes_to_the_data_folder(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    scan = tmp_path / "shelf" / "set.png"
    scan.parent.mkdir()
    scan.write_bytes(b"one scan")
    from tracer.job import beside

    def refuse_beside(path: Path) -> object:
        # Permission bits do not bind the superuser that tests may run as, so the refusal is played.
        if path.parent == scan.parent:
            raise TargetUnwritable("read-only")
        return create_job(path)

    monkeypatch.setattr(beside, "create_job", refuse_beside)
    job, created, where = job_for_scan(scan, data_folder=tmp_path / "data")
    job.close()
    assert created
    assert where.parent == tmp_path / "data"
    assert [path.name for path in scan.parent.iterdir()] == ["set.png"]


def test_a_file_that_cannot_be_written_says_so_and_stays_whole(tmp_path: Path) -> None:
    scan = tmp_path / "set.png"
    scan.write_bytes(b"one scan")
    with create_job(tmp_path / "set.tracer") as job:
        job.connection.execute("PRAGMA query_only = ON")
        with pytest.raises(TargetUnwritable, match="not made"):
            add_sheet(job, scan)
        assert not keep_trace(job, 1, "key", b"")
        job.connection.execute("PRAGMA query_only = OFF")
        assert sheets(job) == ()


def test_a_full_disk_leaves_the_job_as_it_was(tmp_path: Path) -> None:
    small, large = tmp_path / "small.png", tmp_path / "large.png"
    small.write_bytes(b"one scan")
    large.write_bytes(os.urandom(1_000_000))
    with create_job(tmp_path / "set.tracer") as job:
        add_sheet(job, small)
        (pages,) = job.connection.execute("PRAGMA page_count").fetchone()
        job.connection.execute(f"PRAGMA max_page_count = {pages + 10}")
        with pytest.raises(TargetUnwritable, match="full"):
            add_sheet(job, large)
        assert [sheet.name for sheet in sheets(job)] == ["small.png"]
        assert job.connection.execute("SELECT count(*) FROM files").fetchone() == (1,)
        job.connection.execute("PRAGMA max_page_count = 1000000")
        assert add_sheet(job, large).number == 2

"""The schema: old files brought up to date, and every column documented."""

from __future__ import annotations

import re
import sqlite3
import threading
from pathlib import Path

import pytest

from tracer.job import schema
from tracer.job.edits import history, undo
from tracer.job.file import create_job, open_job
from tracer.job.records import Rail, Tag, TagTerminal
from tracer.job.schema import APPLICATION_ID, MIGRATIONS, NEWEST, migrate
from tracer.job.tags import add_tag, tags
from tracer.resources import shared


def tables(connection: sqlite3.Connection) -> set[tuple[str, str]]:
    names = [row[0] for row in connection.execute("SELECT name FROM sqlite_master WHERE type = 'table'")]
    return {
        (name, row[1])
        for name in names
        if not name.startswith("sqlite_")
        for row in connection.execute(f"PRAGMA table_info({name})")
    }


def test_every_column_is_documented(tmp_path: Path) -> None:
    rows = re.findall(r"^\| (\w+) \| (\w+) \|", shared("job_file.md").read_text("utf-8"), re.MULTILINE)
    with create_job(tmp_path / "a.tracer") as job:
        assert set(rows) - {("table", "column")} == tables(job.connection)
    assert hex(APPLICATION_ID)[2:].upper() in shared("job_file.md").read_text("utf-8")
    assert APPLICATION_ID.to_bytes(4, "big") == b"TRJB"


@pytest.mark.parametrize("version", range(1, NEWEST))
def test_an_older_file_is_brought_up_to_date(
    tmp_path: Path, version: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = tmp_path / "old.tracer"
    with monkeypatch.context() as patch:
        patch.setattr(schema, "MIGRATIONS", MIGRATIONS[:version])
        patch.setattr(schema, "NEWEST", version)
        connection = sqlite3.connect(path, isolation_level=None)
        assert migrate(connection) == version
        connection.close()
    with open_job(path) as job, create_job(tmp_path / "new.tracer") as new:
        assert tables(job.connection) == tables(new.connection)
        add_tag(job, Tag(1, (0, 0, 9, 9), "resistor", "R1", None, (TagTerminal("1", 0, 0),)))
        assert undo(job) == "tag R1"


def test_a_migration_that_fails_leaves_the_file_as_it_was(tmp_path: Path) -> None:
    connection = sqlite3.connect(tmp_path / "a.tracer", isolation_level=None)
    connection.execute("CREATE TABLE tags (x)")  # in the way of the second migration
    with pytest.raises(sqlite3.OperationalError):
        migrate(connection)
    assert connection.execute("PRAGMA user_version").fetchone() == (1,)
    assert connection.in_transaction is False
    connection.close()


def test_edits_from_several_threads_on_one_handle_all_arrive(tmp_path: Path) -> None:
    with create_job(tmp_path / "a.tracer") as job:
        job.connection.execute("PRAGMA synchronous = OFF")
        failed: list[BaseException] = []

        def work(first: int) -> None:
            try:
                for n in range(first, first + 25):
                    add_tag(job, Tag(1, (0, 0, 9, 9), "resistor", f"R{n}", None, (TagTerminal("1", 0, 0),)))
            except BaseException as error:
                failed.append(error)

        threads = [threading.Thread(target=work, args=(100 * n,)) for n in range(4)]
        for thread in threads:
            thread.start()
        for thread in threads:
            thread.join()
        assert failed == []
        assert len({tag.reference for tag in tags(job)}) == 100
        assert len(history(job)) == 100
        while undo(job):
            pass
        assert tags(job) == ()


def test_two_handles_on_one_file_see_each_other_s_edits(tmp_path: Path) -> None:
    from tracer.job.banks import put_rail, rails

    with create_job(tmp_path / "a.tracer") as one, open_job(tmp_path / "a.tracer") as other:
        put_rail(one, Rail("HT1"))
        put_rail(other, Rail("HT2"))
        assert [rail.name for rail in rails(one)] == ["HT1", "HT2"]

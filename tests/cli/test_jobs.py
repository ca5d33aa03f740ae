"""Commands on job files, and on files that look like one."""

from __future__ import annotations

import os
import signal
import sqlite3
import subprocess
import sys
from collections.abc import Callable
from contextlib import closing
from pathlib import Path
from typing import Any

import pytest
from ending import Run

from tracer.job.file import create_job

Fits = Callable[[Any, str], None]


@pytest.fixture
def job(tmp_path: Path) -> Path:
    """A job with nothing in it."""
    path = tmp_path / "set.job"
    create_job(path).close()
    return path


def _too_new(path: Path) -> None:
    with closing(sqlite3.connect(path)) as connection:
        connection.execute("PRAGMA user_version = 9999")
        connection.commit()


def _another_database(path: Path) -> None:
    path.unlink()
    with closing(sqlite3.connect(path)) as connection:
        connection.execute("CREATE TABLE recipes (name TEXT)")
        connection.commit()


def _damaged(path: Path) -> None:
    content = bytearray(path.read_bytes())
    content[100:] = b"\xa5" * (len(content) - 100)
    path.write_bytes(content)


SPOILED = {"too new": (_too_new, 32), "another program's": (_another_database, 30), "damaged": (_damaged, 31)}
COMMANDS = {
    "ohms": ("--from", "HT1"),
    "next": (),
    "why": ("--from", "HT1", "--at", "HT2", "--reading", "1k"),
}


@pytest.mark.parametrize("command", COMMANDS)
@pytest.mark.parametrize("case", SPOILED)
def test_spoiled_jobs_are_refused_and_left_alone(
    run: Run, fits: Fits, job: Path, command: str, case: str
) -> None:
    spoil, code = SPOILED[case]
    spoil(job)
    before = job.read_bytes()
    ended = run(command, job, *COMMANDS[command], "--json")
    assert ended.code == code
    fits(ended.json, "error.schema.json")
    assert str(job) in ended.json["error"]["message"]
    assert job.read_bytes() == before


def test_report_refuses_what_is_no_job(run: Run, wiring: Path, tmp_path: Path) -> None:
    ended = run("report", wiring, "--to", tmp_path / "out")
    assert ended.code == 30
    assert not (tmp_path / "out").exists()


def test_a_job_without_that_point(run: Run, job: Path) -> None:
    ended = run("ohms", job, "--from", "HT1", "--at", "chassis")
    assert ended.code == 22
    assert "HT1" in ended.err


def test_desk_tells_of_a_missing_file_before_it_opens(run: Run, tmp_path: Path) -> None:
    assert run("desk", tmp_path / "absent.job").code == 3


@pytest.mark.skipif(sys.platform == "win32", reason="sends a POSIX signal")
def test_desk_opens_a_job_and_ends_on_ctrl_c(job: Path) -> None:
    command = [sys.executable, "-m", "tracer.cli.app", "desk", str(job)]
    environment = {**os.environ, "QT_QPA_PLATFORM": "offscreen"}
    with subprocess.Popen(command, stderr=subprocess.PIPE, text=True, env=environment) as process:
        try:
            process.wait(timeout=8)
        except subprocess.TimeoutExpired:
            process.send_signal(signal.SIGINT)
        code = process.wait(timeout=10)
        assert process.stderr is not None
        told = process.stderr.read()
    assert "Traceback" not in told
    assert code == -signal.SIGINT, f"the window closed by itself, {told}"

"""``tracer demo`` end to end, and the other commands on the job it leaves behind."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from ending import Run

Fits = Callable[[Any, str], None]


@pytest.fixture(scope="module")
def done(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, str]:
    """The folder of a demo run as a person would, and what was printed."""
    folder = tmp_path_factory.mktemp("demo") / "out"
    command = [sys.executable, "-m", "tracer.cli.app", "demo", "--to", str(folder)]
    ended = subprocess.run(command, capture_output=True, text=True, check=False)
    assert ended.returncode == 0, ended.stderr
    return folder, ended.stdout


@pytest.mark.timeout(600)
def test_cautions_come_before_any_reading(done: tuple[Path, str]) -> None:
    _, out = done
    assert 0 <= out.index("Pull the plug") < out.index("Reading 1:")


def test_each_reading_tells_what_was_expected_and_what_follows(done: tuple[Path, str]) -> None:
    _, out = done
    blocks = out[out.index("Reading 1:") : out.index("Pieces proved")].strip().split("\n\n")
    assert len(blocks) > 5
    for block in blocks:
        assert "expected" in block
        assert "verdict" in block
    wrong = [block for block in blocks if "verdict   high" in block or "verdict   low" in block]
    assert wrong, "the invented fault did not show"
    assert all("why " in block for block in wrong)
    assert any("proved " in block for block in blocks)
    assert any("next " in block for block in blocks)


def test_it_fits_80_columns_and_ends_no_line_in_spaces(done: tuple[Path, str]) -> None:
    folder, out = done
    lines = [line for line in out.splitlines() if str(folder) not in line]
    assert max(map(len, lines)) <= 80
    assert [line for line in lines if line != line.rstrip()] == []


def test_every_file_it_names_is_there(done: tuple[Path, str]) -> None:
    folder, out = done
    told = out.replace("\n", "")
    for name in ("demo.tracer", "sheet.png", "checklist.csv", "checklist.html", "wiring.txt"):
        assert name in told
        assert (folder / name).stat().st_size > 0


def test_the_wiring_list_it_writes_answers_as_the_job_does(done: tuple[Path, str], run: Run) -> None:
    folder, _ = done
    words = ("--from", "HT1", "--at", "HT2", "--json")
    (of_job,) = run("ohms", folder / "demo.tracer", *words).json["rows"]
    (of_list,) = run("ohms", folder / "wiring.txt", *words).json["rows"]
    assert of_list["expected"] == pytest.approx(of_job["expected"], rel=0.01)
    # The list has no drawn wire, whose few tenths of an ohm widen the job's limits.
    assert of_job["low"] == pytest.approx(of_list["low"], rel=0.01)
    assert of_job["high"] == pytest.approx(of_list["high"], rel=0.01)


def test_next_counts_the_job_s_readings(done: tuple[Path, str], run: Run, fits: Fits) -> None:
    folder, _ = done
    words = ("--from", "HT2", "--most", "40", "--json")
    with_readings = run("next", folder / "demo.tracer", *words).json
    without = run("next", folder / "wiring.txt", *words).json
    fits(with_readings, "next.schema.json")
    carried = [
        {part for each in plan["readings"] for part in each["carries"]} for plan in (with_readings, without)
    ]
    # R8 leads from HT2 to pin 1 of V2, a pair that the demo measures and passes.
    assert "R8" in carried[1]
    assert "R8" not in carried[0]


def test_report_writes_the_same_set_again(
    done: tuple[Path, str], run: Run, fits: Fits, tmp_path: Path
) -> None:
    folder, _ = done
    ended = run("report", folder / "demo.tracer", "--to", tmp_path / "again", "--json")
    assert ended.code == 0, ended.err
    fits(ended.json, "report.schema.json")
    written = {Path(name).name for name in ended.json["files"]}
    assert {"sheet.png", "checklist.csv", "checklist.html", "wiring.txt"} <= written
    again, before = ((place / "wiring.txt").read_text("utf-8") for place in (tmp_path / "again", folder))
    assert _without_remarks(again) == _without_remarks(before)
    assert (tmp_path / "again" / "checklist.csv").read_bytes() == (folder / "checklist.csv").read_bytes()


def _without_remarks(text: str) -> list[str]:
    """A wiring list's lines without remarks, which tell when it was written."""
    return [line for line in text.splitlines() if not line.startswith("#")]


def test_a_place_that_is_a_file_is_refused(run: Run, done: tuple[Path, str], tmp_path: Path) -> None:
    folder, _ = done
    place = tmp_path / "file"
    place.write_text("in the way", "utf-8")
    ended = run("report", folder / "demo.tracer", "--to", place)
    assert ended.code in (2, 40)
    assert place.read_text("utf-8") == "in the way"


def test_as_json(run: Run, fits: Fits, tmp_path: Path) -> None:
    ended = run("demo", "--to", tmp_path / "demo", "--json")
    assert ended.code == 0, ended.err
    fits(ended.json, "demo.schema.json")
    assert {reading["verdict"] for reading in ended.json["readings"]} >= {"pass", "high"}
    assert all(Path(name).exists() for name in ended.json["files"])


@pytest.mark.skipif(sys.platform == "win32", reason="sends a POSIX signal")
def test_ctrl_c_ends_it_on_130(tmp_path: Path) -> None:
    command = [sys.executable, "-m", "tracer.cli.app", "demo", "--to", str(tmp_path / "demo")]
    environment = {**os.environ, "PYTHONUNBUFFERED": "1"}
    pipe = subprocess.PIPE
    with subprocess.Popen(command, stdout=pipe, stderr=pipe, text=True, env=environment) as process:
        while not (tmp_path / "demo" / "demo.tracer").exists():
            assert process.poll() is None
            time.sleep(0.05)
        process.send_signal(signal.SIGINT)
        _, told = process.communicate(timeout=120)
    assert process.returncode == 130, told
    assert "Traceback" not in told
    assert not (tmp_path / "demo" / "sheet.png").exists()

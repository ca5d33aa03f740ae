"""The entry: quick help, version, usage errors, and how errors and interrupts end the process."""

from __future__ import annotations

import json
import signal
import subprocess
import sys
from collections.abc import Callable
from importlib.metadata import version
from typing import Any

import pytest
import typer
from ending import Run

from tracer.cli.boundary import guarded
from tracer.cli.progress import watched
from tracer.errors import Cancelled, UnknownPoint
from tracer.progress import checkpoint

HEAVY = ("cv2", "scipy", "numpy", "PyQt6", "onnxruntime", "skimage", "networkx", "shapely", "PIL", "rich")


def test_help_loads_nothing_heavy() -> None:
    program = (
        "import sys; from tracer.cli.app import main; code = main(['--help']); "
        f"print([name for name in {HEAVY!r} if name in sys.modules], code, file=sys.stderr)"
    )
    run = subprocess.run([sys.executable, "-c", program], capture_output=True, text=True, check=True)
    assert run.stderr.strip() == "[] 0"


def test_help_loads_no_room() -> None:
    """Help is quick because nothing is loaded for it."""
    rooms = ("scan", "circuit", "reader", "trace", "job", "bench", "report", "desk", "training")
    program = (
        "import sys; from tracer.cli.app import main; main(['--help']); "
        "print(*sorted({name.split('.')[1] for name in sys.modules if name.startswith('tracer.')}), "
        "file=sys.stderr)"
    )
    run = subprocess.run([sys.executable, "-c", program], capture_output=True, text=True, check=True)
    assert "cli" in run.stderr.split()
    assert not set(rooms) & set(run.stderr.split())


def test_version_is_the_package_s(run: Run) -> None:
    ended = run("--version")
    assert (ended.code, ended.out.strip()) == (0, version("tracer"))


@pytest.mark.parametrize("words", [["nonsense"], ["ohms"], ["nets", "x.png", "--nonsense"]])
def test_a_wrong_command_line_ends_on_2(run: Run, words: list[str]) -> None:
    assert run(*words).code == 2


def test_every_command_has_help_that_fits_a_narrow_terminal(
    run: Run, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("COLUMNS", "80")
    for name in ("demo", "desk", "nets", "parts", "ohms", "why", "next", "report"):
        ended = run(name, "--help")
        assert ended.code == 0
        assert max(map(len, ended.out.splitlines())) <= 80


def test_an_error_is_a_plain_message_and_its_code(capsys: pytest.CaptureFixture[str]) -> None:
    @guarded
    def command() -> None:
        raise UnknownPoint("No point 'X9'.")

    with pytest.raises(typer.Exit) as stop:
        command()
    out, err = capsys.readouterr()
    assert (stop.value.exit_code, out, err) == (22, "", "tracer: No point 'X9'.\n")


def test_an_error_under_json_is_a_document(
    capsys: pytest.CaptureFixture[str], fits: Callable[[Any, str], None]
) -> None:
    @guarded
    def command(as_json: bool) -> None:
        raise UnknownPoint("No point 'X9'.")

    with pytest.raises(typer.Exit):
        command(as_json=True)
    out, err = capsys.readouterr()
    document = json.loads(out)
    assert document == {"error": {"code": 22, "kind": "UnknownPoint", "message": "No point 'X9'."}}
    fits(document, "error.schema.json")
    assert err == "tracer: No point 'X9'.\n"


def test_ctrl_c_ends_on_130(capsys: pytest.CaptureFixture[str]) -> None:
    @guarded
    def command() -> None:
        raise KeyboardInterrupt

    with pytest.raises(typer.Exit) as stop:
        command()
    assert stop.value.exit_code == 130
    assert "Cancelled" in capsys.readouterr().err


def test_first_ctrl_c_stops_work_at_its_next_checkpoint() -> None:
    reached = []

    def work() -> None:
        with watched() as progress:
            checkpoint(progress, "opening", 0.1)
            signal.raise_signal(signal.SIGINT)
            reached.append("work goes on to its checkpoint")
            checkpoint(progress, "reading", 0.5)
            reached.append("past it")

    before = signal.getsignal(signal.SIGINT)
    with pytest.raises(Cancelled, match="while reading"):
        work()
    assert reached == ["work goes on to its checkpoint"]
    assert signal.getsignal(signal.SIGINT) is before


def test_second_ctrl_c_interrupts_at_once() -> None:
    def work() -> None:
        with watched():
            signal.raise_signal(signal.SIGINT)
            signal.raise_signal(signal.SIGINT)

    with pytest.raises(KeyboardInterrupt):
        work()


def test_a_reader_that_leaves_early_gets_no_traceback(wiring: Any) -> None:
    command = f"{sys.executable} -m tracer.cli.app ohms {wiring} --from HT1 --json | head -c 1"
    run = subprocess.run(["bash", "-c", command], capture_output=True, text=True, check=True)
    assert run.stdout == "{"
    assert "Traceback" not in run.stderr

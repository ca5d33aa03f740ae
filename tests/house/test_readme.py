"""The README's commands exist, and what CI runs is what it says."""

from __future__ import annotations

import re
import shlex
import subprocess
from pathlib import Path

import pytest
import typer
from source_tree import ROOT

from tracer.cautions import CAUTIONS
from tracer.circuit.wiring import parse_wiring
from tracer.cli.app import application, main

README = (ROOT / "README.md").read_text("utf-8")
COMMANDS = typer.main.get_command(application).commands  # type: ignore[attr-defined]


def _marked(name: str) -> str:
    found = re.search(rf"^<!-- {name} -->\n```\w*\n(.*?)^```$", README, flags=re.DOTALL | re.MULTILINE)
    assert found, f"README.md has no block under <!-- {name} -->"
    return found[1]


def _commands() -> list[list[str]]:
    """Every ``tracer …`` that the README gives, in a block or between backticks, split into words."""
    blocks = re.findall(r"^```(?:sh|powershell)\n(.*?)^```$", README, flags=re.DOTALL | re.MULTILINE)
    pieces = [piece for block in blocks for piece in re.split(r"&&|;|\n", block)]
    pieces += re.findall(r"`(tracer [^`]+)`", README)
    found = [shlex.split(re.sub(r"^\s*\.venv[/\\](bin|Scripts)[/\\]", "", piece)) for piece in pieces]
    return [words[1:] for words in found if words and words[0] == "tracer"]


def test_the_readme_gives_commands() -> None:
    assert {words[0] for words in _commands()} >= {
        "demo",
        "desk",
        "nets",
        "parts",
        "ohms",
        "why",
        "next",
        "report",
    }


@pytest.mark.parametrize("words", _commands(), ids=" ".join)
def test_documented_commands_and_options_exist(words: list[str]) -> None:
    assert words[0] in COMMANDS
    options = {option for parameter in COMMANDS[words[0]].params for option in parameter.opts}
    assert {word for word in words if word.startswith("--")} <= options


def test_every_command_is_documented() -> None:
    assert set(COMMANDS) <= {words[0] for words in _commands()}


@pytest.mark.parametrize("mark", ["demo", "tests"])
def test_the_pasted_lines_are_one_line_each(mark: str) -> None:
    assert len(_marked(mark).strip().splitlines()) == 1


def test_ci_runs_the_readme_s_test_line(tmp_path: Path) -> None:
    """Run ``.ci/run`` in a copy whose README gives a harmless line, and see that line run from the root."""
    (tmp_path / ".ci").mkdir()
    script = tmp_path / ".ci" / "run"
    script.write_bytes((ROOT / ".ci" / "run").read_bytes())
    line = "pwd && echo first && false && echo never"
    (tmp_path / "README.md").write_text(README.replace(_marked("tests").strip(), line), "utf-8")
    run = subprocess.run(["bash", str(script)], capture_output=True, text=True, check=False, cwd="/")
    assert run.stdout.splitlines() == [str(tmp_path), "first"]
    assert run.returncode != 0


def test_ci_refuses_a_readme_without_the_line(tmp_path: Path) -> None:
    (tmp_path / ".ci").mkdir()
    (tmp_path / ".ci" / "run").write_bytes((ROOT / ".ci" / "run").read_bytes())
    (tmp_path / "README.md").write_text("# Nothing here\n", "utf-8")
    run = subprocess.run(["bash", str(tmp_path / ".ci" / "run")], capture_output=True, check=False)
    assert run.returncode == 1


def test_the_test_line_checks_style_types_and_behaviour() -> None:
    line = _marked("tests")
    for tool in ("ruff check", "ruff format --check", "mypy", "pytest"):
        assert f".venv/bin/{tool}" in line
    system = re.compile(r"^.*? -y (.*?) && python3 -m venv")
    assert system.match(line), "the test line installs no system packages"
    assert system.match(line)[1] == system.match(_marked("demo"))[1]  # type: ignore[index]


def test_the_readme_s_cautions_are_the_program_s() -> None:
    plain = " ".join(re.sub(r"[*]", "", README).split())
    for caution in CAUTIONS:
        assert caution in plain


def test_the_readme_s_wiring_list_can_be_read() -> None:
    circuit = parse_wiring(_marked("wiring"), "README.md")
    assert {element.reference for element in circuit.elements} >= {"R1", "C1", "V1"}
    assert circuit.rails == ("HT1", "HT2")


def test_the_readme_s_answer_is_the_program_s(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    found = re.search(r"^<!-- answer: tracer (.*?) -->$", README, flags=re.MULTILINE)
    assert found
    (tmp_path / "kitchen.txt").write_text(_marked("wiring"), "utf-8")
    monkeypatch.chdir(tmp_path)
    assert main(shlex.split(found[1])) == 0
    assert capsys.readouterr().out == _marked(f"answer: tracer {re.escape(found[1])}")

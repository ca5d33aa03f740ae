"""Finding the files that travel with the program."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from tracer import resources
from tracer.errors import FileMissing


def test_in_a_clone_they_lie_at_the_root() -> None:
    codes = resources.shared("exit_codes.json")
    assert codes == Path(__file__).resolve().parents[1] / "shared" / "exit_codes.json"
    assert json.loads(codes.read_text(encoding="utf-8"))["exit_codes"][0]["code"] == 0


def test_in_a_wheel_they_lie_in_the_package(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    package = tmp_path / "tracer"
    inside = package / "_data" / "assets" / "icons"
    inside.mkdir(parents=True)
    (inside / "zoom.svg").touch()
    monkeypatch.setattr(resources, "_PACKAGE", package)
    assert resources.asset("icons/zoom.svg") == inside / "zoom.svg"


def test_missing_file_says_what_to_do() -> None:
    with pytest.raises(FileMissing, match=r"assets/gone\.bin is missing.*Install"):
        resources.asset("gone.bin")

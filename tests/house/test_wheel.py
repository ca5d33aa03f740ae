"""A wheel carries everything: installed outside the clone, it works there."""

from __future__ import annotations

import json
import os
import shutil
import subprocess
import sys
import venv
import zipfile
from pathlib import Path

import pytest
from source_tree import ROOT

LIST = "rail HT1\nresistor R1: 1=HT1 2=A; 1k; tol=10%\nresistor R2: 1=A 2=chassis; 2k2; tol=10%\n"


LEFT_BEHIND = shutil.ignore_patterns(".*", "__pycache__", "build", "dist", "demo.tracer", "*.egg-info")


def _sources() -> list[Path]:
    """Every file that git does not ignore; without git, all but hidden and built ones."""
    command = ["git", "ls-files", "-z", "--cached", "--others", "--exclude-standard"]
    if shutil.which("git") and (ROOT / ".git").exists():
        listed = subprocess.run(command, capture_output=True, text=True, check=True, cwd=ROOT).stdout.split(
            "\0"
        )
        return [ROOT / name for name in listed if name and (ROOT / name).is_file()]
    kept: list[Path] = []
    for folder, folders, files in os.walk(ROOT):
        left = LEFT_BEHIND(folder, [*folders, *files])
        folders[:] = [name for name in folders if name not in left]
        kept += [Path(folder, name) for name in files if name not in left]
    return kept


@pytest.fixture(scope="module")
def wheel(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Build the wheel of a copy of the sources, so that nothing else that lies about gets into it."""
    folder = tmp_path_factory.mktemp("wheel")
    copy = folder / "source"
    for path in _sources():
        place = copy / path.relative_to(ROOT)
        place.parent.mkdir(parents=True, exist_ok=True)
        place.write_bytes(path.read_bytes())
    options = ["--no-deps", "--no-build-isolation", "--quiet", "--wheel-dir", str(folder)]
    subprocess.run([sys.executable, "-m", "pip", "wheel", *options, str(copy)], check=True)
    return next(folder.glob("*.whl"))


@pytest.fixture(scope="module")
def installed(wheel: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Install the wheel into an environment of its own that sees this one's libraries; give its scripts."""
    folder = tmp_path_factory.mktemp("installed") / "environment"
    venv.create(folder, with_pip=False, symlinks=True)
    scripts = folder / ("Scripts" if sys.platform == "win32" else "bin")
    site = next(folder.glob("[Ll]ib/**/site-packages"))
    pip = [sys.executable, "-m", "pip", "--python", str(scripts / "python"), "--quiet", "install"]
    subprocess.run([*pip, "--no-deps", "--no-index", str(wheel)], check=True)
    # The libraries come last on the path, and as a plain path: their own .pth files are not read, so an
    # editable install of the clone stays out of sight.
    libraries = [path for path in sys.path if path.endswith(("site-packages", "dist-packages"))]
    (site / "libraries.pth").write_text("\n".join(libraries), "utf-8")
    return scripts


def _run(scripts: Path, folder: Path, *words: str) -> subprocess.CompletedProcess[str]:
    command = [str(scripts / "tracer"), *words]
    return subprocess.run(command, capture_output=True, text=True, check=False, cwd=folder)


def test_wheel_carries_the_documents_and_assets(wheel: Path) -> None:
    with zipfile.ZipFile(wheel) as archive:
        names = set(archive.namelist())
    assert "tracer/py.typed" in names
    wanted = [path.relative_to(ROOT).as_posix() for path in _sources()]
    carried = [
        name for name in wanted if name.startswith(("assets/", "shared/")) and not name.endswith(".gitkeep")
    ]
    assert carried
    assert {f"tracer/_data/{name}" for name in carried} <= names
    assert any(name.endswith("entry_points.txt") for name in names)


def test_installed_program_is_not_the_clone(installed: Path, tmp_path: Path) -> None:
    command = [str(installed / "python"), "-c", "import tracer; print(tracer.__file__)"]
    where = subprocess.run(command, capture_output=True, text=True, check=True, cwd=tmp_path).stdout.strip()
    assert not Path(where).is_relative_to(ROOT)


def test_installed_program_computes(installed: Path, tmp_path: Path) -> None:
    (tmp_path / "list.txt").write_text(LIST, "utf-8")
    ended = _run(installed, tmp_path, "ohms", "list.txt", "--from", "HT1", "--at", "chassis", "--json")
    assert ended.returncode == 0, ended.stderr
    (row,) = json.loads(ended.stdout)["rows"]
    assert row["expected"] == pytest.approx(3200)
    assert (row["low"], row["high"]) == (pytest.approx(2880), pytest.approx(3520))


@pytest.mark.timeout(600)
def test_installed_program_runs_the_demo(installed: Path, tmp_path: Path) -> None:
    ended = _run(installed, tmp_path, "demo", "--to", "demo")
    assert ended.returncode == 0, ended.stderr
    assert {"sheet.png", "checklist.csv", "checklist.html"} <= {
        path.name for path in (tmp_path / "demo").iterdir()
    }

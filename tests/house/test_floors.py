"""A room imports only rooms below it, and nothing goes round in a circle."""

from __future__ import annotations

import subprocess
import sys
from graphlib import TopologicalSorter
from pathlib import Path

import pytest
from source_tree import ROOT, floors, imports_of, module_name, module_paths, room_of

MODULES = [path for path in module_paths() if path != ROOT / "tracer" / "__init__.py"]


def _own(names: set[str]) -> set[str]:
    return {name for name in names if name.split(".")[0] == "tracer"}


def test_every_room_has_a_floor() -> None:
    rooms = {room_of(module_name(path)) for path in MODULES} - {"training"}
    assert rooms == set(floors()), "DEVELOPERS.md and the folders under tracer/ name different rooms"


@pytest.mark.parametrize("path", MODULES, ids=module_name)
def test_imports_run_down(path: Path) -> None:
    room = room_of(module_name(path))
    for name in _own(imports_of(path)):
        assert name != "tracer", f"{path.name} imports the package facade"
        other = room_of(name)
        if other == room:
            continue
        if room == "training":
            pytest.fail(f"training imports {name}; it imports no other room")
        assert other != "training", f"{path.name} imports {name}; nobody imports training"
        ground = floors()[room] == floors()[other] == 0
        assert ground or floors()[other] < floors()[room], f"{path} imports {name}, which is not below it"


def test_no_import_cycle() -> None:
    known = {module_name(path) for path in module_paths()}
    graph = {
        module_name(path): {name for name in imports_of(path, everywhere=False) if name in known}
        for path in module_paths()
    }
    TopologicalSorter(graph).prepare()  # raises CycleError, which names the cycle


def test_window_toolkit_is_imported_at_the_desk_alone() -> None:
    elsewhere = [
        path
        for path in MODULES
        if room_of(module_name(path)) != "desk"
        and any(name.split(".")[0] == "PyQt6" for name in imports_of(path, everywhere=False))
    ]
    assert elsewhere == []


def test_rooms_load_without_the_window_toolkit() -> None:
    names = [
        module_name(path)
        for path in MODULES
        if room_of(module_name(path)) not in {"desk", "training"} and "__main__" not in path.name
    ]
    program = (
        "import importlib, sys\n"
        f"for name in {names!r}: importlib.import_module(name)\n"
        "print([name for name in sys.modules if name.split('.')[0] in ('PyQt6', 'torch')])"
    )
    run = subprocess.run(
        [sys.executable, "-c", program], capture_output=True, text=True, check=False, cwd=ROOT
    )
    assert run.returncode == 0, run.stderr
    assert run.stdout.strip() == "[]"

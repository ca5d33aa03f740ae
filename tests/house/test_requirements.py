"""What is imported is declared: an installed program, or a fresh test environment, lacks nothing."""

from __future__ import annotations

import re
import sys
import tomllib
from collections.abc import Iterable
from importlib.metadata import packages_distributions
from pathlib import Path

import pytest
from source_tree import ROOT, imports_of, module_paths

PROJECT = tomllib.loads((ROOT / "pyproject.toml").read_text("utf-8"))["project"]
DISTRIBUTIONS = packages_distributions()
TESTS = sorted((ROOT / "tests").rglob("*.py"))
OWN = {"tracer", "tests", "conftest"} | {path.stem for path in TESTS}


def _plain(name: str) -> str:
    """A distribution's name in one spelling (the packaging specification for names)."""
    return re.sub(r"[-_.]+", "-", name).lower()


def _declared(requirements: Iterable[str]) -> set[str]:
    found = (re.match(r"[A-Za-z0-9._-]+", requirement) for requirement in requirements)
    return {_plain(match[0]) for match in found if match}


RUNTIME = _declared(PROJECT["dependencies"])
TESTING = RUNTIME | _declared(PROJECT["optional-dependencies"]["test"])
METER = RUNTIME | _declared(PROJECT["optional-dependencies"]["meter"])
TRAINING = RUNTIME | _declared(PROJECT["optional-dependencies"]["training"])


def _undeclared(path: Path, declared: set[str]) -> set[str]:
    outside = {name.split(".")[0] for name in imports_of(path)} - OWN - set(sys.stdlib_module_names)
    return {
        name
        for name in outside
        if not {_plain(distribution) for distribution in DISTRIBUTIONS.get(name, [name])} & declared
    }


@pytest.mark.parametrize("path", module_paths(), ids=lambda path: str(path.relative_to(ROOT)))
def test_the_program_imports_what_it_declares(path: Path) -> None:
    if path.is_relative_to(ROOT / "tracer" / "training"):
        declared = TRAINING
    else:
        declared = METER if path.name == "meter_link.py" else RUNTIME
    assert _undeclared(path, declared) == set()


@pytest.mark.parametrize("path", TESTS, ids=lambda path: str(path.relative_to(ROOT)))
def test_the_tests_import_what_they_declare(path: Path) -> None:
    skips = "importorskip" in path.read_text("utf-8")
    assert _undeclared(path, TESTING | TRAINING if skips else TESTING) == set()


def test_every_lower_bound_is_one() -> None:
    """A version may rise; nothing is pinned or capped, so that a distribution's own versions will do."""
    for requirement in PROJECT["dependencies"]:
        assert re.fullmatch(r"[A-Za-z0-9._-]+>=[0-9.]+", requirement), requirement

"""The house rules for one file: what it publishes, how long it is, how long its functions are."""

from __future__ import annotations

import ast
from pathlib import Path

import pytest
from source_tree import ROOT, module_name, module_paths, parsed

LONGEST_FILE = 600
LONGEST_FUNCTION = 60
TEST_FILES = sorted((ROOT / "tests").rglob("*.py"))


def _published(tree: ast.Module) -> list[str] | None:
    for node in tree.body:
        target = node.targets[0] if isinstance(node, ast.Assign) else getattr(node, "target", None)
        value = getattr(node, "value", None)
        if isinstance(target, ast.Name) and target.id == "__all__" and value is not None:
            return list(ast.literal_eval(value))
    return None


def _bound(tree: ast.Module) -> set[str]:
    names: set[str] = set()
    for node in ast.walk(tree):
        if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef | ast.ClassDef):
            names.add(node.name)
        elif isinstance(node, ast.Name) and isinstance(node.ctx, ast.Store):
            names.add(node.id)
        elif isinstance(node, ast.Import | ast.ImportFrom):
            names.update((alias.asname or alias.name).split(".")[0] for alias in node.names)
    return names


@pytest.mark.parametrize("path", module_paths(), ids=module_name)
def test_module_says_what_it_publishes(path: Path) -> None:
    published = _published(parsed(path))
    assert published is not None, "no __all__"
    assert set(published) <= _bound(parsed(path)), "__all__ names what the module does not have"
    assert ast.get_docstring(parsed(path)), "no module docstring"


@pytest.mark.parametrize("path", module_paths(), ids=module_name)
def test_published_functions_and_classes_are_documented(path: Path) -> None:
    published = set(_published(parsed(path)) or ())
    bare = [
        node.name
        for node in parsed(path).body
        if isinstance(node, ast.FunctionDef | ast.ClassDef)
        and node.name in published
        and not ast.get_docstring(node)
    ]
    assert bare == []


@pytest.mark.parametrize("path", [*module_paths(), *TEST_FILES], ids=lambda path: str(path.relative_to(ROOT)))
def test_no_file_is_too_long(path: Path) -> None:
    assert len(path.read_text("utf-8").splitlines()) <= LONGEST_FILE


@pytest.mark.parametrize("path", module_paths(), ids=module_name)
def test_no_function_is_too_long(path: Path) -> None:
    for node in ast.walk(parsed(path)):
        if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef):
            first = node.body[1] if ast.get_docstring(node) and len(node.body) > 1 else node.body[0]
            lines = (node.end_lineno or 0) - first.lineno + 1
            assert lines < LONGEST_FUNCTION, f"{node.name} runs over {lines} lines beside its docstring"


def test_files_of_the_tests_have_names_of_their_own() -> None:
    """Test folders are no packages: pytest imports their files by bare name, so two alike would clash."""
    names = [path.stem for path in TEST_FILES if path.name != "conftest.py"]
    assert sorted(set(names)) == sorted(names)

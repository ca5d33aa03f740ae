"""The program's own source as the house tests see it: files, parsed modules and what each imports."""

from __future__ import annotations

import ast
import re
from functools import cache
from pathlib import Path

__all__ = ["ROOT", "floors", "imports_of", "module_name", "module_paths", "parsed", "room_of"]

ROOT = Path(__file__).resolve().parents[2]


def module_paths() -> list[Path]:
    """Every module of the package, tests not counted."""
    return sorted((ROOT / "tracer").rglob("*.py"))


def module_name(path: Path) -> str:
    """``tracer/scan/page.py`` → ``tracer.scan.page``; a package is named without ``__init__``."""
    parts = path.relative_to(ROOT).with_suffix("").parts
    return ".".join(parts[:-1] if parts[-1] == "__init__" else parts)


def room_of(module: str) -> str:
    """The room of a dotted module name: ``scan``, or ``errors`` for a module on the ground floor."""
    parts = module.split(".")
    return parts[1] if len(parts) > 1 else ""


@cache
def parsed(path: Path) -> ast.Module:
    """The syntax tree of one file."""
    return ast.parse(path.read_text("utf-8"), filename=str(path))


def imports_of(path: Path, *, everywhere: bool = True) -> set[str]:
    """Dotted names of what a module imports.

    With `everywhere` false, only what is imported when the module itself is: not inside functions and not
    under ``if TYPE_CHECKING``. ``from tracer.scan import page`` counts as ``tracer.scan.page``.
    """
    found: set[str] = set()
    for node in _import_nodes(parsed(path), everywhere=everywhere):
        if isinstance(node, ast.Import):
            found.update(alias.name for alias in node.names)
        else:
            origin = node.module or ""
            if node.level:
                package = module_name(path).split(".")
                keep = len(package) - node.level + (path.name == "__init__.py")
                origin = ".".join([*package[:keep], *filter(None, [origin])])
            found.update(_module_or(origin, alias.name) for alias in node.names)
    return found


def _module_or(origin: str, name: str) -> str:
    """``tracer.scan`` and ``page`` → ``tracer.scan.page``; a name inside a module → the module."""
    inside = ROOT.joinpath(*origin.split("."), name)
    return f"{origin}.{name}" if inside.with_suffix(".py").exists() or inside.is_dir() else origin


def _import_nodes(tree: ast.AST, *, everywhere: bool) -> list[ast.Import | ast.ImportFrom]:
    nodes: list[ast.Import | ast.ImportFrom] = []
    for child in ast.iter_child_nodes(tree):
        if isinstance(child, ast.Import | ast.ImportFrom):
            nodes.append(child)
        elif everywhere or not _deferred(child):
            nodes.extend(_import_nodes(child, everywhere=everywhere))
    return nodes


def _deferred(node: ast.AST) -> bool:
    if isinstance(node, ast.If):
        return isinstance(node.test, ast.Name) and node.test.id == "TYPE_CHECKING"
    return isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef | ast.Lambda)


def floors() -> dict[str, int]:
    """Each room's floor, from the table in DEVELOPERS.md."""
    found: dict[str, int] = {}
    for line in (ROOT / "DEVELOPERS.md").read_text("utf-8").splitlines():
        row = re.match(r"\| (\d+) \| ([^|]+) \|", line)
        if row:
            rooms = re.findall(r"`(\w+)(?:/|\.py)`", row[2])
            found.update(dict.fromkeys(rooms, int(row[1])))
    return found

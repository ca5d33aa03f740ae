"""How answers are printed: one JSON document, or tables that fit 80 columns."""

from __future__ import annotations

import json
from collections.abc import Sequence
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from rich.console import Console, RenderableType

__all__ = ["console", "print_json", "print_lines", "print_table"]

WIDTH_WHEN_PIPED = 80


def console() -> Console:
    """Give the console on stdout; without a terminal it is plain text 80 columns wide."""
    from rich.console import Console

    out = Console(highlight=False, markup=False, emoji=False, soft_wrap=False)
    return (
        out
        if out.is_terminal
        else Console(highlight=False, markup=False, emoji=False, width=WIDTH_WHEN_PIPED, no_color=True)
    )


def print_json(document: object) -> None:
    """Print `document` as one JSON document on stdout; infinities are refused, since JSON has none."""
    print(json.dumps(document, ensure_ascii=False, indent=2, allow_nan=False))


def print_lines(*lines: str) -> None:
    """Print sentences, folded at the console's width."""
    out = console()
    for line in lines:
        _emit(out, line)


def print_table(columns: Sequence[str], rows: Sequence[Sequence[str]], *, right: Sequence[int] = ()) -> None:
    """Print a table; columns whose index is in `right` are set flush right (numbers).

    Without names in `columns` no heading is printed.
    """
    from rich.box import SIMPLE_HEAD
    from rich.table import Table

    out = console()
    named = any(columns)
    box = SIMPLE_HEAD if named and out.is_terminal else None
    table = Table(box=box, pad_edge=False, header_style="bold", show_header=named)
    for index, column in enumerate(columns):
        table.add_column(column, justify="right" if index in right else "left", overflow="fold")
    for row in rows:
        table.add_row(*row)
    _emit(out, table)


def _emit(out: Console, content: RenderableType) -> None:
    """Print; without a terminal no line ends in the spaces that fill it up."""
    if out.is_terminal:
        out.print(content)
        return
    with out.capture() as captured:
        out.print(content)
    for line in captured.get().splitlines():
        print(line.rstrip())

"""The resistance chart as a table by pin, and as CSV."""

from __future__ import annotations

import csv
import io
from collections.abc import Sequence
from dataclasses import dataclass

from tracer.bench.chart import ANY_SETTING, ChartRow
from tracer.circuit.results import Expectation, Open
from tracer.circuit.values import format_value

__all__ = ["ChartTable", "chart_csv", "chart_table"]

COLUMNS = ("from", "to", "setting", "low", "expected", "high", "open", "settles_s")


@dataclass(frozen=True, slots=True)
class ChartTable:
    """A row a pin, a column a start; a cell holds (setting, ohms) pairs, setting "" where none matters."""

    starts: tuple[str, ...]
    rows: tuple[tuple[str, tuple[tuple[tuple[str, str], ...], ...]], ...]


def chart_table(chart: Sequence[ChartRow]) -> ChartTable:
    """Arrange the chart as service sheets print it, by valve and pin."""
    starts = tuple(dict.fromkeys(row.start for row in chart))
    cells: dict[str, dict[str, list[tuple[str, str]]]] = {}
    for row in chart:
        setting = "" if row.setting == ANY_SETTING else row.setting
        cells.setdefault(row.end, {}).setdefault(row.start, []).append((setting, _ohms(row.expectation)))
    rows = tuple(
        (pin, tuple(tuple(by_start.get(start, ())) for start in starts)) for pin, by_start in cells.items()
    )
    return ChartTable(starts, rows)


def _ohms(expectation: Expectation) -> str:
    if expectation.open is Open.ALWAYS or expectation.low is None:
        return "OL"
    if expectation.high is None or expectation.expected is None:
        high = "" if expectation.high is None else f" to {format_value(expectation.high, 'ohm', 3)}"
        return f"{format_value(expectation.low, 'ohm', 3)}{high or ' or more'}"
    return format_value(expectation.expected, "ohm", 3)


def chart_csv(chart: Sequence[ChartRow]) -> str:
    """Return the chart as CSV (RFC 4180): ohms as plain numbers, empty where open, unknown or unbounded."""
    stream = io.StringIO(newline="")
    writer = csv.writer(stream)
    writer.writerow(COLUMNS)
    for row in chart:
        is_ = row.expectation
        ohms = ("" if value is None else f"{value:.6g}" for value in (is_.low, is_.expected, is_.high))
        writer.writerow((row.start, row.end, row.setting, *ohms, str(is_.open), f"{is_.settles_s:.2g}"))
    return stream.getvalue()

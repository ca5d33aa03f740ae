"""The small tables (CSV) that commands take: points, part bodies by hand, readings."""

from __future__ import annotations

import csv
import json
import math
import sys
from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from tracer.errors import BadTable, FileMissing
from tracer.resources import shared
from tracer.trace.mend import Body

__all__ = ["NamedPixel", "ShownReading", "read_bodies", "read_points", "read_readings", "taken_readings"]

if TYPE_CHECKING:
    from tracer.circuit.elements import Setting
    from tracer.circuit.results import Reading


@dataclass(frozen=True, slots=True)
class NamedPixel:
    """A place on a page, page px."""

    name: str
    x: float
    y: float


@dataclass(frozen=True, slots=True)
class ShownReading:
    """A reading as written down: `shown` is what the meter showed, ``"4k72"``, ``"OL"``, ``"1M rising"``."""

    start: str
    end: str
    shown: str


def read_points(path: Path) -> tuple[NamedPixel, ...]:
    """Read a table headed ``name,x,y``, page px.

    Raises
    ------
    FileMissing
        When there is no such file.
    BadTable
        When a heading is missing, a row is short, or a coordinate is no number; with the line number.
    """
    points = []
    for line, (name, x, y) in _rows(path, ("name", "x", "y")):
        points.append(NamedPixel(name, _number(path, line, x), _number(path, line, y)))
    return tuple(points)


def read_bodies(path: Path) -> tuple[Body, ...]:
    """Read a table headed ``x0,y0,x1,y1`` and, if wanted, ``kind``: part bodies, page px, half-open.

    Raises
    ------
    FileMissing
        When there is no such file.
    BadTable
        As for `read_points`, and when a box is empty.

    Notes
    -----
    A kind that ``shared/kinds.json`` does not know is left out, and said on stderr: the box still ends the
    conductors.
    """
    kinds = [entry["kind"] for entry in json.loads(shared("kinds.json").read_text("utf-8"))["kinds"]]
    bodies = []
    unknown: Counter[str] = Counter()
    for line, (*corners, kind) in _rows(path, ("x0", "y0", "x1", "y1"), optional=("kind",)):
        x0, y0, x1, y1 = (round(_number(path, line, corner)) for corner in corners)
        if x0 >= x1 or y0 >= y1:
            raise BadTable(f"{path}, line {line}: the box is empty; x0 must be below x1 and y0 below y1.")
        if kind and kind not in kinds:
            unknown[kind] += 1
        bodies.append(Body((x0, y0, x1, y1), kind if kind in kinds else None))
    if unknown:
        named = ", ".join(f"{kind!r} ({count})" for kind, count in sorted(unknown.items()))
        print(f"tracer: {path}: no kinds of ours, taken as bodies of no kind: {named}.", file=sys.stderr)
    return tuple(bodies)


def read_readings(path: Path) -> tuple[ShownReading, ...]:
    """Read a table headed ``from,at,reading``, in the order the readings were taken.

    Raises
    ------
    FileMissing
        When there is no such file.
    BadTable
        When a heading is missing or a row is short; with the line number.
    """
    return tuple(ShownReading(*cells) for _, cells in _rows(path, ("from", "at", "reading")))


def taken_readings(path: Path | None, setting: Setting, before: Sequence[Reading]) -> tuple[Reading, ...]:
    """Return the readings of a table, all at one setting, numbered on from those taken `before`.

    Raises
    ------
    FileMissing, BadTable
        As `read_readings`.
    BadValue
        What a row says the meter showed cannot be understood.
    """
    from tracer.circuit.results import Reading
    from tracer.circuit.values import parse_reading

    taken = []
    first = max((each.number for each in before), default=0) + 1
    for number, row in enumerate(read_readings(path) if path else (), start=first):
        ohms, rising = parse_reading(row.shown)
        taken.append(Reading(row.start, row.end, ohms, setting, rising, number))
    return tuple(taken)


def _rows(
    path: Path, columns: Sequence[str], optional: Sequence[str] = ()
) -> Iterator[tuple[int, tuple[str, ...]]]:
    """Yield line number and cells of each row in the order of `columns`, then `optional` ("" if absent)."""
    try:
        text = path.read_text("utf-8-sig")
    except OSError as error:
        raise FileMissing(f"{path} cannot be read: {error.strerror}. Check its name.") from error
    except UnicodeDecodeError as error:
        raise BadTable(f"{path} is no text file in UTF-8. Save the table as CSV in UTF-8.") from error
    lines = text.splitlines()
    if lines and _is_data(next(csv.reader(lines[:1], skipinitialspace=True), []), columns):
        lines = [",".join((*columns, *optional)), *lines]  # no heading: the columns in the stated order
    reader = csv.DictReader(lines, skipinitialspace=True)
    shift = len(text.splitlines()) - len(lines)
    headings = [heading.strip() for heading in reader.fieldnames or ()]
    missing = [column for column in columns if column not in headings]
    if missing:
        raise BadTable(f"{path}, line 1: the heading must be {','.join(columns)}; {missing[0]} is missing.")
    reader.fieldnames = headings
    for row in reader:
        cells = tuple((row.get(column) or "").strip() for column in (*columns, *optional))
        empty = [column for column, cell in zip(columns, cells, strict=False) if not cell]
        if empty:
            raise BadTable(f"{path}, line {reader.line_num + shift}: {empty[0]} is empty.")
        yield reader.line_num + shift, cells


def _is_data(cells: Sequence[str], columns: Sequence[str]) -> bool:
    """Whether a table's first row holds pixels where a heading would name them."""
    places = [index for index, column in enumerate(columns) if column[0] in "xy"]
    if not places or len(cells) < len(columns):
        return False
    return all(cells[index].strip().replace(".", "", 1).lstrip("-").isdigit() for index in places)


def _number(path: Path, line: int, text: str) -> float:
    try:
        number = float(text)
    except ValueError as error:
        raise BadTable(f"{path}, line {line}: {text!r} is no number of pixels.") from error
    if not math.isfinite(number):
        raise BadTable(f"{path}, line {line}: {text!r} is no number of pixels.")
    return number

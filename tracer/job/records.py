"""What a job file keeps. Coordinates are page pixels; every record anchors on pixels, never on nodes."""

from __future__ import annotations

from dataclasses import dataclass, field
from enum import StrEnum

from tracer.circuit.elements import Setting
from tracer.circuit.results import Meter

__all__ = [
    "Dismissal",
    "FittedValue",
    "Mark",
    "MarkKind",
    "Rail",
    "ReadingRecord",
    "SheetRecord",
    "Tag",
    "TagTerminal",
    "ValueSource",
]


@dataclass(frozen=True, slots=True)
class SheetRecord:
    """A sheet in the job: the original file's bytes lie in the job itself. `number` counts from 1.

    `page` is the page of that file, from 1; `dpi` is what a PDF page is rendered at.
    """

    number: int
    name: str
    page: int
    sha256: str
    dpi: int = 300


@dataclass(frozen=True, slots=True)
class TagTerminal:
    """A named terminal at a pixel."""

    name: str
    x: float
    y: float


@dataclass(frozen=True, slots=True)
class Tag:
    """A confirmed part: where it is drawn, what it is, what is printed beside it.

    `kind` is of ``shared/kinds.json``; `options` are those of a wiring-list line (tol, rated, ohms, at,
    closed, out …). `id` is None until it is stored.
    """

    sheet: int
    box: tuple[int, int, int, int]
    kind: str
    reference: str
    value: str | None
    terminals: tuple[TagTerminal, ...]
    options: tuple[tuple[str, str], ...] = ()
    id: int | None = None


@dataclass(frozen=True, slots=True)
class Dismissal:
    """A box (x0, y0, x1, y1, page px) that the reader took for a part of `kind` and a person did not."""

    sheet: int
    box: tuple[int, int, int, int]
    kind: str
    id: int | None = None


class ValueSource(StrEnum):
    """Where the value of a fitted part is known from."""

    PRINT = "print"
    SERVICE_NOTE = "later service note"
    MEASURED = "measured"


@dataclass(frozen=True, slots=True)
class FittedValue:
    """What is in the set in place of what the sheet prints: its value rules over the printed one.

    `tag` is the id of the tag, `value` as a sheet prints values, `tolerance` ``"1%"`` or "" where the printed
    one holds, `when` an ISO 8601 moment.
    """

    tag: int
    value: str
    source: ValueSource
    when: str
    tolerance: str = ""
    id: int | None = None


class MarkKind(StrEnum):
    """What a person says of a part or wire without a reading; never counted as carried."""

    REPLACED = "replaced"
    CHECKED_OUT = "checked out of circuit"
    SEEN = "seen by eye"
    TRUSTED = "taken on trust"
    LATER = "left for later"


@dataclass(frozen=True, slots=True)
class Mark:
    """A dated mark at a pixel of a sheet (`when` is ISO 8601)."""

    sheet: int
    x: float
    y: float
    kind: MarkKind
    when: str
    note: str = ""
    id: int | None = None


@dataclass(frozen=True, slots=True)
class Rail:
    """A supply line. `at` is the point it starts from (``"C12.+"``); None where labels name it ."""

    name: str
    at: str | None = None


@dataclass(frozen=True, slots=True)
class ReadingRecord:
    """A reading as taken: `shown` is the text typed or received, `network` the hash of the circuit it was
    judged on, `meter` the meter it was taken with. A withdrawn reading stays in the record; one brought
    back by redo is a new reading that `cites` the number of the withdrawn one."""

    number: int
    start: str
    end: str
    shown: str
    ohms: float
    rising: bool
    setting: Setting
    when: str
    network: str
    verdict: str
    withdrawn: bool = False
    cites: int | None = None
    meter: Meter = field(default_factory=Meter)

"""What a job file keeps. Coordinates are page pixels; every record anchors on pixels, never on nodes."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from tracer.circuit.elements import Setting

__all__ = ["Mark", "MarkKind", "ReadingRecord", "SheetRecord", "Tag", "TagTerminal"]


@dataclass(frozen=True, slots=True)
class SheetRecord:
    """A sheet in the job: the original file's bytes lie in the job itself. `number` counts from 1."""

    number: int
    name: str
    page: int
    sha256: str


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
class ReadingRecord:
    """A reading as taken: `shown` is the text typed or received, `network` the hash of the circuit it was
    judged on. A withdrawn reading stays in the record."""

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

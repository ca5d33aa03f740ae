"""Everything a job holds as rows of text, each with the place on the sheet that it stands for."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field
from datetime import datetime
from enum import Enum, auto

from tracer.bench.records import Bench
from tracer.circuit.results import Tint, Verdict
from tracer.desk import words
from tracer.desk.natural import natural
from tracer.desk.pinning import all_pins
from tracer.desk.spoken_points import point_in_words
from tracer.job.banks import banks, rails
from tracer.job.choices import power_applied
from tracer.job.file import Job
from tracer.job.fitted import fitted_values, ruling
from tracer.job.marks import marks
from tracer.job.mends import mends
from tracer.job.readings import readings
from tracer.job.tags import tags

__all__ = ["HEADS", "ListKind", "Row", "listed"]


class ListKind(Enum):
    """What is listed."""

    PARTS = auto()
    CONDUCTORS = auto()
    READINGS = auto()
    MARKS = auto()
    MENDS = auto()
    BANKS_AND_RAILS = auto()
    PINS = auto()


HEADS: Mapping[ListKind, tuple[str, ...]] = {
    ListKind.PARTS: words.HEADS_PARTS,
    ListKind.CONDUCTORS: words.HEADS_CONDUCTORS,
    ListKind.READINGS: words.HEADS_READINGS,
    ListKind.MARKS: words.HEADS_MARKS,
    ListKind.MENDS: words.HEADS_MENDS,
    ListKind.BANKS_AND_RAILS: words.HEADS_BANKS,
    ListKind.PINS: words.HEADS_PINS,
}
"""The heads of each list's columns."""


@dataclass(frozen=True, slots=True)
class Row:
    """One line of a list.

    Attributes
    ----------
    cells : tuple of str
        As many as the list has heads.
    sheet, x, y : int, float, float
        Where it lies, page px; sheet 0 where it lies nowhere.
    key : (str, str)
        What it stands for: the kind of thing and its id or name, by which it is picked and removed.
    faded : bool
        No longer counts, but stays in the record.
    """

    cells: tuple[str, ...]
    key: tuple[str, str]
    sheet: int = 0
    x: float = 0.0
    y: float = 0.0
    faded: bool = field(default=False)


def listed(kind: ListKind, job: Job, bench: Bench | None, tints: Mapping[str, Tint]) -> tuple[Row, ...]:
    """Return the rows of one list, in the order a person counts them; readings the newest first."""
    rows: dict[ListKind, Callable[[], Iterable[Row]]] = {
        ListKind.PARTS: lambda: _parts(job, tints),
        ListKind.CONDUCTORS: lambda: _conductors(job, bench),
        ListKind.READINGS: lambda: _readings(job, bench),
        ListKind.MARKS: lambda: _marks(job),
        ListKind.MENDS: lambda: _mends(job),
        ListKind.BANKS_AND_RAILS: lambda: _banks_and_rails(job, bench),
        ListKind.PINS: _pins,
    }
    return tuple(rows[kind]())


def day(moment: str) -> str:
    """Return the local day and minute of an ISO 8601 moment."""
    try:
        return datetime.fromisoformat(moment).astimezone().strftime("%Y-%m-%d %H:%M")
    except ValueError:
        return ""


def _parts(job: Job, tints: Mapping[str, Tint]) -> Iterable[Row]:
    rules = ruling(fitted_values(job))
    for tag in sorted(tags(job), key=lambda tag: (natural(tag.reference), tag.box)):
        fitted = rules.get(tag.id or 0)
        value = tag.value or ""
        if fitted is not None:
            value = words.FITTED_ROW.format(
                printed=value or words.NOTHING_PRINTED,
                fitted=fitted.value,
                source=words.VALUE_SOURCES[fitted.source],
                when=fitted.when[:10],
            )
        tint = tints.get(tag.reference, Tint.NOT_MEASURED)
        middle = (tag.box[0] + tag.box[2]) / 2, (tag.box[1] + tag.box[3]) / 2
        cells = (tag.reference, value or tag.kind, "" if tint is Tint.NOT_MEASURED else str(tint))
        yield Row(cells, ("tag", str(tag.id)), tag.sheet, *middle)


def _conductors(job: Job, bench: Bench | None) -> Iterable[Row]:
    if bench is None:
        return
    ends: dict[str, list[str]] = {}
    stored = tags(job)
    for element in bench.circuit.elements:
        if element.kind in ("wire", "bond", "chassis", "label"):
            continue
        for name, node in element.terminals:
            point = f"{element.reference}.{name.rpartition('/')[2]}"
            ends.setdefault(node, []).append(point_in_words(point, stored))
    for (sheet, conductor), nodes in sorted(bench.conductor_nodes.items()):
        here = [end for node in nodes for end in ends.get(node, ())]
        place = next((bench.point_places[node] for node in nodes if node in bench.point_places), None)
        where = (place.sheet, place.x, place.y) if place is not None else (0, 0.0, 0.0)
        cells = (words.CONDUCTOR_ROW.format(number=conductor), ", ".join(here), str(len(here)))
        yield Row(cells, ("conductor", f"{sheet} {conductor}"), *where)


def _readings(job: Job, bench: Bench | None) -> Iterable[Row]:
    stored = tags(job)
    rows: list[tuple[datetime, Row]] = []
    for record in readings(job, withdrawn=True):
        verdict = words.WITHDRAWN if record.withdrawn else words.VERDICTS[Verdict(record.verdict)]
        if record.cites is not None:
            verdict = words.READING_CITES.format(verdict=verdict, number=record.cites)
        pair = words.PAIR.format(
            start=point_in_words(record.start, stored), end=point_in_words(record.end, stored)
        )
        place = bench.point_places.get(record.end) if bench is not None else None
        where = (place.sheet, place.x, place.y) if place is not None else (0, 0.0, 0.0)
        shown = f"{record.shown} {verdict}"
        row = Row(
            (str(record.number), pair, shown), ("reading", str(record.number)), *where, record.withdrawn
        )
        rows.append((datetime.fromisoformat(record.when).astimezone(), row))
    for when in power_applied(job):
        moment = datetime.fromisoformat(when).astimezone()
        rows.append((moment, Row(("", words.POWER_ROW, day(when)), ("power", when))))
    rows.sort(key=lambda pair: pair[0])
    yield from (row for _, row in reversed(rows))


def _marks(job: Job) -> Iterable[Row]:
    boxes = [(tag.sheet, tag.box, tag.reference) for tag in tags(job)]
    for mark in marks(job):
        on = next(
            (
                reference
                for sheet, (x0, y0, x1, y1), reference in boxes
                if sheet == mark.sheet and x0 <= mark.x < x1 and y0 <= mark.y < y1
            ),
            words.PLACE.format(x=round(mark.x), y=round(mark.y)),
        )
        yield Row((on, str(mark.kind), day(mark.when)), ("mark", str(mark.id)), mark.sheet, mark.x, mark.y)


def _mends(job: Job) -> Iterable[Row]:
    for mend in mends(job):
        at = words.PLACE.format(x=round(mend.x), y=round(mend.y))
        cells = (str(mend.kind), at, words.ON_SHEET.format(number=mend.sheet))
        yield Row(cells, ("mend", str(mend.id)), mend.sheet, mend.x, mend.y)


def _banks_and_rails(job: Job, bench: Bench | None) -> Iterable[Row]:
    for bank in banks(job):
        cells = (bank.name, ", ".join(bank.positions), words.BANK_STYLES[bank.style])
        yield Row(cells, ("bank", bank.name))
    for rail in rails(job):
        place = bench.point_places.get(rail.name) if bench is not None else None
        where = (place.sheet, place.x, place.y) if place is not None else (0, 0.0, 0.0)
        cells = (rail.name, rail.at or words.RAIL_BY_LABEL, words.RAIL)
        yield Row(cells, ("rail", rail.name), *where)


def _pins() -> Iterable[Row]:
    for kept, pins in sorted(all_pins().items()):
        said = " ".join(
            f"{electrode}/{pin}" for pin, electrode in sorted(pins.items(), key=lambda p: natural(p[0]))
        )
        yield Row((kept, said, str(len(pins))), ("pins", kept))

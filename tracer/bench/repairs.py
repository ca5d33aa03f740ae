"""What was replaced in the set after a reading was taken, and whether the reading went through it.

A reading tells of the part that was there. Once that part is another, what the reading proved through it,
good or bad, no longer holds; the record of it stays.
"""

from __future__ import annotations

import math
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime

from tracer.bench.records import Bench
from tracer.circuit.evidence import Evidence, Weighing
from tracer.circuit.results import Verdict
from tracer.circuit.wiring import parse_wiring, print_wiring
from tracer.errors import TracerError
from tracer.job.file import Job
from tracer.job.marks import marks
from tracer.job.readings import as_reading, network_text, readings
from tracer.job.records import Mark, MarkKind, ReadingRecord
from tracer.trace.flood import FloodIndex

__all__ = ["Repair", "repairs", "undone_by_repair"]

_DRAWN = frozenset({"wire", "bond", "label"})
_JUDGED = frozenset({Verdict.PASS, Verdict.HIGH, Verdict.LOW})


@dataclass(frozen=True, slots=True)
class Repair:
    """An element that was replaced, and when."""

    element: str
    when: datetime


def repairs(job: Job, bench: Bench) -> tuple[Repair, ...]:
    """Return what the marks “replaced” say: the part whose box holds the mark, else the wire beside it."""
    found = []
    for mark in marks(job):
        if mark.kind is MarkKind.REPLACED:
            when = datetime.fromisoformat(mark.when).astimezone()
            found += [Repair(name, when) for name in _marked(bench, mark)]
    return tuple(found)


def undone_by_repair(job: Job, bench: Bench) -> Mapping[int, str]:
    """Return by number the readings that a later repair has overtaken, with the element that was replaced.

    Those that said anything of that element on the network they were taken on: what ohms it may have, or that
    it may be at fault. Of one moment, the repair counts as the later.
    """
    done = repairs(job, bench)
    if not done:
        return {}
    found: dict[int, str] = {}
    drawn = frozenset(each.reference for each in bench.circuit.elements if each.kind in _DRAWN)
    today = print_wiring(bench.circuit)
    weighings: dict[str, Weighing] = {}
    for record in readings(job):
        # A stretch of wire goes by its name only as long as the sheet is traced alike.
        unknown = drawn if network_text(job, record.network) != today else frozenset[str]()
        taken = datetime.fromisoformat(record.when).astimezone()
        later = [each.element for each in done if each.when >= taken]
        name = _overtaken(job, record, later, unknown, weighings) if later else None
        if name is not None:
            found[record.number] = name
    return found


def _overtaken(
    job: Job,
    record: ReadingRecord,
    later: Sequence[str],
    unknown: Collection[str],
    weighings: dict[str, Weighing],
) -> str | None:
    """Return the first of the elements replaced `later` that a reading went through, or that it may have gone
    through: of those in `unknown` the network that it was taken on has other names."""
    text = network_text(job, record.network)
    try:
        weighing = _weighed(text, record, weighings)
        evidence = weighing.evidence(as_reading(record))
    except TracerError:
        return None
    if evidence.verdict not in _JUDGED:
        return None
    for name in later:
        if name in unknown or _tells_of(evidence, name):
            return name
    return None


def _weighed(text: str, record: ReadingRecord, weighings: dict[str, Weighing]) -> Weighing:
    known = weighings.get(text)
    circuit = known.circuit if known else parse_wiring(text, f"network of reading {record.number}")
    weighings[text] = Weighing.of(circuit, record.meter, known)
    return weighings[text]


def _tells_of(evidence: Evidence, name: str) -> bool:
    """Return whether a reading bounds the ohms of any branch of an element, or the total of its sections."""
    network = evidence.network
    least, most = evidence.allowed
    for number in network.branch_numbers.get(name, ()):
        bottom, top = float(least[number]), float(most[number])
        if not math.isnan(bottom) and (bottom > 0.0 or top < math.inf):
            return True
    return any(network.splits[number].part == name for number in evidence.totals)


def _marked(bench: Bench, mark: Mark) -> tuple[str, ...]:
    within = [
        name
        for name, places in bench.places.items()
        for place in places
        if place.sheet == mark.sheet and place.box is not None and _holds(place.box, mark.x, mark.y)
    ]
    if within or mark.sheet not in bench.sheets:
        return tuple(within)
    segment = FloodIndex(bench.sheets[mark.sheet]).segment_at(mark.x, mark.y)
    return tuple(
        name
        for name, places in bench.places.items()
        if segment is not None
        and any(place.sheet == mark.sheet and segment.id in place.segments for place in places)
    )


def _holds(box: tuple[int, int, int, int], x: float, y: float) -> bool:
    return box[0] <= x < box[2] and box[1] <= y < box[3]

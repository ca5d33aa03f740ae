"""The check list: every reading with what was expected, what it said and what it proved, and what is left."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from tracer.bench.readings import network_of, then_and_now, what_next
from tracer.bench.records import Bench, RailShare, Standing, ThenAndNow
from tracer.bench.spoken import named, wires_in_words
from tracer.bench.standing import usable_readings
from tracer.circuit.elements import Circuit
from tracer.circuit.explain import explain
from tracer.circuit.results import Expectation, Meter, NextReading, Open, Pinned, Tint, Verdict
from tracer.circuit.settings import describe_setting
from tracer.circuit.values import format_value
from tracer.errors import TracerError
from tracer.job.choices import current_setting
from tracer.job.file import Job
from tracer.job.marks import marks
from tracer.job.readings import as_reading, readings
from tracer.job.records import Mark, ReadingRecord

__all__ = ["CheckList", "Row", "make_checklist", "range_in_words"]

_FAILED = frozenset({Verdict.HIGH, Verdict.LOW})
_DOUBTED = (Tint.BAD, Tint.SUSPECT, Tint.ONE_OF_TWO, Tint.CONTRADICTED)


@dataclass(frozen=True, slots=True)
class Row:
    """One reading in words."""

    number: int
    start: str
    end: str
    setting: str
    expected: str
    shown: str
    verdict: str
    why: str
    proved: str
    when: str
    withdrawn: bool


@dataclass(frozen=True, slots=True)
class CheckList:
    """Everything that a check list prints, in words.

    Attributes
    ----------
    rows : tuple of Row
        All readings, the withdrawn ones too.
    rails : tuple of RailShare
    pinned, doubted, ahead, marked : tuples of tuples of str
        Columns: part, printed value, held to; element, printed value, tint; from, to, setting, expected,
        would prove; what, mark, note, when.
    notes : tuple of str
        Sentences: what was skipped, and the bench's warnings.
    """

    rows: tuple[Row, ...]
    rails: tuple[RailShare, ...]
    pinned: tuple[tuple[str, str, str], ...]
    doubted: tuple[tuple[str, str, str], ...]
    ahead: tuple[tuple[str, str, str, str, str], ...]
    marked: tuple[tuple[str, str, str, str], ...]
    notes: tuple[str, ...]


def make_checklist(
    job: Job, bench: Bench, standing: Standing, meter: Meter, most_ahead: int = 8
) -> CheckList:
    """Put the whole record of a job into words.

    Parameters
    ----------
    job : Job
    bench : Bench
    standing : Standing
        As `bench.standing.standing` gives it for the same job, bench and meter.
    meter : Meter
    most_ahead : int
        How many readings to offer next.
    """
    circuit = bench.circuit
    values = {element.reference: element.value or "" for element in circuit.elements}
    tints = dict(standing.proof.tints)
    wires = wires_in_words(circuit)
    doubted = [
        (wires.get(name, name), values.get(name, ""), str(tint))
        for said in _DOUBTED
        for name, tint in tints.items()
        if tint is said
    ]
    return CheckList(
        _rows(job, bench, standing, meter),
        standing.rails,
        tuple((p.part, values.get(p.part, ""), _held(p)) for p in standing.proof.pinned),
        tuple(doubted),
        tuple(_ahead(circuit, reading) for reading in _next_readings(job, bench, meter, most_ahead)),
        _marked(job, bench),
        (*(sentence for _, sentence in standing.skipped), *bench.warnings),
    )


def range_in_words(expectation: Expectation | NextReading | None) -> str:
    """Return expected ohms as ``4k23 to 5k17``, ``OL``, or ``1M or more``."""
    if expectation is None:
        return ""
    if isinstance(expectation, Expectation):
        low, high = expectation.accept_low, expectation.accept_high
        if expectation.open is Open.ALWAYS:
            return "OL"
    else:
        low, high = expectation.low, expectation.high
    if low is None:
        return "OL"
    least = format_value(low, "ohm", 3)
    return f"{least} to {format_value(high, 'ohm', 3)}" if high is not None else f"{least} or more"


def _rows(job: Job, bench: Bench, standing: Standing, meter: Meter) -> tuple[Row, ...]:
    networks: dict[str, Circuit] = {}
    carried: dict[int, list[str]] = {}
    overtaken = {number for number, _ in standing.skipped}
    for name, number in standing.proof.carried_by:
        carried.setdefault(number, []).append(name)
    rows = []
    for record in readings(job, withdrawn=True):
        if record.network not in networks:
            networks[record.network] = network_of(job, record)
        both = then_and_now(job, bench, record, meter, networks[record.network])
        proved = "" if record.withdrawn else named(bench.circuit, carried.get(record.number, ()))
        rows.append(_row(record, networks[record.network], both, proved, record.number in overtaken))
    return tuple(rows)


def _row(record: ReadingRecord, stored: Circuit, both: ThenAndNow, proved: str, overtaken: bool) -> Row:
    verdict = record.verdict
    if both.now is not None and (overtaken or both.now is not both.then):
        verdict += f" (on today's circuit: {both.now})"
    if record.withdrawn:
        verdict += "; withdrawn"
    elif overtaken:
        verdict += "; no longer counts"
    if record.cites is not None:
        verdict += f"; reading {record.cites} again"
    return Row(
        record.number,
        record.start,
        record.end,
        describe_setting(stored, record.setting),
        range_in_words(both.expected_then),
        record.shown,
        verdict,
        _why(record, stored, both),
        proved,
        record.when,
        record.withdrawn,
    )


def _why(record: ReadingRecord, stored: Circuit, both: ThenAndNow) -> str:
    """Return the likeliest cause of a reading that failed, on the circuit it was taken on."""
    if both.then not in _FAILED:
        return ""
    try:
        causes = explain(stored, as_reading(record), record.meter)
    except TracerError as error:
        return str(error)
    return causes[0].says if causes else "nothing single explains it"


def _held(pinned: Pinned) -> str:
    low = format_value(max(pinned.low, 0.0), "ohm", 3)
    held = f"{low} or more" if pinned.high is None else f"{low} to {format_value(pinned.high, 'ohm', 3)}"
    return held if pinned.within_limits else f"{held}, wider than its limits"


def _next_readings(job: Job, bench: Bench, meter: Meter, most: int) -> Sequence[NextReading]:
    taken, _ = usable_readings(job, bench)
    return what_next(bench.circuit, taken, current_setting(job), meter, most)


def _ahead(circuit: Circuit, reading: NextReading) -> tuple[str, str, str, str, str]:
    wait = f", after {reading.settles_s:.0f} s" if reading.settles_s >= 1 else ""
    return (
        reading.start,
        reading.end,
        describe_setting(circuit, reading.setting),
        range_in_words(reading) + wait,
        named(circuit, (*reading.carries, *reading.pins)),
    )


def _marked(job: Job, bench: Bench) -> tuple[tuple[str, str, str, str], ...]:
    """Return marks with the part they lie on: what a person said without a reading."""
    return tuple((_what(bench, mark), str(mark.kind), mark.note, mark.when) for mark in marks(job))


def _what(bench: Bench, mark: Mark) -> str:
    for reference, places in bench.places.items():
        for place in places:
            if place.sheet == mark.sheet and place.box is not None:
                x0, y0, x1, y1 = place.box
                if x0 - 1 <= mark.x <= x1 and y0 - 1 <= mark.y <= y1:
                    return reference
    return f"sheet {mark.sheet} at ({mark.x:.0f}, {mark.y:.0f})"

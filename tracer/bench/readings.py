"""Taking a reading: expectation, verdict, causes, proof and what to measure next in one answer."""

from __future__ import annotations

from collections.abc import Sequence

from tracer.bench.records import Bench, Outcome, ThenAndNow
from tracer.bench.standing import usable_readings
from tracer.bench.told_causes import causes_in_words
from tracer.circuit.elements import Circuit, Setting
from tracer.circuit.evidence import Weighing
from tracer.circuit.expect import expect
from tracer.circuit.explain import explain
from tracer.circuit.judge import judge
from tracer.circuit.plan import plan
from tracer.circuit.prove import prove
from tracer.circuit.results import (
    Cause,
    Expectation,
    Meter,
    NextReading,
    Proof,
    Reading,
    Tint,
    Verdict,
)
from tracer.circuit.values import parse_reading
from tracer.circuit.wiring import parse_wiring, print_wiring
from tracer.errors import TracerError
from tracer.job.file import Job
from tracer.job.readings import add_reading, as_reading, network_text
from tracer.job.records import ReadingRecord

__all__ = ["causes_of", "network_of", "take_reading", "then_and_now", "what_next"]

_PROVED = frozenset({Tint.CARRIED, Tint.PINNED})
_FAILED = frozenset({Verdict.HIGH, Verdict.LOW})


def take_reading(
    job: Job,
    bench: Bench,
    start: str,
    end: str,
    shown: str,
    setting: Setting,
    meter: Meter,
    *,
    before: Proof | None = None,
    known: Weighing | None = None,
) -> Outcome:
    """Judge what the meter showed, store it, and say what follows.

    Parameters
    ----------
    job : Job
    bench : Bench
    start, end : str
        Points; `start` takes the positive lead.
    shown : str
        As on the meter: ``"4k72"``, ``"OL"``, ``"1M rising"``.
    setting : Setting
    meter : Meter
    before : Proof, optional
        What was proved before, where the caller has it for the same bench, meter and readings: it spares
        proving it again.
    known : Weighing, optional
        Readings of the same circuit weighed before; it grows by this one.

    Raises
    ------
    BadValue
        When `shown` cannot be understood; nothing is stored.
    UnknownPoint, SamePoint, UnknownPosition
        When it could not be judged; nothing is stored.
    TargetUnwritable
        When the job file cannot be written.
    """
    ohms, rising = parse_reading(shown)
    expectation = expect(bench.circuit, start, end, setting, meter)
    verdict = judge(expectation, ohms, rising, meter)
    earlier, _ = usable_readings(job, bench)
    weighing = Weighing.of(bench.circuit, meter, known)
    before = before or prove(bench.circuit, earlier, meter, weighing)
    wiring = print_wiring(bench.circuit)
    record = add_reading(job, start, end, shown, ohms, rising, setting, meter, wiring, str(verdict))
    taken = (*earlier, as_reading(record))
    proof = prove(bench.circuit, taken, meter, weighing)
    causes = causes_of(bench, taken[-1], verdict, before, meter, weighing, others=earlier)
    newly = _proved(proof) - _proved(before)
    in_order = tuple(element.reference for element in bench.circuit.elements if element.reference in newly)
    ahead = what_next(bench.circuit, taken, setting, meter, proof=proof, known=weighing)
    offered = ahead[0] if ahead else None
    return Outcome(record, expectation, verdict, causes, in_order, proof, offered)


def causes_of(
    bench: Bench,
    reading: Reading,
    verdict: Verdict,
    proof: Proof,
    meter: Meter,
    known: Weighing | None = None,
    others: Sequence[Reading] = (),
) -> tuple[Cause, ...]:
    """Return what may explain a reading that did not pass; nothing for one that did.

    It is judged together with `others`, those taken before. Elements that failed before are named to the
    explanation as doubtful, and so are the joins that the tracing was less than sure of. Wires and nodes are
    told by the terminals that lie there.
    """
    if verdict not in _FAILED:
        return ()
    doubtful = tuple(name for name, tint in proof.tints if tint in {Tint.SUSPECT, Tint.BAD})
    found = explain(
        bench.circuit, reading, meter, doubtful=doubtful, joins=bench.joins, known=known, others=others
    )
    return causes_in_words(bench.circuit, found)


def what_next(
    circuit: Circuit,
    taken: Sequence[Reading],
    setting: Setting,
    meter: Meter,
    most: int = 1,
    *,
    proof: Proof | None = None,
    known: Weighing | None = None,
) -> tuple[NextReading, ...]:
    """Return the readings most worth taking next without touching a switch; none when nothing is left."""
    if not circuit.elements:
        return ()
    return plan(circuit, taken, setting=setting, meter=meter, most=most, proof=proof, known=known)


def network_of(job: Job, record: ReadingRecord) -> Circuit:
    """Return the circuit that a reading was judged on, from the text stored with it."""
    return parse_wiring(network_text(job, record.network), f"network of reading {record.number}")


def then_and_now(
    job: Job, bench: Bench, record: ReadingRecord, meter: Meter, stored: Circuit | None = None
) -> ThenAndNow:
    """Judge a stored reading on the network stored with it and on today's circuit.

    Tags, values and mends may have changed since; the stored verdict is never changed by that. `stored`
    spares reading the network again where the caller has it (`network_of`).
    """
    stored = stored or network_of(job, record)
    expected_then, _ = _judged(stored, record, record.meter)
    expected_now, now = _judged(bench.circuit, record, meter)
    return ThenAndNow(record, Verdict(record.verdict), now, expected_then, expected_now)


def _judged(
    circuit: Circuit, record: ReadingRecord, meter: Meter
) -> tuple[Expectation | None, Verdict | None]:
    try:
        expectation = expect(circuit, record.start, record.end, record.setting, meter)
        return expectation, judge(expectation, record.ohms, record.rising, meter)
    except TracerError:
        return None, None


def _proved(proof: Proof) -> set[str]:
    return {name for name, tint in proof.tints if tint in _PROVED}

"""The readings worth taking next: shorts first, then those that carry most, what settles slowly last."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from tracer.circuit.choosing import Work, choose, pair_key
from tracer.circuit.elements import Circuit, Setting
from tracer.circuit.evidence import Weighing
from tracer.circuit.ledger import carried_branches, carried_elements, enter, new_ledgers, pinned_parts
from tracer.circuit.points import resolve_point
from tracer.circuit.prove import prove_evidence
from tracer.circuit.results import Meter, NextReading, Proof, Reading, Verdict
from tracer.circuit.settings import every_setting
from tracer.circuit.stand import bank_positions, condition_holds
from tracer.progress import NullProgress, Progress, checkpoint

__all__ = ["plan"]

_SLOW = 30.0
"""Seconds of settling from which a reading is put last (our own line)."""
_MOST_SETTINGS = 256


def plan(
    circuit: Circuit,
    readings: Sequence[Reading] = (),
    start: str | None = None,
    setting: Setting | None = None,
    meter: Meter | None = None,
    most: int = 8,
    *,
    proof: Proof | None = None,
    known: Weighing | None = None,
    progress: Progress | None = None,
) -> tuple[NextReading, ...]:
    """Return the readings that would prove most, in the order to take them.

    First come the rails to the chassis, as long as it is not shown that they are not shorted; then the
    readings that would carry most that is not carried yet, one lead on a rail or the chassis; those that
    settle slowly come last. While elements are suspect, readings that part them are preferred. What a
    reading `carries` and `pins` holds if it shows what is expected.

    Parameters
    ----------
    circuit : Circuit
    readings : sequence of Reading
        Those taken so far.
    start : str, optional
        A point that one lead stays on; by default the chassis and every rail are tried.
    setting : Setting, optional
        The one to stay with; by default the first position of every bank, then others that close more
        contacts.
    meter : Meter, optional
    most : int
        How many at most.
    proof : Proof, optional
        What `prove` gave for the same circuit, readings and meter.
    known : Weighing, optional
        Readings weighed before; it grows by these and by those looked at.
    progress : Progress, optional
        Watches, and may cancel.

    Raises
    ------
    Cancelled
    UnknownPoint, UnknownPosition, BadValue, BadWiring
        As `tracer.circuit.expect.expect`.
    """
    weighing = Weighing.of(circuit, meter, known)
    work = _begun(weighing, readings, proof)
    if start is not None:
        resolve_point(circuit, start)
    settings = [setting] if setting is not None else list(_settings(circuit))
    for place, each in enumerate(settings):
        if len(work.offers) >= most:
            break
        checkpoint(progress or NullProgress(), "choosing the next readings", place / len(settings))
        choose(work, each, start, most)
    return _in_order(work, most)


def _begun(weighing: Weighing, readings: Sequence[Reading], proof: Proof | None) -> Work:
    circuit, taken = weighing.circuit, weighing.all(readings)
    return Work(
        weighing,
        taken,
        proof or prove_evidence(circuit, taken, weighing.meter),
        set(carried_branches(taken)),
        {pair_key(circuit, each.reading) for each in taken},
    )


def _settings(circuit: Circuit) -> Iterator[Setting]:
    """Yield the default setting, then each that closes a contact which none before it closed."""
    contacts = [element for element in circuit.elements if element.option("closed")]
    seen: set[tuple[str, bool]] = set()
    for number, setting in enumerate(every_setting(circuit, _MOST_SETTINGS)):
        banks = bank_positions(circuit, setting)
        stands = {
            (contact.reference, condition_holds(contact.option("closed") or "", banks, contact))
            for contact in contacts
        }
        if number == 0 or any(closed and (name, closed) not in seen for name, closed in stands):
            seen |= stands
            yield setting


def _in_order(work: Work, most: int) -> tuple[NextReading, ...]:
    """Order the offers and tell of each what it adds to those before it."""
    slow = [offer.expectation.settles_s >= _SLOW for offer in work.offers]
    keyed = sorted(zip(slow, work.offers, strict=True), key=lambda pair: (pair[0], not pair[1].checks_short))
    ledgers = new_ledgers(work.circuit, [*work.taken, *(offer.evidence for offer in work.offers)])
    for each in work.taken:
        if each.verdict is Verdict.PASS:
            enter(ledgers, each)
    carried = set(carried_elements(work.circuit, ledgers))
    pinned = {each.part for each in pinned_parts(work.circuit, ledgers) if each.within_limits}
    result = []
    for _, offer in keyed:
        enter(ledgers, offer.evidence)
        now = set(carried_elements(work.circuit, ledgers))
        within = {each.part for each in pinned_parts(work.circuit, ledgers) if each.within_limits}
        order = [element.reference for element in work.circuit.elements]
        expectation = offer.expectation
        result.append(
            NextReading(
                start=offer.reading.start,
                end=offer.reading.end,
                setting=offer.reading.setting,
                low=expectation.low,
                expected=expectation.expected,
                high=expectation.high,
                settles_s=expectation.settles_s,
                carries=tuple(name for name in order if name in now - carried),
                pins=tuple(name for name in order if name in within - pinned),
            )
        )
        carried, pinned = carried | now, pinned | within
    return tuple(result[:most])

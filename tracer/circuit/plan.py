"""The readings worth taking next: shorts first, then those that carry most, what settles slowly last."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field

from tracer.circuit.elements import CHASSIS, Circuit, Setting
from tracer.circuit.evidence import Corners, Evidence, carried_at, evidence_of, setting_key, weigh
from tracer.circuit.expect import expect_on, lead_node
from tracer.circuit.ledger import (
    BranchName,
    carried_branches,
    carried_elements,
    enter,
    new_ledgers,
    pinned_parts,
)
from tracer.circuit.meter import true_range
from tracer.circuit.network import build_network
from tracer.circuit.points import resolve_point
from tracer.circuit.prove import prove_evidence
from tracer.circuit.results import Expectation, Meter, NextReading, Open, Proof, Reading, Tint, Verdict
from tracer.circuit.settings import every_setting
from tracer.circuit.stand import bank_positions, condition_holds
from tracer.circuit.survey import Survey, survey

__all__ = ["plan"]

_SLOW = 30.0
"""Seconds of settling from which a reading is put last (our own line)."""
_TRIES = 4
"""How many surveyed readings are looked at closely for each that is offered."""
_MOST_SETTINGS = 256
_SUSPECTS = frozenset({Tint.SUSPECT, Tint.BAD, Tint.ONE_OF_TWO, Tint.CONTRADICTED})


@dataclass(slots=True)
class _Offer:
    """A reading that was looked at closely, and the branches that a pass would carry."""

    reading: Reading
    expectation: Expectation
    evidence: Evidence
    carries: frozenset[BranchName]
    checks_short: bool = False


@dataclass(slots=True)
class _Work:
    """What is known while readings are being chosen."""

    circuit: Circuit
    meter: Meter
    taken: list[Evidence]
    proof: Proof
    carried: set[BranchName]
    used: set[tuple[object, ...]]
    offers: list[_Offer] = field(default_factory=list)


def plan(
    circuit: Circuit,
    readings: Sequence[Reading] = (),
    start: str | None = None,
    setting: Setting | None = None,
    meter: Meter | None = None,
    most: int = 8,
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

    Raises
    ------
    UnknownPoint, UnknownPosition, BadValue, BadWiring
        As `tracer.circuit.expect.expect`.
    """
    meter = meter or Meter()
    taken = list(evidence_of(circuit, readings, meter))
    work = _Work(
        circuit,
        meter,
        taken,
        prove_evidence(circuit, taken, meter),
        set(carried_branches(taken)),
        {_pair(circuit, each.reading) for each in taken},
    )
    if start is not None:
        resolve_point(circuit, start)
    for each in [setting] if setting is not None else _settings(circuit):
        if len(work.offers) >= most:
            break
        _choose(work, Corners(build_network(circuit, each, meter)), each, start, most)
    return _in_order(work, most)


def _pair(circuit: Circuit, reading: Reading) -> tuple[object, ...]:
    """Return a key that is the same for the same two points, either way round, under the same setting."""
    return (*sorted((reading.start, reading.end)), setting_key(reading.setting))


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


def _choose(work: _Work, corners: Corners, setting: Setting, start: str | None, most: int) -> None:
    """Add offers under one setting until there are enough or nothing more would be carried."""
    rails = [rail for rail in work.circuit.rails if start in (None, rail, CHASSIS)]
    for rail in rails if not work.offers else []:
        ends = (rail, CHASSIS) if start != CHASSIS else (CHASSIS, rail)
        if not _known_absent(work, rail) and (*sorted(ends), setting_key(setting)) not in work.used:
            offer = _look(work, corners, ends[0], ends[1], setting)
            if (
                offer is not None
                and _shows_no_short(offer.expectation, work.meter)
                and len(work.offers) < most
            ):
                offer.checks_short = True
                _take(work, offer)
    leads = [start] if start is not None else [CHASSIS, *work.circuit.rails]
    suspects = {name for name, tint in work.proof.tints if tint in _SUSPECTS}
    surveys = [survey(work.circuit, corners, lead, work.meter) for lead in leads]
    while len(work.offers) < most:
        offer = _best(work, corners, surveys, setting, suspects)
        if offer is None:
            break
        _take(work, offer)


def _known_absent(work: _Work, rail: str) -> bool:
    place = {resolve_point(work.circuit, rail), CHASSIS}
    return any({resolve_point(work.circuit, point) for point in pair} == place for pair in work.proof.absent)


def _shows_no_short(expectation: Expectation, meter: Meter) -> bool:
    if expectation.open is Open.ALWAYS:
        return True
    return expectation.accept_low is not None and expectation.accept_low > 1.0 + meter.leads


def _take(work: _Work, offer: _Offer) -> None:
    work.offers.append(offer)
    work.carried |= offer.carries
    work.used.add(_pair(work.circuit, offer.reading))


def _best(
    work: _Work, corners: Corners, surveys: Sequence[Survey], setting: Setting, suspects: set[str]
) -> _Offer | None:
    """Look closely at the likeliest of all surveyed readings and return the best, if any carries more."""
    found = sorted(
        (
            (gain, -place, each.lead, end)
            for place, each in enumerate(surveys)
            for gain, end in each.gains(work.carried, suspects, _TRIES)
        ),
        reverse=True,
    )
    tried = 0
    for gain, _, lead, end in found:
        if gain <= 0 or tried >= _TRIES * len(surveys):
            return None
        if (*sorted((lead, end)), setting_key(setting)) in work.used:
            _forget(surveys, lead, end)
            continue
        offer = _look(work, corners, lead, end, setting)
        _forget(surveys, lead, end)
        tried += 1
        if offer is not None and offer.carries - work.carried:
            return offer
    return None


def _forget(surveys: Sequence[Survey], lead: str, end: str) -> None:
    for each in surveys:
        if each.lead == lead:
            each.forget(end)


def _look(work: _Work, corners: Corners, start: str, end: str, setting: Setting) -> _Offer | None:
    """Return a reading with what a pass would carry, or None where it could not be judged."""
    network = corners.network
    one, other = (lead_node(network, work.circuit, point) for point in (start, end))
    if one == other:
        return None
    expectation = expect_on(network, work.circuit, start, end, work.meter)
    if expectation.open is Open.MAYBE and not expectation.accept_low:
        return None
    shown = expectation.expected if expectation.expected is not None else expectation.high
    ohms = float("inf") if expectation.open is Open.ALWAYS or shown is None else shown
    reading = Reading(start, end, ohms, setting)
    evidence = weigh(work.circuit, corners, reading, work.meter)
    carried = carried_at(evidence.lows, true_range(ohms, work.meter)[1])
    names = frozenset(
        (branch.part, branch.name) for branch, here in zip(network.branches, carried, strict=True) if here
    )
    return _Offer(reading, expectation, evidence, names)


def _in_order(work: _Work, most: int) -> tuple[NextReading, ...]:
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

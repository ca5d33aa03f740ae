"""Choosing readings under one setting: rails against shorts first, then what carries most."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field

from tracer.circuit.corners import Corners
from tracer.circuit.elements import CHASSIS, Circuit, Setting
from tracer.circuit.evidence import Evidence, Weighing, carried_at, setting_key
from tracer.circuit.expect import expect_on, lead_node
from tracer.circuit.ledger import JOINING, BranchName
from tracer.circuit.meter import true_range
from tracer.circuit.points import resolve_point
from tracer.circuit.results import Expectation, Meter, Open, Proof, Reading, Tint
from tracer.circuit.survey import Survey, survey, touchable

__all__ = ["Offer", "Work", "choose", "pair_key"]

_TRIES = 4
"""How many surveyed readings of one lead are looked at closely at a time."""
_OTHER_LEADS = 6
"""How many terminals of parts that no rail or chassis reaches are tried as a lead."""
_SHORT = 1.0
"""Ω: a pair that should read more than this beyond the leads shows by it that it is not shorted."""
_SUSPECTS = frozenset({Tint.SUSPECT, Tint.BAD, Tint.ONE_OF_TWO, Tint.CONTRADICTED})


@dataclass(slots=True)
class Offer:
    """A reading that was looked at closely, and the branches that a pass would carry."""

    reading: Reading
    expectation: Expectation
    evidence: Evidence
    carries: frozenset[BranchName]
    checks_short: bool = False


@dataclass(slots=True)
class Work:
    """What is known while readings are being chosen."""

    weighing: Weighing
    taken: Sequence[Evidence]
    proof: Proof
    carried: set[BranchName]
    used: set[tuple[object, ...]]
    offers: list[Offer] = field(default_factory=list)

    @property
    def circuit(self) -> Circuit:
        """The circuit that is measured."""
        return self.weighing.circuit

    @property
    def meter(self) -> Meter:
        """The meter that measures it."""
        return self.weighing.meter


def pair_key(circuit: Circuit, reading: Reading) -> tuple[object, ...]:
    """Return a key that is the same for the same two points, either way round, under the same setting."""
    return (*sorted((reading.start, reading.end)), setting_key(circuit, reading.setting))


def choose(work: Work, setting: Setting, start: str | None, most: int) -> None:
    """Add offers under one setting until there are `most` or nothing more would be carried.

    Parameters
    ----------
    work : Work
        Grows by the offers.
    setting : Setting
    start : str or None
        A point that one lead stays on; None for the chassis and the rails, then any others.
    most : int
    """
    corners = work.weighing.corners(setting)
    if not work.offers:
        _check_shorts(work, corners, setting, start, most)
    leads = [start] if start is not None else [CHASSIS, *work.circuit.rails]
    _fill(work, corners, leads, setting, most)
    if start is None and len(work.offers) < most:
        _fill(work, corners, list(_other_leads(work, corners, leads)), setting, most)


def _check_shorts(work: Work, corners: Corners, setting: Setting, start: str | None, most: int) -> None:
    for rail in [rail for rail in work.circuit.rails if start in (None, rail, CHASSIS)]:
        ends = (rail, CHASSIS) if start != CHASSIS else (CHASSIS, rail)
        taken = (*sorted(ends), setting_key(work.circuit, setting)) in work.used
        if taken or _known_absent(work, rail) or len(work.offers) >= most:
            continue
        offer = _look(work, corners, ends[0], ends[1], setting)
        if offer is not None and _shows_no_short(offer.expectation, work.meter):
            offer.checks_short = True
            _take(work, offer)


def _fill(work: Work, corners: Corners, leads: Sequence[str], setting: Setting, most: int) -> None:
    suspects = {name for name, tint in work.proof.tints if tint in _SUSPECTS}
    surveys = [survey(work.circuit, corners, lead, work.meter) for lead in leads]
    while len(work.offers) < most:
        offer = _best(work, corners, surveys, setting, suspects)
        if offer is None:
            break
        _take(work, offer)


def _other_leads(work: Work, corners: Corners, leads: Sequence[str]) -> Iterator[str]:
    """Yield a terminal in each piece of the network that no lead reaches, then ends of parts not carried."""
    network = corners.network
    piece = corners.free_low().piece
    reached = {int(piece[lead_node(network, work.circuit, lead)]) for lead in leads}
    useful = {
        branch.part
        for branch in network.branches
        if not branch.blocks and (branch.part, branch.name) not in work.carried
    }
    kinds = {element.reference: element.kind for element in work.circuit.elements}
    count = 0
    for name, node in touchable(work.circuit):
        part = name.rpartition(".")[0]
        number = int(piece[network.number_of[node]])
        apart = number not in reached and (part in useful or kinds.get(part) in ("plug", "jack"))
        if apart or (part in useful and kinds[part] not in JOINING):
            reached.add(number)
            useful.discard(part)
            count += 1
            yield name
        if count == _OTHER_LEADS:
            return


def _known_absent(work: Work, rail: str) -> bool:
    place = {resolve_point(work.circuit, rail), CHASSIS}
    return any({resolve_point(work.circuit, point) for point in pair} == place for pair in work.proof.absent)


def _shows_no_short(expectation: Expectation, meter: Meter) -> bool:
    if expectation.open is Open.ALWAYS:
        return True
    return expectation.accept_low is not None and expectation.accept_low > _SHORT + meter.leads


def _take(work: Work, offer: Offer) -> None:
    work.offers.append(offer)
    work.carried |= offer.carries
    work.used.add(pair_key(work.circuit, offer.reading))


def _best(
    work: Work, corners: Corners, surveys: Sequence[Survey], setting: Setting, suspects: set[str]
) -> Offer | None:
    """Look closely at the likeliest of all surveyed readings and return the first that carries more."""
    while True:
        found = sorted(
            (
                (gain, -place, each.lead, end)
                for place, each in enumerate(surveys)
                for gain, end in each.gains(work.carried, suspects, _TRIES)
                if gain > 0
            ),
            reverse=True,
        )
        if not found:
            return None
        for _, _, lead, end in found:
            _forget(surveys, lead, end)
            if (*sorted((lead, end)), setting_key(work.circuit, setting)) in work.used:
                continue
            offer = _look(work, corners, lead, end, setting)
            if offer is not None and offer.carries - work.carried:
                return offer


def _forget(surveys: Sequence[Survey], lead: str, end: str) -> None:
    for each in surveys:
        if each.lead == lead:
            each.forget(end)


def _look(work: Work, corners: Corners, start: str, end: str, setting: Setting) -> Offer | None:
    """Return a reading with what a pass would carry, or None where it could not be judged."""
    network = corners.network
    one, other = (lead_node(network, work.circuit, point) for point in (start, end))
    if one == other:
        return None
    expectation = expect_on(network, work.circuit, start, end, work.meter)
    if expectation.open is Open.MAYBE and not expectation.accept_low:
        return None
    shown = expectation.expected if expectation.expected is not None else expectation.high
    ohms = math.inf if expectation.open is Open.ALWAYS or shown is None else shown
    reading = Reading(start, end, ohms, setting)
    evidence = work.weighing.evidence(reading, expectation)
    carried = carried_at(evidence.lows, true_range(ohms, work.meter)[1])
    names = frozenset(
        (branch.part, branch.name)
        for branch, here in zip(network.branches, carried.tolist(), strict=True)
        if here
    )
    return Offer(reading, expectation, evidence, names)

"""Choosing readings under one setting: rails against shorts first, then what carries most."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field, replace

import numpy as np
from numpy.typing import NDArray

from tracer.circuit.corners import Corners
from tracer.circuit.elements import CHASSIS, Circuit, Setting
from tracer.circuit.evidence import Evidence, Weighing, carried_at, setting_key
from tracer.circuit.expect import expectation_of, lead_node
from tracer.circuit.ledger import JOINING, BranchName
from tracer.circuit.meter import true_range
from tracer.circuit.points import resolve_point
from tracer.circuit.results import Expectation, Meter, Open, Proof, Reading, Tint
from tracer.circuit.settle import settling_seconds
from tracer.circuit.survey import Survey, survey, touchable

__all__ = ["Offer", "Work", "choose", "pair_key"]

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
    surveys = [_surveyed(work, corners, lead, setting) for lead in leads]
    hidden = [_used(work, each, setting) for each in surveys]
    while len(work.offers) < most:
        offer = _best(work, corners, surveys, hidden, setting, suspects)
        if offer is None:
            break
        _take(work, offer)


def _used(work: Work, each: Survey, setting: Setting) -> NDArray[np.bool_]:
    """Return (e,) bool: the ends to which a reading was taken or offered already."""
    key = setting_key(work.circuit, setting)
    far = {
        pair[1] if pair[0] == each.lead else pair[0]
        for *pair, there in work.used
        if there == key and each.lead in pair
    }
    return np.array([end in far for end in each.ends], dtype=np.bool_)


def _surveyed(work: Work, corners: Corners, lead: str, setting: Setting) -> Survey:
    """Return a survey; kept with the weighing, as the plan after the next reading asks for it again."""
    key = ("survey", lead, setting_key(work.circuit, setting))
    found = work.weighing.kept.get(key)
    if not isinstance(found, Survey):
        found = survey(work.circuit, corners, lead, work.meter)
        work.weighing.kept[key] = found
    return found


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
    work: Work,
    corners: Corners,
    surveys: Sequence[Survey],
    hidden: Sequence[NDArray[np.bool_]],
    setting: Setting,
    suspects: set[str],
) -> Offer | None:
    """Look closely at the likeliest of all surveyed readings and return the first that carries more.

    Those looked at are hidden from then on. Of readings alike the one from the earliest lead is taken.
    """
    gains = [
        np.where(gone, 0.0, each.gains(work.carried, suspects))
        for each, gone in zip(surveys, hidden, strict=True)
    ]
    while True:
        tops = [float(gain.max(initial=0.0)) for gain in gains]
        lead = int(np.argmax(tops)) if tops else 0
        if not tops or tops[lead] <= 0.0:
            return None
        at = int(np.argmax(gains[lead]))
        gains[lead][at] = 0.0
        hidden[lead][at] = True
        offer = _look(work, corners, surveys[lead].lead, surveys[lead].ends[at], setting)
        if offer is not None and offer.carries - work.carried:
            return offer


def _look(work: Work, corners: Corners, start: str, end: str, setting: Setting) -> Offer | None:
    """Return a reading with what a pass would carry, None where none could be judged; kept as surveys are."""
    key = ("look", start, end, setting_key(work.circuit, setting))
    if key not in work.weighing.kept:
        work.weighing.kept[key] = _looked(work, corners, start, end, setting)
    found = work.weighing.kept[key]
    return replace(found) if isinstance(found, Offer) else None


def _looked(work: Work, corners: Corners, start: str, end: str, setting: Setting) -> Offer | None:
    one, other = (lead_node(corners.network, work.circuit, point) for point in (start, end))
    if one == other:
        return None
    facing = corners.facing(one, other)
    limits = facing.lowest(one, other), facing.nominal(one, other), facing.highest(one, other)
    wait = settling_seconds(facing.network, one, other, work.meter)
    expectation = expectation_of((start, end), limits, work.meter, settles=wait)
    if expectation.open is Open.MAYBE and not expectation.accept_low:
        return None
    shown = expectation.expected if expectation.expected is not None else expectation.high
    ohms = math.inf if expectation.open is Open.ALWAYS or shown is None else shown
    evidence = work.weighing.evidence(Reading(start, end, ohms, setting))
    carried = carried_at(evidence.lows, true_range(ohms, work.meter)[1])
    names = frozenset(
        (branch.part, branch.name)
        for branch, here in zip(corners.network.branches, carried.tolist(), strict=True)
        if here
    )
    return Offer(evidence.reading, expectation, evidence, names)

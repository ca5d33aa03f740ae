"""Causes that lie in how the reading was taken: a bank elsewhere, a wrong pin, leads, fingers, haste."""

from __future__ import annotations

import math
from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property

import numpy as np

from tracer.circuit.branch import OPEN
from tracer.circuit.conditions import parse_condition
from tracer.circuit.elements import Bank, Element, Setting
from tracer.circuit.guess import Case, Guess
from tracer.circuit.limits import CLOSED_CONTACT
from tracer.circuit.network import Network
from tracer.circuit.points import find_terminal, is_terminal
from tracer.circuit.results import CauseKind, Verdict
from tracer.circuit.search import least_and_most
from tracer.circuit.settings import positions_of
from tracer.circuit.stand import bank_positions, condition_holds
from tracer.circuit.turned import Turned, turned

__all__ = ["slip_guesses"]

_SKIN = (0.5e6, 5e6)
"""Ω from hand to hand through dry fingers on the probes (common practice)."""
_POOR_TOUCH = 50.0
"""Ω that a badly touching tip may add at most (common practice)."""
_LONG_LEADS, _LOW_OHMS = 2.0, 100.0
"""Ω that long or worn leads have at most, and below which that tells (common practice)."""
_COLD = 200.0
"""Ω that a cold heater, lamp or fuse has at most (common practice)."""
_HALF_WAY = 0.05
"""A reading taken too early has climbed to this fraction of its end at least (our own line)."""
_MOST_POSITIONS = 16
_TOUCH = 1e-3
"""Ω taken for a contact that has none, so that contacts in a ring leave the sums solvable."""


def slip_guesses(case: Case) -> Iterator[Guess]:
    """Yield every slip of the hand that the reading allows."""
    yield from _settings(case)
    yield from _still_in(case)
    yield from _wrong_points(case)
    yield from _leads(case)
    yield from _leads_swapped(case)
    yield from _fingers(case)
    yield from _rising(case)


def _settings(case: Case) -> Iterator[Guess]:
    """Turn one bank at a time; only its contacts change."""
    setting = case.reading.setting
    contacts = [element for element in case.circuit.elements if element.option("closed")]
    banks = {bank.name: bank for bank in case.circuit.banks}
    used = {name for each in contacts for name, _ in parse_condition(each.option("closed") or "")}
    trials = [(name, at) for name in sorted(used & set(banks)) for at in _others(banks[name], setting)]
    if not trials:
        return
    trials = trials[:_MOST_POSITIONS]
    flips = _Flips(case, contacts)
    for name, position in trials:
        other = Setting({**setting.banks, name: position}, setting.out, setting.lifted, setting.wipers)
        likely = flips.chance(other)
        if likely:
            prior = case.priors.slips["setting"] / len(trials)
            yield Guess(
                CauseKind.SETTING, prior, likely, f"{name} stands at {position or 'none'}.", setting=other
            )


def _others(bank: Bank, setting: Setting) -> list[str]:
    now = setting.banks.get(bank.name, bank.positions[0])
    return [position for position in positions_of(bank) if position != now]


def _contact_branches(case: Case, contact: Element) -> list[int]:
    network = case.evidence.network
    if contact.reference in case.reading.setting.out:
        return []
    numbers = network.branch_numbers.get(contact.reference, ())
    return [number for number in numbers if not network.branches[number].name.endswith(" lifted")]


@dataclass(frozen=True, eq=False)
class _Flips:
    """A case under other settings; those that flip the same contacts are worked out once."""

    case: Case
    contacts: list[Element]
    _found: dict[frozenset[int], float] = field(default_factory=dict)

    def chance(self, other: Setting) -> float:
        """Return the chance of the reading under another setting, 0 where the pair stays as it is."""
        circuit, now = self.case.circuit, self.case.reading.setting
        banks = [bank_positions(circuit, setting) for setting in (now, other)]
        flipped: set[int] = set()
        for contact in self.contacts:
            was, then = (condition_holds(contact.option("closed") or "", each, contact) for each in banks)
            if was != then:
                flipped.update(_contact_branches(self.case, contact))
        key = frozenset(flipped)
        if key not in self._found:
            self._found[key] = self._chance(key)
        return self._found[key]

    def _chance(self, flipped: frozenset[int]) -> float:
        case = self.case
        ends, was = _closed_too(case, sorted(flipped)), case.limits
        if ends is None:
            ends, was = self._turned.limits(flipped), self._turned.limits(())
        if all(math.isclose(one, two, rel_tol=1e-6) for one, two in zip(ends, was, strict=True)):
            return 0.0
        likely = case.chance(*ends)
        if likely and case.evidence.network.splits:
            ends = least_and_most(_with_flipped(case, flipped), case.start, case.end)
            likely = case.chance(*ends)
        return likely

    @cached_property
    def _turned(self) -> Turned:
        numbers = [number for each in self.contacts for number in _contact_branches(self.case, each)]
        return turned(self.case.evidence.network, numbers, self.case.start, self.case.end)


def _closed_too(case: Case, flipped: Sequence[int]) -> tuple[float, float] | None:
    """Return the limits of the pair with some open contacts closed; None where one would open or join pieces.

    A change of as low a rank as there are contacts (Woodbury 1950).
    """
    if not all(case.evidence.network.branches[number].is_open for number in flipped):
        return None
    found = []
    corners = case.corners.free_low(), case.corners.high(case.start, case.end)[1]
    for corner, ohms in zip(corners, (_TOUCH, CLOSED_CONTACT.high), strict=True):
        graph = corner.graph
        pairs = [(int(graph.starts[number]), int(graph.ends[number])) for number in flipped]
        whole = [(case.start, case.end), *pairs]
        if len({int(corner.piece[node]) for pair in whole for node in pair}) > 1:
            return None
        volts = [corner.node_volts(*pair) for pair in whole]
        table = np.array([[each[one] - each[other] for one, other in whole] for each in volts])
        rest = table[1:, 1:] + ohms * np.eye(len(pairs))
        found.append(float(table[0, 0] - table[0, 1:] @ np.linalg.solve(rest, table[1:, 0])))
    low, high = case.limits
    return min(low, max(0.0, found[0])), min(high, max(0.0, found[1]) + case.evidence.slack)


def _with_flipped(case: Case, flipped: Collection[int]) -> Network:
    """Return the network with some contacts the other way."""
    branches = list(case.evidence.network.branches)
    for number in flipped:
        limit = CLOSED_CONTACT if branches[number].is_open else OPEN
        branches[number] = replace(branches[number], low=limit.low, expected=limit.expected, high=limit.high)
    return replace(case.evidence.network, branches=tuple(branches))


def _still_in(case: Case) -> Iterator[Guess]:
    """A valve, lamp or fuse that should be out and is in joins what its socket parts."""
    ends = case.evidence.lows[0].at(0.0), case.evidence.high.at(_COLD) + case.evidence.slack
    said: set[str] = set()
    for number, branch in enumerate(case.evidence.network.branches):
        element, out = case.elements[branch.part], case.reading.setting.out
        is_out = branch.part in out or element.option("out") is not None
        if not (is_out and branch.is_open) or branch.name.endswith(" lifted") or branch.part in said:
            continue
        bears = case.shorted[0][number] < case.opened[0][number] * (1.0 - 1e-6)
        likely = case.chance(float(ends[0][number]), float(ends[1][number])) if bears else 0.0
        if likely and not case.chance(*case.limits):
            said.add(branch.part)
            setting = case.reading.setting
            other = Setting(setting.banks, out - {branch.part}, setting.lifted, setting.wipers)
            prior = case.priors.slips["still_in"]
            says = f"{branch.part} is still in its socket."
            again = other if branch.part in out else None
            yield Guess(CauseKind.SETTING, prior, likely, says, branch.part, setting=again)


def _wrong_points(case: Case) -> Iterator[Guess]:
    for point in (case.reading.start, case.reading.end):
        near = list(_near(case, point))
        for words, node, figure in near:
            number = case.evidence.network.number_of[node]
            if number in (case.start, case.end):
                continue
            leads = (number, case.end) if point == case.reading.start else (case.start, number)
            corners = case.corners.facing(*leads)
            likely = case.chance(corners.lowest(*leads), corners.highest(*leads))
            if likely:
                prior = case.priors.slips[figure] / len(near)
                says = f"The lead meant for {point} is on {words}."
                yield Guess(CauseKind.WRONG_POINT, prior, likely, says)


def _near(case: Case, point: str) -> Iterator[tuple[str, str, str]]:
    """Yield the points that are easily taken for another: words, node, the name of the prior."""
    if point in case.circuit.rails:
        yield from ((rail, rail, "wrong_rail") for rail in case.circuit.rails if rail != point)
    if not is_terminal(case.circuit, point):
        return
    element, terminal = find_terminal(case.circuit, point)
    pin = terminal.rpartition("/")[2]
    for name, node in element.terminals:
        other = name.rpartition("/")[2]
        if other == pin:
            continue
        beside = not (pin.isdecimal() and other.isdecimal()) or abs(int(pin) - int(other)) == 1
        if beside:
            figure = "wrong_pin" if element.kind == "valve" else "wrong_point"
            yield f"{element.reference}.{other}", node, figure
    if element.kind == "valve":
        for valve in case.circuit.elements:
            if valve.kind == "valve" and valve is not element:
                for name, node in valve.terminals:
                    if name.rpartition("/")[2] == pin:
                        yield f"{valve.reference}.{pin}", node, "wrong_pin"


def _leads(case: Case) -> Iterator[Guess]:
    low, high = case.limits
    slips, shown = case.priors.slips, case.reading.ohms
    if math.isinf(shown) or shown > case.meter.top:
        if low < case.meter.top:
            yield Guess(CauseKind.LEADS, slips["lead_off"], 1.0, "A lead does not touch, or is broken.")
        return
    if case.evidence.verdict is Verdict.HIGH:
        likely = case.chance(high + case.meter.leads, high + _LONG_LEADS)
        if likely and high < _LOW_OHMS:
            says = "The ohms of the leads were not taken off: hold the tips together and read them first."
            yield Guess(CauseKind.LEADS, slips["lead_poor"], likely, says)
        likely = case.chance(high, high + _POOR_TOUCH)
        says = "A lead touches badly: dirt, varnish or a worn tip."
        yield Guess(CauseKind.LEADS, slips["lead_poor"], likely, says)
    touching = case.chance(0.0, case.meter.leads)
    if touching and low > case.meter.leads:
        yield Guess(CauseKind.LEADS, slips["leads_touch"], touching, "The leads touch each other.")


def _leads_swapped(case: Case) -> Iterator[Guess]:
    """The other way round a junction on the way is blocked, or no longer."""
    leads = case.end, case.start
    corners = case.corners.facing(*leads)
    if corners is case.corners:
        return
    likely = case.chance(corners.lowest(*leads), corners.highest(*leads))
    if likely:
        says = "The leads are the wrong way round: what lies between conducts one way only."
        yield Guess(CauseKind.LEADS, case.priors.reversed["leads"], likely, says)


def _fingers(case: Case) -> Iterator[Guess]:
    low, high = case.limits
    if case.evidence.verdict is not Verdict.LOW:
        return
    likely = case.chance(_beside(low, _SKIN[0]), _beside(high, _SKIN[1]))
    if likely:
        says = "Fingers were on both probes: skin shows 0.5 to 5 MΩ beside what is measured."
        yield Guess(CauseKind.FINGERS, case.priors.slips["fingers"], likely, says)


def _beside(one: float, other: float) -> float:
    return other if math.isinf(one) else one * other / (one + other)


def _rising(case: Case) -> Iterator[Guess]:
    wait = case.settles
    early = case.evidence.verdict in (Verdict.LOW, Verdict.WAIT)
    never = case.is_open and not case.reading.rising
    if not early or not (case.reading.rising or wait >= 1.0) or (never and wait < 1.0):
        return
    likely = case.chance(0.0 if case.reading.rising else _HALF_WAY * case.limits[1], case.limits[1])
    prior = case.priors.slips["rising"] * (20.0 if case.reading.rising else 1.0)
    after = f"; allow about {math.ceil(wait)} s" if wait >= 1.0 else ""
    says = f"The reading had not stopped climbing{after}."
    if likely:
        yield Guess(CauseKind.RISING, prior, likely, says)

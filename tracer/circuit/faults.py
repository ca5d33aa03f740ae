"""Causes that lie in one element: open, shorted, drifted, leaking, dirty, stuck, reversed; doubtful joins."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

import numpy as np

from tracer.circuit.branch import Branch
from tracer.circuit.cause_words import (
    backwards_words,
    branch_words,
    dirty_words,
    drift_words,
    joint_words,
    leak_words,
)
from tracer.circuit.guess import Case, Guess
from tracer.circuit.ledger import STICKING
from tracer.circuit.priors import of_kind
from tracer.circuit.results import CauseKind, Verdict

__all__ = ["JOINTS", "bad_joint", "fault_guesses", "join_guesses", "wipers"]

JOINTS = frozenset({"wire", "bond", "link", "chassis", "label"})
_ONE_WAY = frozenset({"diode", "rectifier", "bridge", "transistor"})
_NO_DRIFT = frozenset(
    {"fuse", "lamp", "valve", "neon", "varistor", "crystal", "battery", "plug", "block", "other"}
)
_DECADES = 6.0
"""A bad joint may be anything from 1 Ω to 1 MΩ, all decades alike (our own line)."""
_LEAST_LEAK = 10.0
"""Ω below which a leaking capacitor counts as shorted (our own line)."""


def fault_guesses(case: Case) -> Iterator[Guess]:
    """Yield every single fault of an element that the reading allows, but for sections of one total.

    Those are `tracer.circuit.split_faults`'.
    Joints that no reading between these leads could tell apart are one guess.
    """
    matters = case.opened[0] > case.shorted[0] * (1 + 1e-6)
    matters |= case.opened[1] > case.shorted[1] * (1 + 1e-6)
    sections = {branch for split in case.evidence.network.split_numbers for branch in split} | set(
        wipers(case)
    )
    joints: dict[tuple[float, float], list[int]] = {}
    for number in np.flatnonzero(matters).tolist():
        branch = case.evidence.network.branches[number]
        element = case.elements[branch.part]
        if number in sections or branch.name.endswith(" lifted"):
            continue
        if branch.is_open and element.kind not in STICKING:
            continue
        if element.kind in JOINTS:
            alike = float(f"{case.opened[0][number]:.6g}"), float(f"{case.opened[1][number]:.6g}")
            joints.setdefault(alike, []).append(number)
        elif element.kind in STICKING:
            yield from _contact(case, number, branch)
        elif element.kind == "capacitor":
            yield from _capacitor(case, number, branch)
        else:
            yield from _part(case, number, branch, element.kind)
    for numbers in joints.values():
        yield from _joint(case, numbers)


def wipers(case: Case) -> tuple[int, ...]:
    """Return the branches that are wipers of pots."""
    return tuple(
        number
        for number, branch in enumerate(case.evidence.network.branches)
        if branch.name == f"{branch.part}.w" and case.elements[branch.part].kind == "pot"
    )


def _value(case: Case, number: int) -> float | None:
    """Return the ohms that would explain the reading with all else as expected, if any would."""
    value = float(case.values[1][number])
    return None if math.isnan(value) else value


def _window(case: Case, number: int) -> tuple[float, float] | None:
    """Return the ohms that would explain the reading within the meter's error, all else as expected."""
    least, most = case.evidence.least, case.evidence.most
    if least > case.middle.opened[number] or most < case.middle.shorted[number]:
        return None
    return float(case.values[0][number]), float(case.values[2][number])


def _fits(case: Case, number: int) -> bool:
    return not math.isnan(float(case.evidence.allowed[0][number]))


def _part(case: Case, number: int, branch: Branch, kind: str) -> Iterator[Guess]:
    words = branch_words(branch)
    prior = case.prior(of_kind(case.priors.open, kind), branch.part)
    likely = case.chance(float(case.opened[0][number]), float(case.opened[1][number]))
    if likely and branch.high < math.inf:
        yield Guess(CauseKind.OPEN, prior, likely, f"{words} is open.", branch.part, (number,), math.inf)
    prior = case.prior(of_kind(case.priors.short, kind), branch.part)
    likely = case.chance(float(case.shorted[0][number]), float(case.shorted[1][number]))
    if likely and branch.low > 0.0:
        yield Guess(CauseKind.SHORT, prior, likely, f"{words} is shorted.", branch.part, (number,), 0.0)
    if kind not in _NO_DRIFT and kind not in _ONE_WAY:
        yield from _drifted(case, number, branch, kind)


def _drifted(case: Case, number: int, branch: Branch, kind: str) -> Iterator[Guess]:
    nominal = branch.expected
    window, value = _window(case, number), _value(case, number)
    if nominal is None or nominal <= 0.0 or window is None or value is None or not _fits(case, number):
        return
    if math.isinf(value) or value <= 0.0 or branch.low <= value <= branch.high:
        return
    likely = case.priors.drift_chance(nominal, *window)
    prior = case.prior(of_kind(case.priors.drifted, kind), branch.part)
    says = drift_words(branch_words(branch), value, nominal)
    yield Guess(CauseKind.DRIFTED, prior, likely, says, branch.part, (number,), value)


def _capacitor(case: Case, number: int, branch: Branch) -> Iterator[Guess]:
    names = {name for name, _ in case.elements[branch.part].terminals}
    kind = "electrolytic" if "+" in names else "capacitor"
    prior = case.prior(of_kind(case.priors.short, "capacitor"), branch.part)
    likely = case.chance(float(case.shorted[0][number]), float(case.shorted[1][number]))
    if likely:
        yield Guess(CauseKind.SHORT, prior, likely, f"{branch.part} is shorted.", branch.part, (number,), 0.0)
    window, value = _window(case, number), _value(case, number)
    if window is None or value is None or not _fits(case, number):
        return
    if not _LEAST_LEAK <= value < branch.low:
        return
    low, high = max(window[0], _LEAST_LEAK), min(window[1], branch.low)
    likely = max(0.0, math.log(high / low) / math.log(branch.low / _LEAST_LEAK)) if high > low else 0.0
    prior = case.prior(of_kind(case.priors.leaky, kind), branch.part)
    says = leak_words(branch.part, value)
    yield Guess(CauseKind.LEAKY, prior, likely, says, branch.part, (number,), value)
    if kind == "electrolytic":
        right_way = bool(case.volts[number] >= 0.0)
        prior = case.prior(case.priors.reversed["electrolytic" if right_way else "leads"], branch.part)
        says = backwards_words(branch.part, value, in_set=right_way)
        yield Guess(CauseKind.REVERSED, prior, likely, says, branch.part, (number,), value)


def _contact(case: Case, number: int, branch: Branch) -> Iterator[Guess]:
    words = branch_words(branch)
    if branch.is_open:
        likely = case.chance(float(case.shorted[0][number]), float(case.shorted[1][number]))
        if likely:
            prior = case.prior(case.priors.contact["stuck"], branch.part)
            says = f"{words} is closed and should be open: it sticks, or bridges."
            yield Guess(CauseKind.CONTACT, prior, likely, says, branch.part, (number,), 0.0)
        return
    found = bad_joint(case, [number])
    if found:
        likely, value = found
        prior = case.prior(case.priors.contact["dirty"], branch.part)
        says = dirty_words(words, value)
        yield Guess(CauseKind.CONTACT, prior, likely, says, branch.part, (number,), value)


def _joint(case: Case, numbers: Sequence[int]) -> Iterator[Guess]:
    found = bad_joint(case, numbers)
    if not found:
        return
    likely, value = found
    branches = [case.evidence.network.branches[number] for number in numbers]
    parts = list(dict.fromkeys(branch.part for branch in branches))
    prior = sum(case.prior(of_kind(case.priors.open, case.elements[part].kind), part) for part in parts)
    says = joint_words(parts, value)
    doubted = [part for part in parts if part in case.doubtful]
    element = doubted[0] if doubted else parts[len(parts) // 2]
    yield Guess(CauseKind.OPEN, prior, likely, says, element, tuple(numbers), value)


def bad_joint(case: Case, numbers: Sequence[int]) -> tuple[float, float] | None:
    """Return how likely a joint of more ohms than it may have explains the reading, and those ohms."""
    number = numbers[0]
    branch = case.evidence.network.branches[number]
    broken = case.chance(float(case.opened[0][number]), float(case.opened[1][number]))
    window, value = _window(case, number), _value(case, number)
    poor = 0.0
    if window is not None and value is not None and branch.high < value < math.inf and _fits(case, number):
        low, high = max(window[0], 1.0), min(window[1], 10.0**_DECADES)
        poor = math.log10(high / low) / _DECADES if high > low else 0.0
    if not broken and not poor:
        return None
    return 0.5 * broken + 0.5 * poor, math.inf if broken >= poor else float(value or 0.0)


def join_guesses(case: Case, joins: Sequence[tuple[str, str, float]]) -> Iterator[Guess]:
    """Yield the doubtful joins of the sheet that, read the other way, would explain the reading.

    Parameters
    ----------
    case : Case
    joins : sequence of (str, str, float)
        Two nodes, and how sure the tracing is of what it read there, 0 to 1. Nodes with a wire or bond
        between them were read as joined, others as not.
    """
    network = case.evidence.network
    for one, other, sure in joins:
        nodes = network.number_of.get(one), network.number_of.get(other)
        if nodes[0] is None or nodes[1] is None or one == other:
            continue
        between = [
            number
            for number, branch in enumerate(network.branches)
            if {branch.start, branch.end} == {one, other} and case.corners.joints[number]
        ]
        prior = case.priors.join * (1.0 - sure)
        if between:
            likely = case.chance(float(case.opened[0][between[0]]), float(case.opened[1][between[0]]))
            says = f"The sheet was read as joining {one} and {other}, and they are not joined."
            part, value, join = network.branches[between[0]].part, math.inf, None
        else:
            low, high = (
                corner.joined(case.start, case.end, nodes[0], nodes[1])
                for corner in (case.corners.free_low(), case.corners.high(case.start, case.end)[0])
            )
            likely = case.chance(low, high) if case.evidence.verdict is not Verdict.PASS else 0.0
            says = f"The sheet was read as not joining {one} and {other}, and they are joined."
            part, value, join = None, 0.0, (nodes[0], nodes[1])
        if likely:
            yield Guess(CauseKind.JOIN, prior, likely, says, part, tuple(between[:1]), value, None, join)

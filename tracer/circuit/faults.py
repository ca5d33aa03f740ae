"""Causes that lie in one element: open, shorted, drifted, leaking, dirty, stuck, reversed; doubtful joins."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

import numpy as np
from numpy.typing import NDArray

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
from tracer.circuit.together import fit, fit_joints

__all__ = ["JOINTS", "bad_joint", "fault_guesses", "join_guesses", "wipers"]

JOINTS = frozenset({"wire", "bond", "link", "chassis", "label"})
_ONE_WAY = frozenset({"diode", "rectifier", "bridge", "transistor"})
_NO_DRIFT = frozenset(
    {"fuse", "lamp", "valve", "neon", "varistor", "crystal", "battery", "plug", "block", "other"}
)
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
    joints: list[int] = []
    for number in np.flatnonzero(matters).tolist():
        branch = case.evidence.network.branches[number]
        element = case.elements[branch.part]
        if number in sections or branch.name.endswith(" lifted"):
            continue
        if branch.is_open and element.kind not in STICKING:
            continue
        if element.kind in JOINTS:
            joints.append(number)
        elif element.kind in STICKING:
            yield from _contact(case, number, branch)
        elif element.kind == "capacitor":
            yield from _capacitor(case, number, branch)
        else:
            yield from _part(case, number, branch, element.kind)
    yield from _joints(case, np.array(joints, dtype=np.int64))


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


def _left(case: Case, kind: CauseKind, number: int) -> tuple[float, float] | None:
    """Return how likely a fault that leaves a branch some ohms explains the reading, and the likeliest ohms.

    These are those that explain it with all else as expected, where they are such as the fault may leave.
    """
    branch = case.evidence.network.branches[number]
    if not _fits(case, number):
        return None
    found = fit(kind, branch, [case.evidence], case.priors)
    if not found.likely:
        return None
    solved = _value(case, number)
    if kind is CauseKind.DRIFTED:
        fine = solved is not None and 0.0 < solved < math.inf and not branch.low <= solved <= branch.high
    else:
        fine = solved is not None and _LEAST_LEAK <= solved < branch.low
    return found.likely, solved if fine and solved is not None else found.value


def _fits(case: Case, number: int) -> bool:
    return not math.isnan(float(case.evidence.allowed[0][number]))


def _part(case: Case, number: int, branch: Branch, kind: str) -> Iterator[Guess]:
    words = branch_words(branch)
    prior = case.prior(of_kind(case.priors.open, kind), branch.part)
    likely = case.if_open(number)
    if likely and branch.high < math.inf:
        yield Guess(CauseKind.OPEN, prior, likely, f"{words} is open.", branch.part, (number,), math.inf)
    prior = case.prior(of_kind(case.priors.short, kind), branch.part)
    likely = case.if_shorted(number)
    if likely and branch.low > 0.0:
        yield Guess(CauseKind.SHORT, prior, likely, f"{words} is shorted.", branch.part, (number,), 0.0)
    if kind not in _NO_DRIFT and kind not in _ONE_WAY:
        yield from _drifted(case, number, branch, kind)


def _drifted(case: Case, number: int, branch: Branch, kind: str) -> Iterator[Guess]:
    left = _left(case, CauseKind.DRIFTED, number)
    if left is None or branch.expected is None:
        return
    likely, value = left
    prior = case.prior(of_kind(case.priors.drifted, kind), branch.part)
    says = drift_words(branch_words(branch), value, branch.expected)
    yield Guess(CauseKind.DRIFTED, prior, likely, says, branch.part, (number,), value)


def _capacitor(case: Case, number: int, branch: Branch) -> Iterator[Guess]:
    names = {name for name, _ in case.elements[branch.part].terminals}
    kind = "electrolytic" if "+" in names else "capacitor"
    prior = case.prior(of_kind(case.priors.short, "capacitor"), branch.part)
    likely = case.if_shorted(number)
    if likely:
        yield Guess(CauseKind.SHORT, prior, likely, f"{branch.part} is shorted.", branch.part, (number,), 0.0)
    left = _left(case, CauseKind.LEAKY, number)
    if left is None:
        return
    likely, value = left
    prior = case.prior(of_kind(case.priors.leaky, kind), branch.part)
    says = leak_words(branch.part, value)
    yield Guess(CauseKind.LEAKY, prior, likely, says, branch.part, (number,), value)
    if kind == "electrolytic":
        right_way = case.drives_forward(number)
        prior = case.prior(case.priors.reversed["electrolytic" if right_way else "leads"], branch.part)
        says = backwards_words(branch.part, value, in_set=right_way)
        yield Guess(CauseKind.REVERSED, prior, likely, says, branch.part, (number,), value)


def _contact(case: Case, number: int, branch: Branch) -> Iterator[Guess]:
    words = branch_words(branch)
    if branch.is_open:
        likely = case.if_shorted(number)
        if likely:
            prior = case.prior(case.priors.contact["stuck"], branch.part)
            says = f"{words} is closed and should be open: it sticks, or bridges."
            yield Guess(CauseKind.CONTACT, prior, likely, says, branch.part, (number,), 0.0)
        return
    found = bad_joint(case, number)
    if found:
        likely, value = found
        prior = case.prior(case.priors.contact["dirty"], branch.part)
        says = dirty_words(words, value)
        yield Guess(CauseKind.CONTACT, prior, likely, says, branch.part, (number,), value)


def _joints(case: Case, numbers: NDArray[np.int64]) -> Iterator[Guess]:
    """Yield the bad joints that fit; those that the reading does not tell apart are one guess."""
    if not len(numbers):
        return
    likely, values = fit_joints(case.evidence, numbers)
    alike: dict[tuple[str, str], list[int]] = {}
    for place in np.flatnonzero(likely > 0.0).tolist():
        key = f"{case.opened[0][numbers[place]]:.6g}", f"{case.opened[1][numbers[place]]:.6g}"
        alike.setdefault(key, []).append(place)
    for places in alike.values():
        first, group = places[0], numbers[places].tolist()
        branches = [case.evidence.network.branches[number] for number in group]
        parts = list(dict.fromkeys(branch.part for branch in branches))
        prior = sum(case.prior(of_kind(case.priors.open, case.elements[part].kind), part) for part in parts)
        value = _joint_ohms(case, group[0], float(likely[first]), float(values[first]))
        doubted = [part for part in parts if part in case.doubtful]
        element = doubted[0] if doubted else parts[len(parts) // 2]
        says = joint_words(parts, value)
        yield Guess(CauseKind.OPEN, prior, float(likely[first]), says, element, tuple(group), value)


def bad_joint(case: Case, number: int) -> tuple[float, float] | None:
    """Return how likely a joint of more ohms than it may have explains the reading, and those ohms.

    One in two is open, the others have any ohms from 1 Ω to 1 MΩ, all decades alike.
    """
    likely, values = fit_joints(case.evidence, np.array([number]))
    if not likely[0]:
        return None
    return float(likely[0]), _joint_ohms(case, number, float(likely[0]), float(values[0]))


def _joint_ohms(case: Case, number: int, likely: float, best: float) -> float:
    """Return the ohms to tell of a bad joint: open where that is likeliest, else what fits the middle."""
    if case.if_open(number) >= likely:
        return math.inf
    solved = _value(case, number)
    fine = solved is not None and case.evidence.network.branches[number].high < solved < math.inf
    return solved if fine and solved is not None else best


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
            likely = case.if_open(between[0])
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

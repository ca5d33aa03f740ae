"""Causes that lie in a pot or a tapped winding: its total drifted, its track open, its wiper worn.

How the total divides is not known, so the total is what a reading is laid against: all of it in one section
where the pair sees nothing else, and at either end of its division where the wiper matters.
"""

from __future__ import annotations

import math
from collections.abc import Iterator

import numpy as np

from tracer.circuit.cause_words import branch_words, drift_words, wiper_words
from tracer.circuit.faults import bad_joint, wipers
from tracer.circuit.guess import Case, Guess
from tracer.circuit.priors import of_kind
from tracer.circuit.results import CauseKind, Verdict

__all__ = ["split_guesses"]


def split_guesses(case: Case) -> Iterator[Guess]:
    """Yield every single fault of a part whose sections share one total, and of a pot's wiper."""
    for number in wipers(case):
        yield from _wiper(case, number)
    for number, branches in enumerate(case.evidence.network.split_numbers):
        opened = np.max([side[list(branches)] for side in case.opened], axis=0)
        shorted = np.max([side[list(branches)] for side in case.shorted], axis=0)
        if (opened > shorted * (1 + 1e-6)).any():
            yield from _drifted(case, number)
            yield from _open(case, number)


def _drifted(case: Case, number: int) -> Iterator[Guess]:
    """Yield the total that would explain the reading, with the wiper where that asks for least drift."""
    network = case.evidence.network
    split, branches = network.splits[number], network.split_numbers[number]
    nominal = split.total.expected
    if nominal is None or nominal <= 0.0:
        return
    alone = number in case.corners.floating_in_middle(case.start, case.end)
    if alone and number in case.corners.floating(case.start, case.end) and number not in case.evidence.totals:
        return
    found = [_total(case, number, at) for at in ((None,) if alone else (0.0, 1.0))]
    best = max(
        (
            (case.priors.drift_chance(nominal, low, high), value)
            for low, value, high in (each for each in found if each is not None)
            if 0.0 < value < math.inf
        ),
        default=None,
    )
    if best is None or split.total.low <= best[1] <= split.total.high:
        return
    kind = case.elements[split.part].kind
    prior = case.prior(of_kind(case.priors.drifted, kind), split.part)
    bound = "" if alone else "at least " if case.evidence.verdict is Verdict.HIGH else "at most "
    says = drift_words(_whole(case, number), best[1], nominal, bound)
    yield Guess(CauseKind.DRIFTED, prior, best[0], says, split.part, branches, best[1])


def _whole(case: Case, number: int) -> str:
    """Name a pot by its reference, a winding by its outer ends."""
    network = case.evidence.network
    split = network.splits[number]
    if case.elements[split.part].kind == "pot":
        return split.part
    first, last = (each.removeprefix(f"{split.part}.") for each in (split.branches[0], split.branches[-1]))
    return f"{split.part} between {first.partition('-')[0]} and {last.partition('-')[2]}"


def _total(case: Case, number: int, at: float | None) -> tuple[float, float, float] | None:
    """Return the totals that would explain the least, the shown and the most of the reading, if any do."""
    corner = case.corners.middle(((number, at),))
    swept = corner.pair(case.start, case.end)
    branches = case.evidence.network.split_numbers[number]
    here = branches[0] if at else branches[-1]
    least, most = case.evidence.least, case.evidence.most
    if least > swept.opened[here] or most < swept.shorted[here]:
        return None
    others = float(corner.ohms[list(branches)].sum() - corner.ohms[here])
    low, value, high = (float(swept.value_for(each)[here]) for each in (least, case.reading.ohms, most))
    if math.isnan(value):
        return None
    return (others if least <= swept.shorted[here] else low + others), value + others, high + others


def _open(case: Case, number: int) -> Iterator[Guess]:
    """Yield an open track; sections that no reading between these leads could tell apart are one guess."""
    network = case.evidence.network
    part = network.splits[number].part
    alike: dict[tuple[float, float], list[int]] = {}
    for branch in network.split_numbers[number]:
        # All that the meter shows as OL is one to it.
        low, high = (min(float(side[branch]), 2.0 * case.meter.top) for side in case.opened)
        alike.setdefault((float(f"{low:.3g}"), float(f"{high:.3g}")), []).append(branch)
    prior = case.prior(of_kind(case.priors.open, case.elements[part].kind), part)
    for (low, high), branches in alike.items():
        likely = case.chance(low, high) * len(branches) / len(network.split_numbers[number])
        if likely:
            words = branch_words(network.branches[branches[0]])
            says = (
                f"{words} is open." if len(branches) == 1 else f"{_whole(case, number)} is open on one side."
            )
            yield Guess(CauseKind.OPEN, prior, likely, says, part, tuple(branches), math.inf)


def _wiper(case: Case, number: int) -> Iterator[Guess]:
    """Yield a wiper that adds ohms between the track and what meets it, or does not touch at all."""
    branch = case.evidence.network.branches[number]
    if branch.is_open or branch.name.endswith(" lifted"):
        return
    found = bad_joint(case, number)
    if found is None:
        return
    likely, value = found
    says = wiper_words(branch.part, value)
    prior = case.prior(case.priors.contact.get("wiper", case.priors.contact["dirty"]), branch.part)
    yield Guess(CauseKind.CONTACT, prior, likely, says, branch.part, (number,), value)

"""Causes that lie in a pot or a tapped winding: its total drifted, its track open, its wiper worn.

How the total divides is not known, so the total is what a reading is laid against: all of it in one section
where the pair sees nothing else, and at either end of its division where the wiper matters.
"""

from __future__ import annotations

import math
from collections.abc import Iterator

import numpy as np

from tracer.circuit.faults import branch_words, drift_words
from tracer.circuit.guess import Case, Guess
from tracer.circuit.priors import of_kind
from tracer.circuit.results import CauseKind, Verdict
from tracer.circuit.single import OneBranch, one_branch
from tracer.circuit.solve import Graph, Ohms
from tracer.circuit.values import format_value

__all__ = ["split_guesses"]

_SOUND_WIPER = 0.01
"""A sound wiper adds no more than this part of the track's ohms (common practice)."""
_DECADES = 6.0
"""A worn wiper may add anything from 1 Ω to 1 MΩ, all decades alike (our own line)."""


def split_guesses(case: Case) -> Iterator[Guess]:
    """Yield every single fault of a part whose sections share one total in an unknown way."""
    for number, branches in enumerate(case.evidence.network.split_numbers):
        opened = np.max([side[list(branches)] for side in case.opened], axis=0)
        shorted = np.max([side[list(branches)] for side in case.shorted], axis=0)
        if (opened > shorted * (1 + 1e-6)).any():
            yield from _drifted(case, number)
            yield from _open(case, number)
            if case.elements[case.evidence.network.splits[number].part].kind == "pot":
                yield from _wiper(case, number)


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
    yield Guess(CauseKind.DRIFTED, prior * best[0], says, split.part, branches, best[1])


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
            yield Guess(CauseKind.OPEN, prior * likely, says, part, tuple(branches), math.inf)


def _wiper(case: Case, number: int) -> Iterator[Guess]:
    """Yield a wiper that adds ohms between the track and what meets it, or does not touch at all."""
    if number in case.corners.floating(case.start, case.end):
        return
    network = case.evidence.network
    split = network.splits[number]
    lows = [_with_wiper(case, number, corner.ohms) for corner in case.corners.lows(case.start, case.end)]
    high = _with_wiper(case, number, network.high)
    middle = _with_wiper(case, number, case.corners.middle().ohms)
    broken = case.chance(min(each.opened for each in lows), high.opened)
    value = middle.value_for(case.reading.ohms)
    least, most = (_clamped(middle, ohms) for ohms in (case.evidence.least, case.evidence.most))
    poor = 0.0
    sound = _SOUND_WIPER * split.total.high
    if value is not None and sound < value < math.inf and case.evidence.verdict is Verdict.HIGH:
        low_ohms, high_ohms = max(least, 1.0), min(most, 10.0**_DECADES)
        poor = math.log10(high_ohms / low_ohms) / _DECADES if high_ohms > low_ohms else 0.0
    if not broken and not poor:
        return
    shows = math.inf if broken >= poor or value is None else value
    says = f"{split.part}'s wiper does not touch its track."
    if math.isfinite(shows):
        says = f"{split.part}'s wiper touches badly: it would have to add {format_value(shows, 'ohm', 3)}."
    prior = case.prior(case.priors.contact.get("wiper", case.priors.contact["dirty"]), split.part)
    yield Guess(CauseKind.CONTACT, prior * 0.5 * (broken + poor), says, split.part, (), shows)


def _clamped(branch: OneBranch, reading: float) -> float:
    value = branch.value_for(reading)
    return value if value is not None else 0.0 if reading < branch.shorted else math.inf


def _with_wiper(case: Case, number: int, ohms: Ohms) -> OneBranch:
    """Return how the pair hangs on a branch laid between the track and what the wiper's terminal meets."""
    network = case.evidence.network
    graph, (first, last) = network.graph, network.split_numbers[number]
    terminal = int(graph.ends[first])
    starts, ends = graph.starts.copy(), graph.ends.copy()
    starts[last] = ends[first] = graph.size
    wider = Graph(graph.size + 1, np.append(starts, terminal), np.append(ends, graph.size))
    return one_branch(wider, np.append(ohms, 0.0), case.start, case.end, len(ohms))

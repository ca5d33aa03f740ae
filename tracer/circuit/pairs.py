"""Causes that need two faults at once; asked for only where no single one fits."""

from __future__ import annotations

import math
from collections.abc import Iterator

import numpy as np

from tracer.circuit.cause_words import branch_words
from tracer.circuit.guess import Case, Guess
from tracer.circuit.ledger import STICKING
from tracer.circuit.priors import Priors, of_kind
from tracer.circuit.results import CauseKind, Verdict
from tracer.circuit.solve import Ohms
from tracer.circuit.sweep import Corner

__all__ = ["pair_guesses"]

_FIRST, _SECOND = 4, 6
"""How many branches of most effect are tried as the first of a pair, and for each as the second."""


def pair_guesses(case: Case) -> Iterator[Guess]:
    """Yield pairs of branches that together could show the reading, whatever ohms each has."""
    network = case.evidence.network
    high = case.evidence.verdict is Verdict.HIGH
    base, faulty = (network.high, math.inf) if high else (network.low, 0.0)
    found: set[frozenset[int]] = set()
    first = case.opened[1] if high else case.shorted[0]
    for one in _most_effect(case, first, high)[:_FIRST]:
        ohms = base.copy()
        ohms[one] = faulty
        swept = Corner(network.graph, ohms).pair(case.start, case.end)
        reached = swept.opened if high else swept.shorted
        enough = reached >= case.evidence.least if high else reached <= case.evidence.most
        for other in [each for each in _most_effect(case, reached, high) if enough[each]][:_SECOND]:
            if other != one and frozenset({one, other}) not in found:
                found.add(frozenset({one, other}))
                branches = network.branches[one], network.branches[other]
                names = [branch_words(branch) for branch in branches]
                kinds = [case.elements[branch.part].kind for branch in branches]
                likely = math.prod(_figure(case.priors, kind, high) for kind in kinds)
                says = f"{names[0]} and {names[1]} are both at fault; neither alone explains it."
                prior = case.priors.pair * likely
                yield Guess(CauseKind.PAIR, prior, 1.0, says, branches[0].part, (one, other))


def _most_effect(case: Case, reached: Ohms, high: bool) -> list[int]:
    """Return the branches that a fault may move, of most effect first.

    Of branches of the same effect, such as the wires to a part, the part itself stands for all.
    """
    effect = np.nan_to_num(reached if high else -reached, nan=-1e300, posinf=1e300, neginf=-1e300)
    order: list[int] = []
    seen: dict[float, int] = {}
    for number in np.lexsort((case.corners.joints, -effect)).tolist():
        branch = case.evidence.network.branches[number]
        movable = not branch.is_open or case.elements[branch.part].kind in STICKING
        key = float(f"{effect[number]:.6g}")
        if movable and not branch.name.endswith(" lifted") and seen.get(key, 0) < _SECOND:
            seen[key] = seen.get(key, 0) + 1
            order.append(number)
    return order


def _figure(priors: Priors, kind: str, high: bool) -> float:
    if kind in STICKING:
        return priors.contact["dirty" if high else "stuck"]
    tables = (priors.open, priors.drifted) if high else (priors.short, priors.drifted)
    figure = max(of_kind(table, kind) for table in tables)
    return max(figure, of_kind(priors.leaky, kind)) if kind == "capacitor" and not high else figure

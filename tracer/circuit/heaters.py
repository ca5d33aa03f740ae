"""Heaters of which a passing reading does not tell whether one of them is open."""

from __future__ import annotations

import math
from collections.abc import Iterator

from tracer.circuit.guess import Case, Guess
from tracer.circuit.priors import of_kind
from tracer.circuit.results import CauseKind

__all__ = ["untellable_heaters"]

_GLOWING = frozenset({"valve", "lamp"})
_NAMED = 4


def untellable_heaters(case: Case) -> Iterator[Guess]:
    """Yield a guess where a heater that takes current may be open and the reading would pass all the same.

    Heaters side by side, or across a winding of few ohms, differ by less than the meter's error once one is
    open; only by itself does each tell.
    """
    hidden: dict[str, int] = {}
    for number, branch in enumerate(case.evidence.network.branches):
        if case.elements[branch.part].kind not in _GLOWING or branch.is_open:
            continue
        flows = case.middle.opened[number] > case.middle.shorted[number] * (1.0 + 1e-6)
        if flows and case.if_open(number):
            hidden.setdefault(branch.part, number)
    if not hidden:
        return
    parts = list(hidden)
    kinds = [case.elements[part].kind for part in parts]
    prior = math.fsum(
        case.prior(of_kind(case.priors.open, kind), part) for kind, part in zip(kinds, parts, strict=True)
    )
    more = f" or {len(parts) - _NAMED} more" if len(parts) > _NAMED else ""
    which = " or ".join([", ".join(parts[:_NAMED][:-1]), parts[:_NAMED][-1]] if len(parts) > 1 else parts)
    says = (
        f"Cannot tell whether the heater of {which}{more} is open: pull {parts[0]} and measure it by itself."
    )
    if set(kinds) == {"lamp"}:
        says = f"Cannot tell whether {which}{more} is open: take {parts[0]} out and measure it by itself."
    numbers = tuple(hidden.values())
    yield Guess(CauseKind.UNTELLABLE, prior, 1.0, says, parts[0], numbers, math.inf)

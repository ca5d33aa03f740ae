"""Whether the reading that a cause names truly tells it from the next: each is put into a set in turn.

A small run by default; ``TRACER_TRUTH_SETS=200 pytest --timeout 0 -s tests/truth/test_truth_telling.py`` runs
and prints the whole of it.
"""

from __future__ import annotations

import math
import os
import random
from collections import Counter

import numpy as np

from tests.circuit.made_sets import made_set
from tests.truth.bayes import draw_single, singles
from tests.truth.simulated import METER, TrueSet, make_true
from tests.truth.test_truth_why import failing
from tracer.circuit.explain import explain
from tracer.circuit.meter import shown_range
from tracer.circuit.points import resolve_point
from tracer.circuit.priors import load_priors
from tracer.circuit.results import Cause, CauseKind, NextReading

SETS = int(os.environ.get("TRACER_TRUTH_SETS", "8"))
LASTING = {CauseKind.OPEN, CauseKind.SHORT, CauseKind.DRIFTED, CauseKind.LEAKY, CauseKind.CONTACT}


def would_read(true: TrueSet, cause: Cause, then: NextReading) -> list[float]:
    """Return what the reading would be for each element of one branch that the cause may mean."""
    nodes = [resolve_point(true.circuit, point) for point in (then.start, then.end)]
    found = []
    for element in cause.elements:
        branches = true.network.branch_numbers[element]
        if len(branches) != 1:
            continue
        ohms = true.ohms.copy()
        ohms[branches[0]] = math.inf if cause.value is None else max(cause.value, 1e-3)
        if then.setting.lifted:
            found.append(float(ohms[branches[0]]))
        else:
            found.append(TrueSet(true.circuit, true.network, ohms).between(*nodes))
    return found


def fits(then: NextReading, ohms: float) -> bool:
    """Tell whether a true figure is such as the cause foretells, as far as a meter can show it."""
    least, most = then.low, then.high
    if ohms > METER.top:
        return most is None
    low, high = shown_range(math.inf if least is None else least, math.inf if most is None else most, METER)
    return low <= ohms <= high


def expected_set(true: TrueSet) -> TrueSet:
    """Return the same with every part at its expected value where that is told."""
    told = np.isfinite(true.network.expected) & np.isfinite(true.ohms) & (true.network.expected > 0.0)
    return TrueSet(true.circuit, true.network, np.where(told, true.network.expected, true.ohms))


def test_the_named_reading_tells_a_cause_from_the_next() -> None:
    found: dict[str, Counter[str]] = {"one reading": Counter(), "four readings": Counter()}
    for seed in range(SETS):
        for others, name in ((0, "one reading"), (3, "four readings")):
            source = random.Random(8000 + seed)
            true = make_true(made_set(seed, 1 + seed % 3), source)
            drawn, value = draw_single(list(singles(true, load_priors())), source)
            ohms = true.ohms.copy()
            ohms[drawn.branch] = max(value, 1e-3)
            readings = failing(true, TrueSet(true.circuit, true.network, ohms), source, others)
            if readings:
                causes = explain(true.circuit, readings[0], METER, others=readings[1:])
                _count(expected_set(true), causes, found[name])
    for name, counts in found.items():
        print(f"\n{name}: {dict(counts)}", end="")
    print()
    for counts in found.values():
        assert counts["named one"] >= 0.95 * counts["causes"]
        assert counts["right in what it foretells"] >= 0.9 * counts["put to the test"]
        assert counts["told from the next"] >= 0.85 * counts["put to the test"]


def _count(true: TrueSet, causes: tuple[Cause, ...], counts: Counter[str]) -> None:
    rails = {"chassis", *true.circuit.rails}
    for cause, after in zip(causes[:6], [*causes[1:6], causes[0]], strict=False):
        if cause.kind is CauseKind.UNTELLABLE:
            continue
        counts["causes"] += 1
        then = cause.then_measure
        counts["named one"] += then is not None
        if then is None or cause.kind not in LASTING:
            continue
        mine, other = would_read(true, cause, then), would_read(true, after, then)
        if not mine or (after.kind in LASTING and not other) or after.kind is CauseKind.PAIR:
            continue
        if after.kind not in LASTING:
            nodes = [resolve_point(true.circuit, point) for point in (then.start, then.end)]
            branch = true.network.branch_numbers[cause.element or ""][0]
            other = [float(true.ohms[branch]) if then.setting.lifted else true.between(*nodes)]
        if then.setting.lifted and after.kind in LASTING and after.element != cause.element:
            other = [float(true.ohms[true.network.branch_numbers[cause.element or ""][0]])]
        counts["put to the test"] += 1
        counts["right in what it foretells"] += any(fits(then, each) for each in mine)
        told = not all(fits(then, each) for each in other)
        counts["told from the next"] += told
        counts["on a rail or the chassis"] += bool(rails & {then.start, then.end})
        counts["with a terminal lifted"] += bool(then.setting.lifted)
        if "TRACER_TRUTH_TELL" in os.environ and not told:
            print(
                f"\n{cause.says} | {after.says} | {then.start} {then.end}", then.low, then.high, mine, other
            )

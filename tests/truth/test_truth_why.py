"""How often the true cause comes first, beside the best that any method could do.

A small run by default; ``TRACER_TRUTH_SETS=200 pytest --timeout 0 -s tests/truth/test_truth_why.py`` runs and
prints the whole of it.
"""

from __future__ import annotations

import os
import random
from collections import Counter
from collections.abc import Sequence
from dataclasses import replace

import pytest

from tests.circuit.made_sets import made_set
from tests.truth.bayes import Single, best_rank, draw_single, singles
from tests.truth.simulated import METER, TrueSet, make_true, pairs_of, shown
from tracer.circuit.elements import Setting
from tracer.circuit.evidence import Weighing
from tracer.circuit.explain import explain
from tracer.circuit.points import resolve_point
from tracer.circuit.priors import Priors, load_priors
from tracer.circuit.results import Cause, CauseKind, Reading, Verdict

SETS = int(os.environ.get("TRACER_TRUTH_SETS", "5"))
DRAWS = 20 if SETS < 50 else 100
SLIPS = frozenset(
    {
        *(CauseKind.SETTING, CauseKind.WRONG_POINT, CauseKind.LEADS, CauseKind.FINGERS, CauseKind.RISING),
        *(CauseKind.UNTELLABLE, CauseKind.AS_EXPECTED),
    }
)


def shifted(priors: Priors, source: random.Random) -> Priors:
    """Return priors of which every figure of a part is off by a factor, most within a third and threefold."""
    tables = {
        name: {kind: figure * 2.7 ** source.gauss(0.0, 1.0) for kind, figure in getattr(priors, name).items()}
        for name in ("open", "short", "drifted", "leaky", "contact")
    }
    return replace(priors, **tables)


def failing(true: TrueSet, faulty: TrueSet, source: random.Random, others: int) -> list[Reading]:
    """Return a reading that fails for the fault, and some others that happen to be taken."""
    known = Weighing(true.circuit, METER)
    taken: list[Reading] = []
    first: Reading | None = None
    for number, pair in enumerate(pairs_of(true.circuit, source)[:90], start=1):
        nodes = [resolve_point(true.circuit, point) for point in pair]
        if nodes[0] == nodes[1] or (first is not None and len(taken) >= others):
            continue
        reading = Reading(*pair, shown(faulty.between(*nodes), source), Setting(), False, number)
        verdict = known.evidence(reading).verdict
        if first is None and verdict in (Verdict.HIGH, Verdict.LOW):
            first = reading
        elif len(taken) < others and verdict in (Verdict.PASS, Verdict.HIGH, Verdict.LOW):
            taken.append(reading)
    return [first, *taken] if first is not None else []


def place_of(true: TrueSet, fault: Single, causes: Sequence[Cause], *, slips: bool) -> int | None:
    """Return the place, from 0, of the cause that names the fault; without slips of the hand if so told."""
    told = [cause for cause in causes if slips or cause.kind not in SLIPS]
    for place, cause in enumerate(told):
        named = cause.element == fault.element or fault.element in cause.elements
        # A part's leak and its being in backwards show alike.
        if named and (cause.kind is fault.kind or {cause.kind, fault.kind} <= ALIKE):
            return place
    return None


ALIKE = {CauseKind.LEAKY, CauseKind.REVERSED}


def ranks(others: int, truth_is_shifted: bool, draws: int) -> dict[str, Counter[str]]:
    priors = load_priors()
    found: dict[str, Counter[str]] = {"among faults": Counter(), "among all": Counter(), "best": Counter()}
    for seed in range(SETS):
        source = random.Random(7000 + seed)
        true = make_true(made_set(seed, 1 + seed % 3), source)
        faults = list(singles(true, priors))
        drawn_from = list(singles(true, shifted(priors, source))) if truth_is_shifted else faults
        for _ in range(40):
            drawn, value = draw_single(drawn_from, source)
            ohms = true.ohms.copy()
            ohms[drawn.branch] = max(value, 1e-3)
            readings = failing(true, TrueSet(true.circuit, true.network, ohms), source, others)
            if readings:
                break
        else:
            continue
        fault = next(each for each in faults if (each.kind, each.branch) == (drawn.kind, drawn.branch))
        causes = explain(true.circuit, readings[0], METER, others=readings[1:])
        places = {
            "among faults": place_of(true, fault, causes, slips=False),
            "among all": place_of(true, fault, causes, slips=True),
        }
        if draws:
            places["best"] = best_rank(true, fault, faults, readings, seed, draws)
        for name, place in places.items():
            found[name]["sets"] += 1
            found[name]["first"] += place == 0
            found[name]["in first three"] += place is not None and place < 3
            found[name]["named"] += place is not None
    return found


@pytest.mark.parametrize(
    ("name", "others", "shift"),
    [
        ("one reading", 0, False),
        ("one reading, priors shifted", 0, True),
        ("with four others", 4, False),
        ("with four others, priors shifted", 4, True),
    ],
)
def test_the_true_cause_is_named_nearly_as_often_as_can_be(name: str, others: int, shift: bool) -> None:
    found = ranks(others, shift, DRAWS)
    for which, counts in found.items():
        shares = {key: f"{count / counts['sets']:.0%}" for key, count in counts.items() if key != "sets"}
        print(f"\n{name}, {which} ({counts['sets']} sets): {shares}", end="")
    print()
    ours, best = found["among faults"], found["best"]
    assert ours["sets"] >= SETS / 2
    assert ours["in first three"] >= 0.7 * best["in first three"] - 1

"""How often the true cause comes first, beside the best that any method could do.

A small run by default; ``TRACER_TRUTH_SETS=200 pytest --timeout 0 -s tests/truth/test_truth_why.py`` runs and
prints the whole of it.
"""

from __future__ import annotations

import os
import random
from collections import Counter
from collections.abc import Callable, Sequence
from dataclasses import replace

import pytest

from tests.circuit.made_sets import made_set
from tests.truth.bayes import Single, draw_single, exact_places, singles
from tests.truth.simulated import METER, TrueSet, make_true, pairs_of, shown
from tracer.circuit.elements import Setting
from tracer.circuit.evidence import Weighing
from tracer.circuit.explain import explain
from tracer.circuit.points import resolve_point
from tracer.circuit.priors import Priors, load_priors
from tracer.circuit.results import Cause, CauseKind, Reading, Verdict

SETS = int(os.environ.get("TRACER_TRUTH_SETS", "5"))
VERBOSE = "TRACER_TRUTH_TELL" in os.environ
SLIPS = frozenset(
    {
        *(CauseKind.SETTING, CauseKind.WRONG_POINT, CauseKind.LEADS, CauseKind.FINGERS, CauseKind.RISING),
        *(CauseKind.UNTELLABLE, CauseKind.AS_EXPECTED),
    }
)
Shift = Callable[[Priors, random.Random], Priors]
_TABLES = ("open", "short", "drifted", "leaky", "contact")


def as_told(priors: Priors, source: random.Random) -> Priors:
    """Sets are as the priors say."""
    return priors


def opens_times_five(priors: Priors, source: random.Random) -> Priors:
    """Every part and joint is open five times as often as told."""
    return replace(priors, open={kind: 5.0 * figure for kind, figure in priors.open.items()})


def contacts_times_five(priors: Priors, source: random.Random) -> Priors:
    """Contacts are dirty or stuck five times as often as told."""
    return replace(priors, contact={kind: 5.0 * figure for kind, figure in priors.contact.items()})


def flat(priors: Priors, source: random.Random) -> Priors:
    """Every fault of every kind is as likely as any other."""
    tables = {name: dict.fromkeys([*getattr(priors, name), *KINDS], 0.01) for name in _TABLES}
    return replace(priors, **tables)


def off_threefold(priors: Priors, source: random.Random) -> Priors:
    """Every figure is off by a factor of its own, most within a third and threefold."""
    tables = {
        name: {kind: figure * 2.7 ** source.gauss(0.0, 1.0) for kind, figure in getattr(priors, name).items()}
        for name in _TABLES
    }
    return replace(priors, **tables)


KINDS = ("resistor", "capacitor", "electrolytic", "transformer", "speaker", "wire", "bond", "other kinds")


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


def place_of(fault: Single, causes: Sequence[Cause], among: Sequence[Single] | None = None) -> int | None:
    """Return the place, from 0, of the cause that names the fault, among faults of the same parts if told."""
    elements = {each.element for each in among or ()}
    told = [
        cause
        for cause in causes
        if among is None or (cause.kind not in SLIPS and elements & {cause.element, *cause.elements})
    ]
    for place, cause in enumerate(told):
        named = cause.element == fault.element or fault.element in cause.elements
        # A part's leak and its being in backwards show alike.
        if named and (cause.kind is fault.kind or {cause.kind, fault.kind} <= ALIKE):
            return place
    return None


ALIKE = {CauseKind.LEAKY, CauseKind.REVERSED}


def ranks(others: int, shift: Shift) -> dict[str, Counter[str]]:
    priors = load_priors()
    found: dict[str, Counter[str]] = {"among faults": Counter(), "among all": Counter(), "best": Counter()}
    for seed in range(SETS):
        source = random.Random(7000 + seed)
        true = make_true(made_set(seed, 1 + seed % 3), source)
        faults = list(singles(true, priors))
        drawn_from = list(singles(true, shift(priors, source)))
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
        best = exact_places(true, fault, faults, readings, seed)
        if not best.drawn:
            continue
        places = {
            "among faults": place_of(fault, causes, faults),
            "among all": place_of(fault, causes),
            "best": best.place,
        }
        if VERBOSE and places["among faults"] != best.place:
            print(f"\nset {seed}: {fault.kind} {fault.element} {value:.4g} {places} drawn {best.drawn}")
        for name, place in places.items():
            found[name]["sets"] += 1
            found[name]["first"] += place == 0
            found[name]["in first three"] += place is not None and place < 3
            found[name]["named"] += place is not None
    return found


@pytest.mark.parametrize("others", [0, 3], ids=["one reading", "four readings"])
@pytest.mark.parametrize("shift", [as_told, opens_times_five, contacts_times_five, flat, off_threefold])
def test_the_true_cause_is_named_nearly_as_often_as_can_be(shift: Shift, others: int) -> None:
    found = ranks(others, shift)
    name = f"{1 + others} readings, priors {shift.__name__.replace('_', ' ')}"
    for which, counts in found.items():
        shares = {key: f"{count / counts['sets']:.1%}" for key, count in counts.items() if key != "sets"}
        print(f"\n{name}, {which} ({counts['sets']} sets): {shares}", end="")
    print()
    ours, best = found["among faults"], found["best"]
    assert ours["sets"] >= SETS / 2
    assert ours["in first three"] >= 0.7 * best["in first three"] - 1

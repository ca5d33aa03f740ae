"""Weighing readings: as the leads see the network, and once only."""

from __future__ import annotations

import math
from itertools import permutations

import pytest

from tracer.circuit.elements import Setting
from tracer.circuit.evidence import Weighing
from tracer.circuit.expect import expect
from tracer.circuit.explain import explain
from tracer.circuit.judge import judge
from tracer.circuit.plan import plan
from tracer.circuit.prove import prove
from tracer.circuit.results import Meter, Reading, Tint, Verdict
from tracer.circuit.wiring import parse_wiring

SUPPLY = parse_wiring("""\
bank MAINS: Off, On
rail HT1
diode D1: a=AC k=RAW; type=silicon
resistor R1: 1=RAW 2=HT1; 1k; tol=10%
resistor R2: 1=HT1 2=chassis; 220k; tol=10%
resistor R3: 1=AC 2=chassis; 47; tol=10%
contact S1: common=AC make=X; closed=MAINS:On
""")
POINTS = ("AC", "RAW", "HT1", "chassis")


@pytest.mark.parametrize("pair", list(permutations(POINTS, 2)))
@pytest.mark.parametrize("ohms", [0.0, 45.0, 500.0, 1.1e3, 150e3, 221e3, math.inf])
def test_the_verdict_is_that_of_the_expectation(pair: tuple[str, str], ohms: float) -> None:
    verdict = judge(expect(SUPPLY, *pair), ohms, False, Meter())
    reading = Reading(*pair, ohms, Setting(), False, 1)
    assert prove(SUPPLY, [reading]).verdicts == ((1, verdict),)


def test_a_blocked_diode_that_conducts_is_found() -> None:
    # Backwards across D1: 220k + 1k round it at least; 500 ohms can only be the diode itself.
    short = Reading("RAW", "AC", 500.0, Setting(), False, 1)
    proof = prove(SUPPLY, [short])
    assert proof.verdicts == ((1, Verdict.LOW),)
    assert "D1" in {name for name, tint in proof.tints if tint is not Tint.NOT_MEASURED}


def test_leads_the_wrong_way_round_are_offered() -> None:
    # Forwards the diode shows a few hundred ohms; meant was the blocked way, 50 MΩ and more beside 221k.
    causes = explain(SUPPLY, Reading("RAW", "AC", 900.0, Setting()))
    swapped = next(each for each in causes if each.says.startswith("The leads are the wrong way round"))
    assert swapped.then_measure is not None
    assert (swapped.then_measure.start, swapped.then_measure.end) == ("RAW", "AC")
    plain = explain(SUPPLY, Reading("AC", "chassis", 9.0, Setting()))
    assert not any("wrong way" in each.says for each in plain)


def test_both_ways_round_a_diode_do_not_contradict() -> None:
    forward = Reading("AC", "RAW", 600.0, Setting(), False, 1)
    back = Reading("RAW", "AC", 221e3, Setting(), False, 2)
    tints = dict(prove(SUPPLY, [forward, back]).tints)
    assert not {Tint.BAD, Tint.SUSPECT, Tint.CONTRADICTED} & set(tints.values())


def test_what_is_weighed_is_not_weighed_again() -> None:
    known = Weighing(SUPPLY)
    first = Reading("HT1", "chassis", 219e3, Setting(), False, 1)
    evidence = known.evidence(first)
    assert known.evidence(Reading("HT1", "chassis", 219e3, Setting({"MAINS": "Off"}), False, 1)) is evidence
    assert prove(SUPPLY, [first], known=known) == prove(SUPPLY, [first])
    proof = prove(SUPPLY, [first], known=known)
    assert plan(SUPPLY, [first], proof=proof, known=known) == plan(SUPPLY, [first])
    assert explain(SUPPLY, first, known=known) == explain(SUPPLY, first)
    assert Weighing.of(SUPPLY, Meter(), known) is known
    assert Weighing.of(SUPPLY, Meter(error=0.1), known) is not known

"""Readings that share parts: their currents under a fault, and what one tells of the other."""

from __future__ import annotations

import math

import numpy as np
import pytest

from tests.circuit.made_sets import made_set
from tracer.circuit.correlated import Together
from tracer.circuit.elements import CHASSIS, Setting
from tracer.circuit.evidence import Weighing
from tracer.circuit.explain import explain
from tracer.circuit.results import Meter, Reading
from tracer.circuit.sweep import Corner
from tracer.circuit.wiring import parse_wiring


@pytest.mark.parametrize("seed", range(3))
def test_currents_under_a_fault_are_those_of_the_faulty_network(seed: int) -> None:
    known = Weighing(made_set(seed, 1 + seed), Meter())
    for end in ("V1.1", "V1.2", "T1.sec.1"):
        evidence = known.evidence(Reading(CHASSIS, end, 10e3, Setting()))
        corner = evidence.corners.middle()
        (bound,) = Together.of([evidence], 1).bound or (None,)
        assert bound is not None
        for number in range(len(evidence.network.branches)):
            for value in (0.0, 777.0, math.inf):
                ohms = corner.ohms.copy()
                ohms[number] = value
                faulty = Corner(corner.graph, ohms)
                if math.isinf(faulty.resistance(evidence.start, evidence.end)):
                    continue
                live = np.isfinite(ohms) & (corner.ohms > 0.0)
                live[number] = False
                found = bound.drops(number, np.array([value]))[0]
                whole = faulty.volts_across(evidence.start, evidence.end)
                assert found[live] / ohms[live] == pytest.approx(whole[live] / ohms[live], abs=1e-5)


def test_what_another_reading_says_of_a_shared_part_counts() -> None:
    # R1 is 9 % up as the second reading tells, so the first asks no drift of R2 beyond its own limit.
    chain = parse_wiring("""\
rail HT1
resistor R1: 1=HT1 2=a; 100k; tol=10%
resistor R2: 1=a 2=chassis; 10k; tol=10%
resistor R3: 1=a 2=b; 10k; tol=10%
""")
    first = Reading("HT1", "chassis", 128e3, Setting(), False, 1)
    high, low = (Reading("HT1", "a", ohms, Setting(), False, 2) for ohms in (109e3, 91e3))
    drift = [
        next(each for each in explain(chain, first, others=[other]) if each.element == "R2").value
        for other in (high, low)
    ]
    assert drift[0] == pytest.approx(128e3 - 109e3, rel=0.15)
    assert drift[1] == pytest.approx(128e3 - 91e3, rel=0.15)

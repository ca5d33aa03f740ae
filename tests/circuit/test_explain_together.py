"""Several readings judged together: what fits all of them, and what no single one could tell."""

from __future__ import annotations

import math

import pytest

from tracer.circuit.elements import Setting
from tracer.circuit.evidence import Weighing
from tracer.circuit.explain import explain, explain_together
from tracer.circuit.priors import load_priors
from tracer.circuit.results import CauseKind, Meter, Reading
from tracer.circuit.together import fit
from tracer.circuit.wiring import parse_wiring

CHAIN = parse_wiring("""\
rail HT1
wire W1: 1=HT1 2=a
resistor R1: 1=a 2=b; 10k; tol=10%
wire W2: 1=b 2=c
resistor R2: 1=c 2=d; 47k; tol=10%
wire W3: 1=d 2=chassis
resistor R3: 1=d 2=e; 22k; tol=10%
""")


def reading(start: str, end: str, ohms: float, number: int = 0) -> Reading:
    return Reading(start, end, ohms, Setting(), False, number)


def test_two_failing_readings_part_what_one_leaves_open() -> None:
    whole = reading("HT1", "chassis", math.inf, 1)
    alone = {cause.element for cause in explain(CHAIN, whole) if cause.kind is CauseKind.OPEN}
    assert {"R1", "R2"} <= alone
    together = explain(CHAIN, whole, others=[reading("R1.2", "chassis", math.inf, 2)])
    opened = {cause.element for cause in together if cause.kind is CauseKind.OPEN}
    assert "R2" in opened
    assert "R1" not in opened


def test_a_passing_reading_clears_what_it_went_through() -> None:
    failed, passed = reading("HT1", "chassis", math.inf, 2), reading("HT1", "R1.2", 10.1e3, 1)
    causes = explain(CHAIN, failed, others=[passed])
    assert causes[0].element == "R2"
    assert not any(cause.element in ("R1", "W1") for cause in causes)
    wires = next(cause for cause in causes if cause.element in ("W2", "W3"))
    assert set(wires.elements) <= {"W2", "W3"}
    assert "W1" not in wires.says


def test_one_value_must_fit_all_readings() -> None:
    # R2 at 80k: 90k from HT1 and 80k from c; R1 would need 43k for the one and cannot explain the other.
    causes = explain(CHAIN, reading("HT1", "chassis", 90e3, 1), others=[reading("R2.1", "chassis", 80e3, 2)])
    assert (causes[0].kind, causes[0].element) == (CauseKind.DRIFTED, "R2")
    assert causes[0].value == pytest.approx(80e3, rel=0.03)
    assert not any(cause.element == "R1" for cause in causes)


def test_two_faults_are_paired_where_no_one_fits_both() -> None:
    # R1 at 18k alone would read 65k from end to end, R2 at 88k alone 10k over R1.
    failing = [reading("HT1", "R1.2", 18e3, 1), reading("HT1", "chassis", 98e3, 2)]
    (told,) = explain_together(CHAIN, failing)
    assert told.readings == tuple(failing)
    assert told.causes[0].kind is CauseKind.PAIR
    assert "R1 (10k) would have to be 18k" in told.causes[0].says
    assert "R2 (47k) would have to be" in told.causes[0].says


def test_a_habit_explains_all_that_failed() -> None:
    # Skin beside a high resistance at every reading, rather than three bad parts.
    grids = parse_wiring(
        "".join(f"resistor R{n}: 1=g{n} 2=chassis; 4M7; tol=10%\n" for n in (1, 2, 3)), "grids"
    )
    failing = [reading(f"g{n}", "chassis", 1.5e6, n) for n in (1, 2, 3)]
    (told,) = explain_together(grids, failing)
    assert told.causes[0].kind is CauseKind.FINGERS


def test_faults_far_apart_are_explained_apart() -> None:
    apart = parse_wiring("".join(f"resistor R{n}: 1=g{n} 2=k{n}; 4k7; tol=10%\n" for n in (1, 2, 3)), "apart")
    failing = [reading(f"g{n}", f"k{n}", ohms, n) for n, ohms in ((1, 8e3), (2, 2e3), (3, 12e3))]
    told = explain_together(apart, failing)
    assert [len(each.readings) for each in told] == [1, 1, 1]
    assert [each.causes[0].element for each in told] == ["R1", "R2", "R3"]


def test_nothing_to_explain_where_all_passed() -> None:
    assert explain_together(CHAIN, [reading("HT1", "R1.2", 10e3, 1)]) == ()


def test_heaters_side_by_side_cannot_be_told() -> None:
    heaters = parse_wiring("""\
transformer T1: sec.1=H sec.2=chassis; ohms.sec=0.1; tol=10%
valve V1: h/4=H h/5=chassis; heater=6.3V/0.3A
valve V2: h/4=H h/5=chassis; heater=6.3V/0.3A
""")
    causes = explain(heaters, reading("H", "chassis", 0.3))
    assert causes[0].kind is CauseKind.AS_EXPECTED
    hidden = causes[1]
    assert hidden.kind is CauseKind.UNTELLABLE
    assert hidden.says == (
        "Cannot tell whether the heater of V1 or V2 is open: pull V1 and measure it by itself."
    )
    assert hidden.then_measure is not None
    assert hidden.then_measure.setting.lifted == {"V1.h/4"}
    assert (hidden.then_measure.low, hidden.then_measure.high) == (None, None)


def test_a_fault_that_bears_on_no_other_reading_is_as_likely_as_before() -> None:
    weighing = Weighing(CHAIN, Meter())
    failed = weighing.evidence(reading("HT1", "R1.2", 18e3, 1))
    other = weighing.evidence(reading("R3.1", "R3.2", 22e3, 2))
    branch = failed.network.branches[failed.network.number_of_branch["R1"]]
    one = fit(CauseKind.DRIFTED, branch, [failed], load_priors())
    both = fit(CauseKind.DRIFTED, branch, [failed, other], load_priors())
    assert both.likely == pytest.approx(one.likely)
    assert both.value == pytest.approx(18e3, rel=0.02)

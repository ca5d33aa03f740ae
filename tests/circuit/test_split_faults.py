"""Pots and tapped windings as causes and as proof: one total whose division is not known."""

from __future__ import annotations

import math

import pytest

from tracer.circuit.elements import Setting
from tracer.circuit.explain import explain
from tracer.circuit.prove import prove
from tracer.circuit.results import Cause, CauseKind, Reading, Tint
from tracer.circuit.wiring import parse_wiring

VOLUME = parse_wiring("""\
bank INPUT: Mic, Disc
wire W1: 1=A 2=top
contact S1: common=top make=IN; closed=INPUT:Mic
pot P1: 1=chassis w=slider 2=top; 500k; tol=20%
wire W2: 1=slider 2=stub
capacitor C1: 1=stub 2=G; .05
resistor R1: 1=G 2=chassis; 1M; tol=10%
""")


def why(start: str, end: str, ohms: float) -> list[Cause]:
    return list(explain(VOLUME, Reading(start, end, ohms, Setting())))


def of(causes: list[Cause], kind: CauseKind, element: str) -> Cause:
    return next(cause for cause in causes if (cause.kind, cause.element) == (kind, element))


def test_a_drifted_total_is_named_and_what_is_in_series_is_what_is_left() -> None:
    # 500k in series with the contact: the total alone 1M5, or the contact the 1M that is missing.
    causes = why("IN", "chassis", 1.5e6)
    pot = of(causes, CauseKind.DRIFTED, "P1")
    assert pot.value == pytest.approx(1.5e6, rel=1e-3)
    assert pot.says == "P1 (500k) would have to be 1M5, 200 % high."
    assert pot.then_measure is not None
    assert {pot.then_measure.start, pot.then_measure.end} == {"P1.2", "chassis"}
    assert of(causes, CauseKind.CONTACT, "S1").value == pytest.approx(1e6, rel=1e-3)


def test_an_open_track_is_one_cause_where_its_side_cannot_be_told() -> None:
    causes = why("A", "chassis", math.inf)
    assert of(causes, CauseKind.OPEN, "P1").says == "P1 (500k) is open on one side."
    sides = [cause for cause in why("P1.w", "chassis", math.inf) if cause.kind is CauseKind.OPEN]
    assert "P1 (500k) between 1 and w is open." in [cause.says for cause in sides]


def test_a_wiper_may_not_touch_or_touch_badly() -> None:
    lost = of(why("P1.w", "A", math.inf), CauseKind.CONTACT, "P1")
    assert lost.says == "P1's wiper does not touch its track."
    half = Setting(wipers={"P1": 0.5})
    assert not any(
        cause.element == "P1" and cause.kind is CauseKind.CONTACT for cause in why("A", "chassis", 9e5)
    )
    assert explain(VOLUME, Reading("A", "chassis", 5e5, half))[0].kind is CauseKind.AS_EXPECTED


def test_where_the_wiper_matters_the_total_is_bounded_by_the_reading() -> None:
    causes = why("P1.w", "chassis", 1.5e6)
    assert of(causes, CauseKind.DRIFTED, "P1").says == "P1 (500k) would have to be at least 1M5, 200 % high."


def test_a_wiper_with_dirt_on_it_has_its_ohms() -> None:
    at_end = Setting(wipers={"P1": 0.0})
    causes = list(explain(VOLUME, Reading("P1.w", "chassis", 40e3, at_end)))
    assert of(causes, CauseKind.CONTACT, "P1").says == "P1's wiper touches badly: it would have to add 40k."


def test_a_winding_is_named_by_its_outer_ends() -> None:
    text = "transformer T1: sec.1=A sec.tap=chassis sec.2=B; ohms.sec=200; tol=10%\n"
    causes = explain(parse_wiring(text), Reading("A", "B", 400.0, Setting()))
    assert of(list(causes), CauseKind.DRIFTED, "T1").says.startswith("T1 between sec.1 and sec.2 would have")


def test_a_total_is_pinned_where_the_pair_sees_it_alone() -> None:
    across = Reading("A", "chassis", 510e3, Setting(), False, 1)
    proof = prove(VOLUME, [across])
    assert dict(proof.tints)["P1"] is Tint.NOT_MEASURED  # nothing went through its wiper yet
    both = prove(VOLUME, [across, Reading("P1.w", "chassis", 210e3, Setting(), False, 2)])
    assert dict(both.tints)["P1"] is Tint.PINNED
    pinned = next(each for each in proof.pinned if each.part == "P1")
    # ± 1 % and two counts of the meter about 510k, and what the wiper's capacitor may leak beside it.
    assert pinned.low == pytest.approx(503e3, rel=0.005)
    assert pinned.high == pytest.approx(518e3, rel=0.005)


def test_through_the_wiper_nothing_is_pinned() -> None:
    proof = prove(VOLUME, [Reading("P1.w", "chassis", 210e3, Setting(), False, 1)])
    assert dict(proof.tints)["P1"] is Tint.NOT_MEASURED
    assert not proof.pinned


def test_a_drifted_pot_is_suspect() -> None:
    proof = prove(VOLUME, [Reading("P1.1", "P1.2", 1.5e6, Setting(), False, 1)])
    assert dict(proof.tints)["P1"] is Tint.BAD


def test_a_wiper_moved_between_two_readings_clears_no_drifted_pot() -> None:
    # A total of 1M5, the wiper moved: to read 900k, and then 1M2, one side alone would have to be both.
    readings = [
        Reading("P1.1", "P1.w", 900e3, Setting(), False, 1),
        Reading("P1.1", "P1.w", 1.2e6, Setting(), False, 2),
    ]
    assert dict(prove(VOLUME, readings).tints)["P1"] is Tint.BAD

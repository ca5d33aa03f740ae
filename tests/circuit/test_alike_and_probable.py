"""Settings that answer alike, and the probable range against closed forms and samples."""

from __future__ import annotations

import math
import random

import numpy as np
import pytest

from tracer.circuit.alike import expect_in_every_setting
from tracer.circuit.elements import Setting
from tracer.circuit.expect import expect
from tracer.circuit.results import Open
from tracer.circuit.settings import every_setting
from tracer.circuit.wiring import parse_wiring

SWITCHED = parse_wiring("""\
bank INPUT: Mic, Disc, Tape
bank TONE: Bass, Treble; keys
bank SPARE: A, B
rail HT
contact S1: common=HT make=A; closed=INPUT:Mic
contact S2: common=HT make=A; closed=INPUT:Tape&TONE:Bass
resistor R1: 1=A 2=B; 47k; tol=10%
resistor R2: 1=B 2=chassis; 1M; tol=10%
""")


def test_banks_that_do_not_matter_are_not_named() -> None:
    found = expect_in_every_setting(SWITCHED, "HT", ["B"])
    assert [(each.words, each.expectation.open) for each in found] == [
        ("INPUT at Mic; or INPUT at Tape, TONE at Bass", Open.NEVER),
        ("INPUT at Disc; or INPUT at Tape, TONE at Treble or none", Open.ALWAYS),
    ]
    assert not any("SPARE" in each.words for each in found)
    (only,) = expect_in_every_setting(SWITCHED, "B", ["chassis"])
    assert only.words == ""
    assert len(only.settings) == len(list(every_setting(SWITCHED)))


def test_each_answer_holds_in_each_of_its_settings() -> None:
    for each in expect_in_every_setting(SWITCHED, "HT"):
        for setting in each.settings:
            one = expect(SWITCHED, "HT", each.expectation.end, setting)
            assert one.open is each.expectation.open
            assert one.expected == pytest.approx(each.expectation.expected)


def test_what_is_lifted_stays_lifted() -> None:
    lifted = Setting(lifted=frozenset({"R1.1"}))
    (only,) = expect_in_every_setting(SWITCHED, "HT", ["B"], lifted)
    assert only.expectation.ends_open


def test_series_tolerances_add_by_the_root_of_the_sum_of_squares() -> None:
    # 100k and 100k in a row, ± 10 % each: ± 10k·√2 (JCGM 100:2008, 5.1.2).
    row = parse_wiring("resistor R1: 1=A 2=B; 100k; tol=10%\nresistor R2: 1=B 2=C; 100k; tol=10%\n")
    assert expect(row, "A", "C").probable == pytest.approx(
        (200e3 - 10e3 * math.sqrt(2), 200e3 + 10e3 * math.sqrt(2))
    )


def test_side_by_side_each_counts_by_the_square_of_its_current() -> None:
    # 100 beside 300: dR/dR1 = (3/4)², dR/dR2 = (1/4)² by the textbook derivative of R1·R2/(R1 + R2).
    pair = parse_wiring("resistor R1: 1=A 2=B; 100; tol=10%\nresistor R2: 1=A 2=B; 300; tol=20%\n")
    spread = math.hypot(10 * 9 / 16, 60 / 16)
    assert expect(pair, "A", "B").probable == pytest.approx((75 - spread, 75 + spread))


def test_sections_of_one_pot_move_together() -> None:
    pot = parse_wiring("pot P1: 1=A w=W 2=B; 100k; tol=20%\n")
    assert expect(pot, "A", "B").probable == pytest.approx((80e3, 120e3))
    assert expect(pot, "A", "W").probable is None
    assert expect(pot, "A", "B", Setting(wipers={"P1": 0.3})).probable == pytest.approx((80e3, 120e3))


def test_most_random_sets_lie_within_it() -> None:
    source = random.Random(5)
    parts = [f"resistor R{k}: 1=N{k} 2=N{k + 1}; 10k; tol=10%" for k in range(8)]
    probable = expect(parse_wiring("\n".join(parts)), "N0", "N8").probable
    assert probable is not None
    sums = [sum(source.uniform(9e3, 11e3) for _ in range(8)) for _ in range(2000)]
    within = np.mean([probable[0] <= each <= probable[1] for each in sums])
    # Limits taken as one and 0.577 of them as the standard deviation (uniform): ± 1.73 σ holds about 92 %.
    assert 0.88 < within < 0.96


def test_a_pair_that_should_end_open_is_told_from_an_unknown_one() -> None:
    circuit = parse_wiring("capacitor C1: +=A -=chassis; 16u\nresistor R1: 1=A 2=B\n")
    ends_open = expect(circuit, "A", "chassis")
    assert ends_open.expected is None
    assert ends_open.ends_open
    assert ends_open.open is Open.MAYBE
    assert "Should end open, but for what sound parts leak: C1." in ends_open.notes
    unknown = expect(circuit, "A", "B")
    assert unknown.expected is None
    assert not unknown.ends_open
    assert not any("end open" in note for note in unknown.notes)

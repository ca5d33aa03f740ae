"""Expectations as a person at the bench reads them."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from hypothesis import given, settings

from tests.circuit.networks import staged_set
from tests.circuit.test_search import lists
from tracer.circuit.elements import Setting
from tracer.circuit.expect import expect, expect_all
from tracer.circuit.results import Expectation, Meter, Open
from tracer.circuit.wiring import parse_wiring
from tracer.errors import SamePoint, UnknownPoint, UnknownPosition

SUPPLY = parse_wiring("""\
bank INPUT: Off, Disc, Tape
rail HT1, HT2
transformer T1: pri.1=M1 pri.2=M2 sec.1=B sec.tap=chassis sec.2=D; ohms.pri=30; ohms.sec=180; tol=10%
diode D1: a=B k=HT1; type=silicon
diode D2: a=D k=HT1; type=silicon
resistor R1: 1=HT1 2=HT2; 1k; tol=10%
capacitor C1: +=HT1 -=chassis; 16u; rated=450V
capacitor C2: +=HT2 -=chassis; 16u; rated=450V
resistor R5: 1=HT2 2=N1; 100k; tol=10%
valve V1: a/1=N1 g1/2=G k/3=K h/4=H1 h/5=H2; heater=6.3V/0.3A
capacitor C9: 1=N1 2=Q; .01; type=film
resistor R9: 1=G 2=chassis; 1M; tol=20%
resistor R6: 1=K 2=chassis; 2k2
pot P1: 1=A w=W 2=chassis; 500k; tol=20%; at=0.5
contact S1: common=A make=G; closed=INPUT:Disc,Tape
coil L2: 1=K 2=KK
wire W1.1: 1=KK 2=KJ
wire W1.2: 1=Z1 2=Z2
""")
DISC = Setting(banks={"INPUT": "Disc"})


def test_a_rail_through_two_resistors() -> None:
    line = expect(SUPPLY, "HT1", "V1.1")
    assert (line.low, line.expected, line.high) == (
        pytest.approx(90.9e3, rel=2e-2),
        101e3,
        pytest.approx(111.1e3),
    )
    assert [(each.part, pytest.approx(each.share)) for each in line.through] == [
        ("R5", 100 / 101),
        ("R1", 1 / 101),
    ]
    assert line.open is Open.NEVER
    assert line.blocked_by == ()
    assert line.accept_low is not None
    assert line.accept_high is not None
    assert line.accept_low < line.low < line.high < line.accept_high


def test_a_pin_may_be_named_by_its_electrode() -> None:
    by_pin, by_name = expect(SUPPLY, "HT1", "V1.1"), expect(SUPPLY, "HT1", "V1.a")
    assert (by_pin.low, by_pin.high) == (by_name.low, by_name.high)


def test_a_rail_to_chassis_climbs_towards_open_and_says_what_blocks() -> None:
    """With the positive lead on the rail both diodes are blocked; only sound leakage may show."""
    line = expect(SUPPLY, "HT1", "chassis")
    assert line.open is Open.MAYBE
    assert line.low == pytest.approx(1 / (2 * 16e-6 * 1.2 / 100 + 2 / 50e6), rel=0.01)
    assert line.expected is None
    assert line.high is None
    assert set(line.blocked_by) == {"C1", "C2", "D1", "D2"}
    assert line.settles_s > 0.1
    assert "Should end open, but for what sound parts leak: D1, D2, C1, C2." in line.notes


def test_with_the_leads_swapped_the_diodes_may_conduct() -> None:
    line = expect(SUPPLY, "chassis", "HT1")
    assert line.low is not None
    assert line.low < 200.0
    assert line.high is None
    assert line.open is Open.MAYBE
    assert any(note.startswith("D1, D2: it conducts one way only") for note in line.notes)


def test_a_winding_across_blocked_diodes_reads_its_own_ohms() -> None:
    line = expect(SUPPLY, "T1.sec.1", "T1.sec.2")
    assert (line.low, line.expected, line.high) == (
        pytest.approx(162.0, rel=1e-4),
        180.0,
        pytest.approx(198.0),
    )


def test_a_pair_that_only_a_good_capacitor_joins_is_always_open() -> None:
    line = expect(SUPPLY, "V1.a", "Q")
    assert line.open is Open.ALWAYS
    assert (line.low, line.expected, line.high, line.accept_low, line.accept_high) == (None,) * 5
    assert line.blocked_by == ("C9",)
    assert line.through == ()


def test_a_contact_that_is_open_is_what_blocks() -> None:
    line = expect(SUPPLY, "V1.g1", "P1.1")
    assert line.open is Open.NEVER  # both reach the chassis
    apart = expect(parse_wiring("bank B: Off, On\ncontact S1: common=A make=C; closed=B:On"), "A", "C")
    assert apart.open is Open.ALWAYS
    assert apart.blocked_by == ("S1",)


def test_two_blockers_in_a_row_are_both_named() -> None:
    text = "capacitor C1: 1=A 2=M; .1\ncapacitor C2: 1=M 2=B; .1\nresistor R1: 1=B 2=C; 1k"
    assert expect(parse_wiring(text), "A", "C").blocked_by == ("C1", "C2")


def test_nothing_blocks_where_nothing_leads() -> None:
    line = expect(SUPPLY, "T1.pri.1", "HT1")
    assert line.open is Open.ALWAYS
    assert line.blocked_by == ()


def test_a_switch_setting_changes_the_way() -> None:
    off, disc = expect(SUPPLY, "V1.g1", "chassis"), expect(SUPPLY, "V1.g1", "chassis", DISC)
    assert off.expected == pytest.approx(1e6)
    assert disc.expected == pytest.approx(1e6 * 500e3 / 1.5e6)
    assert [each.part for each in disc.through] == ["P1", "R9"]


def test_a_valve_out_of_its_socket_has_no_heater() -> None:
    assert expect(SUPPLY, "V1.4", "V1.5").expected == pytest.approx(3.5)
    out = expect(SUPPLY, "V1.4", "V1.5", Setting(out=frozenset({"V1"})))
    assert out.open is Open.ALWAYS
    assert out.blocked_by == ("V1",)


def test_a_lifted_end_frees_the_part() -> None:
    lifted = Setting(lifted=frozenset({"R9.1"}))
    assert expect(SUPPLY, "R9.1", "chassis", lifted).expected == pytest.approx(1e6)
    grid = expect(SUPPLY, "V1.g1", "chassis", lifted)
    assert grid.open is Open.ALWAYS
    assert "R9" in grid.blocked_by
    assert expect(SUPPLY, "R9.1", "V1.g1", lifted).blocked_by == ("R9", "S1")


def test_an_unknown_winding_leaves_no_expected_ohms_but_limits() -> None:
    line = expect(SUPPLY, "K", "KK")
    assert (line.low, line.expected) == (0.0, None)
    assert line.high == pytest.approx(5e3)
    assert any(note.startswith("L2: no ohms given") for note in line.notes)


def test_a_value_without_tolerance_is_told() -> None:
    assert "R6: no tolerance given, ±20% is taken." in expect(SUPPLY, "K", "chassis").notes


def test_wire_alone_reads_nought() -> None:
    line = expect(SUPPLY, "Z1", "Z2")
    assert (line.low, line.expected, line.high) == (0.0, 0.0, pytest.approx(0.1))
    assert line.through == ()


def test_two_terminals_of_one_conductor_read_nought() -> None:
    line = expect(SUPPLY, "R1.2", "R5.1")
    assert (line.low, line.expected, line.high) == (0.0, 0.0, 0.0)
    assert line.notes == ("R1.2 and R5.1 are one conductor.",)


@pytest.mark.parametrize(("start", "end"), [("HT1", "HT1"), ("V1.1", "V1.a"), ("R1.1", "r1.1")])
def test_both_leads_on_one_terminal_are_refused(start: str, end: str) -> None:
    with pytest.raises(SamePoint):
        expect(SUPPLY, start, end)


def test_unknown_points_and_positions_are_refused() -> None:
    with pytest.raises(UnknownPoint, match="HT1"):
        expect(SUPPLY, "HT11", "chassis")
    with pytest.raises(UnknownPosition):
        expect(SUPPLY, "HT1", "chassis", Setting(banks={"INPUT": "Radio"}))


def test_an_unknown_wiper_that_does_not_matter_leaves_the_expected_ohms() -> None:
    pot = parse_wiring("pot P1: 1=A w=W 2=B; 500k; tol=20%\nresistor R1: 1=A 2=B; 500k; tol=20%")
    assert expect(pot, "A", "B").expected == pytest.approx(250e3)
    assert expect(pot, "W", "B").expected is None


def alike(one: Expectation, other: Expectation) -> bool:
    """Compare two lines, numbers to rounding."""
    numbers = ("low", "expected", "high", "accept_low", "accept_high", "settles_s")
    for name in numbers:
        mine, theirs = getattr(one, name), getattr(other, name)
        within = 3e-3 if name == "settles_s" else 1e-9
        assert mine == (theirs if theirs is None else pytest.approx(theirs, rel=within))
    assert [each.part for each in one.through] == [each.part for each in other.through]
    assert [each.share for each in one.through] == pytest.approx([each.share for each in other.through])
    assert (one.probable or ()) == pytest.approx(other.probable or ())
    bare = dict.fromkeys((*numbers, "probable"), None)
    return replace(one, through=(), **bare) == replace(other, through=(), **bare)


@pytest.mark.parametrize("setting", [Setting(), DISC, Setting(lifted=frozenset({"R1.2"}))])
def test_all_at_once_are_as_one_by_one(setting: Setting) -> None:
    for start in ("chassis", "HT1"):
        every = expect_all(SUPPLY, start, setting)
        assert len(every) > 20
        for line in every:
            assert alike(line, expect(SUPPLY, start, line.end, setting))


def test_all_at_once_to_chosen_ends() -> None:
    lines = expect_all(SUPPLY, "chassis", ends=["K", "G"])
    assert [line.end for line in lines] == ["K", "G"]
    with pytest.raises(SamePoint):
        expect_all(SUPPLY, "chassis", ends=["chassis"])


@settings(max_examples=80, deadline=None)
@given(lists())
def test_every_line_is_in_order(text: str) -> None:
    """Low ≤ expected ≤ high, shares sum to 1 (Tellegen 1952), and nothing is NaN."""
    circuit = parse_wiring(text + "\nresistor R99: 1=A 2=B; 1M")
    for line in expect_all(circuit, "A"):
        known = [value for value in (line.low, line.expected, line.high) if value is not None]
        assert known == sorted(known) or max(known) - min(known) < 1e-6 * max(known)
        assert not any(math.isnan(value) for value in known)
        if line.through:
            assert sum(each.share for each in line.through) == pytest.approx(1.0, abs=0.02)
        if line.expected is not None and line.low is not None and line.high is not None:
            assert line.low * (1 - 1e-9) <= line.expected <= line.high * (1 + 1e-9)


def test_shares_of_a_large_set_sum_to_one() -> None:
    line = expect(staged_set(12), "HT", "R7c.l", meter=Meter())
    assert sum(each.share for each in line.through) == pytest.approx(1.0, abs=1e-3)
    assert all(not each.part.startswith(("W", "E")) for each in line.through)


def test_all_at_once_are_as_one_by_one_with_unknown_wipers() -> None:
    circuit = staged_set(6, pots=3)
    ends = ["HT", "anode0", "grid1", "anode2", "grid3", "cathode4", "rail5", "P1.w", "R4e.l"]
    for line in expect_all(circuit, "chassis", ends=ends):
        single = expect(circuit, "chassis", line.end)
        assert line.low == pytest.approx(single.low, rel=1e-9)
        assert line.high == pytest.approx(single.high, rel=2e-3)
        assert line.expected == (None if single.expected is None else pytest.approx(single.expected))
        assert line.open is single.open

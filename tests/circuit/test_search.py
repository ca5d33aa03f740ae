"""The limits of a pair hold every network whose parts lie within theirs."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tracer.circuit.network import Network, build_network
from tracer.circuit.search import least_and_most
from tracer.circuit.solve import Ohms, resistance
from tracer.circuit.wiring import parse_wiring

NODES = "ABCDE"
PARTS = st.sampled_from(["resistor", "pot", "coil", "wire", "transformer", "diode", "capacitor"])
VALUES = st.sampled_from(["10", "1k", "47k", "1M"])


@st.composite
def lists(draw: st.DrawFn) -> str:
    """Draw a wiring list of up to nine parts between five nodes."""
    lines = []
    for number in range(draw(st.integers(1, 9))):
        a, b, w = (draw(st.sampled_from(NODES)) for _ in range(3))
        value = draw(VALUES)
        lines.append(
            {
                "resistor": f"resistor R{number}: 1={a} 2={b}; {value}; tol=20%",
                "pot": f"pot P{number}: 1={a} w={w} 2={b}; {value}; tol=20%",
                "coil": f"coil L{number}: 1={a} 2={b}; ohms={value}",
                "wire": f"wire W{number}: 1={a} 2={b}",
                "transformer": f"transformer T{number}: s.1={a} s.ct={w} s.2={b}; ohms.s={value}",
                "diode": f"diode D{number}: a={a} k={b}",
                "capacitor": f"capacitor C{number}: 1={a} 2={b}; 8u",
            }[draw(PARTS)]
        )
    return "\n".join(lines)


def sample(network: Network, rng: np.random.Generator) -> Ohms:
    """Draw branch ohms within every limit, splits sharing their totals."""
    high = np.where(np.isfinite(network.high), network.high, network.low * 1e3 + 1e6)
    ohms = network.low + (high - network.low) * rng.choice([0.0, 0.5, 1.0, rng.random()], len(high))
    for split, branches in zip(network.splits, network.split_numbers, strict=True):
        total = split.total.low + (split.total.high - split.total.low) * rng.choice([0.0, 1.0, rng.random()])
        spare = 1.0 - split.least * len(branches)
        parts = split.least + spare * rng.dirichlet(np.full(len(branches), rng.choice([0.05, 1.0])))
        ohms[list(branches)] = total * parts
    return ohms


@settings(max_examples=120, deadline=None)
@given(lists(), st.integers(0, 2**32 - 1))
def test_limits_hold_every_network_drawn_within_them(text: str, seed: int) -> None:
    """Rayleigh (1871) for independent parts; concavity (Thomson's principle) for shared totals."""
    network = build_network(parse_wiring(text + "\nresistor R99: 1=A 2=B; 1M"))
    start, end = network.number_of["A"], network.number_of["B"]
    low, high = least_and_most(network, start, end)
    rng = np.random.default_rng(seed)
    for _ in range(12):
        found = resistance(network.graph, sample(network, rng), start, end)
        assert low * (1 - 1e-9) <= found <= high * (1 + 1e-9)


def pair(text: str, start: str, end: str) -> tuple[float, float]:
    network = build_network(parse_wiring(text))
    return least_and_most(network, network.number_of[start], network.number_of[end])


def test_a_pot_from_end_to_end_is_its_total() -> None:
    assert pair("pot P1: 1=A w=W 2=B; 500k; tol=20%", "A", "B") == pytest.approx((400e3, 600e3))


def test_a_wiper_to_one_end_reaches_from_nought_to_the_total() -> None:
    """The wiper itself may add a hundredth of the track."""
    assert pair("pot P1: 1=A w=W 2=B; 500k; tol=20%", "W", "B") == pytest.approx((0.0, 606e3))


def test_a_wiper_against_both_ends_joined_is_at_most_a_quarter() -> None:
    """x·(1 - x) of the total is greatest in the middle; the wiper may add a hundredth of the track."""
    low, high = pair("pot P1: 1=A w=W 2=A; 1M; tol=0%", "W", "A")
    assert low == 0.0
    assert 260e3 <= high <= 260e3 * 1.001


def test_two_such_pots_in_series_each_reach_their_own_middle() -> None:
    text = "pot P1: 1=A w=W 2=A; 1M; tol=0%\npot P2: 1=W w=B 2=W; 400k; tol=0%"
    low, high = pair(text, "A", "B")
    assert low == 0.0
    assert 364e3 - 1.0 <= high <= 364e3 * 1.001


def test_a_grid_of_wiper_places_never_beats_the_limit_and_nearly_reaches_it() -> None:
    """A brute-force grid over both wipers, with a resistor across them."""
    pots = "pot P1: 1=A w=X 2=B; 100k; tol=0%\npot P2: 1=A w=Y 2=B; 220k; tol=0%\n"
    text = f"{pots}resistor R1: 1=X 2=Y; 33k; tol=0%"
    network = build_network(parse_wiring(text))
    start, end = network.number_of["A"], network.number_of["X"]
    found = []
    for x in np.linspace(0, 1, 41):
        for y in np.linspace(0, 1, 41):
            for wipers in (network.low[[2, 5]], network.high[[2, 5]]):
                ohms = network.low.copy()
                ohms[[0, 1, 3, 4]] = 100e3 * x, 100e3 * (1 - x), 220e3 * y, 220e3 * (1 - y)
                ohms[[2, 5]] = wipers
                found.append(resistance(network.graph, ohms, start, end))
    low, high = least_and_most(network, start, end)
    assert low == pytest.approx(min(found), abs=1e-6)
    assert max(found) <= high <= max(found) * 1.005


def test_a_centre_tap_lies_near_the_middle() -> None:
    text = "transformer T1: s.1=A s.ct=M s.2=B; ohms.s=200; tol=0%"
    assert pair(text, "A", "B") == pytest.approx((200.0, 200.0))
    assert pair(text, "A", "M") == pytest.approx((80.0, 120.0), rel=2e-3)


def test_three_sections_share_a_winding() -> None:
    text = "transformer T1: p.0=A p.210=B p.230=C p.250=D; ohms.p=40; tol=0%"
    assert pair(text, "A", "D") == pytest.approx((40.0, 40.0))
    low, high = pair(text, "B", "D")
    assert low == 0.0
    assert high == pytest.approx(40.0, rel=2e-3)


def test_wipers_that_nothing_meets_leave_the_totals() -> None:
    text = "\n".join(f"pot P{k}: 1=N{k} w=W{k} 2=N{k + 1}; 10k; tol=0%" for k in range(10))
    assert pair(text, "N0", "N10") == pytest.approx((100e3, 100e3))


def test_many_unknown_wipers_fall_back_to_a_safe_lower_limit() -> None:
    # Ten rheostats in series: each from 0 to its whole 10k.
    text = "\n".join(f"pot P{k}: 1=N{k} w=N{k + 1} 2=N{k + 1}; 10k; tol=0%" for k in range(10))
    low, high = pair(text, "N0", "N10")
    assert low == 0.0
    assert high == pytest.approx(100e3, rel=1e-3)


def test_an_open_pair_has_no_upper_limit() -> None:
    assert pair("pot P1: 1=A w=W 2=B; 1M\ndiode D1: a=B k=C", "A", "C")[1] == math.inf

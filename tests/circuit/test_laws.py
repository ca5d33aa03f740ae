"""Pots of different laws on one shaft, against every turn of the shaft tried by itself."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tracer.circuit.elements import Setting
from tracer.circuit.expect import expect
from tracer.circuit.laws import LAWS, part_at, turn_at
from tracer.circuit.network import build_network
from tracer.circuit.search import least_and_most
from tracer.circuit.settings import parse_setting
from tracer.circuit.solve import resistance
from tracer.circuit.wiring import parse_wiring
from tracer.errors import BadWiring

GANGED = """\
pot P1: 1=A w=W 2=B; 100k; tol=0%; law={first}; shaft=BAL
pot P2: 1=B w=W2 2=C; {other}k; tol=0%; law={second}; shaft=BAL
resistor R1: 1=A 2=W; 10k; tol=0%
resistor R2: 1=W2 2=C; {across}k; tol=0%
"""
LAW = st.sampled_from(LAWS)


@settings(max_examples=15, deadline=None)
@given(LAW, LAW, st.integers(20, 500), st.integers(1, 200))
def test_the_limits_are_those_of_the_turn_tried_all_over(
    first: str, second: str, other: int, across: int
) -> None:
    circuit = parse_wiring(GANGED.format(first=first, second=second, other=other, across=across))
    network = build_network(circuit)
    start, end = network.number_of["A"], network.number_of["C"]
    low, high = least_and_most(network, start, end)
    wipers = [network.number_of_branch[name] for name in ("P1.w", "P2.w")]
    halves = [network.number_of_branch[name] for name in ("P1.1-w", "P1.w-2", "P2.1-w", "P2.w-2")]
    found = []
    for turn in np.linspace(0.0, 1.0, 121).tolist():
        parts = part_at(first, turn), part_at(second, turn)
        for corner in (network.low, network.high):
            ohms = corner.copy()
            ohms[wipers] = corner[wipers]
            ohms[halves[:2]] = 100e3 * parts[0], 100e3 * (1.0 - parts[0])
            ohms[halves[2:]] = other * 1e3 * parts[1], other * 1e3 * (1.0 - parts[1])
            found.append(resistance(network.graph, ohms, start, end))
    assert min(found) * 0.998 <= low <= min(found) * (1 + 1e-9)
    assert max(found) * (1 - 1e-9) <= high <= max(found) * 1.003


def test_a_free_pot_beside_a_ganged_pair_keeps_the_limits_safe() -> None:
    text = GANGED.format(first="log", second="antilog", other=100, across=47)
    free = f"{text}pot P3: 1=W w=X 2=W2; 220k; tol=0%\nresistor R3: 1=X 2=B; 33k; tol=0%"
    network = build_network(parse_wiring(free))
    low, high = least_and_most(network, network.number_of["A"], network.number_of["C"])
    random = np.random.default_rng(3)
    for turn, place in random.uniform(0.0, 1.0, (60, 2)).tolist():
        setting = Setting(wipers={"P1": part_at("log", turn), "P3": place})
        there = build_network(parse_wiring(free), setting)
        for ohms in (there.low, there.high):
            true = resistance(there.graph, ohms, there.number_of["A"], there.number_of["C"])
            assert low * (1 - 1e-9) <= true <= high * (1 + 1e-9)


def test_telling_where_one_wiper_stands_turns_the_shaft() -> None:
    circuit = parse_wiring(GANGED.format(first="log", second="antilog", other=100, across=10))
    told = expect(circuit, "A", "C", parse_setting(circuit, wipers=["P1=0.1"]))
    both = expect(circuit, "A", "C", parse_setting(circuit, wipers=["P1=0.1", "P2=0.9"]))
    assert told.expected == pytest.approx(both.expected)
    assert told.high == pytest.approx(both.high)


@given(LAW, st.floats(0.0, 1.0))
def test_a_turn_and_its_part_are_inverse(law: str, turn: float) -> None:
    assert turn_at(law, part_at(law, turn)) == pytest.approx(turn, abs=1e-9)


def test_no_such_law_is_refused() -> None:
    with pytest.raises(BadWiring, match="lin, log, antilog"):
        parse_wiring("pot P1: 1=A w=W 2=B; 100k; law=reverse")

"""Pots on one shaft turn together."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tracer.circuit.elements import Setting
from tracer.circuit.expect import expect
from tracer.circuit.network import build_network
from tracer.circuit.search import least_and_most
from tracer.circuit.settings import parse_setting
from tracer.circuit.solve import resistance
from tracer.circuit.wiring import parse_wiring

PAIR = """\
pot P1: 1=A w=W 2=B; 100k; tol=0%{first}
pot P2: 1=B w=W2 2=C; 100k; tol=0%{second}
resistor R1: 1=A 2=W; 10k; tol=0%
resistor R2: 1=W2 2=C; 10k; tol=0%
"""


def linked(shaft: str) -> str:
    return PAIR.format(first=shaft, second=shaft)


def brute(values: list[tuple[float, float]], text: str) -> tuple[float, float]:
    """Return the least and most over many places of the wipers, each pair of places tried by itself."""
    circuit = parse_wiring(text)
    found = []
    for one, other in values:
        network = build_network(circuit, Setting(wipers={"P1": one, "P2": other}))
        start, end = network.number_of["A"], network.number_of["C"]
        found += [resistance(network.graph, ohms, start, end) for ohms in (network.low, network.high)]
    return min(found), max(found)


def test_linked_pots_have_closer_limits_than_free_ones() -> None:
    places = np.linspace(0.0, 1.0, 41).tolist()
    both = [(place, place) for place in places]
    network = build_network(parse_wiring(linked("; shaft=VOL")))
    low, high = least_and_most(network, network.number_of["A"], network.number_of["C"])
    least, most = brute(both, linked(""))
    assert low == pytest.approx(least, rel=2e-3)
    assert high == pytest.approx(most, rel=3e-3)
    free = build_network(parse_wiring(linked("")))
    loose = least_and_most(free, free.number_of["A"], free.number_of["C"])
    assert loose[0] < low - 1e3
    assert loose[1] > high + 1e3


def test_telling_where_one_stands_tells_of_all() -> None:
    circuit = parse_wiring(linked("; shaft=VOL"))
    set_one = parse_setting(circuit, wipers=["P1=0.3"])
    set_both = parse_setting(circuit, wipers=["P1=0.3", "P2=0.3"])
    assert expect(circuit, "A", "C", set_one) == expect(circuit, "A", "C", set_both)


@settings(max_examples=40, deadline=None)
@given(st.floats(0.0, 1.0), st.integers(0, 2))
def test_no_place_of_the_shaft_lies_outside(place: float, corner: int) -> None:
    circuit = parse_wiring(linked("; shaft=VOL"))
    network = build_network(circuit)
    limits = least_and_most(network, network.number_of["A"], network.number_of["C"])
    there = build_network(circuit, Setting(wipers={"P1": place}))
    ohms = (there.low, there.high, (there.low + there.high) / 2)[corner]
    true = resistance(there.graph, ohms, there.number_of["A"], there.number_of["C"])
    assert limits[0] * (1 - 1e-9) <= true <= limits[1] * (1 + 1e-9)

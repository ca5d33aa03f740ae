"""The second figure of a pair: given the readings so far."""

from __future__ import annotations

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st

from tracer.circuit.elements import Setting
from tracer.circuit.expect import expect
from tracer.circuit.given import expect_given, narrowed
from tracer.circuit.network import build_network
from tracer.circuit.prove import prove
from tracer.circuit.results import Pinned, Reading
from tracer.circuit.solve import resistance
from tracer.circuit.wiring import parse_wiring

CHAIN = parse_wiring("""\
resistor R1: 1=A 2=B; 10k; tol=20%
resistor R2: 1=B 2=C; 22k; tol=20%
resistor R3: 1=A 2=C; 100k; tol=20%
""")


def test_a_reading_narrows_the_next_expectation() -> None:
    plain = expect(CHAIN, "A", "C")
    pinned = prove(CHAIN, [Reading("A", "B", 9.3e3, Setting(), False, 1)]).pinned
    told = expect_given(CHAIN, "A", "C", pinned)
    assert plain.low is not None
    assert plain.high is not None
    assert told.low is not None
    assert told.high is not None
    assert told.high - told.low < plain.high - plain.low
    assert plain.low <= told.low <= told.high <= plain.high


def test_nothing_pinned_changes_nothing() -> None:
    assert expect_given(CHAIN, "A", "C", ()) == expect(CHAIN, "A", "C")


def test_a_part_outside_its_limits_counts_as_read() -> None:
    network = build_network(CHAIN)
    drifted = narrowed(network, [Pinned("R1", 15e3, 15.3e3, False)])
    assert (drifted.low[0], drifted.expected[0], drifted.high[0]) == (15e3, 15e3, 15.3e3)
    endless = narrowed(network, [Pinned("R1", 15e3, None, False)])
    assert endless.high[0] == np.inf


@settings(max_examples=60, deadline=None)
@given(st.tuples(*[st.floats(0.81, 1.19)] * 3), st.floats(-0.004, 0.004))
def test_the_true_ohms_stay_within(factors: tuple[float, float, float], error: float) -> None:
    """Whatever the parts are within their limits, the pair lies within both figures."""
    network = build_network(CHAIN)
    ohms = network.expected * np.array(factors)
    shown = resistance(network.graph, ohms, 0 + network.number_of["A"], network.number_of["B"]) * (1 + error)
    pinned = prove(CHAIN, [Reading("A", "B", shown, Setting(), False, 1)]).pinned
    true = resistance(network.graph, ohms, network.number_of["A"], network.number_of["C"])
    told = expect_given(CHAIN, "A", "C", pinned)
    assert told.low is not None
    assert told.high is not None
    assert told.low <= true * (1 + 1e-9)
    assert true <= told.high * (1 + 1e-9)

"""How long a reading climbs, against closed forms and against stepping the equations through time."""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy.integrate import solve_ivp

from tracer.circuit.expect import expect
from tracer.circuit.network import build_network
from tracer.circuit.results import Meter
from tracer.circuit.settle import LONGEST, settling_seconds
from tracer.circuit.wiring import parse_wiring


def seconds(text: str, start: str, end: str, meter: Meter | None = None) -> float:
    network = build_network(parse_wiring(text))
    return settling_seconds(network, network.number_of[start], network.number_of[end], meter or Meter())


def test_one_resistor_and_one_capacitor() -> None:
    """Within 1 % after ln 100 time constants, both values at their high limits."""
    text = "resistor R1: 1=A 2=B; 47k; tol=10%\ncapacitor C1: +=A -=B; 16u; tol=20%"
    assert seconds(text, "A", "B") == pytest.approx(math.log(100) * 47e3 * 1.1 * 16e-6 * 1.2, rel=2e-3)


def test_a_capacitor_alone_climbs_past_the_top_of_range() -> None:
    """Behind r = U/I the shown ohms are r·(exp(t/rC) - 1)."""
    meter = Meter(current=1e-3, open_volts=2.8, top=20e6)
    expected = 2800 * 16e-6 * math.log(1 + 20e6 / 2800)
    assert seconds("capacitor C1: +=A -=B; 16u; tol=0%", "A", "B", meter) == pytest.approx(expected, rel=2e-3)


def test_no_capacitor_no_wait() -> None:
    assert seconds("resistor R1: 1=A 2=B; 47k", "A", "B") == 0.0


def test_a_capacitor_elsewhere_does_not_matter() -> None:
    text = "resistor R1: 1=A 2=B; 47k\nresistor R2: 1=C 2=D; 47k\ncapacitor C1: 1=C 2=D; 16u"
    assert seconds(text, "A", "B") == 0.0
    hanging = "resistor R1: 1=A 2=B; 47k\ncapacitor C1: 1=B 2=C; 16u"
    assert seconds(hanging, "A", "B") == 0.0


def test_a_capacitor_across_a_wire_does_not_matter() -> None:
    text = "wire W1: 1=A 2=B\ncapacitor C1: 1=A 2=B; 16u\nresistor R1: 1=B 2=C; 1M"
    assert seconds(text, "A", "C") == 0.0


def test_a_balanced_bridge_does_not_charge_what_lies_across_it() -> None:
    """The mode of the capacitor across is not excited."""
    ends = [("A", "M", "10k"), ("M", "B", "10k"), ("A", "N", "1k"), ("N", "B", "1k")]
    arms = "\n".join(f"resistor R{k}: 1={a} 2={b}; {ohms}" for k, (a, b, ohms) in enumerate(ends))
    assert seconds(f"{arms}\ncapacitor C1: 1=M 2=N; 16u", "A", "B") == 0.0
    assert seconds(f"{arms}\ncapacitor C1: 1=M 2=N; 16u", "A", "M") > 0.1


def test_it_is_never_longer_than_the_cap() -> None:
    assert seconds("resistor R1: 1=A 2=B; 22M\ncapacitor C1: 1=A 2=B; 1000u", "A", "B") == LONGEST


def test_a_ladder_of_two_agrees_with_stepping_through_time() -> None:
    """scipy.integrate.solve_ivp on the node equations of a smoothing chain fed with constant current."""
    text = (
        "resistor R1: 1=A 2=M; 10k; tol=0%\nresistor R2: 1=M 2=B; 47k; tol=0%\n"
        "capacitor C1: 1=A 2=B; 8u; tol=0%\ncapacitor C2: 1=M 2=B; 32u; tol=0%"
    )
    G = np.array([[1 / 10e3, -1 / 10e3], [-1 / 10e3, 1 / 10e3 + 1 / 47e3]])
    C = np.diag([8e-6, 32e-6])
    run = solve_ivp(
        lambda _, v: np.linalg.solve(C, np.array([1.0, 0.0]) - G @ v),
        (0, 30),
        [0, 0],
        rtol=1e-9,
        max_step=0.02,
    )
    near = np.abs(run.y[0] - 57e3) <= 0.01 * 57e3
    assert seconds(text, "A", "B") == pytest.approx(run.t[int(np.argmax(near))], rel=5e-3)


def test_series_capacitors_leave_their_midpoint_floating_without_harm() -> None:
    text = "capacitor C1: 1=A 2=M; 2u; tol=0%\ncapacitor C2: 1=M 2=B; 2u; tol=0%"
    assert seconds(text, "A", "B") == pytest.approx(2800 * 1e-6 * math.log(1 + 20e6 / 2800), rel=5e-3)


def test_low_ohms_beside_floating_parts_stay_in_range() -> None:
    """Milliohms beside what only capacitors hold must not upset the modes."""
    text = (
        "coil L1: 1=X 2=Y; ohms=R01; tol=0%\ncapacitor C1: 1=A 2=X; 1u\ncapacitor C2: 1=Y 2=B; 1u\n"
        "resistor R1: 1=A 2=B; 1M; tol=0%"
    )
    assert seconds(text, "A", "B") == pytest.approx(math.log(100) * 1e6 * 0.6e-6, rel=5e-3)


def test_a_slow_pair_says_that_left_charge_may_make_it_fall() -> None:
    slow = parse_wiring("resistor R1: 1=A 2=chassis; 1M; tol=10%\ncapacitor C1: +=A -=chassis; 16u")
    assert any("may make it fall" in note for note in expect(slow, "A", "chassis").notes)
    quick = parse_wiring("resistor R1: 1=A 2=chassis; 1k; tol=10%\ncapacitor C1: 1=A 2=chassis; 10n")
    assert not any("fall" in note for note in expect(quick, "A", "chassis").notes)


def test_a_polarised_capacitor_says_which_way_the_leads_are() -> None:
    """TM 11-6625-353-35 (public domain, from memory) warns of the same."""
    pair = parse_wiring("resistor R1: 1=A 2=chassis; 1M; tol=10%\ncapacitor C1: +=A -=chassis; 16u")
    assert not any("falsely low" in note for note in expect(pair, "A", "chassis").notes)
    assert any(
        note.startswith("C1: ") and "falsely low" in note for note in expect(pair, "chassis", "A").notes
    )
    turned = Meter(reversed_leads=True)
    assert any("falsely low" in note for note in expect(pair, "A", "chassis", meter=turned).notes)

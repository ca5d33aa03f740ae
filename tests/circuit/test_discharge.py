"""How long charge stays, against closed forms and an integration step by step."""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy.integrate import solve_ivp

from tracer.circuit.discharge import LEVELS, discharges
from tracer.circuit.elements import Setting
from tracer.circuit.wiring import parse_wiring


def test_one_capacitor_through_one_resistor_has_the_closed_form() -> None:
    # Textbook: v = V·exp(-t / RC).
    text = "capacitor C1: +=A -=chassis; 16u; rated=450V; tol=0%\nresistor R1: 1=A 2=chassis; 220k; tol=0%\n"
    (one,) = discharges(parse_wiring(text))
    expected = [220e3 * 16e-6 * math.log(450 / level) for level in LEVELS]
    assert one.seconds == pytest.approx(expected, rel=1e-3)
    assert (one.part, one.volts, one.told, one.through) == ("C1", 450.0, True, ("R1",))


def test_capacitors_side_by_side_share_one_bleeder() -> None:
    text = (
        "capacitor C1: +=A -=chassis; 16u; rated=450V; tol=0%\nwire W1: 1=A 2=B\n"
        "capacitor C2: +=B -=chassis; 32u; rated=450V; tol=0%\nresistor R1: 1=A 2=chassis; 100k; tol=0%\n"
    )
    for each in discharges(parse_wiring(text)):
        assert each.seconds == pytest.approx([100e3 * 48e-6 * math.log(450 / v) for v in LEVELS], rel=2e-3)


def test_a_ladder_is_as_integrated_step_by_step() -> None:
    text = """\
capacitor C1: +=A -=chassis; 32u; rated=450V; tol=0%
resistor R1: 1=A 2=B; 10k; tol=0%
capacitor C2: +=B -=chassis; 8u; rated=350V; tol=0%
resistor R2: 1=B 2=chassis; 150k; tol=0%
"""
    found = {each.part: each for each in discharges(parse_wiring(text))}
    farads = np.array([32e-6, 8e-6])

    def rate(_: float, volts: np.ndarray) -> np.ndarray:
        between = (volts[0] - volts[1]) / 10e3
        return np.array([-between, between - volts[1] / 150e3]) / farads

    times = np.linspace(0.0, 40.0, 8001)
    solved = solve_ivp(rate, (0.0, 40.0), [450.0, 350.0], t_eval=times, rtol=1e-9, atol=1e-9)
    for row, part in enumerate(("C1", "C2")):
        for level, seconds in zip(LEVELS, found[part].seconds or (), strict=True):
            assert seconds == pytest.approx(times[np.flatnonzero(solved.y[row] >= level)[-1]], rel=3e-3)
    assert found["C1"].through == ("R2", "R1")


def test_what_nothing_bleeds_is_told() -> None:
    text = """\
bank S: Off, On
capacitor C1: +=A -=chassis; 50u; rated=450V
contact S1: common=A make=B; closed=S:On
resistor R1: 1=B 2=chassis; 47k
diode D1: a=X k=A
"""
    circuit = parse_wiring(text)
    (parted,) = discharges(circuit)
    assert parted.seconds is None
    assert parted.through == ()
    (bled,) = discharges(circuit, Setting({"S": "On"}))
    assert bled.seconds is not None


def test_tolerances_are_taken_at_their_slowest() -> None:
    text = (
        "capacitor C1: +=A -=chassis; 10u; rated=100V; tol=50%\nresistor R1: 1=A 2=chassis; 100k; tol=20%\n"
    )
    (one,) = discharges(parse_wiring(text))
    assert one.seconds is not None
    assert one.seconds[0] == pytest.approx(15e-6 * 120e3 * math.log(2), rel=1e-3)


def test_small_and_low_ones_are_left_out_and_untold_volts_are_said() -> None:
    text = """\
capacitor C1: 1=A 2=chassis; 100n; rated=630V
capacitor C2: +=B -=chassis; 25u; rated=6V
capacitor C3: +=C -=chassis; 8u
resistor R1: 1=C 2=chassis; 100k
"""
    (one,) = discharges(parse_wiring(text))
    assert (one.part, one.volts, one.told) == ("C3", 630.0, False)
    assert discharges(parse_wiring("resistor R1: 1=A 2=B; 1k")) == ()

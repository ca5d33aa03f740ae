"""What a meter may show, and what a reading says."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tracer.circuit.expect import expect
from tracer.circuit.judge import judge
from tracer.circuit.meter import count_ohms, parse_meter, shown_range, true_range
from tracer.circuit.results import Expectation, Meter, Open, Verdict
from tracer.circuit.wiring import parse_wiring
from tracer.errors import BadValue

METERS = st.builds(
    Meter,
    error=st.floats(0.0, 0.2),
    counts=st.floats(0.0, 10.0),
    leads=st.floats(0.0, 2.0),
    top=st.sampled_from([2e6, 20e6, 50e6]),
)


@pytest.mark.parametrize(
    ("ohms", "count"), [(0, 0.1), (199, 0.1), (201, 1), (47e3, 100), (1.5e6, 1e3), (19e6, 1e4), (90e6, 1e4)]
)
def test_a_count_is_a_2000th_of_its_decade_range(ohms: float, count: float) -> None:
    assert count_ohms(ohms, Meter()) == pytest.approx(count)


@given(st.floats(0.0, 1.9e7), st.floats(0.0, 1.0), st.floats(-1.0, 1.0), METERS)
def test_what_a_meter_shows_stands_for_the_true_ohms(
    true: float, lead: float, error: float, meter: Meter
) -> None:
    """Any reading within the meter's error and leads leads back to an interval that holds the truth."""
    least, most = shown_range(true, true, meter)
    shown = least + (most - least) * lead
    if shown <= meter.top:
        low, high = true_range(shown, meter)
        slack = (
            2 * meter.counts * count_ohms(max(shown, true), meter) + 1e-6 * true + meter.leads * meter.error
        )
        assert low - slack <= true <= high + slack


def test_over_range_stands_for_all_from_the_top_on() -> None:
    low, high = true_range(math.inf, Meter())
    assert (low, high) == (pytest.approx(19.8e6, rel=1e-3), math.inf)


def line(text: str, start: str = "A", end: str = "B", meter: Meter | None = None) -> Expectation:
    return expect(parse_wiring(text), start, end, meter=meter)


KNOWN = line("resistor R1: 1=A 2=B; 1k; tol=10%")
SHUT = line("capacitor C1: 1=A 2=B; .05")
LEAKY = line("capacitor C1: +=A -=B; 32u")
LOOSE = line("diode D1: a=A k=B\ncoil L1: 1=A 2=B\nresistor R2: 1=C 2=B; 10")
ANY = line("other X1: p=A q=B")


@pytest.mark.parametrize(
    ("expectation", "ohms", "rising", "verdict"),
    [
        (KNOWN, 1000.0, False, Verdict.PASS),
        (KNOWN, 890.0, False, Verdict.PASS),
        (KNOWN, 1113.0, False, Verdict.PASS),
        (KNOWN, 880.0, False, Verdict.LOW),
        (KNOWN, 1120.0, False, Verdict.HIGH),
        (KNOWN, math.inf, False, Verdict.HIGH),
        (KNOWN, 25e6, False, Verdict.HIGH),
        (KNOWN, 500.0, True, Verdict.WAIT),
        (KNOWN, 1000.0, True, Verdict.WAIT),
        (KNOWN, 1120.0, True, Verdict.HIGH),
        (SHUT, math.inf, False, Verdict.PASS),
        (SHUT, 21e6, False, Verdict.PASS),
        (SHUT, 5e6, False, Verdict.LOW),
        (SHUT, 5e6, True, Verdict.WAIT),
        (LEAKY, math.inf, False, Verdict.PASS),
        (LEAKY, 10e6, False, Verdict.PASS),
        (LEAKY, 100e3, False, Verdict.LOW),
        (LEAKY, 100e3, True, Verdict.WAIT),
        (LOOSE, 5200.0, False, Verdict.HIGH),
        (LOOSE, 0.0, False, Verdict.PASS),
        (ANY, 12.0, False, Verdict.CANNOT_TELL),
        (ANY, math.inf, False, Verdict.CANNOT_TELL),
        (ANY, 12.0, True, Verdict.WAIT),
    ],
)
def test_verdicts(expectation: Expectation, ohms: float, rising: bool, verdict: Verdict) -> None:
    assert judge(expectation, ohms, rising) is verdict


@given(st.floats(1.0, 1e6), st.floats(0.0, 2e7), st.booleans())
def test_a_rising_reading_never_fails_low(ohms: float, shown: float, always: bool) -> None:
    expectation = SHUT if always else line(f"resistor R1: 1=A 2=B; {ohms:.3f}")
    assert judge(expectation, shown, rising=True) in {Verdict.WAIT, Verdict.HIGH}


def test_a_smaller_top_of_range_makes_open_what_another_meter_reads() -> None:
    text = "resistor R1: 1=A 2=B; 10M; tol=10%"
    assert line(text).open is Open.NEVER
    assert line(text, meter=Meter(top=2e6)).open is Open.ALWAYS
    assert line(text, meter=Meter(top=10e6)).open is Open.MAYBE


def test_a_meter_in_words() -> None:
    found = parse_meter(["error=3%", "counts=1", "leads=0.5", "top=2M", "current=0.1mA", "volts=1.5V"])
    assert found == Meter(0.03, 1.0, 0.5, 2e6, 1e-4, 1.5)
    assert parse_meter([], found) is not None
    assert parse_meter(["polarity=reversed"], found).reversed_leads
    assert not parse_meter(["polarity=straight"], Meter(reversed_leads=True)).reversed_leads


@pytest.mark.parametrize(
    "text", ["error", "colour=red", "counts=many", "polarity=left", "top=0", "error=100%"]
)
def test_what_tells_nothing_of_a_meter_is_refused(text: str) -> None:
    with pytest.raises(BadValue):
        parse_meter([text])


def test_a_meter_of_the_other_polarity_drives_a_diode_the_other_way() -> None:
    """On ohms the positive jack of many moving-coil meters is the negative one (common practice)."""
    diode = parse_wiring("diode D1: a=A k=B; type=silicon")
    turned = Meter(reversed_leads=True)
    assert expect(diode, "A", "B").open is Open.MAYBE
    assert expect(diode, "B", "A").open is Open.ALWAYS
    assert expect(diode, "A", "B", meter=turned).open is Open.ALWAYS
    assert expect(diode, "B", "A", meter=turned).open is Open.MAYBE

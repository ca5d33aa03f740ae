"""Colour bands and digit codes, against IEC 60062 (from memory)."""

from __future__ import annotations

import pytest

from tracer.circuit.colours import parse_colours, parse_digit_code
from tracer.errors import BadValue


# Worked examples in the manner of IEC 60062's annex (from memory).
@pytest.mark.parametrize(
    ("bands", "ohms", "tolerance"),
    [
        ("yellow violet red gold", 4700.0, 0.05),
        ("brown black green silver", 1e6, 0.10),
        ("brown black black", 10.0, 0.20),
        ("red red gold gold", 2.2, 0.05),
        ("orange white silver brown", 0.39, 0.01),
        ("brown green blue red brown", 15.6e3, 0.01),
        ("green brown black brown red", 5.1e3, 0.02),
        ("brown black black orange brown red", 100e3, 0.01),
        ("Grey Red Orange None", 82e3, 0.20),
        ("gray purple black red", 87.0, 0.02),
    ],
)
def test_bands_read_as_ohms(bands: str, ohms: float, tolerance: float) -> None:
    printed = parse_colours(bands.split())
    assert printed.number == pytest.approx(ohms)
    assert printed.tolerance == tolerance


@pytest.mark.parametrize(
    ("bands", "said"),
    [
        ("red red", "three to six"),
        ("gold red red", "Band 1"),
        ("red beige red", "Band 2"),
        ("red red red black", "Band 4"),
    ],
)
def test_bands_that_cannot_be_are_refused(bands: str, said: str) -> None:
    with pytest.raises(BadValue, match=said):
        parse_colours(bands.split())


@pytest.mark.parametrize(
    ("text", "unit", "number", "tolerance"),
    [
        ("472", "ohm", 4700.0, None),
        ("100", "ohm", 10.0, None),
        ("1002", "ohm", 10e3, None),
        ("473J", "ohm", 47e3, 0.05),
        ("104K", "farad", 100e-9, 0.10),
        ("479", "farad", 4.7e-12, None),
        ("158", "farad", 0.15e-12, None),
    ],
)
def test_digit_codes(text: str, unit: str, number: float, tolerance: float | None) -> None:
    printed = parse_digit_code(text, unit)
    assert printed.number == pytest.approx(number)
    assert printed.tolerance == tolerance


@pytest.mark.parametrize(
    ("text", "unit"), [("47", "ohm"), ("47k", "ohm"), ("104Q", "farad"), ("104", "henry")]
)
def test_bad_digit_codes_are_refused(text: str, unit: str) -> None:
    with pytest.raises(BadValue):
        parse_digit_code(text, unit)

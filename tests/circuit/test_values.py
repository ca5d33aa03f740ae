"""Printed values and readings, by IEC 60062 (from memory) and the marks of old sheets (common practice)."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tracer.circuit.values import format_value, parse_printed, parse_reading, parse_tolerance, parse_value
from tracer.errors import BadValue

# IEC 60062, clause on the marking of resistance and capacitance values (from memory).
IEC_60062_VALUES = [
    ("R10", "ohm", 0.1),
    ("R47", "ohm", 0.47),
    ("1R0", "ohm", 1.0),
    ("2R2", "ohm", 2.2),
    ("59R04", "ohm", 59.04),
    ("100R", "ohm", 100.0),
    ("590R", "ohm", 590.0),
    ("1K0", "ohm", 1e3),
    ("5K9", "ohm", 5.9e3),
    ("4k7", "ohm", 4.7e3),
    ("100K", "ohm", 100e3),
    ("1M0", "ohm", 1e6),
    ("59M", "ohm", 59e6),
    ("1G0", "ohm", 1e9),
    ("p10", "farad", 0.1e-12),
    ("1p0", "farad", 1e-12),
    ("5p9", "farad", 5.9e-12),
    ("100p", "farad", 100e-12),
    ("1n0", "farad", 1e-9),
    ("4n7", "farad", 4.7e-9),
    ("100n", "farad", 100e-9),
    ("1µ0", "farad", 1e-6),
    ("5µ9", "farad", 5.9e-6),
]

# Common practice on old sheets; no source is claimed.
OLD_MARKS = [
    ("0M5", "ohm", 500e3),
    ("1 meg", "ohm", 1e6),
    ("½ meg.", "ohm", 500e3),
    ("1/4 Meg", "ohm", 250e3),
    ("1½ meg", "ohm", 1.5e6),
    ("2 ¼ H", "henry", 2.25),
    ("2 MEGOHMS", "ohm", 2e6),
    ("470 Ω", "ohm", 470.0),
    ("470 ohms", "ohm", 470.0),
    ("2.2 MΩ", "ohm", 2.2e6),
    ("47 kΩ", "ohm", 47e3),
    ("4Ω7", "ohm", 4.7),
    ("4,7 k", "ohm", 4.7e3),
    ("0,5 M", "ohm", 500e3),
    ("10,000", "ohm", 10e3),
    ("1,000,000 ohms", "ohm", 1e6),
    ("470", "ohm", 470.0),
    (".05", "farad", 50e-9),
    ("0,1", "farad", 100e-9),
    ("16 mfd", "farad", 16e-6),
    ("8 M.F.D.", "farad", 8e-6),
    ("32 µF", "farad", 32e-6),
    ("32 μF", "farad", 32e-6),  # the Greek letter, not the sign
    ("50 µµF", "farad", 50e-12),
    ("50 uuf", "farad", 50e-12),
    ("250 mmf", "farad", 250e-12),
    ("250 MMFD", "farad", 250e-12),
    ("300 pF", "farad", 300e-12),
    ("10 H", "henry", 10.0),
    ("2.5 mH", "henry", 2.5e-3),
    ("160 µH", "henry", 160e-6),
    ("6.3 V", "volt", 6.3),
    ("450", "volt", 450.0),
    ("1.5 kV", "volt", 1500.0),
    ("150 mA", "ampere", 0.15),
    ("1 amp", "ampere", 1.0),
]


@pytest.mark.parametrize(("text", "unit", "number"), IEC_60062_VALUES + OLD_MARKS)
def test_a_printed_value_is_read(text: str, unit: str, number: float) -> None:
    assert parse_value(text, unit) == pytest.approx(number, rel=1e-12)


def test_capacitance_in_centimetres_is_its_cgs_length() -> None:
    # 1 F = 8.98755e11 cm, from the CGS electrostatic unit of capacitance, c² in cm²/s² × 10⁻⁹.
    assert parse_value("500 cm", "farad") == pytest.approx(500 / 8.9875517923e11, rel=1e-4)


# IEC 60062, letters for symmetrical tolerances (from memory).
@pytest.mark.parametrize(
    ("text", "unit", "number", "tolerance"),
    [
        ("4k7F", "ohm", 4700.0, 0.01),
        ("4k7G", "ohm", 4700.0, 0.02),
        ("4K7J", "ohm", 4700.0, 0.05),
        ("4K7K", "ohm", 4700.0, 0.10),
        ("R47M", "ohm", 0.47, 0.20),
        ("100RJ", "ohm", 100.0, 0.05),
        ("47kK", "ohm", 47e3, 0.10),
        ("104K", "farad", 100e-9, 0.10),
        ("10nJ", "farad", 10e-9, 0.05),
        ("479C", "farad", 4.7e-12, 0.0025),
        ("4k7 10%", "ohm", 4700.0, 0.10),
        ("4k7 ± 5 %", "ohm", 4700.0, 0.05),
        ("4k7", "ohm", 4700.0, None),
    ],
)
def test_a_tolerance_behind_a_value_is_read(
    text: str, unit: str, number: float, tolerance: float | None
) -> None:
    printed = parse_printed(text, unit)
    assert printed.number == pytest.approx(number)
    assert printed.tolerance == tolerance


def test_m_is_mega_unless_told_otherwise() -> None:
    assert parse_value("10M", "ohm") == 10e6
    assert parse_value("10M", "ohm", m_is_thousand=True) == 10e3
    assert parse_value("1 meg", "ohm", m_is_thousand=True) == 1e6


@pytest.mark.parametrize(
    ("text", "unit", "said"),
    [
        ("", "ohm", "missing"),
        ("  ", "farad", "missing"),
        ("5m", "ohm", "milli or mega"),
        ("16", "farad", "pF, µF"),
        ("104", "farad", "digit code"),
        ("-4k7", "ohm", "negative"),
        ("4k7k", "ohm", "no value in ohms"),
        ("10k", "farad", "no value in farads"),
        ("1/0 meg", "ohm", "zero"),
        ("forty", "ohm", "4k7"),
        ("10²", "ohm", "no value"),
        ("9" * 400, "ohm", "too large"),
        ("10%", "ohm", "no value"),
        ("4..7k", "ohm", "no value"),
        ("1k", "acre", "no unit"),
    ],
)
def test_a_bad_value_says_why(text: str, unit: str, said: str) -> None:
    with pytest.raises(BadValue, match="(?i)" + said):
        parse_value(text, unit)


@pytest.mark.parametrize(("text", "fraction"), [("10%", 0.1), ("±20 %", 0.2), ("2,5%", 0.025), ("J", 0.05)])
def test_a_tolerance_by_itself(text: str, fraction: float) -> None:
    assert parse_tolerance(text) == fraction


@pytest.mark.parametrize("text", ["", "10", "Q", "ten%"])
def test_a_bad_tolerance_is_refused(text: str) -> None:
    with pytest.raises(BadValue):
        parse_tolerance(text)


@pytest.mark.parametrize(
    ("text", "ohms", "rising"),
    [
        ("3k1", 3100.0, False),
        ("3100", 3100.0, False),
        ("0.3", 0.3, False),
        ("0", 0.0, False),
        ("130k", 130e3, False),
        ("1.2 MΩ", 1.2e6, False),
        ("OL", math.inf, False),
        ("ol", math.inf, False),
        ("O.L", math.inf, False),
        ("0L", math.inf, False),
        ("∞", math.inf, False),
        ("3k1 r", 3100.0, True),
        ("3k1r", 3100.0, True),
        ("100R", 100.0, False),
        ("100R r", 100.0, True),
        ("OL r", math.inf, True),
        ("1.2M rising", 1.2e6, True),
    ],
)
def test_a_reading_is_read(text: str, ohms: float, rising: bool) -> None:
    assert parse_reading(text) == (ohms, rising)


@pytest.mark.parametrize("text", ["", "r", "rising", "-1", "1m", "volts", "3k1 s"])
def test_a_bad_reading_is_refused(text: str) -> None:
    with pytest.raises(BadValue, match="no reading"):
        parse_reading(text)


@given(
    st.floats(min_value=1e-13, max_value=1e12), st.sampled_from(["ohm", "farad", "henry", "volt", "ampere"])
)
def test_a_printed_number_reads_back_to_itself(number: float, unit: str) -> None:
    assert parse_value(format_value(number, unit), unit) == number


@given(st.floats(min_value=1e-3, max_value=1e9), st.integers(min_value=2, max_value=5))
def test_rounding_keeps_the_digits_asked_for(number: float, digits: int) -> None:
    assert parse_value(format_value(number, "ohm", digits), "ohm") == pytest.approx(
        number, rel=0.5000001 * 10 ** (1 - digits)
    )


@pytest.mark.parametrize(
    ("number", "unit", "text"),
    [
        (0.0, "ohm", "0"),
        (0.47, "ohm", "0R47"),
        (2.2, "ohm", "2R2"),
        (470.0, "ohm", "470"),
        (4700.0, "ohm", "4k7"),
        (1e6, "ohm", "1M"),
        (math.inf, "ohm", "OL"),
        (4.7e-9, "farad", "4n7"),
        (16e-6, "farad", "16u"),
        (0.1e-12, "farad", "0p1"),
        (2.5e-3, "henry", "2.5mH"),
        (6.3, "volt", "6.3V"),
        (0.15, "ampere", "150mA"),
    ],
)
def test_numbers_print_as_letter_codes(number: float, unit: str, text: str) -> None:
    assert format_value(number, unit) == text
    assert parse_value(text, unit) == number if math.isfinite(number) else text == "OL"


@pytest.mark.parametrize("number", [-1.0, math.nan])
def test_what_is_no_value_is_not_printed(number: float) -> None:
    with pytest.raises(BadValue):
        format_value(number, "ohm")


@pytest.mark.parametrize(
    ("text", "unit", "why"),
    [
        ("4k7", "farad", "that is a value in ohms"),
        ("3uF", "ohm", "that is a value in farads"),
        ("8+8", "farad", "several parts in one can"),
        ("1e3", "ohm", "no power of ten is read"),
    ],
)
def test_a_refusal_tells_what_the_text_is_instead(text: str, unit: str, why: str) -> None:
    with pytest.raises(BadValue, match=why):
        parse_value(text, unit)

"""Whatever is typed, only errors that a user can mend come back."""

from __future__ import annotations

import contextlib
import math

from hypothesis import given, settings
from hypothesis import strategies as st

from tracer.circuit.colours import parse_colours, parse_digit_code
from tracer.circuit.points import resolve_point
from tracer.circuit.settings import parse_setting
from tracer.circuit.values import parse_printed, parse_reading, parse_tolerance
from tracer.circuit.wiring import parse_wiring, print_wiring
from tracer.errors import BadValue, BadWiring, UnknownPoint, UnknownPosition

VALUE_SIGNS = st.text(alphabet="0123456789.,/kKMmRΩµuUnNpPFfohmegd%±+-² \t½E", max_size=12)
WORDS = st.sampled_from(
    [
        "resistor",
        "bank",
        "rail",
        "point",
        "valve",
        "contact",
        "relay coil",
        "wire",
        "R1",
        "V1",
        "A",
        "chassis",
    ]
)
SIGNS = st.sampled_from(
    [" ", ":", ";", "=", ",", "&", "#", "\n", "/", ".", "1", "2", "a/1", "tol=10%", "1k", "out"]
)
LISTS = st.lists(st.one_of(WORDS, SIGNS), max_size=30).map("".join)
CIRCUIT = parse_wiring("bank B: On, Off\nresistor R1: 1=A 2=B1; 1k\nvalve V1: h/4=A h/5=C\n")


@settings(max_examples=300)
@given(
    st.one_of(VALUE_SIGNS, st.text(max_size=12)), st.sampled_from(["ohm", "farad", "henry", "volt", "ampere"])
)
def test_values_are_numbers_or_bad(text: str, unit: str) -> None:
    with contextlib.suppress(BadValue):
        printed = parse_printed(text, unit)
        assert 0.0 <= printed.number < math.inf
    with contextlib.suppress(BadValue):
        assert 0.0 <= parse_tolerance(text) < math.inf
    with contextlib.suppress(BadValue):
        assert parse_reading(text)[0] >= 0.0
    with contextlib.suppress(BadValue):
        assert parse_digit_code(text, unit).number >= 0.0
    with contextlib.suppress(BadValue):
        parse_colours(text.split())


@settings(max_examples=300)
@given(st.one_of(LISTS, st.text(max_size=40)))
def test_lists_are_circuits_or_bad(text: str) -> None:
    with contextlib.suppress(BadWiring):
        circuit = parse_wiring(text)
        assert parse_wiring(print_wiring(circuit)) == circuit


@given(st.one_of(st.text(max_size=8), st.sampled_from(["R1.", ".1", "V1.h", "B=On", "R1.1=0", "B=", "="])))
def test_points_and_settings_are_found_or_unknown(text: str) -> None:
    with contextlib.suppress(UnknownPoint):
        assert resolve_point(CIRCUIT, text) in {"A", "B1", "C", "chassis"}
    with contextlib.suppress(UnknownPoint, UnknownPosition, BadValue):
        parse_setting(CIRCUIT, [text], [text], [text], [text])

"""Preferred series, against IEC 60063:2015 (values from memory)."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tracer.circuit.preferred import SERIES, nearest_preferred, preferred_values
from tracer.errors import BadValue

# IEC 60063, tables 1 and 2 (from memory).
E12 = (1.0, 1.2, 1.5, 1.8, 2.2, 2.7, 3.3, 3.9, 4.7, 5.6, 6.8, 8.2)
E48_FIRST = (1.00, 1.05, 1.10, 1.15, 1.21, 1.27, 1.33, 1.40, 1.47, 1.54, 1.62, 1.69, 1.78, 1.87, 1.96)
E96_LAST = (8.66, 8.87, 9.09, 9.31, 9.53, 9.76)
E192_LAST = (9.09, 9.20, 9.31, 9.42, 9.53, 9.65, 9.76, 9.88)


def test_the_tables_are_those_of_the_standard() -> None:
    assert preferred_values("E3") == (1.0, 2.2, 4.7)
    assert preferred_values("E12") == E12
    assert preferred_values("E48")[:15] == E48_FIRST
    assert preferred_values("E96")[-6:] == E96_LAST
    assert preferred_values("E192")[-8:] == E192_LAST


@pytest.mark.parametrize("series", SERIES)
def test_a_series_has_its_count_and_rises(series: str) -> None:
    values = preferred_values(series)
    assert len(values) == int(series[1:])
    assert list(values) == sorted(set(values))


@pytest.mark.parametrize(
    ("small", "large"), [("E3", "E6"), ("E6", "E12"), ("E12", "E24"), ("E48", "E96"), ("E96", "E192")]
)
def test_each_series_holds_the_one_below(small: str, large: str) -> None:
    assert set(preferred_values(small)) <= set(preferred_values(large))


@pytest.mark.parametrize(
    ("number", "series", "nearest"),
    [
        (5000.0, "E12", 4700.0),
        (50e3, "E24", 51e3),
        (0.99, "E6", 1.0),
        (9.6, "E12", 10.0),
        (0.5e6, "E6", 470e3),
    ],
)
def test_the_nearest_value_crosses_decades(number: float, series: str, nearest: float) -> None:
    assert nearest_preferred(number, series) == nearest


@given(st.floats(min_value=1e-3, max_value=1e9), st.sampled_from(SERIES))
def test_no_value_of_the_series_is_nearer(number: float, series: str) -> None:
    found = nearest_preferred(number, series)
    power = 10.0 ** math.floor(math.log10(number))
    for value in preferred_values(series):
        assert abs(math.log(found / number)) <= abs(math.log(value * power / number)) + 1e-9


def test_no_such_series_and_no_such_number() -> None:
    with pytest.raises(BadValue, match="E24"):
        preferred_values("E10")
    with pytest.raises(BadValue):
        nearest_preferred(0.0)

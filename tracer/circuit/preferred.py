"""Preferred values of IEC 60063, the series that resistors and capacitors are made in."""

from __future__ import annotations

import math

from tracer.errors import BadValue

__all__ = ["SERIES", "nearest_preferred", "preferred_values"]

_E24 = (
    *(1.0, 1.1, 1.2, 1.3, 1.5, 1.6, 1.8, 2.0, 2.2, 2.4, 2.7, 3.0),
    *(3.3, 3.6, 3.9, 4.3, 4.7, 5.1, 5.6, 6.2, 6.8, 7.5, 8.2, 9.1),
)

SERIES = ("E3", "E6", "E12", "E24", "E48", "E96", "E192")
"""The series of IEC 60063, by how many values a decade holds."""


def preferred_values(series: str) -> tuple[float, ...]:
    """Return one decade, 1 to below 10, of a series of IEC 60063 (tables from memory).

    E24 and below are the historic rounded values; E48 and above follow 10^(i/n) to three digits, with
    the one exception 9.20 that the standard keeps.

    Raises
    ------
    BadValue
        No such series.

    Examples
    --------
    >>> preferred_values("E6")
    (1.0, 1.5, 2.2, 3.3, 4.7, 6.8)
    """
    if series not in SERIES:
        raise BadValue(f"No series {series!r}; there are {', '.join(SERIES)}.")
    count = int(series[1:])
    if count <= 24:
        return _E24[:: 24 // count]
    values = (round(10 ** (i / count), 2) for i in range(count))
    return tuple(9.20 if value == 9.19 else value for value in values)


def nearest_preferred(number: float, series: str = "E24") -> float:
    """Return the preferred value nearest to `number` by ratio.

    Raises
    ------
    BadValue
        `number` is not above 0, or there is no such series.

    Examples
    --------
    >>> nearest_preferred(5000.0, "E12")
    4700.0
    """
    decade_values = preferred_values(series)
    if not (number > 0 and math.isfinite(number)):
        raise BadValue(f"{number} has no preferred value near it; it must be above 0.")
    power = math.floor(math.log10(number))
    near = [float(f"{value}e{p}") for p in (power - 1, power, power + 1) for value in decade_values]
    return min(near, key=lambda value: abs(math.log(value / number)))

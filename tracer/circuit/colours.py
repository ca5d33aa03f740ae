"""Colour bands and digit codes of IEC 60062."""

from __future__ import annotations

import re
from collections.abc import Sequence
from decimal import Decimal

from tracer.circuit.values import TOLERANCE_LETTERS, Printed
from tracer.errors import BadValue

__all__ = ["parse_colours", "parse_digit_code"]

_DIGITS = ("black", "brown", "red", "orange", "yellow", "green", "blue", "violet", "grey", "white")
_POWERS = {**{colour: power for power, colour in enumerate(_DIGITS)}, "gold": -1, "silver": -2, "pink": -3}
_TOLERANCES = {
    **{"brown": 0.01, "red": 0.02, "orange": 0.0005, "yellow": 0.0002, "green": 0.005, "blue": 0.0025},
    **{"violet": 0.001, "grey": 0.0001, "gold": 0.05, "silver": 0.10, "none": 0.20},
}
_OTHER_WORDS = {"purple": "violet", "gray": "grey"}


def parse_colours(bands: Sequence[str]) -> Printed:
    """Return the ohms of three to six colour bands, first band first (IEC 60062, from memory).

    Three bands mean ±20 %. Five and six bands hold three digits; the sixth is the temperature
    coefficient, which an ohmmeter does not need. Body, tip and spot of old resistors are read in that
    order (common practice).

    Raises
    ------
    BadValue
        A colour is unknown or cannot stand in that place.

    Examples
    --------
    >>> parse_colours(["yellow", "violet", "red", "gold"])
    Printed(number=4700.0, tolerance=0.05)
    """
    names = [_OTHER_WORDS.get(band.strip().casefold(), band.strip().casefold()) for band in bands]
    if not 3 <= len(names) <= 6:
        raise BadValue(f"{len(names)} colour bands; a resistor has three to six.")
    count = 2 if len(names) <= 4 else 3
    for place, colour in enumerate(names[: count + 2]):
        allowed = _DIGITS if place < count else tuple(_POWERS if place == count else _TOLERANCES)
        if colour not in allowed:
            raise BadValue(f"Band {place + 1} cannot be {colour!r}; it may be {', '.join(allowed)}.")
    significant = Decimal("".join(str(_DIGITS.index(colour)) for colour in names[:count]))
    tolerance = _TOLERANCES[names[count + 1]] if len(names) > count + 1 else 0.20
    return Printed(float(significant.scaleb(_POWERS[names[count]])), tolerance)


def parse_digit_code(text: str, unit: str) -> Printed:
    """Return the value of a three- or four-digit code: digits, then a power of ten, then a tolerance letter.

    Ohms for resistors, pF for capacitors, where a last digit 9 means ×0.1 and 8 ×0.01 (IEC 60062, from
    memory).

    Raises
    ------
    BadValue
        The text is no such code.

    Examples
    --------
    >>> parse_digit_code("104K", "farad")
    Printed(number=1e-07, tolerance=0.1)
    """
    match = re.fullmatch(r"(\d{2,3})(\d)([A-Z]?)", text.strip())
    letter = match[3] if match else ""
    if not match or unit not in {"ohm", "farad"} or (letter and letter not in TOLERANCE_LETTERS):
        raise BadValue(f"{text!r} is no three- or four-digit code of a resistor or capacitor.")
    power = int(match[2])
    if unit == "farad":
        power = {8: -2, 9: -1}.get(power, power) - 12
    return Printed(float(Decimal(match[1]).scaleb(power)), TOLERANCE_LETTERS[letter] if letter else None)

"""Printed values as numbers, and numbers as printed values.

The letter codes are those of IEC 60062 (from memory): the letter stands where the decimal point would be
(``4k7``, ``R47``, ``2n2``) and a last letter gives the tolerance. Beside them stand the marks of old sheets:
``0M5``, ``1 meg``, ``µµF``, ``mfd``, a bare ``.05`` for µF, decimal commas (common practice).
"""

from __future__ import annotations

import math
import re
import unicodedata
from dataclasses import dataclass
from decimal import Decimal
from functools import lru_cache

from tracer.errors import BadValue

__all__ = [
    "TOLERANCE_LETTERS",
    "Printed",
    "format_value",
    "parse_printed",
    "parse_reading",
    "parse_tolerance",
    "parse_value",
]

TOLERANCE_LETTERS = {
    **{"E": 0.00005, "L": 0.0001, "P": 0.0002, "W": 0.0005, "B": 0.001, "C": 0.0025, "D": 0.005},
    **{"F": 0.01, "G": 0.02, "H": 0.03, "J": 0.05, "K": 0.10, "M": 0.20, "N": 0.30},
}
"""Symmetrical tolerances of IEC 60062 as fractions (from memory)."""

_SIGN = {"henry": "H", "volt": "V", "ampere": "A"}
_PREFIX = {"G": 9, "M": 6, "k": 3, "": 0, "m": -3, "u": -6, "n": -9, "p": -12}
_CENTIMETRE = Decimal("1.11265e-12")  # the capacitance unit of old Continental sheets; 1/(c²·10⁻⁵) in F

# Each unit's marks, after upper and lower case were made one where no meaning hangs on it. Powers of ten.
_OHM = {
    **{"": 0, "r": 0, "e": 0, "ohm": 0, "ohms": 0, "k": 3, "kohm": 3, "kohms": 3, "kilohm": 3, "kilohms": 3},
    **{"M": 6, "Mohm": 6, "Mohms": 6, "meg": 6, "megs": 6, "megohm": 6, "megohms": 6, "mego": 6},
    **{"g": 9, "gohm": 9, "gohms": 9},
}
_FARAD = {
    **{"f": 0, "fd": 0, "farad": 0, "u": -6, "uf": -6, "ufd": -6, "mf": -6, "mfd": -6, "mfds": -6},
    **{"n": -9, "nf": -9, "nfd": -9, "p": -12, "pf": -12, "pfd": -12, "uuf": -12, "uufd": -12},
    **{"mmf": -12, "mmfd": -12, "mmfds": -12},
}
_HENRY = {
    **{"": 0, "h": 0, "hy": 0, "henry": 0, "henries": 0, "m": -3, "mh": -3},
    **{"u": -6, "uh": -6, "n": -9, "nh": -9},
}
_VOLT = {"": 0, "v": 0, "vdc": 0, "vac": 0, "vw": 0, "volt": 0, "volts": 0, "mv": -3, "kv": 3}
_AMPERE = {"": 0, "a": 0, "amp": 0, "amps": 0, "ampere": 0, "amperes": 0, "ma": -3, "m": -3, "ua": -6}
_MARKS = {"ohm": _OHM, "farad": _FARAD, "henry": _HENRY, "volt": _VOLT, "ampere": _AMPERE}

_NUMBER = r"(?:\d+/\d+|\d+(?:\.\d*)?|\.\d+)"
_PLAIN = re.compile(rf"({_NUMBER})([A-Za-z]*)")
_LETTER_POINT = re.compile(r"(\d*)([A-Za-z]+?)(\d+)")
_PERCENT = re.compile(r"(.+?)(?:\s+|\s*(?:±|\+/-)\s*)([\d.,]+\s*%)")
_DIGIT_CODE = re.compile(r"\d{3}")
_HINT = {
    "ohm": "Write it like 470, 4k7, 2R2, 0M5 or 1 meg.",
    "farad": "Write it like 100p, 4n7, 0.1u, 16 mfd or .05.",
    "henry": "Write it like 10H or 2.5mH.",
    "volt": "Write it like 450V or 6.3V.",
    "ampere": "Write it like 1A or 150mA.",
}


@dataclass(frozen=True, slots=True)
class Printed:
    """A printed value: `number` in the base unit, `tolerance` as a fraction where it is printed too."""

    number: float
    tolerance: float | None = None


def parse_value(text: str, unit: str, *, m_is_thousand: bool = False, bare_is_micro: bool = False) -> float:
    """Return the number that a printed value stands for, in the base unit.

    Parameters
    ----------
    text : str
        As printed: ``"4k7"``, ``"0M5"``, ``"1 meg"``, ``"50 µµF"``, ``".05"``.
    unit : {"ohm", "farad", "henry", "volt", "ampere"}
        What the part is measured in.
    m_is_thousand : bool
        Read M on a resistor as thousand, as some very old sheets mean it. Never guessed.
    bare_is_micro : bool
        Read a capacitor's bare number as µF, whatever its size. Never guessed.

    Raises
    ------
    BadValue
        The text is no such value; the message says why and how to write it.

    Examples
    --------
    >>> parse_value("4k7", "ohm"), parse_value(".05", "farad")
    (4700.0, 5e-08)
    """
    return parse_printed(text, unit, m_is_thousand=m_is_thousand, bare_is_micro=bare_is_micro).number


@lru_cache(maxsize=4096)
def parse_printed(
    text: str, unit: str, *, m_is_thousand: bool = False, bare_is_micro: bool = False
) -> Printed:
    """Return a printed value with the tolerance printed behind it (``4k7J``, ``4k7 5%``), if any.

    Raises
    ------
    BadValue
        As `parse_value`.
    """
    if unit not in _MARKS:
        raise BadValue(f"No unit {unit!r}; the units are {', '.join(_MARKS)}.")
    percent = _PERCENT.fullmatch(text.strip())
    tolerance = parse_tolerance(percent[2]) if percent else None
    body = _normalise(percent[1] if percent else text)
    if not body:
        raise BadValue(f"A value is missing. {_HINT[unit]}")
    if body.startswith("-"):
        raise BadValue(f"{text!r} is negative; no part has such a value.")
    if bare_is_micro and unit == "farad" and re.fullmatch(_NUMBER, body):
        body += "u"
    number = _number(body, unit, m_is_thousand)
    if number is None and body[-1] in TOLERANCE_LETTERS and tolerance is None:
        shorter = body[:-1]
        number = _picofarads(shorter) if unit == "farad" else None
        if number is None and re.search(r"[A-Za-z]", shorter):
            number = _number(shorter, unit, m_is_thousand)
        tolerance = TOLERANCE_LETTERS[body[-1]]
    if number is None:
        raise BadValue(f"{text!r} is no value in {unit}s{_why(body, unit)}. {_HINT[unit]}")
    if math.isinf(float(number)):
        raise BadValue(f"{text[:20]!r}… is too large for any part.")
    return Printed(float(number), tolerance)


def _normalise(text: str) -> str:
    """Drop spaces, make signs one (Ω, µ, decimal commas), and mark the place of old dotted marks."""
    # Before the fold below, which would make 1½ eleven halves and 10² a hundred and two.
    body = re.sub(r"(\d*)\s*([¼½¾⅓⅔⅛⅜⅝⅞])", _mixed, text)
    body = "".join("?" if unicodedata.category(sign) == "No" else sign for sign in body)
    body = unicodedata.normalize("NFKC", body).replace("\u03bc", "u").replace("\u2044", "/")
    body = re.sub(r"[\u03a9\u03c9]", "ohm", body)
    body = re.sub(r"(?<=[A-Za-z])\.|\s+", "", body)  # "m.f.d.", "meg."
    if re.fullmatch(r"[1-9]\d{0,2}(,\d{3})+[A-Za-z]*", body):
        return body.replace(",", "")  # 10,000: common practice on sheets in English
    return body.replace(",", ".")


def _mixed(match: re.Match[str]) -> str:
    """Return a whole number and a fraction sign as one decimal: 1½ as 1.5."""
    return repr(int(match[1] or 0) + unicodedata.numeric(match[2]))


def _number(body: str, unit: str, m_is_thousand: bool) -> Decimal | None:
    plain = _PLAIN.fullmatch(body)
    if plain:
        digits, mark = plain[1], plain[2]
    else:
        between = _LETTER_POINT.fullmatch(body)
        if not between or between[2] not in _POINT_LETTERS[unit]:
            return None
        digits, mark = f"{between[1] or '0'}.{between[3]}", between[2]
    number = _fraction(digits)
    if unit == "farad":
        if mark == "":
            return number.scaleb(-6) if 0 < number < 1 else None
        if mark == "cm":
            return number * _CENTIMETRE
    key = _mark_key(mark, unit)
    power = _MARKS[unit].get(key)
    if power is None or (unit == "ohm" and mark == "m"):
        return None
    return number.scaleb(3 if m_is_thousand and key == "M" else power)


_POINT_LETTERS = {
    "ohm": {"R", "r", "E", "K", "k", "M", "G", "ohm"},
    "farad": {"p", "n", "u", "F", "P", "N", "U"},
    "henry": {"H", "h", "m", "u"},
    "volt": {"V", "v"},
    "ampere": {"A", "a"},
}
"""The letters that may stand for the decimal point; IEC 60062 for R, k, M, G, p, n, µ, m."""


def _fraction(digits: str) -> Decimal:
    if "/" not in digits:
        return Decimal(digits)
    above, below = digits.split("/")
    if int(below) == 0:
        raise BadValue(f"{digits!r} divides by zero.")
    return Decimal(above) / Decimal(below)


def _mark_key(mark: str, unit: str) -> str:
    """Lower-case a mark, keeping M for mega apart from m, the one case difference that matters."""
    if unit == "ohm" and mark[:1] == "M" and mark.lower() in {"m", "mohm", "mohms"}:
        return "M" + mark[1:].lower()
    return mark.lower()


def _picofarads(body: str) -> Decimal | None:
    """Read the three-digit code of small capacitors: two digits and a power of ten, in pF (IEC 60062)."""
    if not _DIGIT_CODE.fullmatch(body):
        return None
    power = {"8": -2, "9": -1}.get(body[2], int(body[2]))
    return Decimal(body[:2]).scaleb(power - 12)


def _why(body: str, unit: str) -> str:
    if unit == "farad" and re.fullmatch(_NUMBER, body):
        return ": a bare number from 1 up may be pF, µF or a digit code, so it needs its unit"
    if unit == "ohm" and re.search(r"\dm", body):
        return ": a small m could be milli or mega; write M or R"
    if re.fullmatch(rf"{_NUMBER}(\+{_NUMBER})+", body):
        return ": it tells of several parts in one can; enter each of them by itself"
    if re.fullmatch(rf"{_NUMBER}[eE][+-]?\d+", body):
        return ": no power of ten is read; write 1k for 1e3, 1M for 1e6"
    other = "ohm" if unit == "farad" else "farad"
    if unit in ("ohm", "farad") and body and _number(body, other, False) is not None:
        return f": that is a value in {other}s"
    return ""


@lru_cache(maxsize=1024)
def parse_tolerance(text: str) -> float:
    """Return a tolerance as a fraction, from ``"10%"`` or a letter of IEC 60062 such as ``"K"``.

    Raises
    ------
    BadValue
        It is neither.
    """
    body = _normalise(text).removeprefix("±").removeprefix("+/-")
    if body in TOLERANCE_LETTERS:
        return TOLERANCE_LETTERS[body]
    match = re.fullmatch(rf"({_NUMBER})%", body)
    if not match:
        raise BadValue(f"{text!r} is no tolerance. Write it like 10% or K.")
    return float(_fraction(match[1]) / 100)


def parse_reading(text: str) -> tuple[float, bool]:
    """Return the ohms that a meter showed, ``inf`` for over-range, and whether it was still rising.

    A last small ``r`` (or the word ``rising``) tells that the reading was still climbing; a capital R is
    the ohm letter.

    Raises
    ------
    BadValue
        The text is no reading; the message says how to write one.

    Examples
    --------
    >>> parse_reading("3k1"), parse_reading("3k1 r"), parse_reading("OL"), parse_reading("100R")
    ((3100.0, False), (3100.0, True), (inf, False), (100.0, False))
    """
    match = re.fullmatch(r"(.*?[^\s])\s*(?:rising|r)", text.strip(), flags=re.DOTALL)
    rising = match is not None
    body = match[1] if match else text.strip()
    if re.sub(r"[.\s]", "", body).casefold() in {"ol", "0l", "inf", "∞", "open"}:
        return math.inf, rising
    try:
        return parse_value(body, "ohm"), rising
    except BadValue as error:
        raise BadValue(
            f"{text!r} is no reading: write ohms like 3k1, 3100, 0.3 or 130k, OL for over-range, "
            "and a last r while it still rises."
        ) from error


def format_value(number: float, unit: str, digits: int | None = None) -> str:
    """Return a number as this program prints it; `parse_value` reads it back to the same number.

    Parameters
    ----------
    number : float
        In the base unit, not negative; ``inf`` ohms print as ``OL``.
    unit : {"ohm", "farad", "henry", "volt", "ampere"}
    digits : int or None
        Significant digits to round to; None keeps all.

    Raises
    ------
    BadValue
        The number is negative, or not a number.

    Examples
    --------
    >>> format_value(4700, "ohm"), format_value(0.3, "ohm"), format_value(5e-8, "farad")
    ('4k7', '0R3', '50n')
    """
    if unit not in _MARKS or math.isnan(number) or number < 0 or (math.isinf(number) and unit != "ohm"):
        raise BadValue(f"Cannot print {number} {unit}.")
    if math.isinf(number):
        return "OL"
    exact = Decimal(repr(float(number)))
    if digits is not None and exact:
        exact = round(exact, digits - 1 - exact.adjusted())
    prefix = _prefix(exact, unit)
    plain = str(format(exact.scaleb(-_PREFIX[prefix]), "f"))
    whole, _, part = plain.partition(".")
    part = part.rstrip("0")
    if unit in {"ohm", "farad"}:
        letter = prefix or ("R" if unit == "ohm" and part else "")
        return f"{whole}{letter or ('F' if unit == 'farad' else '')}{part}"
    return f"{whole}{'.' + part if part else ''}{prefix}{_SIGN[unit]}"


def _prefix(exact: Decimal, unit: str) -> str:
    """Choose the prefix that leaves one to three digits before the point, among those the unit uses."""
    for prefix in _PRINTED_PREFIXES[unit]:
        if exact >= Decimal(1).scaleb(_PREFIX[prefix]):
            return prefix
    return _PRINTED_PREFIXES[unit][-1] if exact and unit not in {"ohm", "volt"} else ""


_PRINTED_PREFIXES: dict[str, tuple[str, ...]] = {
    "ohm": ("G", "M", "k", ""),
    "farad": ("u", "n", "p"),
    "henry": ("", "m", "u"),
    "volt": ("k", ""),
    "ampere": ("", "m", "u"),
}

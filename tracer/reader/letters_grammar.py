"""What a word of lettering can be: a reference, a value, a pin; with slips of reading put right.

Signs that look alike (I and 1, O and 0, S and 5, B and 8) are told apart by where they stand: a reference is
letters, then a number, then perhaps a letter; a value is a number with its mark. Forms are common practice.
Nothing is changed silently: each answer says what it costs, and the word as it was read stays with it.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from functools import lru_cache
from itertools import combinations
from typing import Final

from tracer.circuit.values import parse_printed
from tracer.errors import BadValue

__all__ = ["Fit", "as_pin", "as_rail", "as_reference", "as_value", "put_right"]

_TO_DIGIT: Final = {
    **dict.fromkeys("OoDQ", "0"), **dict.fromkeys("Il|i", "1"), **dict.fromkeys("Zz", "2"),
    **dict.fromkeys("Ss", "5"), **dict.fromkeys("Gb", "6"), "T": "7", "B": "8",
    **dict.fromkeys("gq", "9"), "A": "4",
}  # fmt: skip
_TO_LETTER: Final = {"0": "O", "1": "I", "5": "S", "8": "B", "2": "Z", "6": "G", "4": "A", "(": "C"}
_IN_VALUES: Final = {
    **_TO_DIGIT, ",": ".", ":": ".", "'": ".", "-": ".", "r": "k", "h": "k", "x": "k", "t": "k", "R": "k",
    "H": "M", "m": "M", "N": "M", "v": "u", "y": "µ", "U": "u", "a": "u",
}  # fmt: skip
_CASE_COSTS: Final = 0.2
_CHANGE_COSTS: Final = 1.0
_STRANGE_COSTS: Final = 1.2
_NO_DIGIT_COSTS: Final = 0.6  # words that have letters alone are words first
_ONES: Final = "Il|"
_MOST_REFERENCE_COSTS: Final = 1.4  # more would be guessing
_MOST_CHANGES: Final = 2
_LONGEST_VALUE: Final = 9

# Letters that references begin with (common practice in several countries).
_PREFIXES: Final = frozenset("RCVLTDSFQBMNPXEJAWKUYZ") | {
    "VR", "RV", "RP", "TR", "SK", "SW", "PL", "LS", "LP", "MR", "BR", "IC", "FS", "TC", "CH", "JK", "TH",
    "RL", "TP", "XL", "VC", "LK", "RFC", "SP", "VDR", "SR", "REG", "IF", "OT", "MT", "PU",
    "VT", "ZD", "CR", "CV", "NE", "LED", "MOT", "OSC",
}  # fmt: skip
_ELECTRODES: Final = frozenset({"a", "b", "g", "g1", "g2", "g3", "s", "i", "A", "B", "G", "S"})
_LONG_PREFIX: Final = 3
_VALUE_SIGNS: Final = re.compile(r"[0-9.,/+A-Za-zΩµ ]+")
_PLURAL: Final = re.compile(r"(\d+(?:\.\d+)?)(\+\d+(?:\.\d+)?)+(?:µF|uF|u|µ)?")
_TWO_NUMBERS: Final = re.compile(r"\d (?!000(?: 000)*\b)[\d.]")  # "150 100" is two values, "10 000" one
_BARE: Final = re.compile(r"\d+(?:[.,]\d+)?")


@dataclass(frozen=True, slots=True)
class Fit:
    """A word put right: `text`, and what that cost (0 as it stood, about 1 for each sign changed)."""

    text: str
    cost: float


@lru_cache(maxsize=4096)
def as_reference(word: str) -> Fit | None:
    """Read a word as a reference, or None.

    Examples
    --------
    >>> as_reference("R12"), as_reference("RI2"), as_reference("47k")
    (Fit(text='R12', cost=0.0), Fit(text='R12', cost=1.0), None)
    """
    word = word.strip(" .,:;'\"-")
    fits = [fit for fit in _references(word) if fit.cost <= _MOST_REFERENCE_COSTS]
    return min(fits, key=lambda fit: fit.cost) if fits else None


def _references(word: str) -> Iterator[Fit]:
    """Try every way to part a word into letters, digits and a last letter."""
    if not 2 <= len(word) <= 8 or not any(sign.isalpha() for sign in word):
        return
    for split in range(1, min(_LONG_PREFIX, len(word) - 1) + 1):
        prefix, cost = _letters(word[:split])
        if not prefix:
            continue
        for last in (0, 1):
            middle, tail = (word[split:-1], word[-1]) if last else (word[split:], "")
            digits, more = _digits(middle)
            if not 1 <= len(digits) <= 4 or digits.startswith("0"):
                continue
            if tail and not (tail.isalpha() and tail.lower() in "abcdefgh"):
                continue
            strange = 0.0 if prefix in _PREFIXES else _STRANGE_COSTS
            if not any(sign.isdigit() or sign in _ONES for sign in middle):
                strange += _NO_DIGIT_COSTS
            yield Fit(prefix + digits + tail, cost + more + strange + 0.05 * last)


def _letters(text: str) -> tuple[str, float]:
    """Text as capitals, with what it cost; empty where it is none."""
    found, cost = "", 0.0
    for sign in text:
        if "A" <= sign <= "Z":
            found += sign
        elif "a" <= sign <= "z":
            found, cost = found + sign.upper(), cost + _CASE_COSTS
        elif sign in _TO_LETTER and text != sign:
            found, cost = found + _TO_LETTER[sign], cost + _CHANGE_COSTS
        else:
            return "", 0.0
    return found, cost


def _digits(text: str) -> tuple[str, float]:
    found, cost = "", 0.0
    for sign in text:
        if sign.isdigit():
            found += sign
        elif sign in _TO_DIGIT:
            found, cost = found + _TO_DIGIT[sign], cost + _CHANGE_COSTS
        else:
            return "", 0.0
    return found, cost


@lru_cache(maxsize=8192)
def as_value(word: str, unit: str) -> Fit | None:
    """Read a word as a value in `unit`, or None.

    A bare number of 1 or more is a value of a capacitor too, though it says neither pF nor µF. A single
    digit is none: it is more likely the number of a pin.

    Examples
    --------
    >>> as_value("4k7", "ohm"), as_value("l0H", "henry"), as_value("R12a", "ohm")
    (Fit(text='4k7', cost=0.0), Fit(text='10H', cost=1.0), None)
    """
    word = word.strip(" ;:'\"-")
    if not 2 <= len(word) <= _LONGEST_VALUE:
        return None
    for changes in range(_MOST_CHANGES + 1):
        fits = [text for text in _changed(word, changes) if _is_value(text, unit)]
        if fits:
            best = max(
                fits, key=lambda text: (text[0].isdigit() or text[0] == ".", sum(map(str.isdigit, text)))
            )
            return Fit(best, changes * _CHANGE_COSTS)
    return None


def _changed(word: str, changes: int) -> Iterable[str]:
    """The word with so many of its signs replaced by what they look like."""
    places = [at for at, sign in enumerate(word) if sign in _IN_VALUES]
    for chosen in combinations(places, changes):
        signs = list(word)
        for at in chosen:
            signs[at] = _IN_VALUES[signs[at]]
        yield "".join(signs)


def _is_value(text: str, unit: str) -> bool:
    if not _VALUE_SIGNS.fullmatch(text) or not any(sign.isdigit() for sign in text):
        return False
    if _TWO_NUMBERS.search(text):
        return False
    if unit == "farad" and (_PLURAL.fullmatch(text) or (_BARE.fullmatch(text) and len(text) <= 5)):
        return True
    try:
        number = parse_printed(text, unit).number
    except BadValue:
        return False
    low, high = _SENSIBLE[unit]
    return low <= number <= high


_SENSIBLE: Final = {
    "ohm": (0.05, 1e9), "farad": (0.5e-12, 0.5), "henry": (1e-8, 2e3), "volt": (0.1, 5e4),
    "ampere": (1e-4, 100.0),
}  # fmt: skip
"""What parts of a set can have."""


def as_pin(word: str) -> Fit | None:
    """Read a word as the number of a pin, or None.

    Examples
    --------
    >>> as_pin("9"), as_pin("l"), as_pin("R1")
    (Fit(text='9', cost=0.0), Fit(text='1', cost=1.0), None)
    """
    digits, cost = _digits(word) if word not in _ELECTRODES else ("", 0.0)
    return Fit(digits, cost) if 1 <= len(digits) <= 2 else None


_RAIL: Final = re.compile(
    r"\(?(?:[+-]\d{1,4}(?:[.,]\d)? ?[vV]?|\d{1,4}(?:[.,]\d)? ?[vV][+-]?|0 ?[vV])\)?"
    r"|[+-]?(?:E\.?H\.?T|H\.?T|L\.?T|G\.?B|AGC|AVC|A\.V\.C|HTR|VCC|VDD|VSS|VEE|GND|B\+|B-|C-|A\+)\.?\d{0,2}[+-]?"
)


def as_rail(word: str) -> Fit | None:
    """Read a word as the name of a supply rail, or None: a voltage with its sign or its V, or HT, LT, AGC….

    Examples
    --------
    >>> as_rail("+5"), as_rail("HT1+"), as_rail("470"), as_rail("H71")
    (Fit(text='+5', cost=0.0), Fit(text='HT1+', cost=0.0), None, None)
    """
    plain = word.strip(" :;,'\"")
    if not (_RAIL.fullmatch(plain.replace(" ", "")) or _RAIL.fullmatch(plain)):
        return None
    if ("(" in plain) != (")" in plain):
        return Fit(f"({plain.strip('()')})", 0.5)
    return Fit(plain, 0.0)


def put_right(words: Iterable[str]) -> str:
    """Put a line's words right where exactly one reading makes sense, and leave all others as they are.

    A word that is a value or a reference as it stands, or could be either after a change, stays.

    Examples
    --------
    >>> put_right(["RI2", "4k7"]), put_right(["OUTPUT"]), put_right(["S1d"])
    ('R12 4k7', 'OUTPUT', 'S1d')
    """
    return " ".join(_put_right(word) for word in words)


def _put_right(word: str) -> str:
    values = [fit for unit in _SENSIBLE if (fit := as_value(word, unit)) is not None]
    reference = as_reference(word)
    fits = values + ([reference] if reference is not None else [])
    has_digit = any(sign.isdigit() for sign in word)
    if not fits or not has_digit or min(fit.cost for fit in fits) == 0.0:
        return word
    least = min(fit.cost for fit in fits)
    texts = {fit.text for fit in fits if fit.cost <= least + 0.5}
    return texts.pop() if len(texts) == 1 and least <= _CHANGE_COSTS else word

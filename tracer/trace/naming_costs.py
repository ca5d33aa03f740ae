"""What it costs that a part has a text for its reference, its value or its name.

A text costs more the farther it stands from the part, the more signs had to be put right, and where its
letters usually begin the reference of another kind. Costs are in letter heights.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import partial
from math import sqrt
from typing import Final

import numpy as np
from numpy.typing import NDArray

from tracer.circuit.kinds import kinds
from tracer.reader.letters_grammar import Fit, as_pin, as_rail, as_reference, as_value
from tracer.trace.naming_texts import Text, gap
from tracer.trace.sheet import Proposal

__all__ = [
    "IMPOSSIBLE",
    "LEAST_SURE",
    "Offers",
    "Told",
    "kind_of_letters",
    "label_offers",
    "reference_offers",
    "told",
    "value_offers",
]

LEAST_SURE: Final = 0.5
"""Readings less sure name no rail and no pin."""

IMPOSSIBLE: Final = 1e6

_LEAST_NAMED: Final = 0.35  # names less sure are not offered: a wrong one costs a person more than none

_FARTHEST: Final = 4.0  # letter heights from a part's edge; lettering farther off names something else
_FAR_VALUE: Final = 3.0
_FAR_LABEL: Final = 2.5
_CHANGED: Final = 1.1  # letter heights that one sign put right is worth
_UNSURE: Final = 1.5  # … and a reading without any confidence
_DOUBTED: Final = 2.0  # … and a part without any
_LETTERS_APART: Final = 0.45  # … and between two words at least
_WIDE_LETTERS: Final = 0.85  # letter heights between two halves of one reference
_OTHER_KIND: Final = 2.2
_UNKNOWN_LETTERS: Final = 1.3
_CONFUSED: Final = 0.7
_CLOSE: Final = 0.9  # letter heights from a reference to the value below it
_APART: Final = 0.55  # what a value's distance from its reference counts beside that from the part
_FITTING: Final = 0.3  # what the chance of a reading is worth for each sign that must be put right
_SIGN_KEPT: Final = 0.75  # what a reading's confidence is worth after one sign was put right
_HEIGHT_KEPT: Final = 0.9  # … and one letter height from where it should stand
_PIN: Final = 1.6  # what it costs that a value may be the number of a pin
_ODD: Final = 3.0  # letter heights that a value of no preferred digits is worth

# Letters that references of a kind begin with (common practice; they differ by country, so they only weigh).
_LETTERS: Final = {
    "resistor": "R RP", "pot": "VR RV P R", "capacitor": "C TC VC CV", "coil": "L CH RFC T",
    "transformer": "T TR OT MT IF", "diode": "D MR W X V CR", "rectifier": "MR D W V REC",
    "bridge": "BR MR D W",
    "valve": "V", "transistor": "TR Q T VT", "block": "IC U", "contact": "S SW RL", "fuse": "F FS",
    "lamp": "LP PL N LA", "speaker": "LS SP", "meter": "M", "battery": "B BT", "jack": "SK JK J PL",
    "plug": "PL P SK", "crystal": "X XL XT",
}  # fmt: skip
# Letters of kinds that the reader often takes for another: they speak for a part that was misread.
_TAKEN_FOR: Final = {"bridge": "IC U", "block": "BR", "resistor": "VR RV", "diode": "MR", "other": "LS M LP"}
_ALSO: Final = {
    "lamp": ("volt", "ampere"),
    "fuse": ("ampere",),
    "battery": ("volt",),
    "coil": ("henry", "ohm"),
}
_E24: Final = frozenset({
    "10", "11", "12", "13", "15", "16", "18", "20", "22", "24", "27", "30",
    "33", "36", "39", "43", "47", "51", "56", "62", "68", "75", "82", "91",
})  # fmt: skip  # IEC 60063 (from memory)
_OLD: Final = frozenset({"32", "64", "14"})  # common practice, as of electrolytics
_ALIKE: Final = ("resistor", "capacitor", "coil", "fuse")
_UNLETTERED: Final = frozenset({"chassis", "label"})


@dataclass(frozen=True, slots=True)
class Told:
    """What a text says if it is a name of a kind: the likeliest, how sure that is, and the others."""

    fit: Fit
    confidence: float
    others: tuple[tuple[str, float], ...] = ()


def told(text: Text, fit_of: Callable[[str], Fit | None]) -> Told | None:
    """Weigh all that a text may say by what fits: readings that come to the same name add up.

    A reading that fits only after a change counts for less. That some readings fit no name of the kind makes
    all of it less sure, but not as much as if they spoke for another name.

    Parameters
    ----------
    text : Text
    fit_of : callable
        What a reading is as such a name, or None.
    """
    if not text.readings:
        only = fit_of(text.text)
        return None if only is None else Told(only, text.confidence)
    weights: dict[str, float] = {}
    fits: dict[str, Fit] = {}
    for reading, chance in text.readings:
        fit = fit_of(reading)
        if fit is not None:
            weights[fit.text] = weights.get(fit.text, 0.0) + chance * _FITTING**fit.cost
            fits[fit.text] = min(fit, fits.get(fit.text, fit), key=lambda each: each.cost)
    if not weights:
        return None
    fitting = sum(weights.values())
    mass = sqrt(min(fitting, 1.0)) / fitting
    ranked = sorted(((weight * mass, name) for name, weight in weights.items()), reverse=True)
    best = ranked[0][1]
    return Told(fits[best], ranked[0][0], tuple((name, sure) for sure, name in ranked[1:]))


@dataclass(frozen=True, slots=True, eq=False)
class Offers:
    """Which texts could be given to which parts.

    Attributes
    ----------
    costs : (parts, texts) float64
        `IMPOSSIBLE` where a text is no candidate.
    fits : mapping
        For each candidate (part, text) what the part would be given.
    sure : mapping
        … and how sure that is, 0 to 1.
    others : mapping
        … and what else it may be, with how sure that is.
    """

    costs: NDArray[np.float64]
    fits: dict[tuple[int, int], str]
    sure: dict[tuple[int, int], float]
    others: dict[tuple[int, int], tuple[tuple[str, float], ...]]

    @classmethod
    def none(cls, parts: Sequence[Proposal], texts: Sequence[Text]) -> Offers:
        """Begin with no candidate at all."""
        return cls(np.full((len(parts), len(texts)), IMPOSSIBLE), {}, {}, {})

    def add(self, row: int, column: int, cost: float, told: Told, doubt: float) -> None:
        """Offer a text to a part; `doubt` is what else speaks against it, in letter heights."""
        self.costs[row, column] = cost
        self.fits[row, column] = told.fit.text
        kept = _SIGN_KEPT ** max(told.fit.cost, 0.0) * _HEIGHT_KEPT ** max(doubt, 0.0)
        self.sure[row, column] = round(told.confidence * kept, 3)
        self.others[row, column] = tuple((text, round(sure * kept, 3)) for text, sure in told.others)


def reference_offers(parts: Sequence[Proposal], texts: Sequence[Text]) -> Offers:
    """Offer references to parts nearby."""
    offers = Offers.none(parts, texts)
    for column, text in enumerate(texts):
        name = told(text, _reference)
        if (
            name is None
            or name.confidence < _LEAST_NAMED
            or as_rail(text.text) is not None
            or _whole_inside(text)
        ):
            continue
        letters = name.fit.text.rstrip("abcdefghABCDEFGH").rstrip("0123456789")
        for row in _near(parts, text, _FARTHEST):
            kind = parts[row].kind
            if kind in _UNLETTERED:
                continue
            far = gap(parts[row].box, text.box) / text.height
            doubt = far + _kind_cost(kind, letters) * min(1.0, parts[row].score + 0.2) + _doubt(parts[row])
            cost = doubt + _CHANGED * name.fit.cost + _UNSURE * (1 - name.confidence) + _apart(text)
            offers.add(row, column, cost, name, doubt)
    return offers


def value_offers(parts: Sequence[Proposal], texts: Sequence[Text], at: Mapping[int, Text]) -> Offers:
    """Offer values to parts nearby; `at` tells which text each part has for its reference."""
    offers = Offers.none(parts, texts)
    known = kinds()
    for column, text in enumerate(texts):
        reference, rail = as_reference(text.text), as_rail(text.text) is not None
        for row in _near(parts, text, _FAR_VALUE, at):
            kind = known.get(parts[row].kind)
            own = (kind.unit,) if kind is not None and kind.unit is not None else ()
            units = _ALSO.get(parts[row].kind, own)
            value = _value(text, units) if "volt" in units or not rail else None
            beside = at.get(row)
            if value is None and "farad" in units and beside is not None and _below(beside, text):
                value = told(text, _few_microfarads)
                value = None if value is None or value.confidence < _LEAST_NAMED else value
            if value is None or (reference is not None and reference.cost < min(value.fit.cost + 0.1, 0.5)):
                continue
            fit = value.fit
            far = gap(parts[row].box, text.box) / text.height
            if beside is not None:
                far = (1 - _APART) * far + _APART * 2 * gap(beside.box, text.box) / text.height
            # Two bare digits are as likely a pin's number.
            pin = _PIN if as_pin(text.text) is not None else 0.0
            cost = far + _CHANGED * fit.cost + _UNSURE * (1 - value.confidence) + pin + _doubt(parts[row])
            if cost <= _FARTHEST:
                doubt = far + _doubt(parts[row]) + 2 * pin + (0.0 if _preferred(fit.text) else _ODD)
                offers.add(row, column, cost - 0.1 * (len(text.words) - 1), value, doubt)
    return offers


def label_offers(parts: Sequence[Proposal], texts: Sequence[Text]) -> Offers:
    """Offer names to labels nearby."""
    offers = Offers.none(parts, texts)
    for column, text in enumerate(texts):
        for row in _near(parts, text, _FAR_LABEL):
            if parts[row].kind == "label" and any(sign.isalnum() for sign in text.text):
                far = gap(parts[row].box, text.box) / text.height
                rail = as_rail(text.text)
                apart = _apart(text) if rail else -0.1 * len(text.words)
                cost = far + _UNSURE * (1 - text.confidence) + apart
                doubt = far if rail or as_pin(text.text) is None else far + 2 * _PIN
                offers.add(row, column, cost, Told(rail or Fit(text.text, 0.0), text.confidence), doubt)
    return offers


def kind_of_letters(reference: str) -> str | None:
    """Give the kind that a reference's letters usually stand for, of those with two like ends.

    Examples
    --------
    >>> kind_of_letters("R24"), kind_of_letters("C1"), kind_of_letters("TR5")
    ('resistor', 'capacitor', None)
    """
    letters = reference.rstrip("abcdefghABCDEFGH").rstrip("0123456789")
    return next((kind for kind in _ALIKE if _LETTERS[kind].split()[0] == letters), None)


def _whole_inside(text: Text) -> bool:
    """Whether several words hold one that is a reference by itself: "R61" and "16" are not R6116.

    Words as close as letters are one word that was parted by mistake.
    """
    words = text.text.split() if text.gap >= _LETTERS_APART else []
    fits = [as_reference(word) for word in words] if len(words) > 1 else []
    return any(fit is not None and fit.cost < 0.5 for fit in fits)


def _apart(text: Text) -> float:
    """What it costs to take words for one reference: a widely lettered one stands close enough."""
    return 0.0 if len(text.words) == 1 else (-0.3 if text.gap < _WIDE_LETTERS else 0.8)


def _doubt(part: Proposal) -> float:
    """What it costs that a part may be none: the reader is not sure of it, or no conductor ends at it."""
    loose = all(terminal.conductor is None for terminal in part.terminals)
    return _DOUBTED * (1 - part.score) + (0.8 if loose else 0.0)


def _kind_cost(kind: str, letters: str) -> float:
    """What it costs that a part of `kind` has a reference of these letters."""
    usual = _LETTERS.get(kind, "").split()
    if letters in usual:
        return 0.1 * usual.index(letters)
    if letters in _TAKEN_FOR.get(kind, "").split():
        return _CONFUSED
    others = any(letters in other.split() for other in _LETTERS.values())
    return _OTHER_KIND if usual and others else _UNKNOWN_LETTERS


def _preferred(value: str) -> bool:
    """Whether a value's digits are preferred numbers, or such round ones as were used before them."""
    digits = re.sub(r"\D", "", value.split("+")[0]).strip("0")
    return len(digits) <= 1 or (len(digits) == 2 and (digits in _E24 or digits[1] == "5" or digits in _OLD))


def _reference(reading: str) -> Fit | None:
    return as_reference(reading.replace(" ", ""))


def _as_value(reading: str, unit: str, *, close: bool) -> Fit | None:
    """A reading as a value; words as close as letters are one word."""
    return as_value(reading.replace(" ", "") if close else reading, unit)


def _value(text: Text, units: tuple[str, ...]) -> Told | None:
    """The text as a value in the first of the units that it fits."""
    for number, unit in enumerate(units):
        value = told(text, partial(_as_value, unit=unit, close=text.gap < _LETTERS_APART))
        if value is not None and value.confidence >= _LEAST_NAMED:
            return replace(value, fit=replace(value.fit, cost=value.fit.cost + 0.5 * number))
    return None


def _few_microfarads(reading: str) -> Fit | None:
    """A lone digit: old electrolytics are marked 8 and mean 8 µF; others more likely lost their point."""
    return Fit(reading, 0.0) if reading in {"2", "4", "8"} else None


def _below(first: Text, second: Text) -> bool:
    """Whether a text stands close below another, as a value does below its reference."""
    down = (second.box[1] - first.box[3]) / first.height
    shared = min(first.box[2], second.box[2]) - max(first.box[0], second.box[0])
    return -_CLOSE / 2 <= down <= _CLOSE and shared > 0


def _near(
    parts: Sequence[Proposal], text: Text, most: float, at: Mapping[int, Text] | None = None
) -> list[int]:
    """Rows of the parts within `most` letter heights of a text, or whose reference stands so near."""
    rows = [row for row, part in enumerate(parts) if gap(part.box, text.box) <= most * text.height]
    if at:
        rows += [row for row, beside in at.items() if gap(beside.box, text.box) <= 0.8 * text.height]
    return sorted(set(rows))

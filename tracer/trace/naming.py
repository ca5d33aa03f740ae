"""Giving part proposals the references and values lettered beside them.

Each text is given away once, by the assignment that costs least over the whole sheet (Kuhn 1955, as
`scipy.optimize.linear_sum_assignment` does it): first references, then values, then the names of labels.
A text costs more the farther it stands from the part, the more signs had to be put right, and where its
letters usually begin the reference of another kind.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import pairwise
from typing import Final

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import linear_sum_assignment

from tracer.circuit.kinds import kinds
from tracer.reader.letters_grammar import Fit, as_pin, as_reference, as_value
from tracer.reader.text_line import TextLine, Word
from tracer.trace.sheet import Proposal, TracedSheet

__all__ = ["name_proposals"]

_FARTHEST: Final = 4.0  # letter heights from a part's edge; lettering farther off names something else
_FAR_VALUE: Final = 3.0
_FAR_LABEL: Final = 2.5
_CHANGED: Final = 1.1  # letter heights that one sign put right is worth
_UNSURE: Final = 1.5  # … and a reading without any confidence
_LEAST_SURE: Final = 0.5  # a wrong name costs a person more than none
_DOUBTED: Final = 2.0  # … and a part without any
_WIDE_LETTERS: Final = 0.85  # letter heights between two halves of one reference
_NOTHING: Final = 4.2
_OTHER_KIND: Final = 2.2
_UNKNOWN_LETTERS: Final = 0.8
_APART: Final = 0.55  # what a value's distance from its reference counts beside that from the part
_IMPOSSIBLE: Final = 1e6

# Letters that references of a kind begin with (common practice; they differ by country, so they only weigh).
_LETTERS: Final = {
    "resistor": "R RP", "pot": "VR RV P R", "capacitor": "C TC VC CV", "coil": "L CH RFC T",
    "transformer": "T TR OT MT IF", "diode": "D MR W X V CR", "rectifier": "MR D W V REC",
    "bridge": "BR MR D W",
    "valve": "V", "transistor": "TR Q T VT", "block": "IC U PL", "contact": "S SW RL", "fuse": "F FS",
    "lamp": "LP PL N LA", "speaker": "LS SP", "meter": "M", "battery": "B BT", "jack": "SK JK J PL",
    "plug": "PL P SK", "crystal": "X XL XT",
}  # fmt: skip
_ALSO: Final = {
    "lamp": ("volt", "ampere"),
    "fuse": ("ampere",),
    "battery": ("volt",),
    "coil": ("henry", "ohm"),
}
_RAILS: Final = frozenset({"HT", "LT", "GB", "EHT", "AGC", "AVC"})  # numbered rails, not references
_UNLETTERED: Final = frozenset({"chassis", "label"})

Costs = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class _Text:
    """A word, or a whole line such as "1 meg": its box x0, y0, x1, y1 and letter height, page px."""

    text: str
    box: tuple[float, float, float, float]
    height: float
    confidence: float
    words: frozenset[tuple[int, int]]
    gap: float


def name_proposals(sheet: TracedSheet, lines: Sequence[TextLine]) -> TracedSheet:
    """Fill in `reference` and `value` of every proposal that lettering beside it names.

    What a proposal already has is kept. Nothing else of the sheet changes.
    """
    if not lines or not sheet.proposals:
        return sheet
    texts = _texts(lines)
    named = list(sheet.proposals)
    taken: set[tuple[int, int]] = set()
    at: dict[int, _Text] = {}
    for row, text, fit in _assign(_reference_costs(named, texts), texts, taken):
        named[row] = replace(named[row], reference=named[row].reference or fit)
        at[row] = text
    for row, _, fit in _assign(_value_costs(named, texts, at), texts, taken):
        named[row] = replace(named[row], value=named[row].value or fit)
    for row, _, fit in _assign(_label_costs(named, texts), texts, taken):
        named[row] = replace(named[row], value=named[row].value or fit)
    return replace(sheet, proposals=tuple(named))


def _texts(lines: Sequence[TextLine]) -> list[_Text]:
    """Every word, every two that follow each other, and every whole line."""
    found = []
    for number, line in enumerate(lines):
        count = len(line.words)
        spans = {(start, start + 1) for start in range(count)} | {
            (start, start + 2) for start in range(count - 1)
        }
        for start, end in sorted(spans | {(0, count)}):
            words = line.words[start:end]
            points = np.array([corner for word in words for corner in word.box])
            (x0, y0), (x1, y1) = points.min(axis=0), points.max(axis=0)
            found.append(
                _Text(
                    " ".join(word.text for word in words),
                    (float(x0), float(y0), float(x1), float(y1)),
                    line.height,
                    min(word.confidence for word in words),
                    frozenset((number, index) for index in range(start, end)),
                    _widest_gap(words) / line.height,
                )
            )
    return found


def _widest_gap(words: Sequence[Word]) -> float:
    """Between words that follow each other, px."""
    return max((float(np.hypot(*np.subtract(b.box[0], a.box[1]))) for a, b in pairwise(words)), default=0.0)


def _assign(
    costs: tuple[Costs, dict[tuple[int, int], str]], texts: list[_Text], taken: set[tuple[int, int]]
) -> list[tuple[int, _Text, str]]:
    """Give texts to parts so that the whole costs least; texts with a word already taken are left out."""
    table, fits = costs
    if not table.size:
        return []
    free = np.array([not (text.words & taken) for text in texts])
    table = np.where(free[None, :], table, _IMPOSSIBLE)
    # A part may go without: its own column of "nothing" costs more than any text that may well be its own.
    nothing = np.full((len(table), len(table)), _IMPOSSIBLE)
    np.fill_diagonal(nothing, _NOTHING)
    rows, columns = linear_sum_assignment(np.hstack([table, nothing]))
    given: list[tuple[int, _Text, str]] = []
    for row, column in sorted(zip(rows, columns, strict=True), key=lambda pair: float(table[pair[0], pair[1]])
                              if pair[1] < len(texts) else _IMPOSSIBLE):  # fmt: skip
        if column < len(texts) and (int(row), int(column)) in fits and not texts[column].words & taken:
            taken |= texts[column].words
            given.append((int(row), texts[column], fits[int(row), int(column)]))
    return given


def _reference_costs(parts: list[Proposal], texts: list[_Text]) -> tuple[Costs, dict[tuple[int, int], str]]:
    table, fits = _empty(parts, texts)
    for column, text in enumerate(texts):
        fit = as_reference(text.text.replace(" ", "")) if text.confidence >= _LEAST_SURE else None
        if fit is None:
            continue
        letters = fit.text.rstrip("abcdefghABCDEFGH").rstrip("0123456789")
        if letters in _RAILS:
            continue
        for row in _near(parts, text, _FARTHEST):
            kind = parts[row].kind
            if kind in _UNLETTERED:
                continue
            far = _gap(parts[row].box, text.box) / text.height
            cost = far + _CHANGED * fit.cost + _UNSURE * (1 - text.confidence) + _kind_cost(kind, letters)
            table[row, column] = cost + _apart(text) + _doubt(parts[row])
            fits[row, column] = fit.text
    return table, fits


def _apart(text: _Text) -> float:
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
    others = any(letters in other.split() for other in _LETTERS.values())
    return _OTHER_KIND if usual and others else _UNKNOWN_LETTERS


def _value_costs(
    parts: list[Proposal], texts: list[_Text], at: dict[int, _Text]
) -> tuple[Costs, dict[tuple[int, int], str]]:
    table, fits = _empty(parts, texts)
    known = kinds()
    for column, text in enumerate(texts):
        reference = as_reference(text.text)
        for row in _near(parts, text, _FAR_VALUE, at):
            kind = known.get(parts[row].kind)
            own = (kind.unit,) if kind is not None and kind.unit is not None else ()
            fit = _value(text, _ALSO.get(parts[row].kind, own))
            if fit is None or (reference is not None and reference.cost < min(fit.cost + 0.1, 0.5)):
                continue
            far = _gap(parts[row].box, text.box) / text.height
            beside = at.get(row)
            if beside is not None:
                far = (1 - _APART) * far + _APART * 2 * _gap(beside.box, text.box) / text.height
            pin = (
                0.8 if as_pin(text.text) is not None else 0.0
            )  # two bare digits are as likely a pin's number
            cost = far + _CHANGED * fit.cost + _UNSURE * (1 - text.confidence) + pin + _doubt(parts[row])
            if cost <= _FARTHEST:
                table[row, column] = cost - 0.1 * (len(text.words) - 1)
                fits[row, column] = fit.text
    return table, fits


def _value(text: _Text, units: tuple[str, ...]) -> Fit | None:
    """The text as a value in the first of the units that it fits."""
    if text.confidence < _LEAST_SURE:
        return None
    for number, unit in enumerate(units):
        fit = as_value(text.text, unit)
        if fit is not None:
            return replace(fit, cost=fit.cost + 0.5 * number)
    return None


def _label_costs(parts: list[Proposal], texts: list[_Text]) -> tuple[Costs, dict[tuple[int, int], str]]:
    table, fits = _empty(parts, texts)
    for column, text in enumerate(texts):
        for row in _near(parts, text, _FAR_LABEL):
            if parts[row].kind == "label" and any(sign.isalnum() for sign in text.text):
                far = _gap(parts[row].box, text.box) / text.height
                table[row, column] = far + _UNSURE * (1 - text.confidence) - 0.1 * len(text.words)
                fits[row, column] = text.text
    return table, fits


def _empty(parts: list[Proposal], texts: list[_Text]) -> tuple[Costs, dict[tuple[int, int], str]]:
    return np.full((len(parts), len(texts)), _IMPOSSIBLE), {}


def _near(parts: list[Proposal], text: _Text, most: float, at: dict[int, _Text] | None = None) -> list[int]:
    """Rows of the parts within `most` letter heights of a text, or whose reference stands so near."""
    rows = [row for row, part in enumerate(parts) if _gap(part.box, text.box) <= most * text.height]
    if at:
        rows += [row for row, beside in at.items() if _gap(beside.box, text.box) <= 0.8 * text.height]
    return sorted(set(rows))


def _gap(a: tuple[float, ...] | tuple[int, ...], b: tuple[float, ...]) -> float:
    """Distance between two boxes, px; 0 where they overlap."""
    across = max(a[0] - b[2], b[0] - a[2], 0.0)
    down = max(a[1] - b[3], b[1] - a[3], 0.0)
    return float(np.hypot(across, down))

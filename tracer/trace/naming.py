"""Giving part proposals the references and values lettered beside them, and rails, pins and notes their due.

Each text is given away once, by the assignment that costs least over the whole sheet (Kuhn 1955, as
`scipy.optimize.linear_sum_assignment` does it): first references, then values, then the names of labels.
What is left may name supply rails at free ends of wires, and number pins.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import replace
from typing import Final

import numpy as np
from scipy.optimize import linear_sum_assignment

from tracer.reader.text_line import TextLine
from tracer.trace.naming_costs import (
    IMPOSSIBLE,
    Offers,
    kind_of_letters,
    label_offers,
    reference_offers,
    value_offers,
)
from tracer.trace.naming_sure import calibrated, calibration_points
from tracer.trace.naming_texts import Text, texts_of
from tracer.trace.notes import conventions
from tracer.trace.pins import name_pins
from tracer.trace.rails import rails_at_ends, rails_for_parts
from tracer.trace.sheet import Proposal, TracedSheet

__all__ = ["name_proposals"]

_NOTHING: Final = 4.2  # what it costs a part to go without
_KIND_DOUBTED: Final = 0.5  # kinds less sure than this may be put right by a reference …
_SURE: Final = 0.6  # … as sure as this
_IN_PIECES: Final = frozenset({"contact", "valve", "block", "transformer", "coil", "pot", "plug", "jack"})


def name_proposals(
    sheet: TracedSheet, lines: Sequence[TextLine], *, shares: Sequence[tuple[float, float]] | None = None
) -> TracedSheet:
    """Fill in `reference` and `value` of every proposal that lettering beside it names, and how sure each is.

    What a proposal already has is kept. A kind that the reader doubts gives way to the one that the reference
    tells. A part that is proposed as something else where a supply rail's name stands at a lone wire is made
    a label; a free end of a wire with such a name beside it becomes a new proposal, after all others. The
    terminals of valves, blocks and polarised parts take the numbers and signs lettered beside them.
    `conventions` say what the sheet's notes tell of its values.

    Parameters
    ----------
    sheet : TracedSheet
    lines : sequence of TextLine
    shares : sequence of (float, float), optional
        Points of the curve from what a name gathers to how often such a name is right; the installed
        recogniser's unless given, none to leave what was gathered as it is.
    """
    if not lines:
        return sheet
    texts = texts_of(lines)
    named = list(sheet.proposals)
    taken: set[tuple[int, int]] = set()
    at: dict[int, Text] = {}
    for row, text, fit, sure in _assign(reference_offers(named, texts), texts, taken):
        if named[row].reference is None:
            named[row] = replace(named[row], reference=fit, reference_confidence=sure)
        at[row] = text
    named = [_put_right(part) for part in named]
    for row, _, fit, sure in _assign(value_offers(named, texts, at), texts, taken):
        if named[row].value is None:
            named[row] = replace(named[row], value=fit, value_confidence=sure)
    named = _doubt_twins(named)
    named = rails_for_parts(named, _left(texts, taken))
    for row, _, fit, sure in _assign(label_offers(named, texts), texts, taken):
        if named[row].value is None:
            named[row] = replace(named[row], value=fit, value_confidence=sure)
    for proposal, used in rails_at_ends(sheet, named, _left(texts, taken)):
        named.append(proposal)
        taken |= used
    points = calibration_points() if shares is None else shares
    named = [_weighed(part, points) for part in name_pins(named, _left(texts, taken))]
    return replace(sheet, proposals=tuple(named), conventions=conventions(lines))


def _put_right(part: Proposal) -> Proposal:
    """Take the kind that a part's reference tells where the reader is in doubt and the ends are alike."""
    told = kind_of_letters(part.reference) if part.reference else None
    ends = tuple(terminal.name for terminal in part.terminals)
    if told is None or part.score >= _KIND_DOUBTED or part.reference_confidence < _SURE or ends != ("1", "2"):
        return part
    return replace(part, kind=told)


def _doubt_twins(parts: Sequence[Proposal]) -> list[Proposal]:
    """Halve how sure a reference is that two parts have which are never drawn in pieces."""
    count = Counter(part.reference for part in parts if part.reference and part.kind not in _IN_PIECES)
    return [
        replace(part, reference_confidence=round(0.5 * part.reference_confidence, 3))
        if part.reference and part.kind not in _IN_PIECES and count[part.reference] > 1
        else part
        for part in parts
    ]


def _weighed(part: Proposal, points: Sequence[tuple[float, float]]) -> Proposal:
    """Turn what was gathered of how sure its names are into shares."""
    return replace(
        part,
        reference_confidence=calibrated(part.reference_confidence, points) if part.reference else 0.0,
        value_confidence=calibrated(part.value_confidence, points) if part.value else 0.0,
    )


def _left(texts: Sequence[Text], taken: set[tuple[int, int]]) -> list[Text]:
    return [text for text in texts if not text.words & taken]


def _assign(
    offers: Offers, texts: Sequence[Text], taken: set[tuple[int, int]]
) -> list[tuple[int, Text, str, float]]:
    """Give texts to parts so that the whole costs least; texts with a word already taken are left out."""
    if not offers.fits:
        return []
    free = np.array([not (text.words & taken) for text in texts])
    table = np.where(free[None, :], offers.costs, IMPOSSIBLE)
    # A part may go without: its own column of "nothing" costs more than any text that may well be its own.
    nothing = np.full((len(table), len(table)), IMPOSSIBLE)
    np.fill_diagonal(nothing, _NOTHING)
    pairs = [(int(row), int(column)) for row, column in
             zip(*linear_sum_assignment(np.hstack([table, nothing])), strict=True)]  # fmt: skip
    pairs = [pair for pair in pairs if pair in offers.fits and table[pair] < IMPOSSIBLE]
    given: list[tuple[int, Text, str, float]] = []
    for row, column in sorted(pairs, key=lambda pair: float(table[pair])):
        if not texts[column].words & taken:
            taken |= texts[column].words
            given.append((row, texts[column], offers.fits[row, column], offers.sure[row, column]))
    return given

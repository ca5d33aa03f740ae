"""Numbers of pins and signs of polarity, lettered beside the terminals of parts."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import Final

import numpy as np
from scipy.optimize import linear_sum_assignment

from tracer.reader.letters_grammar import as_pin
from tracer.trace.naming_costs import LEAST_SURE
from tracer.trace.naming_texts import Text, gap
from tracer.trace.sheet import Proposal, Terminal

__all__ = ["name_pins"]

_COUNTED: Final = frozenset({"valve", "block"})
_SIGNED: Final = {"capacitor": ("1", "2"), "battery": ("+", "-"), "meter": ("+", "-")}
_NEAR: Final = 1.3  # letter heights from a terminal to the number or sign that belongs to it
_CLEARLY: Final = 1.5  # times as far must the other terminal be from a sign
_FAR: Final = 1e3


def name_pins(parts: Sequence[Proposal], texts: Sequence[Text]) -> list[Proposal]:
    """Name terminals by what is lettered beside them.

    The terminals of a valve or a block take their pins' numbers where every one that a conductor comes to has
    one of its own; else they keep their count. A capacitor's, a battery's and a meter's turn to ``+`` and
    ``-`` where a plus stands clearly at one of them.
    """
    sure = [text for text in texts if text.confidence >= LEAST_SURE and len(text.words) == 1]
    pins = [(text, fit.text) for text in sure if (fit := as_pin(text.text)) is not None and fit.cost == 0.0]
    pluses = [text for text in sure if text.text == "+"]
    named = []
    for part in parts:
        if part.kind in _COUNTED and pins:
            named.append(_counted(part, pins))
        elif part.kind in _SIGNED and pluses and len(part.terminals) == 2:
            named.append(_signed(part, pluses))
        else:
            named.append(part)
    return named


def _counted(part: Proposal, pins: Sequence[tuple[Text, str]]) -> Proposal:
    ends = [end for end in part.terminals if end.conductor is not None]
    if len(ends) < 2 or len(ends) != len(part.terminals):
        return part
    costs = np.array([[_far(end, text) for text, _ in pins] for end in ends])
    if len(pins) < len(ends):
        return part
    rows, columns = linear_sum_assignment(np.where(costs <= _NEAR, costs, _FAR))
    names = [pins[int(column)][1] for column in columns]
    if costs[rows, columns].max() > _NEAR or len(set(names)) < len(names):
        return part
    return replace(
        part, terminals=tuple(replace(ends[row], name=name) for row, name in zip(rows, names, strict=True))
    )


def _signed(part: Proposal, pluses: Sequence[Text]) -> Proposal:
    first, second = part.terminals
    for text in pluses:
        near, other = sorted((_far(first, text), _far(second, text)))
        if near > _NEAR + 0.5 or other < _CLEARLY * max(near, 0.3):
            continue
        ends = (first, second) if _far(first, text) == near else (second, first)
        return replace(part, terminals=(replace(ends[0], name="+"), replace(ends[1], name="-")))
    return part


def _far(end: Terminal, text: Text) -> float:
    """Letter heights between a terminal and a text."""
    return gap((end.x, end.y, end.x, end.y), text.box) / text.height

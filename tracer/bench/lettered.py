"""What the lettering says beyond references and values: pin numbers at valves, names at the ends of wires."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

from tracer.circuit.values import parse_printed
from tracer.errors import BadValue
from tracer.reader.letters_grammar import as_pin
from tracer.reader.text_line import TextLine
from tracer.trace.sheet import Proposal, Terminal, TracedSheet

__all__ = ["with_lettering"]

_AT_END = 2.2
"""How far a pin's number stands from its end, in heights of its letters (common practice)."""

_AT_RING = 2.6
"""How far a rail's name stands from the ring at its end, in heights of its letters (common practice)."""

_RING = 8.0
"""Up to how many stroke widths a ring at a wire's end measures."""

_SURE = 0.6
"""From this confidence on a reading is worth proposing: a wrong one costs a person more than none."""


@dataclass(frozen=True, slots=True)
class _Word:
    text: str
    x: float
    y: float
    height: float


def with_lettering(sheet: TracedSheet, lines: Sequence[TextLine]) -> TracedSheet:
    """Return the sheet with valves' ends named by the pins lettered beside them, ``/7``, and labels proposed.

    An end of which the pin alone is known is named by a stroke and the pin; which electrode it is remains
    the person's to say. A small contact whose ends all lie on one conductor is a ring at a wire's end: with
    a name beside it, it is proposed as a label.

    Parameters
    ----------
    sheet : TracedSheet
        With references and values, as `tracer.trace.naming` leaves it.
    lines : sequence of TextLine
        The lettering of the same page.
    """
    words = [
        _Word(word.text, *_middle(word.box), line.height)
        for line in lines
        for word in line.words
        if word.confidence >= _SURE
    ]
    named = [_Word(line.text, *_middle(line.box), line.height) for line in lines if line.confidence >= _SURE]
    taken = {proposal.reference for proposal in sheet.proposals if proposal.reference}
    made = []
    for proposal in sheet.proposals:
        if proposal.kind == "valve":
            proposal = replace(proposal, terminals=_with_pins(proposal.terminals, words))
        elif proposal.kind == "coil" and proposal.value:
            proposal = replace(proposal, value=_with_ohms(proposal.value, lines))
        elif _is_ring(proposal, sheet.stroke):
            proposal = _as_label(proposal, named, taken)
        made.append(proposal)
    return replace(sheet, proposals=tuple(made))


def _middle(box: Sequence[tuple[float, float]]) -> tuple[float, float]:
    return sum(x for x, _ in box) / len(box), sum(y for _, y in box) / len(box)


def _with_pins(ends: tuple[Terminal, ...], words: Iterable[_Word]) -> tuple[Terminal, ...]:
    """Give each end the pin number nearest to it; each number once, the nearest pair first."""
    pairs = sorted(
        (math.hypot(word.x - end.x, word.y - end.y) / word.height, place, number, pin.text)
        for number, word in enumerate(words)
        if (pin := as_pin(word.text)) is not None
        for place, end in enumerate(ends)
    )
    found: dict[int, str] = {}
    used: set[int] = set()
    for away, place, number, name in pairs:
        if away <= _AT_END and place not in found and number not in used:
            found[place] = name
            used.add(number)
    if len(set(found.values())) != len(found):
        return ends
    return tuple(replace(end, name=f"/{found[n]}") if n in found else end for n, end in enumerate(ends))


def _with_ohms(value: str, lines: Iterable[TextLine]) -> str:
    """Return a coil's value with the ohms of its winding behind it, where one line has both: ``10H 220R``."""
    for line in lines:
        pieces = line.text.split()
        if value in pieces[:-1]:
            behind = pieces[pieces.index(value) + 1]
            try:
                parse_printed(behind, "ohm")
            except BadValue:
                continue
            return f"{value} {behind}"
    return value


def _is_ring(proposal: Proposal, stroke: float) -> bool:
    x0, y0, x1, y1 = proposal.box
    on = {end.conductor for end in proposal.terminals if end.conductor is not None}
    small = max(x1 - x0, y1 - y0) <= _RING * stroke * 1.5
    return proposal.kind == "contact" and not proposal.reference and len(on) == 1 and small


def _as_label(proposal: Proposal, named: Iterable[_Word], taken: set[str]) -> Proposal:
    x0, y0, x1, y1 = proposal.box
    near = [
        (away, word.text)
        for word in named
        if word.text[:1].isalpha() and " " not in word.text and word.text not in taken
        for away in [_away(word, (x0, y0, x1, y1)) / word.height]
        if away <= _AT_RING
    ]
    if not near:
        return proposal
    end = next(end for end in proposal.terminals if end.conductor is not None)
    return replace(
        proposal, kind="label", terminals=(replace(end, name="1"),), reference=None, value=min(near)[1]
    )


def _away(word: _Word, box: tuple[int, int, int, int]) -> float:
    dx = max(box[0] - word.x, 0.0, word.x - box[2])
    dy = max(box[1] - word.y, 0.0, word.y - box[3])
    return math.hypot(dx, dy)

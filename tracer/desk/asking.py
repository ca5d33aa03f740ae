"""What is asked of a part of each kind: a value, a tolerance, ends that may be added."""

from __future__ import annotations

from tracer.circuit.kinds import Kind, TerminalStyle, kinds
from tracer.desk import words
from tracer.desk.draft import Draft
from tracer.trace.sheet import Proposal

__all__ = [
    "SURE",
    "has_ohms",
    "has_value",
    "is_as_sure",
    "lacks_value",
    "may_grow",
    "read_in_words",
    "title_of",
]

SURE = 0.8
"""Below this, what was read is to be looked at twice, and is confirmed for itself alone."""

_VALUED = frozenset({"ohm", "farad"})
"""Units of the values that every sheet prints and an expectation needs."""

_VALUELESS = frozenset({"chassis", "jack", "plug", "contact", "transformer", "link"})
"""Kinds beside which sheets print no value."""


def title_of(draft: Draft) -> str:
    """Return what the card asks."""
    if draft.tag is not None:
        return words.PART_EDIT.format(reference=draft.reference)
    if draft.proposal is not None:
        return words.PART_PROPOSED.format(kind=draft.kind, share=round(100 * draft.sureness))
    return words.PART_NEW


def lettering_sureness(proposal: Proposal) -> float:
    """Return how sure the least sure lettering beside a proposal is, 1.0 where nothing tells."""
    read = (
        (proposal.reference, proposal.reference_confidence),
        (proposal.value, proposal.value_confidence),
    )
    return min((sure for text, sure in read if text and sure), default=1.0)


def is_as_sure(proposal: Proposal, asked: Proposal) -> bool:
    """Whether a yes to `asked` and all like it takes `proposal` too.

    It is of the same kind and at least as sure, and what was read beside it need not be looked at twice,
    unless that of `asked` had to be.
    """
    return (
        proposal.kind == asked.kind
        and proposal.score >= asked.score
        and lettering_sureness(proposal) >= min(SURE, lettering_sureness(asked))
    )


def read_in_words(draft: Draft) -> str:
    """Return what was read beside a proposal and how sure it is, "" where nothing was.

    Examples
    --------
    >>> read = Draft(1, (0, 0, 9, 9), "resistor", "R1", read_reference="R1", reference_sureness=0.97)
    >>> read_in_words(read)
    'Read from the sheet, not confirmed: R1, 97 % sure.'
    """
    pieces = []
    for text, sure in (
        (draft.read_reference, draft.reference_sureness),
        (draft.read_value, draft.value_sureness),
    ):
        said = words.PART_READ_SURE if sure >= SURE else words.PART_READ_DOUBTED
        if text:
            pieces.append(said.format(text=text, share=round(100 * sure)) if sure else text)
    return words.PART_READ.format(what="; ".join(pieces)) if pieces else ""


def has_value(kind: Kind | None) -> bool:
    """Whether a sheet may print a value beside a part of this kind."""
    return kind is None or kind.unit is not None or kind.name not in _VALUELESS


def has_ohms(kind: Kind | None) -> bool:
    """Whether the value has a unit, and with it a tolerance and perhaps another value as fitted."""
    return kind is None or kind.unit is not None


def may_grow(kind: Kind | None) -> bool:
    """Whether ends may be added; those of some kinds are always the same."""
    return kind is not None and kind.style is not TerminalStyle.FIXED


def lacks_value(kind: str, value: str) -> bool:
    """Whether a value is still to be written for a kind that the arithmetic needs one of.

    Examples
    --------
    >>> lacks_value("resistor", ""), lacks_value("resistor", "4k7"), lacks_value("coil", "")
    (True, False, False)
    """
    known = kinds().get(kind)
    return known is not None and known.unit in _VALUED and not value.strip()

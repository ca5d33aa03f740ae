"""What is asked of a part of each kind: a value, a tolerance, ends that may be added."""

from __future__ import annotations

from tracer.circuit.kinds import Kind, TerminalStyle, kinds
from tracer.desk import words
from tracer.desk.draft import Draft

__all__ = ["has_ohms", "has_value", "lacks_value", "may_grow", "title_of"]

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

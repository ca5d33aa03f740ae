"""What a sheet's notes say of its values: which of them change a value, and where a person stands to each."""

from __future__ import annotations

from dataclasses import replace
from enum import Enum, auto

from tracer.job.ways import SheetWays
from tracer.trace.sheet import Convention, ConventionKind

__all__ = ["Stand", "left", "stand_of", "taken", "unanswered"]

WAYS = {ConventionKind.M_IS_THOUSAND: "m_is_thousand", ConventionKind.BARE_MICRO: "bare_is_micro"}
"""Notes that change how values are read, and the field of `SheetWays` that obeys them."""


class Stand(Enum):
    """Where a person stands to a note."""

    ALWAYS = auto()  # values are read so anyway
    OPEN = auto()
    TAKEN = auto()
    LEFT = auto()


def stand_of(note: Convention, ways: SheetWays) -> Stand:
    """Return whether a note is taken, left, or still to be answered.

    Examples
    --------
    >>> note = Convention(ConventionKind.BARE_MICRO, "CAPACITORS IN MFD", (0, 0, 9, 9), 0.9)
    >>> each = SheetWays(), taken(note, SheetWays()), left(note, SheetWays())
    >>> [stand_of(note, ways).name for ways in each]
    ['OPEN', 'TAKEN', 'LEFT']
    """
    name = WAYS.get(note.kind)
    if name is None:
        return Stand.ALWAYS
    if getattr(ways, name):
        return Stand.TAKEN
    return Stand.LEFT if note.kind.value in ways.left else Stand.OPEN


def taken(note: Convention, ways: SheetWays) -> SheetWays:
    """Return the ways of a sheet whose note is obeyed."""
    rest = tuple(kind for kind in ways.left if kind != note.kind.value)
    return replace(ways, left=rest, **{WAYS[note.kind]: True})


def left(note: Convention, ways: SheetWays) -> SheetWays:
    """Return the ways of a sheet whose note a person overrules."""
    kinds = tuple(dict.fromkeys((*ways.left, note.kind.value)))
    return replace(ways, left=kinds, **{WAYS[note.kind]: False})


def unanswered(notes: tuple[Convention, ...], ways: SheetWays) -> tuple[Convention, ...]:
    """Return the notes that a person should take or leave."""
    return tuple(note for note in notes if stand_of(note, ways) is Stand.OPEN)

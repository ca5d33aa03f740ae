"""When a contact is closed, as its ``closed=`` option writes it."""

from __future__ import annotations

from tracer.errors import BadValue

__all__ = ["Condition", "parse_condition"]

Condition = tuple[tuple[str, tuple[str, ...]], ...]
"""Banks that must all stand at one of their listed positions."""


def parse_condition(text: str) -> Condition:
    """Return the condition that a ``closed=`` option writes.

    Raises
    ------
    BadValue
        It is not written as ``BANK:Position,Position`` joined with ``&``.

    Examples
    --------
    >>> parse_condition("INPUT:Disc,Tape&BAND:Long")
    (('INPUT', ('Disc', 'Tape')), ('BAND', ('Long',)))
    """
    parts = []
    for part in text.split("&"):
        bank, _, listed = part.partition(":")
        positions = tuple(position.strip() for position in listed.split(","))
        if not bank.strip() or not all(positions):
            raise BadValue(
                f"{text!r} is no condition. Write it like INPUT:Disc,Tape or INPUT:Disc&BAND:Long."
            )
        parts.append((bank.strip(), positions))
    return tuple(parts)

"""When a contact is closed, as its ``closed=`` option writes it."""

from __future__ import annotations

from tracer.circuit.elements import Bank, BankStyle
from tracer.errors import BadValue

__all__ = ["NONE_PRESSED", "Condition", "condition_positions", "parse_condition"]

NONE_PRESSED = "none"
"""What a bank of keys or of independent switches stands at while none of them is pressed."""

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


def condition_positions(bank: Bank) -> tuple[str, ...]:
    """Return the positions of a bank that a condition may list.

    Besides its own, keys and independent switches have ``none`` for nothing pressed, unless one of them is
    named so.

    Examples
    --------
    >>> condition_positions(Bank("TONE", ("Bass", "Treble"), BankStyle.KEYS))
    ('Bass', 'Treble', 'none')
    """
    if bank.style is BankStyle.ROTARY or NONE_PRESSED in bank.positions:
        return bank.positions
    return (*bank.positions, NONE_PRESSED)

"""When a contact is closed: ``INPUT:Disc,Tape & BAND:Long`` under a setting."""

from __future__ import annotations

from collections.abc import Mapping

from tracer.circuit.elements import Bank, BankStyle, Setting
from tracer.errors import BadValue

__all__ = ["NONE_PRESSED", "Condition", "holds", "parse_condition", "pressed"]

Condition = tuple[tuple[str, tuple[str, ...]], ...]
"""Banks that must all stand at one of their listed positions."""

NONE_PRESSED = "none"
"""What a bank of keys or independent switches stands at when nothing is pressed."""


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


def pressed(bank: Bank, setting: Setting) -> frozenset[str]:
    """Return the positions that a bank stands at: one of a rotary switch, none or more of keys.

    A setting writes several independent switches as ``"A+C"``, and nothing pressed as ``"none"``.
    """
    stands = setting.banks.get(bank.name, bank.positions[0])
    if bank.style is BankStyle.ROTARY or stands in bank.positions:
        return frozenset({stands})
    if stands == NONE_PRESSED:
        return frozenset()
    return frozenset(stands.split("+"))


def holds(condition: Condition, banks: Mapping[str, Bank], setting: Setting) -> bool:
    """Tell whether a setting meets a condition."""
    return all(pressed(banks[name], setting) & set(positions) for name, positions in condition)

"""Ohms, limits and times in the words and roundings that every table here uses."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from tracer.circuit.results import Open
from tracer.circuit.settle import LONGEST
from tracer.circuit.values import format_value

if TYPE_CHECKING:
    from collections.abc import Sequence

    from tracer.circuit.elements import Circuit
    from tracer.circuit.results import Expectation, Reading, Share

__all__ = [
    "counted",
    "expected_text",
    "limits_text",
    "meter_text",
    "ohms_text",
    "proved_text",
    "reading_text",
    "settles_text",
    "share_text",
    "through_text",
]

OPEN_TEXT = "OL"
DIGITS = 3


def ohms_text(ohms: float | None, *, absent: str = "unknown") -> str:
    """Print ohms to three digits, ``"4k72"``, and no finer than 0.01 Ω; `absent` where there is no number."""
    if ohms is None:
        return absent
    return format_value(round(ohms, 2), "ohm", DIGITS)


def limits_text(low: float | None, high: float | None) -> str:
    """Print low and high, ``"1k to 1k2"``; OL for a bound that lies above every number."""
    if low is None:
        return OPEN_TEXT
    return f"{ohms_text(low)} to {ohms_text(high, absent=OPEN_TEXT)}"


def expected_text(expectation: Expectation) -> str:
    """Print the expected ohms, or OL where the pair should end open."""
    if expectation.ends_open:
        return OPEN_TEXT
    return ohms_text(expectation.expected)


def meter_text(expectation: Expectation) -> str:
    """Print what the meter may show for a pass, its own error and leads counted in."""
    if expectation.open is Open.ALWAYS:
        return OPEN_TEXT
    high = (
        OPEN_TEXT if expectation.open is Open.MAYBE else ohms_text(expectation.accept_high, absent=OPEN_TEXT)
    )
    return f"{ohms_text(expectation.accept_low)} to {high}"


def proved_text(circuit: Circuit, references: Sequence[str]) -> str:
    """Name parts, and count the wires and bonds, whose names tell a reader nothing."""
    kinds = {element.reference: element.kind for element in circuit.elements}
    parts = [name for name in references if kinds.get(name) not in {"wire", "bond"}]
    wires = len(references) - len(parts)
    if wires:
        parts.append(f"{wires} {'stretch' if wires == 1 else 'stretches'} of wire")
    return ", ".join(parts)


def settles_text(seconds: float) -> str:
    """Print a settling time; nothing below a twentieth of a second, which no one waits for."""
    if seconds < 0.05:
        return ""
    if seconds >= LONGEST:
        return "over an hour"
    if seconds >= 120:
        return f"{seconds / 60:.0f} min"
    return f"{seconds:.1f} s" if seconds < 10 else f"{seconds:.0f} s"


def through_text(shares: Sequence[Share]) -> str:
    """Say what the expected ohms are made of, ``"R2 makes 98% of it, R1 2%"``."""
    first, *others = [f"{each.part} {share_text(each.share)}" for each in shares] or [""]
    if not first:
        return ""
    part, _, amount = first.partition(" ")
    return ", ".join([f"{part} makes {amount} of it", *others])


def share_text(share: float) -> str:
    """Print a share or weight, 0 to 1, in per cent; a small one is not rounded to nothing."""
    return "under 1%" if 0 < share < 0.01 else f"{share:.0%}"


def counted(number: int, thing: str) -> str:
    """Print a number and what it counts, ``"1 part"``, ``"2 parts"``."""
    return f"{number} {thing}" if number == 1 else f"{number} {thing}s"


def reading_text(reading: Reading) -> str:
    """Print what the meter showed, ``"4k72"``, ``"OL"``, ``"1M rising"``."""
    shown = ohms_text(reading.ohms) if math.isfinite(reading.ohms) else OPEN_TEXT
    return f"{shown} rising" if reading.rising else shown

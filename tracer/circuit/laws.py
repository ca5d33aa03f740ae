"""How a pot's wiper goes along its track as the shaft turns: in proportion, or by a logarithmic law.

A log law reaches a tenth of the ohms at half a turn (common practice; tracks of other makes differ), and an
antilog law is the same from the other end.
"""

from __future__ import annotations

import math

from tracer.errors import BadValue

__all__ = ["LAWS", "law_of", "part_at", "turn_at"]

LAWS = ("lin", "log", "antilog")
_BASE = 81.0
"""(81^½ − 1) / (81 − 1) is a tenth."""


def law_of(content: str) -> str:
    """Return a law by its name.

    Raises
    ------
    BadValue
        There is no such law.
    """
    if content.strip().casefold() not in LAWS:
        raise BadValue(f"{content!r} is no law of a pot; write one of {', '.join(LAWS)}")
    return content.strip().casefold()


def part_at(law: str, turn: float) -> float:
    """Return the part of the track from terminal 1 to the wiper, 0 … 1, at a turn from 0 to 1.

    Examples
    --------
    >>> [round(part_at(law, 0.5), 3) for law in LAWS]
    [0.5, 0.1, 0.9]
    """
    if law == "log":
        return float((_BASE**turn - 1.0) / (_BASE - 1.0))
    if law == "antilog":
        return 1.0 - part_at("log", 1.0 - turn)
    return turn


def turn_at(law: str, part: float) -> float:
    """Return the turn at which the wiper has passed `part` of the track; the inverse of `part_at`."""
    if law == "log":
        return math.log(1.0 + part * (_BASE - 1.0), _BASE)
    if law == "antilog":
        return 1.0 - turn_at("log", 1.0 - part)
    return part

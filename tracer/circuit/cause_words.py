"""What each kind of cause is called, in one sentence."""

from __future__ import annotations

import math
import re
from collections.abc import Iterable, Sequence

from tracer.circuit.branch import Branch
from tracer.circuit.elements import Element
from tracer.circuit.values import format_value

__all__ = [
    "backwards_words",
    "branch_words",
    "dirty_words",
    "drift_words",
    "joint_words",
    "leak_words",
    "wiper_words",
    "with_values",
]

_NAMED = 4
_OF_VALUE = frozenset({"resistor", "pot", "capacitor", "coil", "fuse", "relay coil", "speaker", "thermistor"})


def branch_words(branch: Branch) -> str:
    """Name a branch as a person would: ``R7``, or ``T1 between pri.1 and pri.2``."""
    if branch.name == branch.part:
        return branch.part
    one, _, other = branch.name.removeprefix(f"{branch.part}.").partition("-")
    return f"{branch.part} between {one} and {other}"


def drift_words(words: str, value: float, nominal: float, bound: str = "") -> str:
    """Say what ohms a part would have to have, and how far off they are.

    Examples
    --------
    >>> drift_words("R7", 412e3, 220e3)
    'R7 would have to be 412k, 87 % high.'
    """
    off = value / nominal - 1.0
    amount = f"{off:.0%} high".replace("%", " %") if off < 3.0 else f"{value / nominal:.1f} times too high"
    if off < 0.0:
        amount = f"{-off:.0%} low".replace("%", " %")
    return f"{words} would have to be {bound}{format_value(value, 'ohm', 3)}, {amount}."


def leak_words(part: str, value: float) -> str:
    """Say what a capacitor would have to leak."""
    return f"{part} leaks: it would have to be {format_value(value, 'ohm', 3)}."


def backwards_words(part: str, value: float, *, in_set: bool) -> str:
    """Say that an electrolytic is in the set the wrong way round, or else that the leads are."""
    leak = format_value(value, "ohm", 3)
    if in_set:
        return f"{part} is in backwards, and leaks for it: {leak}."
    return f"The positive lead is on the negative side of {part}, which leaks for it: {leak}."


def dirty_words(words: str, value: float) -> str:
    """Say what a contact that should be closed would have to be."""
    shows = "open" if math.isinf(value) else format_value(value, "ohm", 3)
    return f"{words} is dirty or does not close: it would have to be {shows}."


def wiper_words(part: str, value: float) -> str:
    """Say what a worn wiper adds."""
    if math.isinf(value):
        return f"{part}'s wiper does not touch its track."
    return f"{part}'s wiper touches badly: it would have to add {format_value(value, 'ohm', 3)}."


def joint_words(parts: Sequence[str], value: float) -> str:
    """Say that a joint, or one of several that the readings do not tell apart, is open or bad.

    Examples
    --------
    >>> joint_words(["W1", "W2"], 35.0)
    'One of W1, W2 is a bad joint of 35.'
    """
    shows = "open" if math.isinf(value) else f"a bad joint of {format_value(value, 'ohm', 3)}"
    if len(parts) == 1:
        return f"{parts[0]} is {shows}."
    more = f" and {len(parts) - _NAMED} more" if len(parts) > _NAMED else ""
    return f"One of {', '.join(parts[:_NAMED])}{more} is {shows}."


def with_values(says: str, parts: Iterable[Element]) -> str:
    """Tell after each part's reference what it should have, as the sheet prints it.

    Examples
    --------
    >>> with_values("R7 is open.", [Element("R7", "resistor", (("1", "a"), ("2", "b")), "220k")])
    'R7 (220k) is open.'
    """
    for part in parts:
        if part.kind in _OF_VALUE and part.value:
            name = rf"\b{re.escape(part.reference)}\b(?![.'(])"
            says = re.sub(name, f"{part.reference} ({part.value})", says, count=1)
    return says

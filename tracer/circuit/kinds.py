"""The kinds of parts, with their terminals and units, as ``shared/kinds.json`` lists them."""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from enum import StrEnum
from functools import cache
from types import MappingProxyType
from typing import Any

from tracer.resources import shared

__all__ = ["Kind", "TerminalStyle", "kinds"]


class TerminalStyle(StrEnum):
    """How the terminals of a kind are named."""

    FIXED = "fixed"
    WINDINGS = "windings"  # pri.1 pri.2 sec.tap: a winding, a dot, its end or tap
    ELECTRODES = "electrodes"  # a/1 g1/2 h/4: an electrode, a stroke, its pin
    NUMBERED = "numbered"
    NAMED = "named"


@dataclass(frozen=True, slots=True)
class Kind:
    """A kind of part.

    Attributes
    ----------
    name : str
        As a wiring list writes it.
    style : TerminalStyle
    terminals, alternative_terminals : tuple of str
        For the fixed style: the names, in order, and other names that a line may use in their stead.
    optional_terminals : tuple of str
        Those that a line may leave away.
    unit : str or None
        What its value is measured in; None where a value is free text.
    default_tolerance : float or None
        Fraction, where the sheet prints none.
    proposable : bool
        Whether the reader may propose it.
    example : str
        A line of a wiring list.
    """

    name: str
    style: TerminalStyle
    terminals: tuple[str, ...]
    alternative_terminals: tuple[str, ...]
    optional_terminals: tuple[str, ...]
    unit: str | None
    default_tolerance: float | None
    proposable: bool
    example: str

    def fault_of_terminals(self, names: Sequence[str]) -> str | None:
        """Say what is wrong with a set of terminal names, or return None where they fit this kind."""
        if len(set(names)) != len(names):
            twice = next(name for name in names if names.count(name) > 1)
            return f"terminal {twice!r} is given twice"
        if self.style is TerminalStyle.FIXED:
            return self._fault_of_fixed(names)
        if not names:
            return f"a {self.name} needs its terminals"
        wrong = [name for name in names if not self._fits(name)]
        if not wrong:
            return None
        return f"{wrong[0]!r} is no terminal of a {self.name}; they are written {_STYLE_HINTS[self.style]}"

    def _fault_of_fixed(self, names: Sequence[str]) -> str | None:
        alternative = bool(self.alternative_terminals) and set(names) & set(self.alternative_terminals)
        allowed = self.alternative_terminals if alternative else self.terminals
        listed = " or ".join(
            ", ".join(group) for group in (self.terminals, self.alternative_terminals) if group
        )
        for name in names:
            if name not in allowed:
                return f"a {self.name} has no terminal {name!r}; it has {listed}"
        for name in allowed:
            if name not in names and name not in self.optional_terminals:
                return f"terminal {name!r} is missing; a {self.name} has {listed}"
        if self.optional_terminals and not set(names) & set(self.optional_terminals):
            return f"a {self.name} needs at least one of {', '.join(self.optional_terminals)}"
        return None

    def _fits(self, name: str) -> bool:
        if self.style is TerminalStyle.WINDINGS:
            winding, dot, end = name.partition(".")
            return bool(winding and dot and end)
        if self.style is TerminalStyle.ELECTRODES:
            electrode, stroke, pin = name.partition("/")
            return bool(electrode) and bool(stroke) == bool(pin)
        return name.isdecimal() if self.style is TerminalStyle.NUMBERED else True


_STYLE_HINTS = {
    TerminalStyle.WINDINGS: "winding.end, like pri.1 pri.2 sec.tap",
    TerminalStyle.ELECTRODES: "electrode/pin, like a/1 g1/2 h/4",
    TerminalStyle.NUMBERED: "as numbers, like 1 2 3",
    TerminalStyle.NAMED: "as names, like tip sleeve",
}


@cache
def kinds() -> Mapping[str, Kind]:
    """Return every kind by name, in the order of ``shared/kinds.json``.

    Examples
    --------
    >>> kinds()["resistor"].terminals
    ('1', '2')
    """
    listed = json.loads(shared("kinds.json").read_text(encoding="utf-8"))["kinds"]
    return MappingProxyType({entry["kind"]: _kind(entry) for entry in listed})


def _kind(entry: Mapping[str, Any]) -> Kind:
    terminals = entry["terminals"]
    fixed = not isinstance(terminals, str)
    return Kind(
        name=entry["kind"],
        style=TerminalStyle.FIXED if fixed else TerminalStyle(terminals),
        terminals=tuple(terminals) if fixed else (),
        alternative_terminals=tuple(entry.get("alternative_terminals", ())),
        optional_terminals=tuple(entry.get("optional_terminals", ())),
        unit=entry["value"],
        default_tolerance=entry.get("default_tolerance"),
        proposable=entry["proposable"],
        example=entry["example"],
    )

"""A circuit as the arithmetic sees it: elements between nodes, banks, rails. No pixels."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import StrEnum
from types import MappingProxyType

__all__ = ["CHASSIS", "Bank", "BankStyle", "Circuit", "Element", "Setting"]

CHASSIS = "chassis"
"""The node that every chassis sign is bonded to."""


@dataclass(frozen=True, slots=True)
class Element:
    """A part, a stretch of wire or a bond between nodes.

    Attributes
    ----------
    reference : str
        Unique in the circuit, in one namespace with rails and nodes. Wires made from a sheet are
        ``W<sheet>.<n>``, bonds ``B<sheet>.<n>``.
    kind : str
        A kind of ``shared/kinds.json``.
    terminals : tuple of (str, str)
        Terminal name and the node it lies on, in the kind's order.
    value : str or None
        As the sheet prints it, e.g. ``"4k7"``.
    options : tuple of (str, str)
        The rest of the line, e.g. ``(("tol", "10%"), ("rated", "450V"))``; a bare word has the value "".
    line : int or None
        The line of the wiring list it came from; it makes no difference between two elements.
    """

    reference: str
    kind: str
    terminals: tuple[tuple[str, str], ...]
    value: str | None = None
    options: tuple[tuple[str, str], ...] = ()
    line: int | None = field(default=None, compare=False)

    def node(self, terminal: str) -> str | None:
        """Return the node that `terminal` lies on, or None."""
        return dict(self.terminals).get(terminal)

    def option(self, name: str) -> str | None:
        """Return the value of option `name`, or None if it is not given."""
        return dict(self.options).get(name) if self.options else None


class BankStyle(StrEnum):
    """How the positions of a bank exclude each other."""

    ROTARY = "rotary"
    KEYS = "keys"  # interlocked; one or none pressed in
    INDEPENDENT = "independent"


@dataclass(frozen=True, slots=True)
class Bank:
    """A switch bank and its named positions; the first is the default."""

    name: str
    positions: tuple[str, ...]
    style: BankStyle = BankStyle.ROTARY


@dataclass(frozen=True, slots=True)
class Circuit:
    """Elements, banks and rails. `points` gives names that stand for a node beside its own name."""

    elements: tuple[Element, ...]
    banks: tuple[Bank, ...] = ()
    rails: tuple[str, ...] = ()
    points: tuple[tuple[str, str], ...] = ()


@dataclass(frozen=True, slots=True)
class Setting:
    """Every bank's position, what is out of its socket, what is lifted, where wipers stand.

    A bank that is not named stands at its first position; a valve that is not named in `out` stands as
    its line says. `lifted` holds terminals (``"R7.1"``); `wipers` maps a pot to 0 (at terminal 1) … 1.
    """

    banks: Mapping[str, str] = field(default_factory=lambda: MappingProxyType({}))
    out: frozenset[str] = frozenset()
    lifted: frozenset[str] = frozenset()
    wipers: Mapping[str, float] = field(default_factory=lambda: MappingProxyType({}))

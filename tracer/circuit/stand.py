"""How one element stands under a setting: its nodes, whether it is out, where banks and wiper stand."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from tracer.circuit.branch import OPEN, Branch
from tracer.circuit.conditions import condition_positions, parse_condition
from tracer.circuit.elements import Bank, Circuit, Element, Setting
from tracer.circuit.limits import Limit
from tracer.circuit.results import Meter
from tracer.errors import BadWiring, UnknownPosition

__all__ = ["Stand", "bank_positions", "condition_holds", "terminal_names"]


@dataclass(frozen=True, slots=True)
class Stand:
    """One element under a setting.

    Attributes
    ----------
    element : Element
    nodes : mapping of str to str
        The node of each terminal; a lifted terminal's is its own full name.
    banks : mapping of str to frozenset of str
        The positions that each bank stands at: one, or with keys none or several.
    out : bool
        Whether it is out of its socket or holder.
    wiper : float or None
        Where a pot's wiper stands, 0 (at terminal 1) … 1; None if unknown.
    meter : Meter
    """

    element: Element
    nodes: Mapping[str, str]
    banks: Mapping[str, frozenset[str]]
    out: bool
    wiper: float | None
    meter: Meter

    def branch(
        self, start: str, end: str, limit: Limit, *, only: bool = False, farads: float = 0.0
    ) -> Branch:
        """Make a branch between two terminals; `only` names it by the element's reference alone."""
        name = self.element.reference if only else f"{self.element.reference}.{start}-{end}"
        return self._make(name, self._node(start), self._node(end), limit, farads)

    def branch_to(
        self, start: str, node: str, limit: Limit, *, only: bool = False, name: str | None = None
    ) -> Branch:
        """Make a branch from a terminal to a node that no terminal of the element stands for."""
        own = self.element.reference if only else f"{self.element.reference}.{start}-inside"
        return self._make(name or own, self._node(start), node, limit, 0.0)

    def branch_from(self, node: str, end: str, limit: Limit, *, name: str) -> Branch:
        """Make a branch from a node that no terminal of the element stands for to a terminal."""
        return self._make(name, node, self._node(end), limit, 0.0)

    def _node(self, terminal: str) -> str:
        # A terminal that the circuit leaves unconnected hangs in the air.
        return self.nodes.get(terminal, f"{self.element.reference}.{terminal} unconnected")

    def _make(self, name: str, start: str, end: str, limit: Limit, farads: float) -> Branch:
        limit = OPEN if self.out else limit
        return Branch(name, self.element.reference, start, end, limit.low, limit.expected, limit.high, farads)


def terminal_names(element: Element, terminal: str) -> frozenset[str]:
    """Return every way to name a terminal: ``V2.g1/6`` is also ``V2.g1`` and ``V2.6``."""
    names = {terminal, *terminal.split("/")}
    return frozenset(f"{element.reference}.{name}" for name in names)


def bank_positions(circuit: Circuit, setting: Setting) -> dict[str, frozenset[str]]:
    """Return the positions every bank stands at; a bank that the setting does not name is at its first.

    Several keys that are in at once are joined by commas in a setting; its empty text means that none is,
    for which a bank that has no position of that name stands at ``none``.

    Raises
    ------
    UnknownPosition
        The setting names a bank or position that the circuit has not.
    """
    banks = {bank.name: bank for bank in circuit.banks}
    for name in setting.banks:
        if name not in banks:
            known = ", ".join(banks) or "none"
            raise UnknownPosition(f"No switch bank {name!r}; the circuit has: {known}.")
    return {name: _positions(bank, setting.banks.get(name)) for name, bank in banks.items()}


def _positions(bank: Bank, chosen: str | None) -> frozenset[str]:
    if chosen is None:
        return frozenset(bank.positions[:1])
    if chosen in bank.positions:
        return frozenset({chosen})
    wanted = frozenset(part.strip() for part in chosen.split(",") if part.strip())
    for position in sorted(wanted - set(bank.positions)):
        raise UnknownPosition(
            f"Bank {bank.name} has no position {position!r}; it has: {', '.join(bank.positions)}."
        )
    return wanted or frozenset(set(condition_positions(bank)) - set(bank.positions))


def condition_holds(condition: str, banks: Mapping[str, frozenset[str]], element: Element) -> bool:
    """Return whether ``BANK:Pos,Pos & BANK2:Pos`` holds: each named bank stands at one of its positions.

    Raises
    ------
    BadWiring
        The condition names a bank that the circuit has not.
    BadValue
        It is not written so.
    """
    for name, positions in parse_condition(condition):
        if name not in banks:
            known = ", ".join(banks) or "none"
            raise BadWiring(
                f"Line {element.line}: {element.reference} is closed by bank {name!r}, which does not exist; "
                f"the banks are: {known}. Add a line like: bank {name}: {', '.join(positions)}"
            )
        if not banks[name] & set(positions):
            return False
    return True

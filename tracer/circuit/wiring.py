"""The wiring list: a circuit as plain text, one element a line. ``shared/wiring_list.md`` is its grammar."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass, field

from tracer.circuit.conditions import condition_positions, parse_condition
from tracer.circuit.elements import CHASSIS, Bank, BankStyle, Circuit, Element
from tracer.circuit.wiring_line import (
    NAME,
    Conventions,
    parse_bank,
    parse_conventions,
    parse_element,
    parse_point,
    parse_rails,
)
from tracer.errors import BadWiring

__all__ = ["parse_wiring", "print_wiring"]


@dataclass(slots=True)
class _Names:
    """The one namespace of a list: what each name is, and the line that first used it."""

    first: dict[str, tuple[str, int]] = field(default_factory=lambda: {CHASSIS: ("the chassis", 0)})

    def add(self, name: str, what: str, line: int) -> None:
        known = self.first.setdefault(name, (what, line))
        if known == (what, line):
            return
        if {known[0], what} <= {"a node", "a rail", "the chassis"} and not known[0] == what == "a rail":
            if what == "a rail":
                self.first[name] = (what, line)
            return
        where = f"line {known[1]}" if known[1] else "every list"
        raise BadWiring(f"{name!r} is {known[0]} on {where} and {what} on line {line}; names must differ")


def parse_wiring(text: str, source: str = "wiring list") -> Circuit:
    """Return the circuit that a wiring list writes.

    Parameters
    ----------
    text : str
        The list; ``shared/wiring_list.md`` is its grammar.
    source : str
        Where it came from, for messages.

    Raises
    ------
    BadWiring
        A line cannot be understood; the message has its number, its text and what is allowed.

    Examples
    --------
    >>> circuit = parse_wiring("resistor R1: 1=HT1 2=chassis; 47k; tol=10%")
    >>> circuit.elements[0].value
    '47k'
    """
    names, lines = _Names(), {}
    conventions = _conventions(text, source)
    elements: list[Element] = []
    banks: list[Bank] = []
    rails: list[str] = []
    points: list[tuple[str, str]] = []
    for number, raw in enumerate(text.splitlines(), start=1):
        line = _bare(raw)
        if not line or _VALUES.match(line):
            continue
        lines[number] = line
        try:
            _take_line(line, number, names, (elements, banks, rails, points), conventions)
        except BadWiring as error:
            raise _refused(source, number, str(error), line) from error
    circuit = Circuit(tuple(elements), tuple(banks), tuple(rails), tuple(points))
    for number, fault in _faults_of_whole(circuit, names):
        raise _refused(source, number, fault, lines.get(number, ""))
    return circuit


def _refused(source: str, number: int, fault: str, line: str) -> BadWiring:
    return BadWiring(f"{source}, line {number}: {fault.rstrip('.')}. The line is: {line}")


_VALUES = re.compile(r"values(\s|$)", re.IGNORECASE)


def _bare(raw: str) -> str:
    """Return a line without its comment."""
    return re.sub(r"(^|\s)#.*", "", raw).strip()


def _conventions(text: str, source: str) -> Conventions:
    """Return what the list's ``values`` line says; it holds for the whole list, wherever it stands."""
    found: list[Conventions] = []
    for number, line in enumerate(map(_bare, text.splitlines()), start=1):
        if not _VALUES.match(line):
            continue
        try:
            found.append(parse_conventions(line[len("values") :].lstrip(" :")))
        except BadWiring as error:
            raise _refused(source, number, str(error), line) from error
        if len(found) > 1:
            raise BadWiring(f"{source}, line {number}: a list has one values line. The line is: {line}")
    return found[0] if found else Conventions()


_Lists = tuple[list[Element], list[Bank], list[str], list[tuple[str, str]]]


def _take_line(line: str, number: int, names: _Names, lists: _Lists, conventions: Conventions) -> None:
    elements, banks, rails, points = lists
    word, _, after = line.partition(" ")
    head, colon, rest = after.partition(":")
    if word.casefold() == "rail":
        for rail in parse_rails(after):
            names.add(rail, "a rail", number)
            rails.append(rail)
        return
    if not colon and ":" not in line:
        raise BadWiring("there is no colon; write kind REFERENCE: terminal=node terminal=node; value")
    if word.casefold() == "bank":
        bank = parse_bank(head.strip(), rest)
        names.add(bank.name, "a bank", number)
        banks.append(bank)
    elif word.casefold() == "point":
        point = parse_point(head.strip(), rest)
        names.add(point[0], "a point", number)
        names.add(point[1], "a node", number)
        points.append(point)
    else:
        head, _, rest = line.partition(":")
        element = parse_element(head, rest, number, conventions)
        names.add(element.reference, f"a {element.kind}", number)
        for _, node in element.terminals:
            names.add(node, "a node", number)
        if element.kind == "label" and element.value:
            names.add(element.value, "a node", number)
        elements.append(element)


def _faults_of_whole(circuit: Circuit, names: _Names) -> Iterator[tuple[int, str]]:
    """Find what only the whole list can show: unknown banks, and nodes named like terminals."""
    banks = {bank.name: bank for bank in circuit.banks}
    for element in circuit.elements:
        line = element.line or 0
        for terminal, _ in element.terminals:
            clash = names.first.get(f"{element.reference}.{terminal}")
            if clash:
                yield (
                    line,
                    f"{element.reference}.{terminal} is its terminal and {clash[0]} on line {clash[1]}",
                )
        closed = element.option("closed")
        for name, positions in parse_condition(closed) if closed else ():
            bank = banks.get(name)
            if bank is None:
                yield line, f"no bank {name!r}; there are {', '.join(banks) or 'none'}"
                continue
            for position in positions:
                known = condition_positions(bank)
                if position not in known:
                    yield line, f"bank {name} has no position {position!r}; it has {', '.join(known)}"


def print_wiring(circuit: Circuit) -> str:
    """Return a circuit as a wiring list, which `parse_wiring` reads back to an equal circuit.

    Raises
    ------
    BadWiring
        A name or value has signs that the list cannot hold.
    """
    lines = [_bank_line(bank) for bank in circuit.banks]
    if circuit.rails:
        lines.append(f"rail {', '.join(_writable(rail) for rail in circuit.rails)}")
    lines += [f"point {_writable(name)}: {_writable(node)}" for name, node in circuit.points]
    lines += [_element_line(element) for element in circuit.elements]
    return "".join(f"{line}\n" for line in lines)


def _bank_line(bank: Bank) -> str:
    style = "" if bank.style is BankStyle.ROTARY else f"; {bank.style.value}"
    return f"bank {_writable(bank.name)}: {', '.join(bank.positions)}{style}"


def _element_line(element: Element) -> str:
    terminals = " ".join(f"{name}={_writable(node)}" for name, node in element.terminals)
    parts = [f"{element.kind} {_writable(element.reference)}: {terminals}"]
    parts += [element.value] if element.value is not None else []
    parts += [f"{name}={content}" if content else name for name, content in element.options]
    if any(re.search(r"[;\n]|(^|\s)#", part) for part in parts):
        raise BadWiring(
            f"{element.reference} has a sign in its value or options that a wiring list cannot hold"
        )
    return "; ".join(parts)


def _writable(name: str) -> str:
    if not NAME.fullmatch(name):
        raise BadWiring(f"{name!r} cannot be written in a wiring list: no spaces and none of : ; = , &")
    return name

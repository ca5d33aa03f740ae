"""Elements and nodes as a person says them: a tracing's own names mean nothing away from the sheet."""

from __future__ import annotations

import re
from collections.abc import Iterable

from tracer.circuit.elements import CHASSIS, Circuit
from tracer.circuit.points import terminal_points

__all__ = ["is_traced", "named", "nodes_in_words", "wires_in_words"]

_BRANCH = "a branch"
_BONDS = frozenset({"bond", "label", "chassis"})
_DRAWN = _BONDS | {"wire"}
_TRACED = re.compile(r"NN?\d+\.\d+(_\d+)?", re.IGNORECASE)


def is_traced(point: str) -> bool:
    """Whether a point has no name but the one that a tracing gave its node, which the next gives another.

    Examples
    --------
    >>> is_traced("N1.14_2"), is_traced("V2.6"), is_traced("HT1")
    (True, False, False)
    """
    return _TRACED.fullmatch(point) is not None


def named(circuit: Circuit, references: Iterable[str]) -> str:
    """Return elements as a person says them: parts by name, stretches of wire by their number.

    Examples
    --------
    >>> from tracer.circuit.wiring import parse_wiring
    >>> named(parse_wiring("resistor R1: 1=a 2=b; 1k\\nwire W1.1: 1=b 2=c"), ["W1.1", "R1"])
    'R1 and 1 stretch of wire'
    """
    wanted = set(references)
    parts = [e.reference for e in circuit.elements if e.reference in wanted and e.kind not in _DRAWN]
    wires = sum(e.reference in wanted for e in circuit.elements if e.kind == "wire")
    bonds = sum(e.reference in wanted for e in circuit.elements if e.kind in _BONDS)
    words = list(parts)
    words += [f"{wires} stretch{'es' if wires > 1 else ''} of wire"] if wires else []
    words += [f"{bonds} bond{'s' if bonds > 1 else ''}"] if bonds else []
    return " and ".join([", ".join(words[:-1]), words[-1]] if len(words) > 1 else words)


def nodes_in_words(circuit: Circuit) -> dict[str, str]:
    """Return, for each node, the rail, the label, the chassis or else the first terminal that lies on it.

    Examples
    --------
    >>> from tracer.circuit.wiring import parse_wiring
    >>> nodes_in_words(parse_wiring("label L1: 1=a; HT1\\nresistor R1: 1=a 2=b; 1k"))
    {'a': 'HT1', 'b': 'R1.2'}
    """
    on_node = {rail: rail for rail in circuit.rails}
    if any(node == CHASSIS for element in circuit.elements for _, node in element.terminals):
        on_node[CHASSIS] = CHASSIS
    for element in circuit.elements:
        if element.kind in {"label", "chassis"}:
            for _, node in element.terminals:
                on_node.setdefault(node, element.value or element.kind)
    for name, node in terminal_points(circuit):
        on_node.setdefault(node, name)
    return on_node


def wires_in_words(circuit: Circuit) -> dict[str, str]:
    """Return each stretch of wire by the terminals it ends on: its own name tells a person nothing.

    Examples
    --------
    >>> from tracer.circuit.wiring import parse_wiring
    >>> wires_in_words(parse_wiring("resistor R1: 1=a 2=b; 1k\\nwire W1.1: 1=b 2=c"))
    {'W1.1': 'wire from R1.2 to a branch (W1.1)'}
    """
    on_node = nodes_in_words(circuit)
    words = {}
    for element in circuit.elements:
        if element.kind == "wire":
            start, end = (on_node.get(node, _BRANCH) for _, node in element.terminals)
            if start == _BRANCH:
                start, end = end, start
            words[element.reference] = f"wire from {start} to {end} ({element.reference})"
    return words

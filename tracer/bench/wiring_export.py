"""The circuit with its stretches of wire contracted, for a wiring list that a person can read."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from itertools import count

from networkx.utils import UnionFind

from tracer.circuit.elements import CHASSIS, Circuit, Element

__all__ = ["contracted"]

_JOINING = frozenset({"wire", "bond", "chassis", "label"})


def contracted(circuit: Circuit) -> Circuit:
    """Return an electrically equal circuit without wires, bonds, labels and chassis signs.

    Every net becomes one node: ``chassis``, a rail's name, a label's name, or N1, N2… in the order of the
    parts. Where one net has several such names the others are bonded to it, so that none is lost.

    Examples
    --------
    >>> from tracer.circuit.wiring import parse_wiring, print_wiring
    >>> text = "rail HT1\\nlabel L1: 1=a; HT1\\nwire W1.1: 1=a 2=b\\nresistor R1: 1=b 2=c; 1k"
    >>> print(print_wiring(contracted(parse_wiring(text))), end="")
    rail HT1
    resistor R1: 1=HT1 2=N1; 1k
    """
    nets: UnionFind[str] = UnionFind()
    for one, other in _joined(circuit):
        nets.union(one, other)
    spoken = [CHASSIS, *circuit.rails, *_labels(circuit)]
    names: dict[str, str] = {}
    bonds: list[Element] = []
    for name in dict.fromkeys(spoken):
        first = names.setdefault(nets[name], name)
        if first != name:
            bonds.append(Element(f"B0.{len(bonds) + 1}", "bond", (("1", first), ("2", name))))
    fresh = _fresh({element.reference for element in circuit.elements} | set(spoken))
    elements = []
    for element in circuit.elements:
        if element.kind in _JOINING:
            continue
        for _, node in element.terminals:
            if nets[node] not in names:
                names[nets[node]] = next(fresh)
        moved = tuple((terminal, names[nets[node]]) for terminal, node in element.terminals)
        elements.append(replace(element, terminals=moved, line=None))
    points = tuple((name, names[nets[node]]) for name, node in circuit.points if nets[node] in names)
    return Circuit((*elements, *bonds), circuit.banks, circuit.rails, points)


def _joined(circuit: Circuit) -> Iterator[tuple[str, str]]:
    for element in circuit.elements:
        nodes = [node for _, node in element.terminals]
        if element.kind == "chassis":
            nodes.append(CHASSIS)
        elif element.kind == "label" and element.value:
            nodes.append(element.value)
        if element.kind in _JOINING:
            yield from ((nodes[0], node) for node in nodes[1:])


def _labels(circuit: Circuit) -> list[str]:
    return [element.value for element in circuit.elements if element.kind == "label" and element.value]


def _fresh(taken: set[str]) -> Iterator[str]:
    return (name for number in count(1) if (name := f"N{number}") not in taken)

"""Which points of a chart are one place: terminals that nothing but drawn wire lies between."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import networkx

from tracer.circuit.elements import CHASSIS, Circuit
from tracer.circuit.points import resolve_point
from tracer.circuit.results import Expectation

__all__ = ["by_place"]

_WIRE = frozenset({"wire", "bond"})
_MOST_NAMES = 5


def by_place(circuit: Circuit, start: str, found: Sequence[Expectation]) -> Iterator[tuple[str, Expectation]]:
    """Yield the first expectation of each place but that of `start`, with the names to find the place by.

    Beside the first name at most five others are told; of more, how many.
    """
    places = _places(circuit)
    names: dict[int, list[str]] = {}
    first: dict[int, Expectation] = {}
    for each in found:
        place = places[resolve_point(circuit, each.end)]
        names.setdefault(place, []).append(each.end)
        first.setdefault(place, each)
    names.pop(places[resolve_point(circuit, start)], None)
    for place, (main, *others) in names.items():
        told = others[:_MOST_NAMES]
        if len(others) > len(told):
            told.append(f"{len(others) - len(told)} more")
        yield f"{main} ({', '.join(told)})" if told else main, first[place]


def _places(circuit: Circuit) -> dict[str, int]:
    """Number the places, and give each node its place's number."""
    graph: networkx.Graph[str] = networkx.Graph()
    graph.add_nodes_from([CHASSIS, *circuit.rails, *(node for _, node in circuit.points)])
    for element in circuit.elements:
        nodes = [node for _, node in element.terminals]
        graph.add_nodes_from(nodes)
        if element.kind in _WIRE:
            networkx.add_path(graph, nodes)
        elif element.kind == "chassis":
            networkx.add_path(graph, [CHASSIS, *nodes])
        elif element.kind == "label" and element.value:
            networkx.add_path(graph, [element.value, *nodes])
    groups = networkx.connected_components(graph)
    return {node: number for number, group in enumerate(groups) for node in group}

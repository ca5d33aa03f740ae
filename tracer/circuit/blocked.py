"""Which parts keep two points apart: the ones that would join them if they conducted."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

import networkx as nx
import numpy as np
from numpy.typing import NDArray

from tracer.circuit.elements import Circuit, Element, Setting
from tracer.circuit.network import Network
from tracer.circuit.solve import joined_groups

__all__ = ["blocked_words", "blockers", "sides"]

_BLOCKING = frozenset({"capacitor", "block", "diode", "rectifier", "bridge"})


def blockers(
    network: Network, start: int, end: int, known: NDArray[np.int64] | None = None
) -> tuple[str, ...]:
    """Return the elements that break every path between two nodes, in the circuit's order.

    These are the parts each of which alone would join the two sides if it conducted: an open contact, a
    capacitor, an empty socket. Where no single one would, the fewest that would together. Empty where a
    path conducts for certain, or where nothing at all could join them.

    Parameters
    ----------
    known : (n,) int64, optional
        What `sides` gave for the same network.
    """
    graph = network.graph
    side = sides(network) if known is None else known
    one, other = int(side[start]), int(side[end])
    if one == other:
        return ()
    sketch: nx.Graph[int] = nx.Graph()
    sketch.add_nodes_from((one, other))
    laid: dict[tuple[int, int], list[str]] = {}
    for number in np.flatnonzero(side[graph.starts] != side[graph.ends]).tolist():
        pair = sorted((int(side[graph.starts[number]]), int(side[graph.ends[number]])))
        sketch.add_edge(pair[0], pair[1])
        laid.setdefault((pair[0], pair[1]), []).append(network.branches[number].part)
    if not nx.has_path(sketch, one, other):
        return ()
    path = nx.shortest_path(sketch, one, other)
    parts = {part for pair in pairwise(path) for part in laid[min(pair), max(pair)]}
    order = {branch.part: place for place, branch in enumerate(network.branches)}
    return tuple(sorted(parts, key=lambda part: order[part]))


def sides(network: Network) -> NDArray[np.int64]:
    """Return (n,) int64: for each node the number of the piece that certainly conducts from it."""
    return joined_groups(network.graph, np.where(np.isfinite(network.high), 0.0, np.inf))


def blocked_words(circuit: Circuit, setting: Setting, parts: Sequence[str]) -> str:
    """Say why each of the parts that `blockers` gave does not conduct.

    Examples
    --------
    >>> from tracer.circuit.wiring import parse_wiring
    >>> circuit = parse_wiring('''
    ... bank S: Off, On
    ... contact S2: common=A make=B; closed=S:On
    ... capacitor C9: 1=B 2=C; .05
    ... resistor R7: 1=C 2=D; 1k
    ... ''')
    >>> blocked_words(circuit, Setting(lifted=frozenset({"R7.1"})), ("S2", "C9", "R7"))
    'S2 is off; C9 blocks; R7.1 is lifted'
    """
    elements = {element.reference: element for element in circuit.elements}
    said: dict[tuple[str, str], list[str]] = {}
    for part in parts:
        lifted = sorted(name for name in setting.lifted if name.rpartition(".")[0] == part)
        element = elements.get(part)
        said.setdefault(_how(element, setting, bool(lifted)), []).extend(lifted or [part])
    return "; ".join(
        f"{_listed(names)} {one if len(names) == 1 else several}" for (one, several), names in said.items()
    )


def _how(element: Element | None, setting: Setting, lifted: bool) -> tuple[str, str]:
    """Return the words for one part and for several."""
    if lifted:
        return "is lifted", "are lifted"
    if element is not None:
        if element.reference in setting.out or element.option("out") is not None:
            return "is out", "are out"
        if element.kind == "contact":
            return "is off", "are off"
        if element.kind in _BLOCKING:
            return "blocks", "block"
    return "is open", "are open"


def _listed(names: Sequence[str]) -> str:
    return names[0] if len(names) == 1 else f"{', '.join(names[:-1])} and {names[-1]}"

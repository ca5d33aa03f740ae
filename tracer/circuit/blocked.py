"""Which parts keep two points apart: the ones that would join them if they conducted."""

from __future__ import annotations

from itertools import pairwise

import networkx as nx
import numpy as np
from numpy.typing import NDArray

from tracer.circuit.network import Network

__all__ = ["blockers"]


def blockers(network: Network, start: int, end: int) -> tuple[str, ...]:
    """Return the elements that break every path between two nodes, in the circuit's order.

    These are the parts each of which alone would join the two sides if it conducted: an open contact, a
    capacitor, an empty socket. Where no single one would, the fewest that would together. Empty where a
    path conducts for certain, or where nothing at all could join them.
    """
    graph = network.graph
    conducts = np.isfinite(network.high)
    side = _sides(network, conducts)
    one, other = side[start], side[end]
    if one == other:
        return ()
    sketch: nx.Graph[int] = nx.Graph()
    sketch.add_nodes_from((one, other))
    laid: dict[tuple[int, int], list[str]] = {}
    for number in np.flatnonzero(~conducts).tolist():
        pair = sorted((side[int(graph.starts[number])], side[int(graph.ends[number])]))
        if pair[0] != pair[1]:
            sketch.add_edge(pair[0], pair[1])
            laid.setdefault((pair[0], pair[1]), []).append(network.branches[number].part)
    if not nx.has_path(sketch, one, other):
        return ()
    path = nx.shortest_path(sketch, one, other)
    parts = {part for pair in pairwise(path) for part in laid[min(pair), max(pair)]}
    order = {branch.part: place for place, branch in enumerate(network.branches)}
    return tuple(sorted(parts, key=lambda part: order[part]))


def _sides(network: Network, conducts: NDArray[np.bool_]) -> list[int]:
    """Return for each node the number of the piece it belongs to, joined by conducting branches."""
    pieces: nx.Graph[int] = nx.Graph()
    pieces.add_nodes_from(range(network.graph.size))
    chosen = np.flatnonzero(conducts)
    pieces.add_edges_from(
        zip(network.graph.starts[chosen].tolist(), network.graph.ends[chosen].tolist(), strict=True)
    )
    side = [0] * network.graph.size
    for number, piece in enumerate(nx.connected_components(pieces)):
        for node in piece:
            side[node] = number
    return side

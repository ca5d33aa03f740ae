"""Which parts keep two points apart: the ones that would join them if they conducted."""

from __future__ import annotations

from itertools import pairwise

import networkx as nx
import numpy as np
from numpy.typing import NDArray

from tracer.circuit.network import Network
from tracer.circuit.solve import joined_groups

__all__ = ["blockers", "sides"]


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

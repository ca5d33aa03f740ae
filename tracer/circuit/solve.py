"""Exact resistance between two nodes of a resistor network, and how the current divides.

Branches of 0 Ω join their ends, branches of ∞ Ω are left out, and only what lies on some path from lead to
lead is worked on; then nodes are taken out one by one (`tracer.circuit.eliminate`). Islands read ``inf``,
loops of 0 Ω are harmless, and nothing returns NaN.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray
from scipy import sparse
from scipy.sparse import csgraph

from tracer.circuit.eliminate import Adjacency, eliminate, potentials, reduce_to, transfer_matrix
from tracer.circuit.ways import Blocks, Ways, blocks

__all__ = [
    "OPEN_OHMS",
    "SHORT_OHMS",
    "Flow",
    "Graph",
    "Ohms",
    "Spread",
    "between",
    "components",
    "flow",
    "joined_groups",
    "reachable",
    "reduced",
    "resistance",
    "resistances_from",
    "spread",
    "ways",
]

Ohms = NDArray[np.float64]
"""(m,) float64, one resistance in Ω a branch, 0 … inf."""

SHORT_OHMS, OPEN_OHMS = 1e-30, 1e30
"""Below the one a branch counts as 0 Ω, from the other on as open, so that no product can overflow."""


@dataclass(frozen=True, eq=False)
class Graph:
    """Where the branches end: `size` nodes numbered from 0, `starts` and `ends` (m,) int64.

    What follows from it alone is worked out once and kept in `kept`.
    """

    size: int
    starts: NDArray[np.int64]
    ends: NDArray[np.int64]
    kept: dict[object, object] = field(default_factory=dict, repr=False)

    @classmethod
    def of(cls, size: int, pairs: Iterable[tuple[int, int]]) -> Graph:
        """Make a graph of `size` nodes from the two ends of each branch."""
        table = np.array(list(pairs), dtype=np.int64).reshape(-1, 2)
        return cls(size, table[:, 0].copy(), table[:, 1].copy())


@dataclass(frozen=True, eq=False)
class Flow:
    """1 A from lead to lead.

    Attributes
    ----------
    ohms : float
        Between the leads, ``inf`` where no path joins them.
    currents : (m,) float64
        A in each branch, positive from its start to its end; 0 in branches that are joined (0 Ω), open,
        or off every path between the leads.
    on_path : (m,) bool
        The branches that lie on some path between the leads, those of 0 Ω among them.
    """

    ohms: float
    currents: NDArray[np.float64]
    on_path: NDArray[np.bool_]


@dataclass(frozen=True, eq=False)
class Spread:
    """All resistances from one node, and what is needed for the current to any of them.

    Attributes
    ----------
    start : int
        The node the lead rests on.
    ohms : (n,) float64
        From `start` to every node; 0 where joined, ``inf`` where no path leads.
    place : (n,) int64
        Each node's row in `between`, which those that are joined share.
    between : (g, g) float64
        ``between[i, j]``: volts of the nodes at i above `start` with 1 A from those at j to `start`; 0
        outside the component.
    """

    start: int
    ohms: NDArray[np.float64]
    place: NDArray[np.int64]
    between: NDArray[np.float64]

    def volts(self, end: int) -> NDArray[np.float64]:
        """Return (n,) float64: volts of every node above `start` with 1 A from `end` to `start`."""
        return np.asarray(self.between[self.place, self.place[end]])


def joined_groups(graph: Graph, ohms: Ohms) -> NDArray[np.int64]:
    """Return (n,) int64: for each node the lowest node that branches of 0 Ω join it to."""
    count, label = components(graph, _is_zero(ohms))
    lowest = np.full(count, graph.size, dtype=np.int64)
    np.minimum.at(lowest, label, np.arange(graph.size))
    return np.asarray(lowest[label])


def components(graph: Graph, use: NDArray[np.bool_]) -> tuple[int, NDArray[np.int64]]:
    """Return how many pieces the branches of `use` form, and (n,) int64 the piece of each node."""
    pairs = (graph.starts[use], graph.ends[use])
    table = sparse.coo_array((np.ones(len(pairs[0]), dtype=np.int8), pairs), shape=(graph.size, graph.size))
    count, label = csgraph.connected_components(table, directed=False)
    return int(count), label.astype(np.int64)


def _is_zero(ohms: Ohms) -> NDArray[np.bool_]:
    return np.asarray(ohms < SHORT_OHMS)


def _conducts(ohms: Ohms) -> NDArray[np.bool_]:
    return np.asarray(ohms < OPEN_OHMS)


def _live(graph: Graph, ohms: Ohms, group: NDArray[np.int64]) -> NDArray[np.bool_]:
    return np.asarray(_conducts(ohms) & ~_is_zero(ohms) & (group[graph.starts] != group[graph.ends]))


def _adjacency(graph: Graph, ohms: Ohms, group: NDArray[np.int64], use: NDArray[np.bool_]) -> Adjacency:
    table: dict[int, dict[int, float]] = {}
    chosen = np.flatnonzero(use)
    pairs = zip(
        group[graph.starts[chosen]].tolist(),
        group[graph.ends[chosen]].tolist(),
        (1.0 / ohms[chosen]).tolist(),
        strict=True,
    )
    for one, other, conductance in pairs:
        row = table.setdefault(one, {})
        joined = row.get(other, 0.0) + conductance
        row[other] = joined
        table.setdefault(other, {})[one] = joined
    return table


def reduced(graph: Graph, ohms: Ohms, keep: Iterable[int]) -> tuple[NDArray[np.int64], Adjacency]:
    """Return what the nodes `keep` see of the network: each node's group, and conductances between groups.

    Returns
    -------
    group : (n,) int64
        As `joined_groups`: nodes joined by 0 Ω share a number.
    adjacency : Adjacency
        Siemens between the groups that hold a node of `keep`; all other nodes are taken out, exactly.
    """
    group = joined_groups(graph, ohms)
    whole = _adjacency(graph, ohms, group, _live(graph, ohms, group))
    return group, reduce_to(whole, {int(group[node]) for node in keep})


def reachable(graph: Graph, ohms: Ohms, start: int) -> NDArray[np.bool_]:
    """Return (n,) bool: the nodes that branches below ∞ Ω lead to from `start`, itself among them."""
    label = components(graph, _conducts(ohms))[1]
    return np.asarray(label == label[start])


def between(graph: Graph, use: NDArray[np.bool_], start: int, end: int) -> NDArray[np.bool_]:
    """Return (m,) bool: the branches of `use` that lie on a path from `start` to `end` with no node twice."""
    return ways(graph, use, start).to(end)


def ways(graph: Graph, use: NDArray[np.bool_], start: int) -> Ways:
    """Return the ways from `start` to every node along the branches of `use`."""
    key = ("blocks", use.tobytes())
    found = graph.kept.get(key)
    if not isinstance(found, Blocks):
        found = blocks(graph.size, graph.starts, graph.ends, use)
        graph.kept[key] = found
    return Ways(found, start)


def resistance(graph: Graph, ohms: Ohms, start: int, end: int) -> float:
    """Return the resistance between two nodes, Ω: 0 where they are joined, ``inf`` where no path leads.

    Examples
    --------
    A Wheatstone bridge in balance: 100 Ω in both upper arms, 200 Ω in both lower ones.

    >>> bridge = Graph.of(4, [(0, 1), (0, 2), (1, 3), (2, 3), (1, 2)])
    >>> resistance(bridge, np.array([100.0, 100.0, 200.0, 200.0, 47.0]), 0, 3)
    150.0
    """
    group = joined_groups(graph, ohms)
    one, other = int(group[start]), int(group[end])
    if one == other:
        return 0.0
    live = _live(graph, ohms, group)
    piece = components(Graph(graph.size, group[graph.starts], group[graph.ends]), live)[1]
    if piece[one] != piece[other]:
        return float("inf")
    adjacency = _adjacency(graph, ohms, group, live & (piece[group[graph.starts]] == piece[one]))
    return 1.0 / eliminate(adjacency, ground=other, last=one).steps[-1].total


def flow(graph: Graph, ohms: Ohms, start: int, end: int) -> Flow:
    """Return the resistance between two nodes and the current in every branch for 1 A from lead to lead."""
    currents = np.zeros(len(graph.starts))
    finite = _conducts(ohms)
    on_path = between(graph, finite, start, end)
    if start == end:
        return Flow(0.0, currents, on_path)
    if not on_path.any():
        return Flow(float("inf"), currents, on_path)
    shown = np.where(on_path, ohms, np.inf)
    group = joined_groups(graph, shown)
    one, other = int(group[start]), int(group[end])
    if one == other:
        return Flow(0.0, currents, on_path)
    # Joining nodes can cut pieces off the paths, so look again in the joined network.
    joined = Graph(graph.size, group[graph.starts], group[graph.ends])
    use = between(joined, _live(graph, shown, group), one, other)
    adjacency = _adjacency(graph, ohms, group, use)
    elimination = eliminate(adjacency, ground=other, last=one)
    volts = potentials(elimination, graph.size)
    drop = volts[joined.starts[use]] - volts[joined.ends[use]]
    currents[use] = np.clip(drop / ohms[use], -1.0, 1.0)
    return Flow(1.0 / elimination.steps[-1].total, currents, on_path)


def spread(graph: Graph, ohms: Ohms, start: int) -> Spread:
    """Return the resistances from one node to all others after a single elimination."""
    count, place = components(graph, _is_zero(ohms))
    live = _live(graph, ohms, place)
    ground = int(place[start])
    joined = Graph(count, place[graph.starts], place[graph.ends])
    seen = reachable(joined, np.where(live, ohms, np.inf), ground)
    use = live & seen[joined.starts]
    volts = np.zeros((count, count))
    if use.any():
        volts = transfer_matrix(eliminate(_adjacency(graph, ohms, place, use), ground), count)
    return Spread(start, np.where(seen, np.diagonal(volts), np.inf)[place], place, volts)


def resistances_from(graph: Graph, ohms: Ohms, start: int) -> NDArray[np.float64]:
    """Return (n,) float64, Ω, from `start` to every node (see `Spread.ohms`)."""
    return spread(graph, ohms, start).ohms

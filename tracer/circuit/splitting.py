"""Opening branches of 0 Ω: splitting the nodes that they merge, each split as a change of rank one."""

from __future__ import annotations

from dataclasses import dataclass

import networkx as nx
import numpy as np
from numpy.typing import NDArray

from tracer.circuit.solve import Graph, Ohms
from tracer.circuit.ways import bridges

__all__ = ["Splits", "split_zeros"]

_SURE = 1e-7
"""A result that may be out by more than this fraction is marked unsure."""
_EPSILON = 1e-15

Bools = NDArray[np.bool_]
Numbers = NDArray[np.int64]


@dataclass(frozen=True, eq=False)
class Splits:
    """The k branches of 0 Ω each of which alone joins two sides of a merged node.

    Attributes
    ----------
    branches : (k,) int64
    sides : (k, n) bool
        The nodes on the far side of each, away from ground.
    volts : (k, n) float64
        What the far side's conductances draw for 1 A into each node.
    rest : (k,) float64
        Conductance between the two sides once split, S.
    unsure : (k,) bool
        Where `rest` has lost its digits; it is then 1.
    """

    branches: Numbers
    sides: Bools
    volts: NDArray[np.float64]
    rest: NDArray[np.float64]
    unsure: Bools

    def current(self, start: int, end: int) -> NDArray[np.float64]:
        """Return (k,) float64: A through each for 1 A from lead to lead."""
        lead = self.sides[:, start].astype(np.float64) - self.sides[:, end]
        return np.asarray(self.volts[:, start] - self.volts[:, end] + lead)

    def current_from(self, start: int) -> NDArray[np.float64]:
        """Return (k, n) float64: `current` from one node to every other."""
        lead = self.sides[:, [start]].astype(np.float64) - self.sides
        return np.asarray(self.volts[:, [start]] - self.volts + lead)


def split_zeros(
    graph: Graph,
    ohms: Ohms,
    zero: Bools,
    group: Numbers,
    volts: NDArray[np.float64],
    grounds: set[int],
) -> Splits:
    """Return every split that opening one branch of 0 Ω makes.

    Parameters
    ----------
    graph : Graph
    ohms : (m,) float64
    zero : (m,) bool
        The branches that merge their ends.
    group : (n,) int64
        The node that stands for each merged node.
    volts : (n, n) float64
        Volts of node i for 1 A into node j and out of ground.
    grounds : set of int
        One node a piece of the network, at 0 V.
    """
    only = bridges(graph.size, graph.starts, graph.ends, zero)
    sketch: nx.Graph[int] = nx.Graph()
    sketch.add_edges_from(zip(graph.starts[zero].tolist(), graph.ends[zero].tolist(), strict=True))
    found = [
        _split_one(graph, ohms, group, volts, sketch, nodes, grounds, zero, only)
        for nodes in list(nx.connected_components(sketch))
    ]
    kept = [each for each in found if len(each.branches)]
    if not kept:
        none = np.zeros((0, graph.size))
        return Splits(np.zeros(0, dtype=np.int64), none.astype(np.bool_), none, none[:, 0], none[:, 0] > 0)
    return Splits(
        np.concatenate([each.branches for each in kept]),
        np.concatenate([each.sides for each in kept]),
        np.concatenate([each.volts for each in kept]),
        np.concatenate([each.rest for each in kept]),
        np.concatenate([each.unsure for each in kept]),
    )


def _split_one(
    graph: Graph,
    ohms: Ohms,
    group: Numbers,
    volts: NDArray[np.float64],
    sketch: nx.Graph[int],
    nodes: set[int],
    grounds: set[int],
    zero: Bools,
    only: Bools,
) -> Splits:
    """Split one merged node: the conductances of each far side move to a node of their own."""
    inside = np.zeros(graph.size, dtype=np.bool_)
    inside[list(nodes)] = True
    branches = np.flatnonzero(only & inside[graph.starts])
    root = min(nodes & grounds or nodes)
    sides = _far_sides(sketch, root, graph, branches)
    has_ohms = np.isfinite(ohms) & ~zero
    touching = np.flatnonzero(has_ohms & (inside[graph.starts] | inside[graph.ends]))
    one, other = graph.starts[touching], graph.ends[touching]
    moved = (sides[:, one] != sides[:, other]) / ohms[touching]
    whole = moved.sum(axis=1)
    C = np.zeros((len(branches), graph.size))
    far = np.where(sides[:, one], group[other], group[one])
    np.add.at(C, (np.repeat(np.arange(len(branches)), len(touching)), far.ravel()), moved.ravel())
    C[:, group[root]] -= whole
    reach = np.unique(group[np.concatenate([one, other, [root]])])
    C, Z = C[:, reach], volts[np.ix_(reach, reach)]
    drawn = C @ volts[reach]
    size = np.abs(C)
    rest = whole - np.einsum("ij,ij->i", drawn[:, reach], C)
    blur = whole + np.einsum("ij,ij->i", size @ Z, size)
    unsure = _EPSILON * blur >= _SURE * rest
    return Splits(branches, sides, drawn, np.where(unsure, 1.0, rest), unsure)


def _far_sides(sketch: nx.Graph[int], root: int, graph: Graph, branches: Numbers) -> Bools:
    """Return (k, n) bool: for each branch the nodes that it alone joins to `root`."""
    order, parent = [root], {}
    for above, below in nx.dfs_edges(sketch, root):
        order.append(below)
        parent[below] = above
    size = dict.fromkeys(order, 1)
    for node in reversed(order[1:]):
        size[parent[node]] += size[node]
    place = {node: number for number, node in enumerate(order)}
    ordered = np.array(order, dtype=np.int64)
    sides = np.zeros((len(branches), graph.size), dtype=np.bool_)
    for row, branch in enumerate(branches.tolist()):
        one, other = int(graph.starts[branch]), int(graph.ends[branch])
        below = one if parent.get(one) == other else other
        sides[row, ordered[place[below] : place[below] + size[below]]] = True
    return sides

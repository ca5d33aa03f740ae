"""A network whose branches of 0 Ω have merged their ends: all that does not hang on the other ohms.

Wires and bonds outnumber parts by far on a drawn sheet, so nodes that they join count as one, and what
opening one of them would part is read off the forest that they form.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from tracer.circuit.solve import Graph, components
from tracer.circuit.ways import Tree, bridges, tree

__all__ = ["Forest", "Merged", "merged"]

Bools = NDArray[np.bool_]
Numbers = NDArray[np.int64]


@dataclass(frozen=True, eq=False)
class Forest(Tree):
    """The branches of 0 Ω as a forest, walked depth first.

    Attributes
    ----------
    above : (n,) int64
        The branch to the node above, -1 for a root.
    alone : (n,) bool
        Whether that branch alone holds the node to the one above.
    """

    above: Numbers
    alone: Bools

    def is_below(self, tops: Numbers, nodes: Numbers) -> Bools:
        """Return (k, j) bool: whether each of the j nodes hangs below each of the k tops."""
        first = self.place[tops][:, None]
        here = self.place[nodes][None, :]
        return np.asarray((here >= first) & (here < first + self.size[tops][:, None]))

    def between(self, one: int, other: int) -> list[int]:
        """Return the nodes whose branches upward lie on the way between two nodes of one tree."""
        found: dict[int, None] = {}
        for node in (one, other):
            while node >= 0:
                # What lies above both is passed twice.
                found.pop(node, None) if node in found else found.setdefault(node)
                node = int(self.parent[node])
        return list(found)


@dataclass(frozen=True, eq=False)
class Merged:
    """The merged network.

    Attributes
    ----------
    graph : Graph
    zero, finite : (m,) bool
        Which branches merge their ends, and which are not open.
    place : (n,) int64
        Each node's number once merged, from 0.
    count : int
    """

    graph: Graph
    zero: Bools
    finite: Bools
    place: Numbers
    count: int

    @cached_property
    def one(self) -> Numbers:
        """(m,) int64: the merged node that each branch starts on."""
        return np.asarray(self.place[self.graph.starts])

    @cached_property
    def other(self) -> Numbers:
        """(m,) int64: the merged node that each branch ends on."""
        return np.asarray(self.place[self.graph.ends])

    @cached_property
    def live(self) -> Bools:
        """(m,) bool: the branches with ohms whose ends are two nodes once merged."""
        return np.asarray(self.finite & ~self.zero & (self.one != self.other))

    @cached_property
    def pieces(self) -> Numbers:
        """(count,) int64: the number of the piece that each merged node belongs to."""
        return components(Graph(self.count, self.one, self.other), self.live)[1]

    @cached_property
    def piece(self) -> Numbers:
        """(n,) int64: the number of the piece that each node belongs to."""
        return np.asarray(self.pieces[self.place])

    @cached_property
    def busiest(self) -> Numbers:
        """One merged node a piece: the one on which most branches meet."""
        meeting = np.bincount(np.concatenate([self.one, self.other]), minlength=self.count)
        order = np.lexsort((-meeting, self.pieces))
        return np.asarray(order[np.unique(self.pieces[order], return_index=True)[1]])

    @cached_property
    def bridges(self) -> Bools:
        """(m,) bool: the branches that alone hold their two ends together."""
        return bridges(self.graph.size, self.graph.starts, self.graph.ends, self.finite)

    @cached_property
    def forest(self) -> Forest:
        """The branches of 0 Ω, one tree for each merged node."""
        graph = self.graph
        found = tree(graph.size, graph.starts, graph.ends, self.zero, self.place)
        above = found.branches_above(graph.starts, graph.ends, self.zero)
        held = bridges(graph.size, graph.starts, graph.ends, self.zero, found)
        alone = above >= 0
        alone[alone] = held[above[alone]]
        return Forest(found.place, found.size, found.parent, above, alone)

    @cached_property
    def chains(self) -> tuple[Numbers, Numbers]:
        """The number of the chain of series branches that each branch belongs to, and for each node between
        two branches of a chain its number, else -1."""
        graph, chosen = self.graph, np.flatnonzero(self.finite)
        ends = np.concatenate([graph.starts[chosen], graph.ends[chosen]])
        branch = np.concatenate([chosen, chosen])[np.argsort(ends, kind="stable")]
        nodes, first, count = np.unique(np.sort(ends), return_index=True, return_counts=True)
        first, nodes = first[count == 2], nodes[count == 2]
        two = branch[first] != branch[first + 1]
        first, nodes = first[two], nodes[two]
        pairs = Graph(len(self.finite), branch[first], branch[first + 1])
        number = components(pairs, np.ones(len(first), dtype=np.bool_))[1]
        chain_of = np.full(graph.size, -1, dtype=np.int64)
        chain_of[nodes] = number[branch[first]]
        return number, chain_of


def merged(graph: Graph, zero: Bools, finite: Bools) -> Merged:
    """Return a network with its branches of 0 Ω merged; worked out once for a graph and the two masks."""
    key = ("merged", zero.tobytes(), finite.tobytes())
    found = graph.kept.get(key)
    if not isinstance(found, Merged):
        count, place = components(graph, zero)
        found = Merged(graph, zero, finite, place, count)
        graph.kept[key] = found
    return found

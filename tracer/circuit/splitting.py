"""Opening branches of 0 Ω: splitting the nodes that they merge, each split as a change of rank one."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy import sparse

from tracer.circuit.merged import Forest, Merged
from tracer.circuit.solve import Ohms

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
    merged : Merged
    branches : (k,) int64
    tops : (k,) int64
        The node below each: what hangs below it is the far side.
    volts : (k, g) float64
        What the far side's conductances draw for 1 A into each merged node.
    rest : (k,) float64
        Conductance between the two sides once split, S.
    unsure : (k,) bool
        Where `rest` has lost its digits; it is then 1.
    """

    merged: Merged
    branches: Numbers
    tops: Numbers
    volts: NDArray[np.float64]
    rest: NDArray[np.float64]
    unsure: Bools

    def current_from(self, start: int, ends: Numbers) -> NDArray[np.float64]:
        """Return (k, j) float64: A through each for 1 A from one node to each of `ends`."""
        forest, place = self.merged.forest, self.merged.place
        here = forest.is_below(self.tops, np.array([start], dtype=np.int64)).astype(np.float64)
        lead = here - forest.is_below(self.tops, ends)
        return np.asarray(self.volts[:, [place[start]]] - self.volts[:, place[ends]] + lead)

    def node_response(self, row: int) -> NDArray[np.float64]:
        """Return (n,) float64: volts of every node for 1 V put in series with one of the k.

        By reciprocity the difference of two is the current through it for 1 A between these nodes.
        """
        forest, place = self.merged.forest, self.merged.place
        below = forest.is_below(self.tops[[row]], np.arange(self.merged.graph.size))[0]
        return np.asarray(self.volts[row][place] + below.astype(np.float64))

    def response(self, row: int) -> NDArray[np.float64]:
        """Return (m,) float64: volts across each branch for 1 V put in series with one of the k."""
        graph, volts = self.merged.graph, self.node_response(row)
        return np.asarray(volts[graph.starts] - volts[graph.ends])

    def current(self, start: int, end: int) -> NDArray[np.float64]:
        """Return (k,) float64: A through each for 1 A from lead to lead."""
        return np.asarray(self.current_from(start, np.array([end], dtype=np.int64))[:, 0])


def split_zeros(merged: Merged, ohms: Ohms, volts: NDArray[np.float64]) -> Splits:
    """Return every split that opening one branch of 0 Ω makes.

    Parameters
    ----------
    merged : Merged
    ohms : (m,) float64
    volts : (g, g) float64
        Volts of merged node i for 1 A into merged node j and out of its piece's ground.
    """
    forest = merged.forest
    tops = np.flatnonzero(forest.alone)
    moved = _moved(merged, ohms, tops)
    inner = _inner(merged, ohms, tops)
    outside = np.asarray(moved.sum(axis=1)).ravel()
    whole = outside + inner
    # Towards its own merged node a far side draws by what it moves away from it.
    own = sparse.csr_array((outside, (np.arange(len(tops)), merged.place[tops])), shape=moved.shape)
    C = (moved - own).tocsr()
    drawn = np.asarray(C @ volts)
    rest = whole - np.asarray(C.multiply(drawn).sum(axis=1)).ravel()
    unsure = _unsure(np.asarray(abs(C) @ np.sqrt(np.diagonal(volts))) ** 2 + whole, rest)
    doubt = np.flatnonzero(unsure)
    if len(doubt):
        size = abs(C[doubt])
        blur = whole[doubt] + np.asarray(size.multiply(np.asarray(size @ volts)).sum(axis=1)).ravel()
        unsure[doubt] = _unsure(blur, rest[doubt])
    return Splits(merged, forest.above[tops], tops, drawn, np.where(unsure, 1.0, rest), unsure)


def _unsure(blur: NDArray[np.float64], rest: NDArray[np.float64]) -> Bools:
    return np.asarray(_EPSILON * blur >= _SURE * rest)


def _moved(merged: Merged, ohms: Ohms, tops: Numbers) -> sparse.csr_array:
    """Return (k, g): the conductance from the far side of each split to every other merged node, S."""
    graph, forest, live = merged.graph, merged.forest, np.flatnonzero(merged.live)
    near = np.concatenate([graph.starts[live], graph.ends[live]])
    far = np.concatenate([merged.other[live], merged.one[live]])
    siemens = np.tile(1.0 / ohms[live], 2)
    at_node = sparse.csr_array((siemens, (forest.place[near], far)), shape=(graph.size, merged.count))
    return (_below(forest, tops) @ at_node).tocsr()


def _below(forest: Forest, tops: Numbers) -> sparse.csr_array:
    """Return (k, n): 1 for each place in the walk that hangs below each top."""
    counts = forest.size[tops]
    first = np.concatenate([[0], np.cumsum(counts)])
    columns = np.arange(first[-1]) - np.repeat(first[:-1] - forest.place[tops], counts)
    return sparse.csr_array((np.ones(first[-1]), columns, first), shape=(len(tops), len(forest.place)))


def _inner(merged: Merged, ohms: Ohms, tops: Numbers) -> NDArray[np.float64]:
    """Return (k,) float64: the conductance of branches whose ends a split alone would part, S."""
    graph, row = merged.graph, {top: place for place, top in enumerate(tops.tolist())}
    inner = np.zeros(len(tops))
    shorted = merged.finite & ~merged.zero & ~merged.live
    for branch in np.flatnonzero(shorted).tolist():
        for node in merged.forest.between(int(graph.starts[branch]), int(graph.ends[branch])):
            if node in row:
                inner[row[node]] += 1.0 / float(ohms[branch])
    return inner

"""All resistances from one node at once, for many networks that differ in their ohms alone.

The order in which nodes are taken out (`tracer.circuit.level_order`) serves every corner and every setting,
and nodes that are no neighbours are taken out together. On the way back only those entries of the inverse
are worked out that the next ones need, down to the diagonal, which holds the resistances (K. Takahashi, J.
Fagan and M.-S. Chin, "Formation of a sparse bus impedance matrix", PICA Conference, 1973).

As in `tracer.circuit.eliminate` nothing is ever subtracted, so a branch of 0 Ω may stand as one of 1e-30 Ω
and costs no digits.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from tracer.circuit.solve import OPEN_OHMS, SHORT_OHMS, Graph, Ohms

__all__ = ["Level", "Levels"]

_JOINED = 1e-20
"""What branches of `SHORT_OHMS` alone add up to stays far below this many ohms; it is 0 Ω."""
_BYTES = 1 << 25
"""About how much the full rest of the networks that are worked on at once may take."""

Numbers = NDArray[np.int64]
Table = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Level:
    """Nodes taken out together. A slot is a pair of nodes, with the conductance between them.

    Attributes
    ----------
    nodes, first : (a,) int64
        The nodes, and where in `slots` each one's own begin.
    of_node, slots, far : (s,) int64
        Node after node its slots, each with its node's place in `nodes` and the neighbour it leads to.
    left, right : (p,) int64
        Pairs of neighbours of one node, as places in `slots`, sorted by the slot between the two.
    targets, pair_first : (t,) int64
        The slots between those pairs, each once, and where its pairs begin.
    other, entry : (q,) int64
        For each of `slots` in turn every neighbour of its node, as a place in `slots`, and the entry of the
        inverse between that neighbour and its own: a slot, or, counted on from the slots, a node's own.
    other_first : (s,) int64
        Where in `other` those of each slot begin.
    """

    nodes: Numbers
    first: Numbers
    of_node: Numbers
    slots: Numbers
    far: Numbers
    left: Numbers
    right: Numbers
    targets: Numbers
    pair_first: Numbers
    other: Numbers
    entry: Numbers
    other_first: Numbers


@dataclass(frozen=True, eq=False)
class Levels:
    """In which order the nodes of a graph are taken out, all but `ground`.

    Attributes
    ----------
    graph : Graph
    ground : int
    slot_of : (m,) int64
        The slot that each branch adds to; -1 where both its ends are one node, or it is never used.
    count : int
        How many slots there are in the end.
    steps : tuple of Level
    core : (c,) int64
        The nodes left for whole rows, `ground` the last of them.
    core_slots : (3, j) int64
        Between them: place of the one, place of the other, slot.
    """

    graph: Graph
    ground: int
    slot_of: Numbers
    count: int
    steps: tuple[Level, ...]
    core: Numbers
    core_slots: Numbers

    def resistances(self, ohms: Ohms) -> Table:
        """Return (k, n) float64: Ω from `ground` to every node, in each of k networks.

        Parameters
        ----------
        ohms : (k, m) float64
            Ω of every branch, 0 … ``inf``.
        """
        many = max(1, _BYTES // (8 * len(self.core) ** 2))
        parts = [self._some(ohms[at : at + many]) for at in range(0, len(ohms), many)]
        return np.concatenate(parts) if parts else np.zeros((0, self.graph.size))

    def _some(self, ohms: Ohms) -> Table:
        G = self._siemens(ohms)
        taken = [_take_out(G, step) for step in self.steps]
        # The inverse by slots, then its diagonal; and which nodes hang together with ground.
        Z = np.zeros((self.count + self.graph.size, len(ohms)))
        linked = np.zeros((self.graph.size, len(ohms)))
        self._fill_core(G, Z, linked)
        for step, (rise, parts) in zip(reversed(self.steps), reversed(taken), strict=True):
            row = np.add.reduceat(parts[step.other] * Z[step.entry], step.other_first)
            Z[step.slots] = row
            Z[self.count + step.nodes] = rise + np.add.reduceat(parts * row, step.first)
            linked[step.nodes] = np.add.reduceat(parts * linked[step.far], step.first)
        own = Z[self.count :]
        return np.where(linked > 0.5, np.where(own < _JOINED, 0.0, own), np.inf).T

    def _siemens(self, ohms: Ohms) -> Table:
        """Return (slots, k) float64: the conductance of each slot before any node is taken out, S."""
        used = np.flatnonzero(self.slot_of >= 0)
        order = used[np.argsort(self.slot_of[used], kind="stable")]
        slots, first = np.unique(self.slot_of[order], return_index=True)
        chosen = np.ascontiguousarray(ohms.T[order])
        G = np.zeros((self.count, len(ohms)))
        if len(slots):
            siemens = np.where(chosen < OPEN_OHMS, 1.0 / np.maximum(chosen, SHORT_OHMS), 0.0)
            G[slots] = np.add.reduceat(siemens, first)
        return G

    def _fill_core(self, G: Table, Z: Table, linked: Table) -> None:
        """Take out the core by whole rows, and fill in all entries between its nodes."""
        last, (one, other, slot) = len(self.core) - 1, self.core_slots
        table = np.zeros((last + 1, last + 1, G.shape[1]))
        table[one, other] = table[other, one] = G[slot]
        rises, parts = [], []
        for place in range(last):
            row = table[place, place + 1 :]
            rise, part = _shared_out(row.sum(axis=0), row)
            table[place + 1 :, place + 1 :] += row[:, None] * part[None, :]
            rises.append(rise)
            parts.append(part)
        full = np.zeros_like(table)
        linked[self.ground] = 1.0
        for place in reversed(range(last)):
            rest, part = slice(place + 1, None), parts[place]
            row = np.einsum("jk,jik->ik", part, full[rest, rest])
            full[place, rest] = full[rest, place] = row
            full[place, place] = rises[place] + (part * row).sum(axis=0)
            linked[self.core[place]] = (part * linked[self.core[rest]]).sum(axis=0)
        Z[slot] = full[one, other]
        Z[self.count + self.core] = full[range(last + 1), range(last + 1)]


def _take_out(G: Table, step: Level) -> tuple[Table, Table]:
    """Take the nodes of one level out; return 1 over each one's conductance, and the parts of its slots."""
    star = G[step.slots]
    total = np.add.reduceat(star, step.first)
    with np.errstate(divide="ignore", invalid="ignore"):
        parts = star / total[step.of_node]
        rise = 1.0 / total
    alone = total == 0.0
    if alone.any():
        rise[alone] = 0.0
        parts[alone[step.of_node]] = 0.0
    if len(step.targets):
        G[step.targets] += np.add.reduceat(star[step.left] * parts[step.right], step.pair_first)
    return rise, parts


def _shared_out(total: Table, row: Table) -> tuple[Table, Table]:
    """Return 1 over a node's conductance and the part of each neighbour, all 0 where it has none."""
    safe = np.where(total > 0.0, total, 1.0)
    return np.where(total > 0.0, 1.0 / safe, 0.0), row / safe

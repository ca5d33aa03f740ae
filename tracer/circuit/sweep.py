"""How the lead-to-lead resistance hangs on each branch by itself, for any pair after one elimination.

For a branch that has ohms this is a change of rank one (Sherman and Morrison 1950; Thévenin's theorem seen
from the branch). A branch of 0 Ω, a wire, merges its two ends; to open it is to split the merged node, and
moving the conductances of one side to a node of their own is a change of rank one as well. Where either
formula would lose its digits the branch is worked out by itself.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import cached_property

import networkx as nx
import numpy as np
from numpy.typing import NDArray

from tracer.circuit.solve import Graph, Ohms, joined_groups, resistance, spread
from tracer.circuit.splitting import Splits, split_zeros
from tracer.circuit.ways import bridges

__all__ = ["Corner", "Sweep", "sweep"]

_SURE = 1e-7
"""A result that may be out by more than this fraction is worked out singly."""
_EPSILON = 1e-15
_ZERO = 1e-300  # below it `tracer.circuit.solve` joins the ends
_NO_CURRENT = 1e-9
"""Amperes out of one below which a branch that must be worked out singly is passed over."""

Bools = NDArray[np.bool_]
Numbers = NDArray[np.int64]


@dataclass(frozen=True, eq=False)
class Sweep:
    """The pair with each branch in turn opened, shorted, or at any ohms.

    Attributes
    ----------
    ohms : float
        Between the leads with every branch as given; ``inf`` where no path joins them.
    opened, shorted : (m,) float64
        Between the leads with the branch at ∞ Ω, and at 0 Ω.
    across : (m,) float64
        Ω that the branch's ends see of the rest; ``inf`` where it closes no loop.
    """

    ohms: float
    opened: Ohms
    shorted: Ohms
    across: Ohms

    def at(self, value: float) -> Ohms:
        """Return (m,) float64: between the leads with each branch in turn at `value` Ω, below ``inf``."""
        with np.errstate(invalid="ignore"):
            both = (self.opened * value + self.shorted * self.across) / (value + self.across)
        both = np.where(np.isinf(self.across) | (value == 0.0), self.shorted, both)
        return np.asarray(np.where(np.isinf(self.opened), self.shorted + value, both))

    def value_for(self, reading: float) -> Ohms:
        """Return (m,) float64: the ohms of each branch at which the leads read `reading`.

        ``inf`` where no value, however high, reads more; NaN where every value reads more.
        """
        with np.errstate(divide="ignore", invalid="ignore"):
            between_both = self.across * (reading - self.shorted) / (self.opened - reading)
            alone = reading - self.shorted
        value = np.where(np.isinf(self.opened), alone, between_both)
        value = np.where(reading < self.shorted, np.nan, value)
        return np.asarray(np.where(reading >= self.opened, np.inf, value))


def sweep(graph: Graph, ohms: Ohms, start: int, end: int) -> Sweep:
    """Return how the resistance between two nodes hangs on each branch; see `Corner`."""
    return Corner(graph, ohms).pair(start, end)


@dataclass(frozen=True, eq=False)
class Corner:
    """A network with every branch at given ohms, ready for any pair of nodes.

    Attributes
    ----------
    graph : Graph
    ohms : (m,) float64
        Ω, 0 … ``inf``.
    ground : int or None
        A node to count from; by default the one of each piece on which most branches meet.
    """

    graph: Graph
    ohms: Ohms
    ground: int | None = None
    _made: dict[tuple[int, float], Corner] = field(default_factory=dict)

    def pair(self, start: int, end: int) -> Sweep:
        """Return how the resistance between two nodes hangs on each branch."""
        if self.piece[start] != self.piece[end]:
            return self._apart(start, end)
        if self._far_off(start, end):
            return Corner(self.graph, self.ohms, end).pair(start, end)
        total = self.resistance(start, end)
        opened, shorted, across, unsure = self._changed(start, end, total)
        splits = self._splits
        current = splits.current(start, end)
        rows = splits.branches
        opened[rows] = total + current**2 / splits.rest
        shorted[rows] = total
        across[rows] = 1.0 / splits.rest
        unsure[rows] = splits.unsure & (np.abs(current) > _NO_CURRENT)
        self._open_cuts(start, end, total, opened, shorted, across, unsure)
        for branch in np.flatnonzero(unsure).tolist():
            without = self._with(branch, np.inf)
            opened[branch] = without.resistance(start, end)
            shorted[branch] = self._with(branch, 0.0).resistance(start, end)
            across[branch] = without.resistance(int(self.graph.starts[branch]), int(self.graph.ends[branch]))
        return Sweep(total, opened, shorted, across)

    def _with(self, branch: int, value: float) -> Corner:
        """Return the same with one branch at another value; kept, as other pairs will ask for it."""
        if self.ohms[branch] == value:
            return self
        if (branch, value) not in self._made:
            ohms = self.ohms.copy()
            ohms[branch] = value
            self._made[branch, value] = Corner(self.graph, ohms)
        return self._made[branch, value]

    def volts_across(self, start: int, end: int) -> Ohms:
        """Return (m,) float64: volts from each branch's start to its end for 1 A from lead to lead."""
        Z, one, other = self._volts, self.graph.starts, self.graph.ends
        return np.asarray(Z[one, start] - Z[other, start] - Z[one, end] + Z[other, end])

    def resistance(self, start: int, end: int) -> float:
        """Return the resistance between two nodes, Ω."""
        if self.piece[start] != self.piece[end]:
            return np.inf
        if self._group[start] == self._group[end]:
            return 0.0
        if self._far_off(start, end):
            return resistance(self.graph, self.ohms, start, end)
        Z = self._volts
        return float(Z[start, start] + Z[end, end] - 2.0 * Z[start, end])

    def _far_off(self, start: int, end: int) -> bool:
        """Tell whether both are so far from ground that the ohms between them would blur."""
        Z = self._volts
        both = float(Z[start, start] + Z[end, end])
        total = both - 2.0 * float(Z[start, end])
        return bool(self._group[start] != self._group[end] and _EPSILON * both > _SURE * total)

    def joined(self, start: int, end: int, one: int, other: int) -> float:
        """Return the resistance between `start` and `end` with two more nodes joined, Ω."""
        ways = [
            self.resistance(start, near) + self.resistance(far, end)
            for near, far in ((one, other), (other, one))
        ]
        if self.piece[start] != self.piece[end]:
            return min(ways)
        if self.piece[one] != self.piece[other] or self.piece[one] != self.piece[start]:
            return self.resistance(start, end)
        own = self.resistance(one, other)
        Z = self._volts
        drop = float(Z[one, start] - Z[other, start] - Z[one, end] + Z[other, end])
        total = self.resistance(start, end)
        return total if own <= 0.0 else max(0.0, total - drop * drop / own)

    def resistances_from(self, start: int) -> Ohms:
        """Return (n,) float64: the resistance from one node to every other, Ω."""
        Z = self._volts
        ohms = np.maximum(0.0, Z[start, start] + np.diagonal(Z) - 2.0 * Z[start])
        ohms[self._group == self._group[start]] = 0.0
        return np.where(self.piece == self.piece[start], ohms, np.inf)

    def opened_from(self, start: int) -> NDArray[np.float64]:
        """Return (m, n) float64: from one node to every other with each branch open, Ω.

        A quick survey: where a formula would blur, the branch counts as of no effect, unless it carries all
        the current.
        """
        totals = self.resistances_from(start)
        near = np.isfinite(totals)
        safe = np.where(near, totals, 0.0)
        Z, one, other = self._volts, self.graph.starts, self.graph.ends
        drop = (Z[one, start] - Z[other, start])[:, None] - (Z[one] - Z[other])
        rest = np.where(self._blurred, np.inf, self._own_rest)
        rise = np.where(self._live[:, None], drop**2 / rest[:, None], 0.0)
        current = np.where(self._live, 1.0 / np.where(self._live, self.ohms, 1.0), 0.0)[:, None] * drop
        splits = self._splits
        split_current = splits.current_from(start)
        rise[splits.branches] = split_current**2 / np.where(splits.unsure, np.inf, splits.rest)[:, None]
        current[splits.branches] = split_current
        rise[(np.abs(current) > 0.5) & self._bridges[:, None]] = np.inf
        return np.asarray(np.where(near[None, :], safe[None, :] + rise, np.inf))

    def _changed(self, start: int, end: int, total: float) -> tuple[Ohms, Ohms, Ohms, Bools]:
        """Return opened, shorted and across of the branches that have ohms, and those that would blur."""
        drop = self.volts_across(start, end)
        own, live = self._own, self._live
        gain = np.divide(drop * drop, own, out=np.zeros_like(own), where=own > _SURE * self._scale)
        shorted = _less(total, gain)
        opened, across = np.full(len(own), total), own.copy()
        rest = np.where(self._blurred | ~live, 1.0, self._own_rest)
        opened[live] += (drop * drop / rest)[live]
        across[live] = own[live] * self.ohms[live] / rest[live]
        with np.errstate(invalid="ignore"):
            flowing = np.abs(drop) > _NO_CURRENT * np.where(live, self.ohms, np.inf)
        unsure = live & self._blurred & flowing
        self._follow(start, end, opened, shorted, across, unsure)
        return opened, shorted, across, unsure

    def _follow(self, start: int, end: int, opened: Ohms, shorted: Ohms, across: Ohms, unsure: Bools) -> None:
        """Let each branch in series with one of more ohms follow it, unless a lead rests between them."""
        leader, chain_of = self._chains
        broken = {int(chain_of[node]) for node in (start, end)} - {-1}
        follow = np.flatnonzero(leader != np.arange(len(leader)))
        follow = follow[(self.ohms[leader[follow]] >= _ZERO) & ~np.isin(leader[follow], list(broken))]
        head = leader[follow]
        left = self.ohms[head] - self.ohms[follow]
        opened[follow] = opened[head]
        across[follow] = across[head] + left
        weight = np.divide(left, across[follow], out=np.zeros_like(left), where=left > 0.0)
        shorted[follow] = opened[head] * weight + shorted[head] * (1.0 - weight)
        unsure[follow] = unsure[head]

    def _open_cuts(
        self, start: int, end: int, total: float, opened: Ohms, shorted: Ohms, across: Ohms, unsure: Bools
    ) -> None:
        """Open the pair for the branches that alone hold its two sides together."""
        drop = self.volts_across(start, end)
        current = np.divide(drop, self.ohms, out=np.zeros_like(drop), where=self._live)
        current[self._splits.branches] = self._splits.current(start, end)
        cut = self._bridges & (np.abs(current) > 0.5)
        opened[cut] = across[cut] = np.inf
        shorted[cut] = _less(total, self.ohms[cut])
        unsure[self._bridges] = False

    def _apart(self, start: int, end: int) -> Sweep:
        """Where no path joins the leads, only an open branch from one side to the other changes anything."""
        size = len(self.ohms)
        near, far = self.resistances_from(start), self.resistances_from(end)
        one, other = self.graph.starts, self.graph.ends
        shorted = np.minimum(near[one] + far[other], near[other] + far[one])
        return Sweep(np.inf, np.full(size, np.inf), shorted, np.full(size, np.inf))

    @cached_property
    def _group(self) -> Numbers:
        return joined_groups(self.graph, self.ohms)

    @cached_property
    def _live(self) -> Bools:
        """The branches with ohms whose ends are two nodes once all of 0 Ω are merged."""
        one, other = self._group[self.graph.starts], self._group[self.graph.ends]
        return np.asarray(np.isfinite(self.ohms) & (self.ohms >= _ZERO) & (one != other))

    @cached_property
    def _pieces(self) -> list[list[int]]:
        sketch: nx.Graph[int] = nx.Graph()
        sketch.add_nodes_from(range(self.graph.size))
        finite = np.isfinite(self.ohms)
        sketch.add_edges_from(
            zip(self.graph.starts[finite].tolist(), self.graph.ends[finite].tolist(), strict=True)
        )
        return [sorted(piece) for piece in nx.connected_components(sketch)]

    @cached_property
    def piece(self) -> Numbers:
        """(n,) int64: the number of the piece each node belongs to."""
        number = np.zeros(self.graph.size, dtype=np.int64)
        for place, piece in enumerate(self._pieces):
            number[piece] = place
        return number

    @cached_property
    def _grounds(self) -> list[int]:
        """The node of each piece that counts as 0 V: the one on which most branches meet."""
        meeting = np.bincount(
            np.concatenate([self._group[self.graph.starts], self._group[self.graph.ends]]),
            minlength=self.graph.size,
        )[self._group]
        return [
            self.ground if self.ground in piece else max(piece, key=lambda node: int(meeting[node]))
            for piece in self._pieces
        ]

    @cached_property
    def _volts(self) -> NDArray[np.float64]:
        """(n, n) float64: volts of node i for 1 A into node j and out of its piece's ground."""
        Z = np.zeros((self.graph.size, self.graph.size))
        for piece, ground in zip(self._pieces, self._grounds, strict=True):
            if len(np.unique(self._group[piece])) > 1:
                Z += spread(self.graph, self.ohms, ground).volts
        return Z

    @cached_property
    def _scale(self) -> Ohms:
        Z, one, other = self._volts, self.graph.starts, self.graph.ends
        return np.asarray(Z[one, one] + Z[other, other])

    @cached_property
    def _own(self) -> Ohms:
        """(m,) float64: Ω between each branch's own ends; 0 where they are in two pieces."""
        apart = self.piece[self.graph.starts] != self.piece[self.graph.ends]
        own = np.maximum(0.0, self._scale - 2.0 * self._volts[self.graph.starts, self.graph.ends])
        return np.where(apart, 0.0, own)

    @cached_property
    def _own_rest(self) -> Ohms:
        """(m,) float64: r − q of the rank-one formula; 1 where the branch has no ohms."""
        return np.where(self._live, np.where(self._live, self.ohms, 1.0) - self._own, 1.0)

    @cached_property
    def _blurred(self) -> Bools:
        ohms = np.where(self._live, self.ohms, 0.0)
        return np.asarray(self._live & (_EPSILON * (self._scale + ohms) >= _SURE * self._own_rest))

    @cached_property
    def _bridges(self) -> Bools:
        return bridges(self.graph.size, self.graph.starts, self.graph.ends, np.isfinite(self.ohms))

    @cached_property
    def _splits(self) -> Splits:
        zero = self.ohms < _ZERO
        return split_zeros(self.graph, self.ohms, zero, self._group, self._volts, set(self._grounds))

    @cached_property
    def _chains(self) -> tuple[Numbers, Numbers]:
        """For each branch the one of most ohms in its chain of series branches; for each node between two
        branches of a chain the chain's leader, else -1."""
        finite = np.flatnonzero(np.isfinite(self.ohms)).tolist()
        meeting: dict[int, list[int]] = {}
        for branch in finite:
            meeting.setdefault(int(self.graph.starts[branch]), []).append(branch)
            meeting.setdefault(int(self.graph.ends[branch]), []).append(branch)
        chains: nx.Graph[int] = nx.Graph()
        inner = {node: pair for node, pair in meeting.items() if len(pair) == 2 and pair[0] != pair[1]}
        chains.add_edges_from((pair[0], pair[1]) for pair in inner.values())
        leader = np.arange(len(self.ohms), dtype=np.int64)
        for chain in nx.connected_components(chains):
            members = np.array(sorted(chain), dtype=np.int64)
            leader[members] = members[np.argmax(self.ohms[members])]
        chain_of = np.full(self.graph.size, -1, dtype=np.int64)
        for node, pair in inner.items():
            chain_of[node] = leader[pair[0]]
        return leader, chain_of


def _less(total: float, amount: Ohms) -> Ohms:
    """Return `total` − `amount`, 0 where no more than rounding is left."""
    rest = total - amount
    return np.where(rest > 8.0 * _EPSILON * total, rest, 0.0)

"""How the lead-to-lead resistance hangs on each branch by itself, for any pair after one elimination.

For a branch that has ohms this is a change of rank one (Sherman and Morrison 1950; Thévenin's theorem seen
from the branch). A branch of 0 Ω, a wire, merges its two ends; to open it is to split the merged node, and
moving the conductances of one side to a node of their own is a change of rank one as well. Where either
formula would lose its digits the branch is worked out by itself.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from tracer.circuit.eliminate import eliminate_all, transfer_matrix
from tracer.circuit.merged import Merged, merged
from tracer.circuit.solve import Graph, Ohms, resistance
from tracer.circuit.splitting import Splits, split_zeros

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

    def of(self, branch: int, values: Ohms) -> Ohms:
        """Return (v,) float64: between the leads with one branch at each of `values` Ω, 0 … ``inf``."""
        opened, shorted, across = (float(each[branch]) for each in (self.opened, self.shorted, self.across))
        if np.isinf(opened):
            return np.asarray(shorted + values)
        if np.isinf(across):
            return np.where(np.isinf(values), opened, shorted)
        with np.errstate(invalid="ignore"):
            both = (opened * values + shorted * across) / (values + across)
        return np.where(np.isinf(values), opened, np.where(values == 0.0, shorted, both))

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
        place = self.merged.place
        drop = self._volts[:, place[start]] - self._volts[:, place[end]]
        return np.asarray(drop[self.merged.one] - drop[self.merged.other])

    def node_volts(self, one: int, other: int) -> Ohms:
        """Return (n,) float64: volts of every node for 1 A in at `one` and out at `other`, to within what all
        nodes of a piece have in common."""
        place = self.merged.place
        return np.asarray((self._volts[:, place[one]] - self._volts[:, place[other]])[place])

    def resistance(self, start: int, end: int) -> float:
        """Return the resistance between two nodes, Ω."""
        if self.piece[start] != self.piece[end]:
            return np.inf
        one, other = int(self.merged.place[start]), int(self.merged.place[end])
        if one == other:
            return 0.0
        if self._far_off(start, end):
            return resistance(self.graph, self.ohms, start, end)
        Z = self._volts
        return float(Z[one, one] + Z[other, other] - 2.0 * Z[one, other])

    def _far_off(self, start: int, end: int) -> bool:
        """Tell whether both are so far from ground that the ohms between them would blur."""
        one, other = int(self.merged.place[start]), int(self.merged.place[end])
        Z = self._volts
        both = float(Z[one, one] + Z[other, other])
        return bool(one != other and _EPSILON * both > _SURE * (both - 2.0 * float(Z[one, other])))

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
        a, b, c, d = (int(self.merged.place[node]) for node in (one, other, start, end))
        Z = self._volts
        drop = float(Z[a, c] - Z[b, c] - Z[a, d] + Z[b, d])
        total = self.resistance(start, end)
        return total if own <= 0.0 else max(0.0, total - drop * drop / own)

    def resistances_from(self, start: int) -> Ohms:
        """Return (n,) float64: the resistance from one node to every other, Ω."""
        Z, here = self._volts, int(self.merged.place[start])
        ohms = np.maximum(0.0, Z[here, here] + np.diagonal(Z) - 2.0 * Z[here])
        ohms[here] = 0.0
        return np.where(self.merged.pieces == self.merged.pieces[here], ohms, np.inf)[self.merged.place]

    def opened_from(self, start: int, ends: Numbers) -> NDArray[np.float64]:
        """Return (m, j) float64: from one node to each of `ends` with each branch open, Ω.

        A quick survey: where a formula would blur, the branch counts as of no effect, unless it carries all
        the current.
        """
        totals = self.resistances_from(start)[ends]
        near = np.isfinite(totals)
        safe = np.where(near, totals, 0.0)
        live = np.flatnonzero(self._live)
        place = self.merged.place
        drop = self._volts[place[start]][:, None] - self._volts[:, place[ends]]
        drop = drop[self.merged.one[live]] - drop[self.merged.other[live]]
        rest = np.where(self._blurred, np.inf, self._own_rest)[live]
        rise = np.zeros((len(self.ohms), len(ends)))
        rise[live] = drop**2 / rest[:, None]
        cut = np.abs(drop) > 0.5 * self.ohms[live][:, None]
        rise[live] = np.where(cut & self._bridges[live][:, None], np.inf, rise[live])
        splits = self._splits
        current = splits.current_from(start, ends)
        split = current**2 / np.where(splits.unsure, np.inf, splits.rest)[:, None]
        cut = (np.abs(current) > 0.5) & self._bridges[splits.branches][:, None]
        rise[splits.branches] = np.where(cut, np.inf, split)
        rise += safe
        rise[:, ~near] = np.inf
        return rise

    def joint_ohms(self, start: int, end: int, most: Ohms) -> float:
        """Return what the branches of 0 Ω add to a pair if each has `most` (m,) Ω at most; never too little.

        The current that flows without their ohms is one of all that could flow with them, and the true one
        has the least power (Thomson's principle).
        """
        if self.piece[start] != self.piece[end]:
            return 0.0
        live, forest, graph = np.flatnonzero(self._live), self.merged.forest, self.graph
        current = self.volts_across(start, end)[live] / self.ohms[live]
        drawn = np.zeros(graph.size)
        np.add.at(drawn, forest.place[graph.starts[live]], current)
        np.subtract.at(drawn, forest.place[graph.ends[live]], current)
        drawn[forest.place[start]] -= 1.0
        drawn[forest.place[end]] += 1.0
        tops = np.flatnonzero(forest.above >= 0)
        whole = np.concatenate([[0.0], np.cumsum(drawn)])
        through = whole[forest.place[tops] + forest.size[tops]] - whole[forest.place[tops]]
        return float(through**2 @ most[forest.above[tops]])

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
        chain, chain_of = self.merged.chains
        leader = self._leaders[chain]
        broken = {int(chain_of[node]) for node in (start, end)} - {-1}
        follow = np.flatnonzero(leader != np.arange(len(leader)))
        follow = follow[(self.ohms[leader[follow]] >= _ZERO) & ~np.isin(chain[follow], list(broken))]
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
    def merged(self) -> Merged:
        """The network with its branches of 0 Ω merged."""
        return merged(self.graph, np.asarray(self.ohms < _ZERO), np.isfinite(self.ohms))

    @property
    def piece(self) -> Numbers:
        """(n,) int64: the number of the piece each node belongs to."""
        return self.merged.piece

    @property
    def _live(self) -> Bools:
        return self.merged.live

    @property
    def _bridges(self) -> Bools:
        return self.merged.bridges

    @cached_property
    def _grounds(self) -> set[int]:
        """The merged node of each piece that counts as 0 V."""
        grounds = {int(self.merged.pieces[node]): node for node in self.merged.busiest.tolist()}
        if self.ground is not None:
            grounds[int(self.piece[self.ground])] = int(self.merged.place[self.ground])
        return set(grounds.values())

    @cached_property
    def _volts(self) -> NDArray[np.float64]:
        """(g, g) float64: volts of merged node i for 1 A into merged node j and out of its piece's ground."""
        adjacency: dict[int, dict[int, float]] = {node: {} for node in range(self.merged.count)}
        live = np.flatnonzero(self._live)
        ends = self.merged.one[live].tolist(), self.merged.other[live].tolist()
        for one, other, siemens in zip(*ends, (1.0 / self.ohms[live]).tolist(), strict=True):
            joined = adjacency[one].get(other, 0.0) + siemens
            adjacency[one][other] = adjacency[other][one] = joined
        return transfer_matrix(eliminate_all(adjacency, self._grounds), self.merged.count)

    @cached_property
    def _scale(self) -> Ohms:
        own = np.diagonal(self._volts)
        return np.asarray(own[self.merged.one] + own[self.merged.other])

    @cached_property
    def _own(self) -> Ohms:
        """(m,) float64: Ω between each branch's own ends; 0 where they are in two pieces."""
        one, other, pieces = self.merged.one, self.merged.other, self.merged.pieces
        own = np.maximum(0.0, self._scale - 2.0 * self._volts[one, other])
        return np.where(pieces[one] != pieces[other], 0.0, own)

    @cached_property
    def _own_rest(self) -> Ohms:
        """(m,) float64: r − q of the rank-one formula; 1 where the branch has no ohms."""
        return np.where(self._live, np.where(self._live, self.ohms, 1.0) - self._own, 1.0)

    @cached_property
    def _blurred(self) -> Bools:
        ohms = np.where(self._live, self.ohms, 0.0)
        return np.asarray(self._live & (_EPSILON * (self._scale + ohms) >= _SURE * self._own_rest))

    @property
    def splits(self) -> Splits:
        """The branches of 0 Ω that each alone join two sides."""
        return self._splits

    @cached_property
    def _splits(self) -> Splits:
        return split_zeros(self.merged, self.ohms, self._volts)

    @cached_property
    def _leaders(self) -> Numbers:
        """For each chain of series branches the one of most ohms."""
        chain, _ = self.merged.chains
        finite = np.where(np.isfinite(self.ohms), self.ohms, -1.0)
        order = np.lexsort((-np.arange(len(chain)), finite, chain))
        return np.asarray(
            order[np.searchsorted(chain[order], np.arange(chain.max(initial=-1) + 1), "right") - 1]
        )


def _less(total: float, amount: Ohms) -> Ohms:
    """Return `total` − `amount`, 0 where no more than rounding is left."""
    rest = total - amount
    return np.where(rest > 8.0 * _EPSILON * total, rest, 0.0)

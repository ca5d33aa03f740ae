"""How the lead-to-lead resistance hangs on each branch by itself, for all branches after one elimination.

For a branch that has ohms this is a change of rank one (Sherman and Morrison 1950; Thévenin's theorem seen
from the branch). A branch of 0 Ω, a wire, merges its two ends; to open it is to split the merged node, and
moving the conductances of one side to a node of their own is a change of rank one as well. Where either
formula would lose its digits the branch is worked out by itself.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import cast

import networkx as nx
import numpy as np
from numpy.typing import NDArray

from tracer.circuit.single import one_branch
from tracer.circuit.solve import Graph, Ohms, between, joined_groups, spread

__all__ = ["Sweep", "sweep"]

_SURE = 1e-7
"""A result that may be out by more than this fraction is worked out singly."""
_EPSILON = 1e-15
_ZERO = 1e-300  # below it `tracer.circuit.solve` joins the ends

Bools = NDArray[np.bool_]
Numbers = NDArray[np.int64]
Volts = NDArray[np.float64]


@dataclass(frozen=True, eq=False)
class Sweep:
    """The pair with each branch in turn opened, shorted, or at any ohms.

    Attributes
    ----------
    ohms : float
        Between the leads with every branch as given; ``inf`` where no path joins them.
    on_path : (m,) bool
        The branches on some path between the leads.
    opened, shorted : (m,) float64
        Between the leads with the branch at ∞ Ω, and at 0 Ω.
    across : (m,) float64
        Ω that the branch's ends see of the rest; ``inf`` where it closes no loop.
    """

    ohms: float
    on_path: Bools
    opened: Ohms
    shorted: Ohms
    across: Ohms

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
    """Return how the resistance between two nodes hangs on each branch.

    Parameters
    ----------
    graph : Graph
    ohms : (m,) float64
        Ω, 0 … ``inf``.
    start, end : int
        Node numbers of the leads.
    """
    on_path = between(graph, np.isfinite(ohms), start, end)
    if not on_path.any():
        return _apart(graph, ohms, start, end, on_path)
    here = spread(graph, ohms, end)
    total = float(here.ohms[start])
    opened, shorted, across = (np.full(len(ohms), value) for value in (total, total, np.inf))
    result = Sweep(total, on_path, opened, shorted, across)
    single = _fill_changed(graph, ohms, here.volts, (start, end), result)
    single |= _fill_split(graph, ohms, here.volts, (start, end), result)
    cut = _cuts(graph, on_path)
    opened[cut] = across[cut] = np.inf
    shorted[cut] = np.maximum(0.0, total - ohms[cut])
    for branch in np.flatnonzero(single & ~cut).tolist():
        alone = one_branch(graph, np.where(on_path, ohms, np.inf), start, end, branch)
        opened[branch], shorted[branch], across[branch] = alone.opened, alone.shorted, alone.across
    return result


def _apart(graph: Graph, ohms: Ohms, start: int, end: int, on_path: Bools) -> Sweep:
    """Where no path joins the leads, only an open branch from one side to the other changes the reading."""
    size = len(ohms)
    if start == end:
        return Sweep(0.0, on_path, np.zeros(size), np.zeros(size), np.full(size, np.inf))
    near, far = (spread(graph, ohms, node).ohms for node in (start, end))
    one, other = graph.starts, graph.ends
    shorted = np.minimum(near[one] + far[other], near[other] + far[one])
    return Sweep(np.inf, on_path, np.full(size, np.inf), shorted, np.full(size, np.inf))


def _fill_changed(graph: Graph, ohms: Ohms, volts: Volts, leads: tuple[int, int], result: Sweep) -> Bools:
    """Fill in the branches that have ohms, open ones among them; return those the formula would blur."""
    total, on_path = result.ohms, result.on_path
    one, other = graph.starts, graph.ends
    scale = volts[one, one] + volts[other, other]
    own = np.maximum(0.0, scale - 2.0 * volts[one, other])
    drop = volts[one, leads[0]] - volts[other, leads[0]]
    # An open branch counts only where both its ends hang together with the leads.
    apart = np.isinf(ohms) & (own > _SURE * scale) & _held(graph, ohms, leads[0])
    result.shorted[apart] = np.maximum(0.0, total - drop[apart] ** 2 / own[apart])
    result.across[apart] = own[apart]
    leader = _series_leaders(graph, ohms, on_path, leads)
    chosen = np.unique(leader[on_path])
    chosen = chosen[ohms[chosen] > 0.0]
    r, q, t = ohms[chosen], own[chosen], drop[chosen]
    blurred = _EPSILON * (scale[chosen] + r) >= _SURE * (r - q)
    rest = np.where(blurred, 1.0, r - q)
    result.opened[chosen] = total + t * t / rest
    result.across[chosen] = q * r / rest
    gain = np.divide(t * t, q, out=np.zeros_like(q), where=q > 0.0)
    result.shorted[chosen] = np.maximum(0.0, total - gain)
    unsure = np.zeros(len(ohms), dtype=np.bool_)
    unsure[chosen] = blurred
    follow = np.flatnonzero(on_path & (ohms[leader] > 0.0) & (leader != np.arange(len(ohms))))
    head = leader[follow]
    left = ohms[head] - ohms[follow]
    result.opened[follow] = result.opened[head]
    result.across[follow] = result.across[head] + left
    weight = np.divide(left, left + result.across[head], out=np.ones_like(left), where=left > 0.0)
    weight[left == 0.0] = 0.0
    result.shorted[follow] = result.opened[head] * weight + result.shorted[head] * (1.0 - weight)
    unsure[follow] = unsure[head]
    return unsure


def _fill_split(graph: Graph, ohms: Ohms, volts: Volts, leads: tuple[int, int], result: Sweep) -> Bools:
    """Fill in the branches of 0 Ω that alone join two sides of a merged node; return those to do singly."""
    unsure = np.zeros(len(ohms), dtype=np.bool_)
    group = joined_groups(graph, ohms)
    zero = ohms < _ZERO
    live = np.isfinite(ohms) & ~zero
    wanted = zero & result.on_path & (result.across == np.inf)
    sketch: nx.Graph[int] = nx.Graph()
    sketch.add_edges_from(zip(graph.starts[zero].tolist(), graph.ends[zero].tolist(), strict=True))
    only = _cuts(graph, zero)
    result.across[wanted & ~only] = 0.0
    for nodes in list(nx.connected_components(sketch)):
        inside = np.zeros(graph.size, dtype=np.bool_)
        inside[list(nodes)] = True
        branches = np.flatnonzero(wanted & only & inside[graph.starts])
        if not len(branches):
            continue
        root = leads[1] if inside[leads[1]] else min(nodes)
        sides = _far_sides(sketch, root, graph, branches)
        # Every far side as a change of rank one: its conductances leave the merged node.
        touching = np.flatnonzero(live & (inside[graph.starts] | inside[graph.ends]))
        one, other, g = graph.starts[touching], graph.ends[touching], 1.0 / ohms[touching]
        leaves = sides[:, one] != sides[:, other]
        moved = leaves * g
        C = np.zeros((len(branches), graph.size))
        out = np.where(sides[:, one], group[other], group[one])
        rows = np.repeat(np.arange(len(branches)), len(touching))
        np.add.at(C, (rows, out.ravel()), moved.ravel())
        whole = moved.sum(axis=1)
        C[:, group[root]] -= whole
        reach = np.unique(group[np.concatenate([one, other, [root]])])
        Z, C = volts[np.ix_(reach, reach)], C[:, reach]
        current = C @ volts[reach, leads[0]] + sides[:, leads[0]]
        rest = whole - np.einsum("ij,jk,ik->i", C, Z, C, optimize=True)
        size = np.abs(C)
        blur = whole + np.einsum("ij,jk,ik->i", size, Z, size, optimize=True)
        drift = size @ volts[reach, leads[0]] + 1.0
        bad = _EPSILON * blur >= _SURE * rest
        rest = np.where(bad, 1.0, rest)
        rise = current * current / rest
        bad |= 2.0 * np.abs(current) * _EPSILON * drift / rest > _SURE * (result.ohms + rise)
        result.opened[branches] = result.ohms + rise
        result.across[branches] = 1.0 / rest
        unsure[branches] = bad
    return unsure


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


def _held(graph: Graph, ohms: Ohms, start: int) -> Bools:
    """Return (m,) bool: the branches both of whose ends hang together with node `start`."""
    group = np.zeros(graph.size, dtype=np.bool_)
    sketch: nx.Graph[int] = nx.Graph()
    sketch.add_node(start)
    finite = np.isfinite(ohms)
    sketch.add_edges_from(zip(graph.starts[finite].tolist(), graph.ends[finite].tolist(), strict=True))
    group[list(nx.node_connected_component(sketch, start))] = True
    return np.asarray(group[graph.starts] & group[graph.ends])


def _series_leaders(graph: Graph, ohms: Ohms, on_path: Bools, leads: tuple[int, int]) -> Numbers:
    """Return (m,) int64: for each branch the one of most ohms in its chain of branches in series."""
    meeting: dict[int, list[int]] = {}
    chosen = np.flatnonzero(on_path).tolist()
    for branch in chosen:
        meeting.setdefault(int(graph.starts[branch]), []).append(branch)
        meeting.setdefault(int(graph.ends[branch]), []).append(branch)
    chains: nx.Graph[int] = nx.Graph()
    chains.add_nodes_from(chosen)
    chains.add_edges_from(
        (pair[0], pair[1]) for node, pair in meeting.items() if len(pair) == 2 and node not in leads
    )
    leader = np.arange(len(ohms), dtype=np.int64)
    for chain in nx.connected_components(chains):
        members = np.array(sorted(chain), dtype=np.int64)
        leader[members] = members[np.argmax(ohms[members])]
    return leader


def _cuts(graph: Graph, on_path: Bools) -> Bools:
    """Return (m,) bool: the branches on the path that alone hold the leads together."""
    laid: dict[tuple[int, int], list[int]] = {}
    sketch: nx.Graph[int] = nx.Graph()
    for branch in np.flatnonzero(on_path).tolist():
        one, other = sorted((int(graph.starts[branch]), int(graph.ends[branch])))
        sketch.add_edge(one, other)
        laid.setdefault((one, other), []).append(branch)
    result = np.zeros(len(on_path), dtype=np.bool_)
    for pair in cast("Iterator[tuple[int, int]]", nx.bridges(sketch)):
        side_by_side = laid[min(pair), max(pair)]
        result[side_by_side] = len(side_by_side) == 1
    return result

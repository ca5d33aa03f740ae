"""One branch at a time: open, shorted, or of another value, all other branches left as they are.

In the ohms r of one branch the lead-to-lead resistance is a ratio of two straight lines,
``R(r) = (opened·r + shorted·across) / (r + across)``: Thévenin's theorem seen from the branch.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass
from typing import cast

import networkx as nx
import numpy as np
from numpy.typing import NDArray

from tracer.circuit.solve import SHORT_OHMS, Flow, Graph, Ohms, flow, resistance, spread

__all__ = ["OneBranch", "one_branch", "opened_each", "resistance_opened", "resistance_with"]

_SURE = 1e-6
"""Where the quick formula may be out by more than this fraction, the branch is worked out by itself."""


@dataclass(frozen=True, slots=True)
class OneBranch:
    """How the lead-to-lead resistance hangs on one branch.

    Attributes
    ----------
    opened : float
        Ω with the branch open; ``inf`` where it alone joins the leads.
    shorted : float
        Ω with the branch at 0 Ω.
    across : float
        Ω that its two ends see of the rest, the leads free; ``inf`` where it closes no loop.
    """

    opened: float
    shorted: float
    across: float

    @property
    def matters(self) -> bool:
        """Whether the branch's value changes the reading at all."""
        return not math.isclose(self.opened, self.shorted, rel_tol=1e-12)

    def at(self, ohms: float) -> float:
        """Return the lead-to-lead resistance with the branch at `ohms`, Ω.

        Examples
        --------
        >>> OneBranch(opened=100.0, shorted=0.0, across=100.0).at(100.0)
        50.0
        """
        if math.isinf(ohms):
            return self.opened
        if ohms == 0.0 or math.isinf(self.shorted):
            return self.shorted
        if math.isinf(self.opened):
            return self.shorted + ohms
        if math.isinf(self.across):
            return self.shorted
        return (self.opened * ohms + self.shorted * self.across) / (ohms + self.across)

    def value_for(self, reading: float) -> float | None:
        """Return the ohms of the branch at which the leads read `reading`, or None where no value does.

        Examples
        --------
        >>> OneBranch(opened=100.0, shorted=0.0, across=100.0).value_for(50.0)
        100.0
        """
        if not self.matters or not self.shorted <= reading <= self.opened:
            return None
        if reading == self.opened:
            return math.inf
        if math.isinf(self.opened):
            return reading - self.shorted
        return self.across * (reading - self.shorted) / (self.opened - reading)


def resistance_with(graph: Graph, ohms: Ohms, start: int, end: int, branch: int, value: float) -> float:
    """Return the resistance between two nodes with one branch at `value` Ω (0 … inf)."""
    changed = ohms.copy()
    changed[branch] = value
    return resistance(graph, changed, start, end)


def resistance_opened(graph: Graph, ohms: Ohms, start: int, end: int, branch: int) -> float:
    """Return the resistance between two nodes with one branch open, Ω."""
    return resistance_with(graph, ohms, start, end, branch, math.inf)


def one_branch(graph: Graph, ohms: Ohms, start: int, end: int, branch: int) -> OneBranch:
    """Return how the resistance between two nodes hangs on one branch, whatever that branch's own ohms."""
    opened = ohms.copy()
    opened[branch] = math.inf
    one, other = int(graph.starts[branch]), int(graph.ends[branch])
    return OneBranch(
        opened=resistance(graph, opened, start, end),
        shorted=resistance_with(graph, ohms, start, end, branch, 0.0),
        across=resistance(graph, opened, one, other),
    )


def opened_each(
    graph: Graph, ohms: Ohms, start: int, end: int, known: Flow | None = None
) -> NDArray[np.float64]:
    """Return (m,) float64: the resistance between two nodes with each branch open in turn, Ω.

    Branches that close no loop between the leads are found by graph and read ``inf``; the rest follow from
    one elimination (a change of rank one), and those that formula would blur are worked out singly.

    Parameters
    ----------
    known : Flow, optional
        What `flow` gave for the same network and leads.
    """
    here = known or flow(graph, ohms, start, end)
    result = np.full(len(ohms), here.ohms)
    on_path = here.on_path
    if not on_path.any():
        return result
    cut = _only_ways(graph, on_path)
    result[cut] = np.inf
    carrying = on_path & ~cut & (here.currents != 0.0)
    joined = on_path & ~cut & (ohms < SHORT_OHMS)
    singly = np.flatnonzero(joined & _only_ways(graph, on_path & (ohms < SHORT_OHMS))).tolist()
    if carrying.any():
        leader = _series_leaders(graph, ohms, on_path, start, end)
        chosen = np.unique(leader[carrying])
        volts = spread(graph, np.where(on_path, ohms, np.inf), end).volts
        one, other = graph.starts[chosen], graph.ends[chosen]
        both = volts[one, one] + volts[other, other]
        margin = 1.0 - (both - 2.0 * volts[one, other]) / ohms[chosen]
        blur = 1e-15 * (both / ohms[chosen] + 1.0)
        sure = blur < _SURE * margin
        rise = here.currents[chosen] ** 2 * ohms[chosen] / np.where(sure, margin, 1.0)
        result[chosen[sure]] = here.ohms + rise[sure]
        for branch in chosen[~sure].tolist():
            result[branch] = resistance_opened(graph, ohms, start, end, branch)
        result[carrying] = result[leader[carrying]]
    for branch in singly:
        result[branch] = resistance_opened(graph, ohms, start, end, branch)
    return result


def _series_leaders(
    graph: Graph, ohms: Ohms, on_path: NDArray[np.bool_], start: int, end: int
) -> NDArray[np.int64]:
    """Return (m,) int64: for each branch the one of most ohms in its chain.

    A chain runs through nodes on which two branches meet and no lead rests: to open one of it is to open all.
    """
    chosen = np.flatnonzero(on_path)
    meeting: dict[int, list[int]] = {}
    for branch in chosen.tolist():
        meeting.setdefault(int(graph.starts[branch]), []).append(branch)
        meeting.setdefault(int(graph.ends[branch]), []).append(branch)
    chains: nx.Graph[int] = nx.Graph()
    chains.add_nodes_from(chosen.tolist())
    chains.add_edges_from(
        (pair[0], pair[1]) for node, pair in meeting.items() if len(pair) == 2 and node not in (start, end)
    )
    leader = np.arange(len(ohms), dtype=np.int64)
    for chain in nx.connected_components(chains):
        members = np.array(sorted(chain), dtype=np.int64)
        leader[members] = members[np.argmax(ohms[members])]
    return leader


def _only_ways(graph: Graph, use: NDArray[np.bool_]) -> NDArray[np.bool_]:
    """Return (m,) bool: those of the branches `use` whose ends no others of them join."""
    result = np.zeros(len(use), dtype=np.bool_)
    sketch: nx.Graph[int] = nx.Graph()
    laid: dict[tuple[int, int], list[int]] = {}
    for branch in np.flatnonzero(use).tolist():
        one, other = sorted((int(graph.starts[branch]), int(graph.ends[branch])))
        sketch.add_edge(one, other)
        laid.setdefault((one, other), []).append(branch)
    for pair in cast("Iterable[tuple[int, int]]", nx.bridges(sketch)):
        side_by_side = laid[min(pair), max(pair)]
        result[side_by_side] = len(side_by_side) == 1
    return result

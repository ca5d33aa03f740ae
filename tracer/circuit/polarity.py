"""Which rectifying junctions the leads cannot drive forward.

A current from the positive lead to the negative one splits into paths on which the volts only fall, and a
path passes no node twice. A junction conducts forward only if such a path can reach its anode without
passing its cathode, and leave its cathode without passing its anode. Where it cannot, the junction is
blocked for certain, whatever the values are.
"""

from __future__ import annotations

import math
from collections.abc import Collection
from dataclasses import replace

import numpy as np

from tracer.circuit.network import Network
from tracer.circuit.solve import reachable

__all__ = ["backward_capacitors", "blocked_junctions", "with_blocked", "with_leads"]


def with_leads(network: Network, start: int, end: int) -> Network:
    """Return the network with every junction that the leads cannot drive forward at its blocked limits.

    Parameters
    ----------
    network : Network
    start, end : int
        Node numbers of the positive and the negative lead, as they are on volts.

    Returns
    -------
    Network
        The same object where no junction is blocked for certain. Nodes and branches keep their numbers.
    """
    return with_blocked(network, blocked_junctions(network, start, end))


def blocked_junctions(network: Network, start: int, end: int) -> tuple[int, ...]:
    """Return the numbers of the branches that are junctions which the leads cannot drive forward."""
    if network.reversed_leads:
        start, end = end, start
    return tuple(number for number in network.junctions if not _may_conduct(network, number, start, end))


def backward_capacitors(network: Network, start: int, end: int) -> tuple[int, ...]:
    """Return the branches that are polarised capacitors which the leads can only drive backward.

    Such a one leaks more than its share while the reading is taken, and the pair reads falsely low (TM
    11-6625-353-35, as the manual warns of measuring electrolytics).
    """
    if network.reversed_leads:
        start, end = end, start
    return tuple(
        number
        for number in network.polarised
        if not _may_conduct(network, number, start, end) and _may_conduct(network, number, end, start)
    )


def with_blocked(network: Network, junctions: Collection[int]) -> Network:
    """Return the network with some of its junctions at their blocked limits."""
    if not junctions:
        return network
    branches = list(network.branches)
    for number in junctions:
        low = branches[number].reverse_low or 0.0
        branches[number] = replace(branches[number], low=low, expected=math.inf, high=math.inf)
    return replace(network, branches=tuple(branches), laid=network.graph)


def _may_conduct(network: Network, junction: int, start: int, end: int) -> bool:
    anode, cathode = int(network.graph.starts[junction]), int(network.graph.ends[junction])
    if start == end or anode == end or cathode == start:
        return False
    return _joined(network, start, anode, {cathode, end}) and _joined(network, cathode, end, {anode, start})


def _joined(network: Network, start: int, end: int, avoiding: Collection[int]) -> bool:
    graph = network.graph
    avoid = np.array(sorted(set(avoiding) - {start, end}), dtype=np.int64)
    shut = np.isin(graph.starts, avoid) | np.isin(graph.ends, avoid)
    return bool(reachable(graph, np.where(shut, np.inf, network.low), start)[end])

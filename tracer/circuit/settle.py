"""How long a reading climbs before it can be believed, from the capacitors that the meter has to charge.

The network of resistors and capacitors is split into its natural modes; each has one time constant, and
those that a current from lead to lead does not excite drop out. A climbing reading is a sum of rising
exponentials with weights that are never negative, so the time is where their rest falls below the mark.

Where a steady current can flow, the meter is taken for a source of constant current, as its ohms ranges are
(common practice): the slowest case, and one that its current does not change. Where only capacitors join
the leads it is taken for its open volts behind the resistance that limits it to its test current, and the
time runs until the reading passes the top of range.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.linalg import eigh

from tracer.circuit.network import Network
from tracer.circuit.results import Meter
from tracer.circuit.solve import Graph, Ohms, components, reachable, reduced

__all__ = ["LONGEST", "Modes", "modes_from", "settling_seconds", "steady_ohms"]

LONGEST = 3600.0
"""Seconds after which nobody waits on; the answer is never above it."""
_NEAR = 0.01
"""A settled reading is within this fraction of its end."""
_LEAST = 1e-3
"""Seconds below which nothing is noticed."""
_LEAK = 1e-12
"""Siemens across each capacitor, so that none floats (1 TΩ, far above any real insulation), times the
largest conductance where that is above 1 S."""


def steady_ohms(network: Network) -> Ohms:
    """Return (m,) float64: each branch's ohms as the settling time takes them.

    High values, as they settle slowest, but expected ones where the high is unbounded and 0 where 0 is
    expected; capacitors open.
    """
    expected = network.expected
    ohms = np.where(np.isfinite(network.high) | np.isnan(expected), network.high, expected)
    ohms = np.where(expected == 0.0, 0.0, ohms)
    return np.asarray(np.where(network.farads > 0.0, np.inf, ohms))


@dataclass(frozen=True, eq=False)
class Modes:
    """The natural modes of a network with one node at 0 V.

    Attributes
    ----------
    place : (n,) int64
        For each node its row in `shapes`; -1 where the modes do not reach, or for the node at 0 V.
    taus : (k,) float64
        Time constants, s.
    steady : (n,) bool
        The nodes that a steady current reaches from the node at 0 V.
    shapes : (k, k) float64
        ``shapes[place[node], mode]`` squared is the ohms that a mode adds to the reading at a node.
    """

    place: NDArray[np.int64]
    steady: NDArray[np.bool_]
    taus: NDArray[np.float64]
    shapes: NDArray[np.float64]


def modes_from(network: Network, start: int, ends: Iterable[int] | None = None) -> Modes:
    """Return the modes for a lead that rests on one node and `ends`, by default every node.

    They hold for every end that a steady current reaches.
    """
    if ends is None:
        return _modes(network, steady_ohms(network), start, range(network.graph.size))
    charged = np.flatnonzero(network.farads > 0.0)
    nodes = network.graph.starts[charged].tolist(), network.graph.ends[charged].tolist()
    return _modes(network, steady_ohms(network), start, {start, *ends, *nodes[0], *nodes[1]})


def settling_seconds(
    network: Network, start: int, end: int, meter: Meter, known: Modes | None = None
) -> float:
    """Return the seconds until a reading between two nodes stands within 1 % of its end, at most `LONGEST`.

    0 where no capacitor slows it. Where no steady current can flow, the seconds until the meter shows OL.

    Parameters
    ----------
    known : Modes, optional
        What `modes_from` gave for the same network and `start`.
    """
    if start == end or not (network.farads > 0.0).any():
        return 0.0
    limit = meter.open_volts / meter.current if meter.current > 0.0 else math.inf
    if known is None or not known.steady[end]:
        known = _pair_modes(network, start, end, limit)
    place = int(known.place[end])
    if place < 0:
        return 0.0
    weights = known.shapes[place] ** 2
    # Behind the limiting resistance r the meter shows OL once the current is below volts / (r + top).
    mark = _NEAR * weights.sum() if known.steady[end] else limit * limit / (limit + meter.top)
    return _until(known.taus, weights, float(mark))


def _pair_modes(network: Network, start: int, end: int, limit: float) -> Modes:
    """Return the modes of the leads and of what capacitors hold; the meter's own ohms count where it must."""
    ohms, farads, graph = steady_ohms(network), network.farads, network.graph
    near = reachable(graph, np.where(farads > 0.0, 0.0, ohms), start)
    caps = np.flatnonzero((farads > 0.0) & near[graph.starts])
    keep = {start, end, *graph.starts[caps].tolist(), *graph.ends[caps].tolist()}
    steady = bool(reachable(graph, ohms, start)[end])
    return _modes(network, ohms, start, keep, None if steady or not near[end] else (end, limit))


def _modes(
    network: Network,
    ohms: Ohms,
    start: int,
    keep: Iterable[int],
    meter: tuple[int, float] | None = None,
) -> Modes:
    """Return the modes of the nodes `keep`, `start` at 0 V; `meter` is its other lead and its own ohms."""
    group, seen = reduced(network.graph, ohms, keep)
    laid = [
        (node, neighbour, siemens)
        for node, neighbours in seen.items()
        for neighbour, siemens in neighbours.items()
        if node < neighbour
    ]
    leak = _LEAK * max(1.0, max((siemens for *_, siemens in laid), default=0.0))
    steady_count = len(laid)
    charged = _charged(network, group, seen)
    laid += [(one, other, leak) for one, other, _ in charged]
    farads = np.array([0.0] * steady_count + [farads for *_, farads in charged])
    ground = int(group[start])
    if meter is not None and int(group[meter[0]]) != ground:
        laid.append((int(group[meter[0]]), ground, 1.0 / meter[1]))
        farads = np.append(farads, 0.0)
    ends = np.array([(one, other) for one, other, _ in laid], dtype=np.int64).reshape(-1, 2)
    row = _rows(ends, ground, network.graph.size)
    place = row[group]
    steady = reachable(network.graph, ohms, start)
    size = int(row.max(initial=-1)) + 1
    if not size:
        return Modes(place, steady, np.zeros(0), np.zeros((0, 0)))
    G = _node_matrix(size, row[ends], np.array([siemens for *_, siemens in laid]))
    C = _node_matrix(size, row[ends], farads)
    # Scaling by the conductances first keeps wide spreads of ohms well within double precision.
    scale = 1.0 / np.sqrt(np.diagonal(G))
    taus, shapes = eigh(C * np.outer(scale, scale), G * np.outer(scale, scale))
    return Modes(place, steady, np.clip(taus, 0.0, None), shapes * scale[:, None])


def _charged(
    network: Network, group: NDArray[np.int64], seen: Mapping[int, object]
) -> list[tuple[int, int, float]]:
    """Return the capacitors between two groups that are seen, each with its F."""
    found = []
    for branch in np.flatnonzero(network.farads > 0.0).tolist():
        one, other = int(group[network.graph.starts[branch]]), int(group[network.graph.ends[branch]])
        if one in seen and other in seen and one != other:
            found.append((one, other, float(network.farads[branch])))
    return found


def _rows(ends: NDArray[np.int64], ground: int, size: int) -> NDArray[np.int64]:
    """Return (n,) int64: the row of each node that admittances join to `ground`; -1 for it and all else."""
    graph = Graph(size, ends[:, 0], ends[:, 1])
    piece = components(graph, np.ones(len(ends), dtype=np.bool_))[1]
    linked = piece == piece[ground]
    linked[ground] = False
    return np.where(linked, np.cumsum(linked) - 1, -1)


def _node_matrix(size: int, rows: NDArray[np.int64], values: NDArray[np.float64]) -> NDArray[np.float64]:
    """Return the (size, size) node matrix of admittances between two rows each.

    The node at 0 V has no row (-1), nor has what floats apart from it.
    """
    matrix = np.zeros((size, size))
    one, other = rows[:, 0], rows[:, 1]
    for at in (one, other):
        np.add.at(matrix, (at[at >= 0], at[at >= 0]), values[at >= 0])
    both = (one >= 0) & (other >= 0)
    np.subtract.at(matrix, (one[both], other[both]), values[both])
    np.subtract.at(matrix, (other[both], one[both]), values[both])
    return matrix


def _until(taus: NDArray[np.float64], weights: NDArray[np.float64], mark: float) -> float:
    """Return when Σ weights·exp(-t / taus) falls to `mark`, s."""
    slow = taus > 0.0
    taus, weights = taus[slow], weights[slow]

    def rest(seconds: float) -> float:
        return float(weights @ np.exp(-seconds / taus)) - mark

    if not len(taus) or rest(_LEAST) <= 0.0:
        return 0.0
    if rest(LONGEST) > 0.0:
        return LONGEST
    low, high = _LEAST, LONGEST
    while high > low * 1.001:
        middle = math.sqrt(low * high)
        low, high = (middle, high) if rest(middle) > 0.0 else (low, middle)
    return high

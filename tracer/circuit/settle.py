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
from collections.abc import Mapping

import numpy as np
from numpy.typing import NDArray
from scipy.linalg import eigh

from tracer.circuit.network import Network
from tracer.circuit.results import Meter
from tracer.circuit.solve import Ohms, reachable, reduced

__all__ = ["LONGEST", "settling_seconds", "steady_ohms"]

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


def settling_seconds(network: Network, start: int, end: int, meter: Meter) -> float:
    """Return the seconds until a reading between two nodes stands within 1 % of its end, at most `LONGEST`.

    0 where no capacitor slows it. Where no steady current can flow, the seconds until the meter shows OL.
    """
    ohms = steady_ohms(network)
    graph, farads = network.graph, network.farads
    near = reachable(graph, np.where(farads > 0.0, 0.0, ohms), start)
    caps = np.flatnonzero((farads > 0.0) & near[graph.starts])
    if not len(caps) or not near[end] or start == end:
        return 0.0
    ends_of_caps = {*graph.starts[caps].tolist(), *graph.ends[caps].tolist()}
    group, seen = reduced(graph, ohms, {start, end, *ends_of_caps})
    one, other = int(group[start]), int(group[end])
    if one == other:
        return 0.0
    place = {node: number for number, node in enumerate(node for node in sorted(seen) if node != other)}
    G, C = np.zeros((len(place), len(place))), np.zeros((len(place), len(place)))
    for node, neighbours in seen.items():
        for neighbour, conductance in neighbours.items():
            if node < neighbour:
                _stamp(G, place, node, neighbour, conductance)
    leak = _LEAK * max(1.0, float(G.max()))
    for branch in caps.tolist():
        ends = int(group[graph.starts[branch]]), int(group[graph.ends[branch]])
        _stamp(C, place, *ends, float(farads[branch]))
        _stamp(G, place, *ends, leak)
    steady = bool(reachable(graph, ohms, start)[end])
    limit = meter.open_volts / meter.current if meter.current > 0.0 else math.inf
    if not steady:
        _stamp(G, place, one, other, 1.0 / limit)
    linked = _linked(G, place[one])
    taus, weights = _modes(
        G[np.ix_(linked, linked)], C[np.ix_(linked, linked)], int(linked.searchsorted(place[one]))
    )
    # Behind the limiting resistance r the meter shows OL once the current is below volts / (r + top).
    mark = _NEAR * weights.sum() if steady else limit * limit / (limit + meter.top)
    return _until(taus, weights, float(mark))


def _stamp(matrix: NDArray[np.float64], place: Mapping[int, int], one: int, other: int, value: float) -> None:
    """Add an admittance between two nodes; the ground node has no place."""
    if one == other:
        return
    at = [place[node] for node in (one, other) if node in place]
    for row in at:
        matrix[row, row] += value
    if len(at) == 2:
        matrix[at[0], at[1]] -= value
        matrix[at[1], at[0]] -= value


def _linked(G: NDArray[np.float64], root: int) -> NDArray[np.int64]:
    """Return the sorted places that `root` is joined to by any conductance."""
    seen, todo = {root}, [root]
    while todo:
        for near in np.flatnonzero(G[todo.pop()]).tolist():
            if near not in seen:
                seen.add(near)
                todo.append(near)
    return np.array(sorted(seen), dtype=np.int64)


def _modes(
    G: NDArray[np.float64], C: NDArray[np.float64], lead: int
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Return the time constants, s, and the ohms that each mode adds to the reading at `lead`."""
    # Scaling by the conductances first keeps wide spreads of ohms well within double precision.
    scale = 1.0 / np.sqrt(np.diagonal(G))
    taus, shapes = eigh(C * np.outer(scale, scale), G * np.outer(scale, scale))
    return np.clip(taus, 0.0, None), (shapes[lead] * scale[lead]) ** 2


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

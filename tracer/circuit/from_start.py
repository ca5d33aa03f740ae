"""All that one lead's place decides, worked out once and used for every place of the other."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from tracer.circuit.blocked import blockers, sides
from tracer.circuit.network import Network
from tracer.circuit.results import Meter
from tracer.circuit.search import Loose, divided, from_node, least_and_most
from tracer.circuit.settle import Modes, modes_from, settling_seconds, steady_ohms
from tracer.circuit.solve import Flow, Ohms, Spread, flow, joined_groups, spread, ways
from tracer.circuit.sweep import Corner
from tracer.circuit.ways import Ways

__all__ = ["FromStart", "Nominal"]

_SAME = 0.01
"""An unknown value that moves the expected ohms by no more than this fraction is passed over."""
_FEW = 100
"""Up to so many branches on the way a pair is worked out by itself."""
_MOST_MODES = 1200
"""Above so many nodes, wires drawn together, all modes at once cost more than one pair at a time."""


@dataclass(frozen=True, slots=True)
class Nominal:
    """A pair with every part at its expected value.

    Attributes
    ----------
    ohms : float or None
        Ω; None where an unknown value decides.
    whole : float
        Ω of the case that the currents belong to, one with a path if there is any.
    currents : (m,) float64
        A in each branch for 1 A from lead to lead.
    branch_ohms : (m,) float64
        Ω of each branch in that case.
    """

    ohms: float | None
    whole: float
    currents: NDArray[np.float64]
    branch_ohms: Ohms


@dataclass(frozen=True, eq=False)
class FromStart:
    """One network with a lead on node `start`.

    Attributes
    ----------
    network : Network
    start : int
    many : bool
        Whether enough ends will be asked for that working out all of them at once pays.
    known : (2 or 4, n) float64, optional
        What `from_node` gave for the two.
    """

    network: Network
    start: int
    many: bool = False
    known: NDArray[np.float64] | None = None

    def limits(self, end: int) -> tuple[float, float]:
        """Return the least and most ohms to `end` (see `least_and_most`)."""
        if not self.many:
            return least_and_most(self.network, self.start, end)
        low, high, *others = self._corners[:, end].tolist()
        lies = self.reaching(end)
        if not any(lies[list(numbers)].any() for numbers in self.network.split_numbers):
            return low, high
        loose = Loose(low=low, low_full=others[0], high_bare=others[1], high=high)
        return least_and_most(self.network, self.start, end, loose)

    def conducting(self, end: int) -> NDArray[np.bool_]:
        """Return (m,) bool: the branches on some way to `end` that a steady current may take."""
        return self._conducting.to(end)

    def reaching(self, end: int) -> NDArray[np.bool_]:
        """Return (m,) bool: the branches on some way to `end`, those that only leak among them."""
        return self._reaching.to(end)

    def nominal(self, end: int) -> Nominal:
        """Return the pair with every part at its expected value."""
        flows = [self._flow(case, end) for case in range(len(self._cases))]
        values = [each.ohms for each in flows]
        best = next((place for place, value in enumerate(values) if math.isfinite(value)), 0)
        low, high = min(values), max(values)
        known = low == high or (math.isfinite(high) and high - low <= _SAME * high)
        here = flows[best]
        return Nominal(values[0] if known else None, here.ohms, here.currents, self._cases[best])

    def highest(self, end: int) -> Flow:
        """Return the flow to `end` with every branch at its most ohms."""
        if not self.many or self.reaching(end).sum() <= _FEW:
            return flow(self.network.graph, self.network.high, self.start, end)
        return self._read_off(self._high, self.network.high, self._reaching, end)

    def falls(self, end: int, branch: int) -> bool:
        """Tell whether the least ohms to `end` would fall if one branch leaked all it can."""
        graph, least = self.network.graph, self._lowest.resistance(self.start, end)
        one, other = int(graph.starts[branch]), int(graph.ends[branch])
        return self._lowest.joined(self.start, end, one, other) < (1.0 - _SAME) * least

    def blocked_by(self, end: int) -> tuple[str, ...]:
        """Return the elements that keep `end` apart (see `blockers`)."""
        return blockers(self.network, self.start, end, self._sides)

    def seconds(self, end: int, meter: Meter) -> float:
        """Return how long a reading to `end` climbs (see `settling_seconds`)."""
        return settling_seconds(self.network, self.start, end, meter, self._modes if self.many else None)

    @cached_property
    def _conducting(self) -> Ways:
        network = self.network
        return ways(network.graph, np.isfinite(network.low) & ~np.isinf(network.expected), self.start)

    @cached_property
    def _reaching(self) -> Ways:
        return ways(self.network.graph, np.isfinite(self.network.low), self.start)

    @cached_property
    def _high(self) -> Spread:
        return spread(self.network.graph, self.network.high, self.start)

    @cached_property
    def _corners(self) -> NDArray[np.float64]:
        """(2 or 4, n) float64: to every node with all low and all high; see `Loose` for the other two."""
        if self.known is not None:
            return self.known
        return np.asarray(from_node([self.network], self.start)[0])

    @cached_property
    def _lowest(self) -> Corner:
        return Corner(self.network.graph, self.network.low)

    @cached_property
    def _sides(self) -> NDArray[np.int64]:
        return sides(self.network)

    @cached_property
    def _modes(self) -> Modes | None:
        ohms = steady_ohms(self.network)
        groups = len(np.unique(joined_groups(self.network.graph, ohms)))
        return modes_from(self.network, self.start) if groups <= _MOST_MODES else None

    @cached_property
    def _cases(self) -> list[Ohms]:
        """Branch ohms, the middle case first, which agree on a pair if no unknown value matters to it."""
        network, untold = self.network, np.isnan(self.network.expected)
        totals: Sequence[float | None] = [
            split.total.expected if untold[list(numbers)].all() else None
            for split, numbers in zip(network.splits, network.split_numbers, strict=True)
        ]
        cases = []
        for at in (0.5, 0.0, 1.0) if any(total is not None for total in totals) else (0.5,):
            base = divided(network, network.expected, totals, at)
            still = np.isnan(base)
            for fill in (network.low, network.high) if still.any() else (network.low,):
                cases.append(np.where(still, fill, base))
        return cases

    @cached_property
    def _spreads(self) -> list[Spread]:
        return [spread(self.network.graph, ohms, self.start) for ohms in self._cases]

    @cached_property
    def _case_ways(self) -> list[Ways]:
        return [ways(self.network.graph, np.isfinite(ohms), self.start) for ohms in self._cases]

    def _flow(self, case: int, end: int) -> Flow:
        """Return the flow to `end` in one case; read off all at once where that was worked out."""
        if not self.many:
            return flow(self.network.graph, self._cases[case], self.start, end)
        return self._read_off(self._spreads[case], self._cases[case], self._case_ways[case], end)

    def _read_off(self, whole: Spread, ohms: Ohms, along: Ways, end: int) -> Flow:
        graph, on_path = self.network.graph, along.to(end)
        currents = np.zeros(len(ohms))
        if 0.0 < whole.ohms[end] < math.inf:
            volts = whole.volts(end)
            drop = volts[graph.ends] - volts[graph.starts]
            use = on_path & (ohms > 0.0)
            currents[use] = np.clip(drop[use] / ohms[use], -1.0, 1.0)
        return Flow(float(whole.ohms[end]), currents, on_path)

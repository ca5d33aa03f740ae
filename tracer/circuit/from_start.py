"""All that one lead's place decides, worked out once and used for every place of the other."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from tracer.circuit.network import Network
from tracer.circuit.results import Meter
from tracer.circuit.search import divided, least_and_most, splits_between
from tracer.circuit.settle import Modes, modes_from, settling_seconds
from tracer.circuit.solve import Flow, Ohms, Spread, between, flow, spread

__all__ = ["FromStart", "Nominal"]

_SAME = 0.01
"""An unknown value that moves the expected ohms by no more than this fraction is passed over."""
_MOST_MODES = 1200
"""Above so many nodes all modes at once cost more than those of each pair by itself."""


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
    """

    network: Network
    start: int
    many: bool = False

    def limits(self, end: int) -> tuple[float, float]:
        """Return the least and most ohms to `end` (see `least_and_most`)."""
        if not self.many or splits_between(self.network, self.start, end):
            return least_and_most(self.network, self.start, end)
        return float(self._low.ohms[end]), float(self._high.ohms[end])

    def nominal(self, end: int) -> Nominal:
        """Return the pair with every part at its expected value."""
        flows = [self._flow(case, end) for case in range(len(self._cases))]
        values = [each.ohms for each in flows]
        best = next((place for place, value in enumerate(values) if math.isfinite(value)), 0)
        low, high = min(values), max(values)
        known = low == high or (math.isfinite(high) and high - low <= _SAME * high)
        here = flows[best]
        return Nominal(values[0] if known else None, here.ohms, here.currents, self._cases[best])

    def seconds(self, end: int, meter: Meter) -> float:
        """Return how long a reading to `end` climbs (see `settling_seconds`)."""
        return settling_seconds(self.network, self.start, end, meter, self._modes if self.many else None)

    @cached_property
    def _low(self) -> Spread:
        return spread(self.network.graph, self.network.low, self.start)

    @cached_property
    def _high(self) -> Spread:
        return spread(self.network.graph, self.network.high, self.start)

    @cached_property
    def _modes(self) -> Modes | None:
        return modes_from(self.network, self.start) if len(self.network.nodes) <= _MOST_MODES else None

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

    def _flow(self, case: int, end: int) -> Flow:
        """Return the flow to `end` in one case; read off all at once where that was worked out."""
        graph, ohms = self.network.graph, self._cases[case]
        if not self.many:
            return flow(graph, ohms, self.start, end)
        whole = self._spreads[case]
        if not 0.0 < whole.ohms[end] < math.inf:
            return flow(graph, ohms, self.start, end)
        on_path = between(graph, np.isfinite(ohms), self.start, end)
        drop = whole.volts[graph.ends, end] - whole.volts[graph.starts, end]
        use = on_path & (ohms > 0.0)
        currents = np.zeros(len(ohms))
        currents[use] = np.clip(drop[use] / ohms[use], -1.0, 1.0)
        return Flow(float(whole.ohms[end]), currents, on_path)

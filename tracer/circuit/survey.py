"""A quick look at every reading that keeps one lead where it is: which branches each would carry."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from tracer.circuit.corners import Corners
from tracer.circuit.elements import CHASSIS, Circuit
from tracer.circuit.expect import lead_node
from tracer.circuit.ledger import BranchName
from tracer.circuit.meter import true_range
from tracer.circuit.points import terminal_points
from tracer.circuit.results import Meter
from tracer.circuit.sweep import Corner

__all__ = ["Survey", "survey", "touchable"]

_MARGIN = 1e-6


@dataclass(eq=False)
class Survey:
    """What readings from one lead to each of many ends would carry, roughly.

    Attributes
    ----------
    lead : str
    ends : tuple of str
    carries : (m, e) bool
        Which branches a reading of the expected value would carry.
    names : tuple of (str, str)
        Element and name of each branch.
    """

    lead: str
    ends: tuple[str, ...]
    carries: NDArray[np.bool_]
    names: tuple[BranchName, ...]
    _forgotten: set[str] = field(default_factory=set)

    def forget(self, end: str) -> None:
        """Offer the reading to `end` no more."""
        self._forgotten.add(end)

    def gains(self, carried: set[BranchName], suspects: set[str], most: int) -> Iterator[tuple[float, str]]:
        """Yield the best few ends, with how many more branches each would carry.

        Suspects count by how evenly the reading parts them; one through all of them would only fail again.
        """
        doubted = np.array([part in suspects for part, _ in self.names], dtype=np.bool_)
        fresh = np.array([name not in carried for name in self.names], dtype=np.bool_) & ~doubted
        gains = (self.carries & fresh[:, None]).sum(axis=0).astype(np.float64)
        through = (self.carries & doubted[:, None]).sum(axis=0)
        total = len(suspects)
        if total:
            # A reading that crosses a suspect may fail and then carry nothing.
            gains *= np.where(through > 0, 0.25, 1.0)
            gains += 3.0 * np.minimum(through, np.maximum(0, total - through))
            gains[through >= total] = 0.0
        gains[np.array([end in self._forgotten for end in self.ends], dtype=np.bool_)] = 0.0
        for place in np.argsort(-gains, kind="stable")[:most].tolist():
            yield float(gains[place]), self.ends[place]


def touchable(circuit: Circuit) -> Iterator[tuple[str, str]]:
    """Yield the points that a lead can rest on: a junction of wires alone is none."""
    yield CHASSIS, CHASSIS
    yield from ((rail, rail) for rail in circuit.rails)
    yield from circuit.points
    terminals = terminal_points(circuit)
    valves = {element.reference for element in circuit.elements if element.kind == "valve"}
    yield from (pair for pair in terminals if pair[0].rpartition(".")[0] in valves)
    yield from terminals


def survey(circuit: Circuit, corners: Corners, lead: str, meter: Meter) -> Survey:
    """Survey the readings from `lead` to every named point, one a node.

    Raises
    ------
    UnknownPoint
        There is no point `lead`.
    """
    network = corners.network
    start = lead_node(network, circuit, lead)
    ends: dict[int, str] = {}
    for name, place in touchable(circuit):
        node = network.number_of[place]
        if node != start:
            ends.setdefault(node, name)
    nodes = np.array(list(ends), dtype=np.int64)
    shown = corners.middle().resistances_from(start)[nodes]
    most = np.array([true_range(float(ohms), meter)[1] if ohms <= meter.top else np.inf for ohms in shown])
    low: Corner = corners.free_low()
    opened = low.opened_from(start, nodes)
    total = low.resistances_from(start)[nodes]
    carries = (opened > most * (1.0 + _MARGIN)) & (opened > total * (1.0 + _MARGIN))
    useful = np.array([not branch.blocks for branch in network.branches], dtype=np.bool_)
    names = tuple((branch.part, branch.name) for branch in network.branches)
    return Survey(lead, tuple(ends.values()), carries & useful[:, None], names)

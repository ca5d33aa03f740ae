"""A quick look at every reading that keeps one lead where it is: which branches each would carry."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from tracer.circuit.corners import Corners, Ends
from tracer.circuit.elements import CHASSIS, Circuit
from tracer.circuit.expect import lead_node
from tracer.circuit.ledger import BranchName
from tracer.circuit.meter import true_range
from tracer.circuit.points import terminal_points
from tracer.circuit.results import Meter

__all__ = ["Survey", "survey", "touchable"]

_MARGIN = 1e-6
_ONES = np.array([number.bit_count() for number in range(256)], dtype=np.uint8)


@dataclass(frozen=True, eq=False)
class Survey:
    """What readings from one lead to each of many ends would carry, roughly.

    Attributes
    ----------
    lead : str
    ends : tuple of str
    carries : (ceil(m / 8), e) uint8
        Which branches a reading of the expected value would carry, eight to a byte (`numpy.packbits`).
    names : tuple of (str, str)
        Element and name of each branch.
    """

    lead: str
    ends: tuple[str, ...]
    carries: NDArray[np.uint8]
    names: tuple[BranchName, ...]

    def gains(self, carried: set[BranchName], suspects: set[str]) -> NDArray[np.float64]:
        """Return (e,) float64: how many more branches a reading to each end would carry.

        Suspects count by how evenly the reading parts them; one through all of them would only fail again.
        """
        doubted = np.array([part in suspects for part, _ in self.names], dtype=np.bool_)
        fresh = np.array([name not in carried for name in self.names], dtype=np.bool_) & ~doubted
        gains = self._count(fresh)
        total = len(suspects)
        if total:
            through = self._count(doubted)
            # A reading that crosses a suspect may fail and then carry nothing.
            gains *= np.where(through > 0, 0.25, 1.0)
            gains += 3.0 * np.minimum(through, np.maximum(0, total - through))
            gains[through >= total] = 0.0
        return gains

    def _count(self, wanted: NDArray[np.bool_]) -> NDArray[np.float64]:
        """Return how many of the wanted branches each reading would carry."""
        return np.asarray(_ONES[self.carries & np.packbits(wanted)[:, None]].sum(axis=0, dtype=np.float64))


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
    useful = np.array([not branch.blocks for branch in network.branches], dtype=np.bool_)
    carries = _carries(corners, start, nodes, meter) & useful[:, None]
    names = tuple((branch.part, branch.name) for branch in network.branches)
    return Survey(lead, tuple(ends.values()), np.packbits(carries, axis=0), names)


def _carries(corners: Corners, start: int, nodes: NDArray[np.int64], meter: Meter) -> NDArray[np.bool_]:
    """Return (m, e) bool: the branches that, open, would put every reading above the expected one."""
    shown = corners.middle().resistances_from(start)[nodes]
    most = np.array([true_range(float(ohms), meter)[1] if ohms <= meter.top else np.inf for ohms in shown])
    alike: dict[tuple[Ends, ...], list[int]] = {}
    for place, ends in enumerate(corners.low_ends(start, node) for node in nodes.tolist()):
        alike.setdefault(ends, []).append(place)
    carries = np.zeros((len(corners.network.branches), len(nodes)), dtype=np.bool_)
    for ends, places in alike.items():
        there = nodes[places]
        lows = [corners.low(each) for each in ends]
        opened = np.min([low.opened_from(start, there) for low in lows], axis=0)
        total = np.max([low.resistances_from(start)[there] for low in lows], axis=0)
        carries[:, places] = (opened > most[places] * (1.0 + _MARGIN)) & (opened > total * (1.0 + _MARGIN))
    return carries

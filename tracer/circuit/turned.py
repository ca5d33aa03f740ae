"""A network with its leads and switch contacts alone left, so that any setting is quickly tried."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass

import numpy as np

from tracer.circuit.branch import OPEN
from tracer.circuit.limits import CLOSED_CONTACT
from tracer.circuit.network import Network
from tracer.circuit.solve import Graph, Ohms, reduced, resistance

__all__ = ["Turned", "turned"]


@dataclass(frozen=True, eq=False)
class _Corner:
    """One corner: what the kept nodes see of all but the contacts, and where each contact lies."""

    graph: Graph
    ohms: Ohms
    start: int
    end: int

    def resistance(self, contacts: Ohms) -> float:
        """Return the ohms of the pair with the contacts at (c,) Ω."""
        ohms = self.ohms.copy()
        ohms[len(ohms) - len(contacts) :] = contacts
        return resistance(self.graph, ohms, self.start, self.end)


@dataclass(frozen=True, eq=False)
class Turned:
    """A pair under any setting of the contacts; sections that share a total count as independent.

    Attributes
    ----------
    contacts : tuple of int
        Branch numbers of the contacts.
    closed : mapping of int to bool
        How each stands now.
    """

    contacts: tuple[int, ...]
    closed: Mapping[int, bool]
    low: _Corner
    high: _Corner

    def limits(self, flipped: Collection[int]) -> tuple[float, float]:
        """Return the least and most of the pair, Ω, with some contacts flipped."""
        closed = [self.closed[number] != (number in flipped) for number in self.contacts]
        low = np.where(closed, CLOSED_CONTACT.low, OPEN.low)
        high = np.where(closed, CLOSED_CONTACT.high, OPEN.high)
        return self.low.resistance(low), self.high.resistance(high)


def turned(network: Network, contacts: Collection[int], start: int, end: int) -> Turned:
    """Take out all but two leads and the ends of the contacts, given by their branch numbers."""
    numbers = tuple(sorted(contacts))
    return Turned(
        numbers,
        {number: not network.branches[number].is_open for number in numbers},
        _corner(network, network.low, numbers, start, end),
        _corner(network, network.high, numbers, start, end),
    )


def _corner(network: Network, ohms: Ohms, contacts: tuple[int, ...], start: int, end: int) -> _Corner:
    graph, rest = network.graph, ohms.copy()
    rest[list(contacts)] = np.inf
    ends = [(int(graph.starts[number]), int(graph.ends[number])) for number in contacts]
    group, seen = reduced(graph, rest, [start, end, *(node for pair in ends for node in pair)])
    place = {node: number for number, node in enumerate(sorted(seen))}
    laid = [(one, other) for one, row in seen.items() for other in row if one < other]
    pairs = [(place[one], place[other]) for one, other in laid]
    pairs += [(place[int(group[one])], place[int(group[other])]) for one, other in ends]
    fixed = np.array([1.0 / seen[one][other] for one, other in laid])
    values = np.concatenate([fixed, np.full(len(ends), np.inf)])
    return _Corner(Graph.of(len(place), pairs), values, place[int(group[start])], place[int(group[end])])

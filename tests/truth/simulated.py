"""Sets with one fault, and what a meter shows on them, solved by numpy alone.

Nothing here uses the program's own solver: conductances go into a nodal matrix, and `numpy.linalg` does the
rest. Parts have random values within their limits, wires some milliohms, capacitors are open.
"""

from __future__ import annotations

import math
import random
from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from tracer.circuit.elements import Circuit, Setting
from tracer.circuit.network import Network, build_network
from tracer.circuit.points import terminal_points
from tracer.circuit.results import Meter

__all__ = ["JOINTS", "METER", "Fault", "TrueSet", "faults", "make_true", "pairs_of", "shown"]

METER = Meter()
JOINTS = frozenset({"wire", "bond", "contact", "label", "chassis", "link"})
_LEAST = 1e-3
"""Ω that every wire has at least, so that no node is singular."""


@dataclass(frozen=True, eq=False)
class TrueSet:
    """A circuit, its network as the program sees it, and the true ohms of every branch, (m,) float64."""

    circuit: Circuit
    network: Network
    ohms: NDArray[np.float64]

    def between(self, start: str, end: str) -> float:
        """Return the true ohms between two nodes, ``inf`` where nothing joins them."""
        graph, one, other = self.network.graph, self.network.number_of[start], self.network.number_of[end]
        if one == other:
            return 0.0
        use = np.isfinite(self.ohms)
        seen, todo = {one}, [one]
        near: dict[int, list[int]] = {}
        for a, b in zip(graph.starts[use].tolist(), graph.ends[use].tolist(), strict=True):
            near.setdefault(a, []).append(b)
            near.setdefault(b, []).append(a)
        while todo:
            fresh = [node for node in near.get(todo.pop(), ()) if node not in seen]
            seen.update(fresh)
            todo += fresh
        if other not in seen:
            return math.inf
        row = {node: place for place, node in enumerate(sorted(seen - {one}))}
        table = np.zeros((len(row), len(row)))
        for a, b, ohms in zip(graph.starts[use], graph.ends[use], self.ohms[use], strict=True):
            siemens = 1.0 / max(float(ohms), _LEAST)
            at = [row[node] for node in (int(a), int(b)) if node in row]
            if int(a) == int(b) or int(a) not in seen:
                continue
            for place in at:
                table[place, place] += siemens
            if len(at) == 2:
                table[at[0], at[1]] -= siemens
                table[at[1], at[0]] -= siemens
        amperes = np.zeros(len(row))
        amperes[row[other]] = 1.0
        return float(np.linalg.solve(table, amperes)[row[other]])

    def faulty(self, branches: tuple[int, ...], factor: float) -> TrueSet:
        """Return the same with some branches' ohms times a factor; an open one of 0 ohms becomes a short."""
        ohms = self.ohms.copy()
        for branch in branches:
            ohms[branch] = _LEAST if factor == 0.0 else ohms[branch] * factor
        return TrueSet(self.circuit, self.network, ohms)


@dataclass(frozen=True, slots=True)
class Fault:
    """One fault: the element, what is wrong in a word, its branches, and the factor on their ohms."""

    element: str
    what: str
    branches: tuple[int, ...]
    factor: float


def make_true(circuit: Circuit, source: random.Random, network: Network | None = None) -> TrueSet:
    """Give every part of a circuit true ohms somewhere within its limits.

    `network` is the circuit's, where it is built already.
    """
    network = network or build_network(circuit, Setting(), METER)
    high = np.where(np.isfinite(network.high), network.high, network.low)
    low = np.where(np.isfinite(network.low), network.low, 0.0)
    width = np.where(np.isfinite(network.low), high - low, 0.0)
    ohms = network.low + np.array([source.random() for _ in network.branches]) * width
    for split, branches in zip(network.splits, network.split_numbers, strict=True):
        cuts = sorted(source.random() for _ in branches[:-1])
        total = source.uniform(split.total.low, split.total.high)
        ohms[list(branches)] = np.maximum(_LEAST, total * np.diff([0.0, *cuts, 1.0]))
    ohms = np.where(network.farads > 0.0, np.inf, np.maximum(ohms, _LEAST))
    return TrueSet(circuit, network, ohms)


def faults(true: TrueSet, source: random.Random, count: int) -> Iterator[Fault]:
    """Yield random single faults, half of them of parts: opens, drifts, shorted capacitors; open joints."""
    network = true.network
    kinds = {element.reference: element.kind for element in true.circuit.elements}
    joints = [part for part in network.branch_numbers if kinds[part] in JOINTS]
    parts = [part for part in network.branch_numbers if kinds[part] not in JOINTS]
    for part in (source.choice(source.choice((joints, parts))) for _ in range(count)):
        numbers = network.branch_numbers[part]
        live = tuple(number for number in numbers if math.isfinite(true.ohms[number]))
        if kinds[part] == "capacitor":
            yield Fault(part, "short", numbers, 0.0)
        elif live and kinds[part] in ("resistor", "pot") and source.random() < 0.6:
            yield Fault(part, "drifted", live, source.choice([0.4, 1.7, 2.5, 4.0]))
        elif live:
            yield Fault(part, "open", (source.choice(live),), math.inf)


def pairs_of(circuit: Circuit, source: random.Random) -> list[tuple[str, str]]:
    """Return pairs of a rail or the chassis and a terminal, shuffled."""
    pairs = [(start, end) for start in ("chassis", *circuit.rails) for end, _ in terminal_points(circuit)]
    source.shuffle(pairs)
    return pairs


def shown(ohms: float, source: random.Random) -> float:
    """Return what the meter shows, somewhere within its error."""
    if ohms > METER.top:
        return math.inf
    return ohms * (1.0 + source.uniform(-0.5, 0.5) * METER.error) + source.uniform(0.0, METER.leads)

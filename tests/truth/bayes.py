"""The best that any method could do: every single fault tried, and its chance summed over many sets.

Faults and their figures are those of the priors' table. A set is drawn thousands of times, each part
somewhere within its limits, and `numpy` inverts all their node matrices at once; nothing of the program's own
solver is used. In each drawn set the ohms of a fault that would show every reading at once are an interval,
in closed form (each reading only rises with them); what the priors say of that interval is the fault's chance
there. Wires are joined; a bad joint splits one node in two.
"""

from __future__ import annotations

import math
import random
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from tests.truth.simulated import JOINTS, METER, TrueSet
from tracer.circuit.elements import CHASSIS, Circuit
from tracer.circuit.meter import true_range
from tracer.circuit.network import Network
from tracer.circuit.points import resolve_point
from tracer.circuit.priors import Priors, of_kind
from tracer.circuit.results import CauseKind, Reading

__all__ = ["Best", "Single", "draw_single", "exact_places", "singles"]

_LEAK = 3e10
"""Ω from every node to the first one, so that no piece floats; far above any meter's top of range."""
_BATCH, _BATCHES, _ENOUGH = 2000, 20, 200
"""Sets drawn at once, how often at most, and how many must show the readings."""
_JOINT = (1.0, 1e6)
_LEAK_FROM = 10.0
_WILD = math.log(100.0)

Ohms = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Single:
    """One single fault of one branch, and how likely it is beforehand.

    `shape` tells what ohms it leaves: ``open``, ``short``, ``drifted`` off `nominal` but not within `least` …
    `most`, or ``even``: all decades from `least` to `most` alike, half of it open where `half_open`.
    """

    kind: CauseKind
    element: str
    branch: int
    prior: float
    shape: str
    least: float = 0.0
    most: float = math.inf
    nominal: float = 0.0
    half_open: bool = False
    drift: Mapping[str, float] | None = None

    def mass(self, low: Ohms, high: Ohms) -> Ohms:
        """Return how likely the fault leaves ohms from `low` to `high`, both taken in; 0 where they cross."""
        crossed = ~(low <= high)
        if self.shape == "open":
            found = np.isinf(high).astype(np.float64)
        elif self.shape == "short":
            found = (low <= 0.0).astype(np.float64)
        elif self.shape == "even":
            span = math.log(self.most / self.least)
            ends = [np.log(np.clip(side, self.least, self.most)) for side in (low, high)]
            found = (ends[1] - ends[0]) / span
            if self.half_open:
                found = 0.5 * found + 0.5 * np.isinf(high)
        else:
            below = self._below(np.minimum(low, self.least)), self._below(np.minimum(high, self.least))
            above = self._below(np.maximum(low, self.most)), self._below(np.maximum(high, self.most))
            found = below[1] - below[0] + above[1] - above[0]
        return np.where(crossed, 0.0, self.prior * found)

    def _below(self, ohms: Ohms) -> Ohms:
        """Return how likely a drifted value is below `ohms`, as the priors' table says."""
        table = self.drift or {}
        with np.errstate(divide="ignore"):
            off = np.log(ohms / self.nominal)
        risen = table["up"] * (1.0 - np.exp(-np.maximum(0.0, off) / table["up_spread"]))
        fallen = (1.0 - table["up"]) * np.exp(np.minimum(0.0, off) / table["down_spread"])
        anything = (np.clip(off, -_WILD, _WILD) + _WILD) / (2.0 * _WILD)
        return np.asarray((1.0 - table["anything"]) * (risen + fallen) + table["anything"] * anything)

    def draw(self, source: random.Random) -> float:
        """Return ohms that the fault may leave, as likely as `mass` says."""
        if self.shape in ("open", "short"):
            return math.inf if self.shape == "open" else 0.0
        if self.half_open and source.random() < 0.5:
            return math.inf
        if self.shape == "even":
            return self.least * (self.most / self.least) ** source.random()
        edges = self.nominal * np.geomspace(1e-2, 1e2, 2001)
        chances = self.mass(edges[:-1], edges[1:])
        place = source.choices(range(2000), chances.tolist())[0]
        return float(math.sqrt(edges[place] * edges[place + 1]))


def singles(true: TrueSet, priors: Priors) -> Iterator[Single]:
    """Yield every single fault of resistors, capacitors, windings, speakers, contacts and joints."""
    kinds = {element.reference: element.kind for element in true.circuit.elements}
    polar = {
        each.reference for each in true.circuit.elements if any(name == "+" for name, _ in each.terminals)
    }
    split = {number for numbers in true.network.split_numbers for number in numbers}
    for number, branch in enumerate(true.network.branches):
        kind, part = kinds[branch.part], branch.part
        if number in split or kind in ("pot", "valve"):
            continue
        if kind == "capacitor":
            leaky = of_kind(priors.leaky, "electrolytic" if part in polar else kind)
            yield Single(CauseKind.SHORT, part, number, of_kind(priors.short, kind), "short")
            yield Single(CauseKind.LEAKY, part, number, leaky, "even", _LEAK_FROM, branch.low)
        elif branch.is_open:
            if kind == "contact":
                yield Single(CauseKind.CONTACT, part, number, priors.contact["stuck"], "short")
        elif kind in JOINTS:
            figure = priors.contact["dirty"] if kind == "contact" else of_kind(priors.open, kind)
            what = CauseKind.CONTACT if kind == "contact" else CauseKind.OPEN
            yield Single(what, part, number, figure, "even", *_JOINT, half_open=True)
        else:
            yield Single(CauseKind.OPEN, part, number, of_kind(priors.open, kind), "open")
            if branch.low > 0.0:
                yield Single(CauseKind.SHORT, part, number, of_kind(priors.short, kind), "short")
            if branch.expected:
                limits = branch.low, branch.high, branch.expected
                figure = of_kind(priors.drifted, kind)
                yield Single(CauseKind.DRIFTED, part, number, figure, "drifted", *limits, drift=priors.drift)


def draw_single(faults: Sequence[Single], source: random.Random) -> tuple[Single, float]:
    """Return a fault and the ohms it leaves, drawn as likely as the priors say."""
    fault = source.choices(faults, [each.prior for each in faults])[0]
    return fault, fault.draw(source)


@dataclass(frozen=True, slots=True)
class Best:
    """The place, from 0, that the exact posterior gives the true fault, and how many sets it rests on."""

    place: int
    drawn: int


def exact_places(
    true: TrueSet, fault: Single, faults: Sequence[Single], readings: Sequence[Reading], seed: int
) -> Best:
    """Return the place that the exact posterior gives the true fault.

    Joints that make the readings equally likely count as one, as nothing could tell them apart.
    """
    drawing = _Drawing(true.circuit, true.network)
    windows = [true_range(each.ohms, METER) for each in readings]
    pairs = [
        tuple(true.network.number_of[resolve_point(true.circuit, point)] for point in (each.start, each.end))
        for each in readings
    ]
    source = np.random.default_rng(seed)
    total, showing = np.zeros(len(faults)), 0
    for _ in range(_BATCHES):
        found = drawing.masses(faults, pairs, windows, source)
        total += found.sum(axis=1)
        showing += int(found.any(axis=0).sum())
        if showing >= _ENOUGH:
            break
    weighed: dict[object, float] = {}
    mine: object = None
    for each, chance in zip(faults, total.tolist(), strict=True):
        joint = each.kind is CauseKind.OPEN and each.half_open
        key: object = f"{chance:.6g}" if joint else (each.kind, each.element)
        weighed[key] = weighed.get(key, 0.0) + chance
        if each is fault:
            mine = key
    return Best(sum(weight > weighed[mine] for weight in weighed.values()), showing)


@dataclass(frozen=True, eq=False)
class _Drawing:
    """A circuit of which many true sets are drawn."""

    circuit: Circuit
    network: Network

    @cached_property
    def joints(self) -> NDArray[np.bool_]:
        return np.asarray((self.network.low == 0.0) & (self.network.high <= 1.0))

    @cached_property
    def merged(self) -> NDArray[np.int64]:
        """(n,) int64: the net of each node, joints being wires without ohms."""
        return _nets(self.network, np.flatnonzero(self.joints).tolist())

    def masses(
        self,
        faults: Sequence[Single],
        pairs: Sequence[tuple[int, ...]],
        windows: Sequence[tuple[float, float]],
        source: np.random.Generator,
    ) -> Ohms:
        """Return (f, s) float64: the chance of each fault to show all readings in each of many drawn sets."""
        siemens = self._siemens(source)
        Z = self._inverse(siemens)
        nets = self.merged
        leads = [(int(nets[one]), int(nets[other])) for one, other in pairs]
        totals = [Z[:, s, s] + Z[:, e, e] - 2.0 * Z[:, s, e] for s, e in leads]
        found = np.zeros((len(faults), _BATCH))
        for place, fault in enumerate(faults):
            low, high = np.zeros(_BATCH), np.full(_BATCH, math.inf)
            for pair, lead, total, window in zip(pairs, leads, totals, windows, strict=True):
                if self.joints[fault.branch]:
                    shorted, rise, across = self._joint(fault.branch, siemens, Z, pair, lead, total)
                else:
                    shorted, rise, across = self._part(fault.branch, siemens, Z, lead, total)
                least, most = _allowed(shorted, rise, across, *window)
                low, high = np.maximum(low, least), np.minimum(high, most)
            found[place] = fault.mass(low, high)
        return found

    def _siemens(self, source: np.random.Generator) -> Ohms:
        """Return (s, m) float64: the conductance of every branch in every drawn set, 0 where open."""
        network = self.network
        low = np.where(np.isfinite(network.low), network.low, 0.0)
        high = np.where(np.isfinite(network.high), network.high, low)
        ohms = low + source.random((_BATCH, len(low))) * (high - low)
        for split, branches in zip(network.splits, network.split_numbers, strict=True):
            cuts = np.sort(source.random((_BATCH, len(branches) - 1)), axis=1)
            parts = np.diff(cuts, axis=1, prepend=0.0, append=1.0)
            ohms[:, list(branches)] = source.uniform(split.total.low, split.total.high, (_BATCH, 1)) * parts
        blocks = np.isinf(network.low) | (network.farads > 0.0) | self.joints
        return np.where(blocks, 0.0, 1.0 / np.maximum(ohms, 1e-3))

    def _inverse(self, siemens: Ohms) -> Ohms:
        """Return (s, n, n) float64, Ω: volts of each net for 1 A into another."""
        one, other = self.merged[self.network.graph.starts], self.merged[self.network.graph.ends]
        count = int(self.merged.max()) + 1
        matrix = np.zeros((_BATCH, count, count))
        for branch in np.flatnonzero(siemens.any(axis=0) & (one != other)).tolist():
            a, b, each = one[branch], other[branch], siemens[:, branch]
            matrix[:, a, a] += each
            matrix[:, b, b] += each
            matrix[:, a, b] -= each
            matrix[:, b, a] -= each
        matrix[:, range(count), range(count)] += 1.0 / _LEAK
        # The chassis at 0 V keeps the figures of all that joins it small.
        chassis = int(self.merged[self.network.number_of[CHASSIS]])
        matrix[:, chassis, chassis] += 1.0
        return np.linalg.inv(matrix)

    def _part(
        self, branch: int, siemens: Ohms, Z: Ohms, lead: tuple[int, int], total: Ohms
    ) -> tuple[Ohms, Ohms, Ohms]:
        """Return the pair with the branch at 0 Ω, what it rises to when open, and what its ends see, Ω."""
        graph = self.network.graph
        a, b = int(self.merged[graph.starts[branch]]), int(self.merged[graph.ends[branch]])
        drop = Z[:, a, lead[0]] - Z[:, a, lead[1]] - Z[:, b, lead[0]] + Z[:, b, lead[1]]
        own = np.maximum(Z[:, a, a] + Z[:, b, b] - 2.0 * Z[:, a, b], 1e-9)
        rest = np.maximum(1.0 - own * siemens[:, branch], own / _LEAK)
        shorted = total - drop**2 / own
        across = own / rest
        # Z is that of the whole: without the branch the drop is greater by 1 / rest.
        return shorted, (drop / rest) ** 2 / across, across

    def _joint(
        self, branch: int, siemens: Ohms, Z: Ohms, pair: tuple[int, ...], lead: tuple[int, int], total: Ohms
    ) -> tuple[Ohms, Ohms, Ohms]:
        beyond, graph = self._beyond(branch), self.network.graph
        net = int(self.merged[graph.starts[branch]])
        if not beyond:
            return total, np.zeros(_BATCH), np.full(_BATCH, _LEAK)
        moved = [
            (number, graph.ends[number] if graph.starts[number] in beyond else graph.starts[number])
            for number in np.flatnonzero(siemens.any(axis=0)).tolist()
            if (graph.starts[number] in beyond) != (graph.ends[number] in beyond)
        ]
        current = np.zeros(_BATCH) - (pair[0] in beyond) + (pair[1] in beyond)
        far = [int(self.merged[node]) for _, node in moved]
        each = siemens[:, [number for number, _ in moved]]
        for place, there in enumerate(far):
            volts = (Z[:, net, lead[0]] - Z[:, net, lead[1]]) - (Z[:, there, lead[0]] - Z[:, there, lead[1]])
            current = current + each[:, place] * volts
        rest = each.sum(axis=1)
        for i, one in enumerate(far):
            for j, other in enumerate(far):
                seen = Z[:, one, other] - Z[:, one, net] - Z[:, net, other] + Z[:, net, net]
                rest = rest - each[:, i] * each[:, j] * seen
        rest = np.maximum(rest, 1.0 / _LEAK)
        return total, current**2 / rest, 1.0 / rest

    def _beyond(self, branch: int) -> frozenset[int]:
        """Return the nodes of a net that a joint alone holds to its first end; none where others do too."""
        joints = [number for number in np.flatnonzero(self.joints).tolist() if number != branch]
        nets = _nets(self.network, joints)
        graph = self.network.graph
        one, other = nets[graph.starts[branch]], nets[graph.ends[branch]]
        return frozenset(np.flatnonzero(nets == other).tolist()) if one != other else frozenset()


def _nets(network: Network, joints: Sequence[int]) -> NDArray[np.int64]:
    """Return (n,) int64: a number for each node, the same where joints lead from one to the other."""
    parent = list(range(network.graph.size))

    def top(node: int) -> int:
        while parent[node] != node:
            node = parent[node]
        return node

    for number in joints:
        parent[top(int(network.graph.starts[number]))] = top(int(network.graph.ends[number]))
    found: dict[int, int] = {}
    return np.array([found.setdefault(top(node), len(found)) for node in range(len(parent))], dtype=np.int64)


def _allowed(shorted: Ohms, rise: Ohms, across: Ohms, least: float, most: float) -> tuple[Ohms, Ohms]:
    """Return the least and most ohms of a branch at which the pair is within `least` … `most`."""
    opened = shorted + rise
    with np.errstate(divide="ignore", invalid="ignore"):
        low = np.where(least <= shorted, 0.0, across * (least - shorted) / (opened - least))
        high = np.where(most >= opened, math.inf, across * (most - shorted) / (opened - most))
    return np.where(least > opened, math.nan, low), np.where(most < shorted, math.nan, high)

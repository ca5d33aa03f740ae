"""The best that any method could do: every single fault of a set tried, and its chance summed over many sets.

Faults and their figures are those of the priors' table. How likely a fault makes the readings is counted over
random true values of all parts, each drawn within its limits; `numpy` and the sweep over single branches do
the rest.
"""

from __future__ import annotations

import math
import random
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from tests.truth.simulated import JOINTS, METER, TrueSet, make_true
from tracer.circuit.meter import true_range
from tracer.circuit.points import resolve_point
from tracer.circuit.priors import Priors, of_kind
from tracer.circuit.results import CauseKind, Reading
from tracer.circuit.sweep import Corner

__all__ = ["Single", "best_rank", "draw_single", "singles"]

_STEPS = np.geomspace(0.02, 50.0, 60)
"""Ratios of a drifted value to the printed one."""
_JOINT = np.geomspace(1.0, 1e6, 25)
_LEAK_FROM = 10.0
_JOINED = 0.2


@dataclass(frozen=True, slots=True)
class Single:
    """One single fault: what, of which branch, the ohms it may leave (v,), and how likely each is (v,)."""

    kind: CauseKind
    element: str
    branch: int
    values: NDArray[np.float64]
    weights: NDArray[np.float64]

    @property
    def prior(self) -> float:
        """How likely it is in all."""
        return float(self.weights.sum())


def singles(true: TrueSet, priors: Priors) -> Iterator[Single]:
    """Yield every single fault of resistors, capacitors, windings, speakers, contacts and joints."""
    kinds = {element.reference: element.kind for element in true.circuit.elements}
    split = {number for numbers in true.network.split_numbers for number in numbers}
    for number, branch in enumerate(true.network.branches):
        kind = kinds[branch.part]
        if number in split or kind in ("pot", "valve"):
            continue
        one, none = np.ones(1), np.zeros(1)
        if kind == "capacitor":
            leaks = np.geomspace(_LEAK_FROM, branch.low, 25)
            polar = any(
                name == "+"
                for e in true.circuit.elements
                if e.reference == branch.part
                for name, _ in e.terminals
            )
            yield Single(CauseKind.SHORT, branch.part, number, none, one * of_kind(priors.short, kind))
            leaky = of_kind(priors.leaky, "electrolytic" if polar else kind)
            yield Single(CauseKind.LEAKY, branch.part, number, leaks, np.full(25, leaky / 25))
        elif branch.is_open:
            if kind == "contact":
                yield Single(CauseKind.CONTACT, branch.part, number, none, one * priors.contact["stuck"])
        elif kind in JOINTS:
            figure = priors.contact["dirty"] if kind == "contact" else of_kind(priors.open, kind)
            values = np.append(_JOINT, math.inf)
            weights = figure * np.append(np.full(25, 0.5 / 25), 0.5)
            what = CauseKind.CONTACT if kind == "contact" else CauseKind.OPEN
            yield Single(what, branch.part, number, values, weights)
        else:
            yield Single(
                CauseKind.OPEN, branch.part, number, one * math.inf, one * of_kind(priors.open, kind)
            )
            if branch.low > 0.0:
                yield Single(CauseKind.SHORT, branch.part, number, none, one * of_kind(priors.short, kind))
            if branch.expected:
                edges = branch.expected * np.sqrt(_STEPS[:-1] * _STEPS[1:])
                chances = [priors.drift_chance(branch.expected, *pair) for pair in pairwise(edges)]
                values, weights = branch.expected * _STEPS[1:-1], np.array(chances)
                out = (values < branch.low) | (values > branch.high)
                figure = of_kind(priors.drifted, kind)
                yield Single(CauseKind.DRIFTED, branch.part, number, values[out], figure * weights[out])


def draw_single(faults: Sequence[Single], source: random.Random) -> tuple[Single, float]:
    """Return a fault and the ohms it leaves, drawn as likely as the priors say."""
    fault = source.choices(faults, [each.prior for each in faults])[0]
    return fault, source.choices(fault.values.tolist(), fault.weights.tolist())[0]


def best_rank(
    true: TrueSet, fault: Single, faults: Sequence[Single], readings: Sequence[Reading], seed: int, draws: int
) -> int:
    """Return the place, from 0, that the exact posterior gives the true fault.

    Joints that make the readings equally likely count as one, as nothing could tell them apart.
    """
    likely = _likelihoods(true, faults, readings, seed, draws)
    weighed: dict[object, float] = {}
    mine: object = None
    for each, chance in zip(faults, likely, strict=True):
        joint = each.kind is CauseKind.OPEN and len(each.values) > 1
        key: object = f"{chance:.9g}" if joint else (each.kind, each.element)
        weighed[key] = weighed.get(key, 0.0) + chance
        if each is fault:
            mine = key
    return sum(weight > weighed[mine] for weight in weighed.values())


def _likelihoods(
    true: TrueSet, faults: Sequence[Single], readings: Sequence[Reading], seed: int, draws: int
) -> list[float]:
    source = random.Random(seed)
    found = np.zeros(len(faults))
    graph, number_of = true.network.graph, true.network.number_of
    windows = [true_range(each.ohms, METER) for each in readings]
    pairs = [
        tuple(number_of[resolve_point(true.circuit, point)] for point in (each.start, each.end))
        for each in readings
    ]
    for _ in range(draws):
        drawn = make_true(true.circuit, source, true.network)
        # Joints of some milliohms merge their ends, which is quick and changes nothing that is judged here.
        ohms = np.where(drawn.ohms <= _JOINED, 0.0, drawn.ohms)
        sweeps = [Corner(graph, ohms).pair(*pair) for pair in pairs]
        for place, each in enumerate(faults):
            inside = np.ones(len(each.values), dtype=np.bool_)
            for swept, (least, most) in zip(sweeps, windows, strict=True):
                shows = swept.of(each.branch, each.values)
                inside &= (shows >= least) & (shows <= most)
            found[place] += float(each.weights[inside].sum())
    return (found / draws).tolist()

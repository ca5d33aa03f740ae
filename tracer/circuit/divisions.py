"""What two leads see of a network whose pots and tapped windings are in unknown division, and its extremes.

The resistance is a concave function of all branch ohms together, being the least power of any flow
(Thomson's principle): its least value lies at an end of each split, and its greatest is found by the
conditional-gradient method (Frank and Wolfe 1956), whose gap bounds what is still missing, so that the upper
limit returned is never too low.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import product

import numpy as np
from numpy.typing import NDArray

from tracer.circuit.network import Network
from tracer.circuit.solve import Graph, Ohms, flow, reduced, resistance

__all__ = ["CLOSE", "Piece", "Seen", "greatest", "least", "on_shafts", "seen"]

CLOSE = 1e-3
"""How near, as a fraction, an upper limit comes to the greatest resistance."""
_MOST_STEPS = 40
_FLAT, _MOST_TRIALS = 0.05, 15
"""A step ends where its slope has fallen to this fraction, or after so many trials."""


@dataclass(frozen=True, slots=True, eq=False)
class Piece:
    """A split as branch numbers, with its total at one corner, and its law (`tracer.circuit.laws`)."""

    numbers: NDArray[np.int64]
    total: float
    least: float
    law: str = "lin"

    def end(self, place: int) -> Ohms:
        """Return the sections' ohms with all that can be in section `place`."""
        ohms = np.full(len(self.numbers), self.total * self.least)
        ohms[place] = self.total * (1.0 - self.least * (len(self.numbers) - 1))
        return ohms


def on_shafts(network: Network, numbers: Sequence[int]) -> tuple[tuple[int, ...], ...]:
    """Return split numbers as groups that turn together; a winding, or a pot by itself, is a group of one."""
    groups: dict[object, list[int]] = {}
    for number in numbers:
        groups.setdefault(network.splits[number].shaft or number, []).append(number)
    return tuple(tuple(group) for group in groups.values())


@dataclass(frozen=True, eq=False)
class Seen:
    """What the leads and the splits' ends see of the network: all else taken out, exactly."""

    graph: Graph
    ohms: Ohms
    shafts: tuple[tuple[Piece, ...], ...]
    start: int
    end: int

    @property
    def pieces(self) -> tuple[Piece, ...]:
        """Every split by itself."""
        return tuple(piece for shaft in self.shafts for piece in shaft)


def seen(
    network: Network, ohms: Ohms, which: Sequence[int], totals: Sequence[float], start: int, end: int
) -> Seen:
    """Take out all but the leads and the ends of the splits `which`.

    Parameters
    ----------
    ohms : (m,) float64
        Of all other branches.
    totals : sequence of float
        Of every split of the network, Ω.
    """
    graph = network.graph
    numbers = [number for split in which for number in network.split_numbers[split]]
    rest = ohms.copy()
    rest[numbers] = math.inf
    ends = [int(node) for number in numbers for node in (graph.starts[number], graph.ends[number])]
    group, adjacency = reduced(graph, rest, [start, end, *ends])
    place = {node: number for number, node in enumerate(sorted(adjacency))}
    laid = [(one, other) for one, row in adjacency.items() for other in row if one < other]
    pairs = [(place[one], place[other]) for one, other in laid]
    pairs += [(place[int(group[graph.starts[n]])], place[int(group[graph.ends[n]])]) for n in numbers]
    pieces, first = [], len(laid)
    for split in which:
        count = len(network.split_numbers[split])
        own = network.splits[split]
        pieces.append(Piece(np.arange(first, first + count), totals[split], own.least, own.law))
        first += count
    fixed = np.array([1.0 / adjacency[one][other] for one, other in laid])
    small = Graph.of(len(place), pairs)
    values = np.concatenate([fixed, np.zeros(len(numbers))])
    by_number = dict(zip(which, pieces, strict=True))
    shafts = tuple(tuple(by_number[number] for number in shaft) for shaft in on_shafts(network, which))
    return Seen(small, values, shafts, place[int(group[start])], place[int(group[end])])


def least(seen: Seen) -> float:
    """Return the least that the leads see, Ω: it lies at an end of every shaft."""
    found = math.inf
    ohms = seen.ohms.copy()
    for places in product(*(range(len(shaft[0].numbers)) for shaft in seen.shafts)):
        for shaft, place in zip(seen.shafts, places, strict=True):
            for piece in shaft:
                ohms[piece.numbers] = piece.end(place)
        found = min(found, resistance(seen.graph, ohms, seen.start, seen.end))
    return found


def greatest(seen: Seen) -> float:
    """Return the most that the leads see, Ω, never too low and about a thousandth too high at most."""
    ohms = seen.ohms.copy()
    for piece in seen.pieces:
        ohms[piece.numbers] = piece.total / len(piece.numbers)
    bound = math.inf
    for _ in range(_MOST_STEPS):
        here = flow(seen.graph, ohms, seen.start, seen.end)
        if not math.isfinite(here.ohms):
            return math.inf
        slope = here.currents**2
        target = ohms.copy()
        for shaft in seen.shafts:
            place = _steepest(shaft, slope)
            for piece in shaft:
                target[piece.numbers] = piece.end(place)
        gap = float(slope @ (target - ohms))
        bound = min(bound, here.ohms + max(0.0, gap))
        if gap <= CLOSE * here.ohms:
            break
        climbed = _climb(seen, ohms, target, gap)
        if climbed is None:
            break
        ohms = climbed
    return bound


def _steepest(shaft: Sequence[Piece], slope: Ohms) -> int:
    """Return the section that, taking all it can on every pot of a shaft, raises the pair most."""
    gains = [
        math.fsum(float(slope[piece.numbers] @ piece.end(place)) for piece in shaft)
        for place in range(len(shaft[0].numbers))
    ]
    return int(np.argmax(gains))


def _climb(seen: Seen, ohms: Ohms, target: Ohms, slope: float) -> Ohms | None:
    """Return about the best point on the way to `target`, or None where there is none.

    The slope along the way falls from `slope` at its start, as the resistance is concave; where it crosses 0
    is found by the Illinois rule (M. Dowell and P. Jarratt, BIT 11, 1971).
    """

    def slope_at(part: float) -> float:
        currents = flow(seen.graph, ohms + part * way, seen.start, seen.end).currents
        return float(currents**2 @ way)

    way = target - ohms
    # At the very target a section may be 0 Ω, whose current is not told.
    near, far = (0.0, slope), (1.0 - 1e-6, slope_at(1.0 - 1e-6))
    best, moved = far[0], 0
    for _ in range(_MOST_TRIALS if far[1] < 0.0 else 0):
        best = near[0] + (far[0] - near[0]) * near[1] / (near[1] - far[1])
        here = slope_at(best)
        if abs(here) <= _FLAT * slope:
            break
        if here > 0.0:
            near, far = (best, here), (far[0], far[1] / 2 if moved > 0 else far[1])
            moved = 1
        else:
            near, far = (near[0], near[1] / 2 if moved < 0 else near[1]), (best, here)
            moved = -1
    return np.asarray(ohms + best * way) if best > 0.0 else None

"""The least and most ohms of a pair while every part roams within its limits.

Between two points of a passive network the resistance never falls when any branch rises (Rayleigh 1871), so
with independent branches the limits lie where all are low and all are high. Branches that share a total (a
pot's halves) are not independent. The resistance is a concave function of all branch ohms together, being
the least power of any flow (Thomson's principle): its least value lies at an end of each split, and its
greatest is found by the conditional-gradient method (Frank and Wolfe 1956), whose gap bounds what is still
missing, so the upper limit returned is never too low.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import product

import numpy as np
from numpy.typing import NDArray

from tracer.circuit.level_order import levels
from tracer.circuit.network import Network
from tracer.circuit.solve import Graph, Ohms, between, flow, reduced, resistance, ways
from tracer.circuit.ways import Ways

__all__ = [
    "Loose",
    "all_in_last",
    "divided",
    "from_node",
    "least_and_most",
    "on_shafts",
    "sections_at",
    "seen_whole",
    "splits_between",
]

_MOST_ENDS = 256
"""Up to so many combinations of ends of splits are all tried; beyond, a safe lower limit is taken."""
_CLOSE = 1e-3
"""How near, as a fraction, the upper limit comes to the greatest resistance."""
_MOST_STEPS = 40
_FLAT, _MOST_TRIALS = 0.05, 15
"""A step ends where its slope has fallen to this fraction, or after so many trials."""


@dataclass(frozen=True, slots=True)
class _Piece:
    """A split as branch numbers, with its total at one corner."""

    numbers: NDArray[np.int64]
    total: float
    least: float

    def end(self, place: int) -> Ohms:
        """Return the sections' ohms with all that can be in section `place`."""
        ohms = np.full(len(self.numbers), self.total * self.least)
        ohms[place] = self.total * (1.0 - self.least * (len(self.numbers) - 1))
        return ohms


def splits_between(network: Network, start: int, end: int) -> tuple[int, ...]:
    """Return the numbers of the splits (see `Network.splits`) that lie on some path between two nodes."""
    if not network.splits:
        return ()
    on_path = between(network.graph, np.isfinite(network.low), start, end)
    numbers = network.split_numbers
    return tuple(which for which, branches in enumerate(numbers) if on_path[list(branches)].any())


def divided(network: Network, ohms: Ohms, totals: Sequence[float | None], at: float) -> Ohms:
    """Return branch ohms with every split whose total is told divided at `at`.

    Parameters
    ----------
    ohms : (m,) float64
    totals : sequence of float or None
        One a split, Ω; None leaves it as it is.
    at : float
        0: as little as may be in the first section and all else in the last; 1 the other way round.
    """
    result = ohms.copy()
    for split, branches, total in zip(network.splits, network.split_numbers, totals, strict=True):
        if total is not None:
            piece = _Piece(np.array(branches, dtype=np.int64), total, split.least)
            result[piece.numbers] = at * piece.end(0) + (1.0 - at) * piece.end(len(branches) - 1)
    return result


@dataclass(frozen=True, slots=True)
class Loose:
    """Resistances of a pair with each section of each split taken as if it were independent, Ω.

    Attributes
    ----------
    low, low_full : float
        All else low; sections as small, and as large, as they may be.
    high_bare, high : float
        All else high; sections as small, and as large, as they may be.
    """

    low: float
    low_full: float
    high_bare: float
    high: float

    @property
    def near_enough(self) -> bool:
        """Whether the sections hardly matter, so that `low` and `high` serve as limits."""
        return self.low_full <= self.low * (1.0 + _CLOSE) and self.high <= self.high_bare * (1.0 + _CLOSE)


def least_and_most(network: Network, start: int, end: int, loose: Loose | None = None) -> tuple[float, float]:
    """Return the least and most resistance between two nodes, Ω, while all parts stay within their limits.

    Each limit is safe: the least is at most 0.1 % too low and never too high, the most at most 0.1 % too
    high and never too low. Beyond 256 ways to set the splits on the way to their ends the least may be lower
    than it need be, and beyond forty steps of the search the most may be higher.

    Parameters
    ----------
    loose : Loose, optional
        Where it is known already.
    """
    graph = network.graph
    which = splits_between(network, start, end)
    if not which:
        return resistance(graph, network.low, start, end), resistance(graph, network.high, start, end)
    lows = [split.total.low for split in network.splits]
    highs = [split.total.high for split in network.splits]
    low_ohms, divide_low = _wholes_set(network, network.low, lows, which, start, end)
    high_ohms, divide_high = _wholes_set(network, network.high, highs, which, start, end)
    if divide_low or divide_high:
        loose = loose or _loose(network, start, end)
        if loose.near_enough:
            return loose.low, loose.high
    if not divide_low:
        low = resistance(graph, low_ohms, start, end)
    elif (
        math.prod(len(network.split_numbers[shaft[0]]) for shaft in on_shafts(network, divide_low))
        <= _MOST_ENDS
    ):
        low = _least(_seen(network, low_ohms, divide_low, lows, start, end))
    else:
        low = loose.low if loose else 0.0
    if not divide_high:
        return low, resistance(graph, high_ohms, start, end)
    return low, _most(_seen(network, high_ohms, divide_high, highs, start, end))


def seen_whole(network: Network, along: Ways, start: int, end: int) -> tuple[int, ...]:
    """Return the splits which nothing on a way between two nodes meets between their sections.

    Of such a split the pair sees the total alone, however it is divided. A split on no way at all is one too.

    Parameters
    ----------
    along : Ways
        From `start`, along the branches that conduct.
    """
    on_way = along.to(end)
    return tuple(
        number
        for number, (middle, meet) in enumerate(network.split_middles)
        if not on_way[list(meet)].any() and not {start, end} & middle
    )


def on_shafts(network: Network, numbers: Sequence[int]) -> tuple[tuple[int, ...], ...]:
    """Return split numbers as groups that turn together; a winding, or a pot by itself, is a group of one."""
    groups: dict[object, list[int]] = {}
    for number in numbers:
        groups.setdefault(network.splits[number].shaft or number, []).append(number)
    return tuple(tuple(group) for group in groups.values())


def all_in_last(network: Network, ohms: Ohms, number: int, total: float) -> Ohms:
    """Return branch ohms with all of one split's total in its last section."""
    result = ohms.copy()
    branches = network.split_numbers[number]
    result[list(branches)] = 0.0
    result[branches[-1]] = total
    return result


def _wholes_set(
    network: Network,
    ohms: Ohms,
    totals: Sequence[float],
    which: Sequence[int],
    start: int,
    end: int,
) -> tuple[Ohms, tuple[int, ...]]:
    """Set each split of which the pair sees the total alone; return the others, whose division matters."""
    whole = seen_whole(network, ways(network.graph, np.isfinite(ohms), start), start, end)
    for number in whole:
        ohms = all_in_last(network, ohms, number, totals[number])
    return ohms, tuple(number for number in which if number not in whole)


def _loose(network: Network, start: int, end: int) -> Loose:
    low, high, low_full, high_bare = (
        resistance(network.graph, ohms, start, end) for ohms in _corners(network)
    )
    return Loose(low, low_full, high_bare, high)


def _corners(network: Network) -> list[Ohms]:
    """Return branch ohms with all low, with all high, and the other two of `Loose` where there are splits."""
    corners = [network.low, network.high]
    if network.splits:
        corners.append(sections_at(network, network.low, full=True, high=False))
        corners.append(sections_at(network, network.high, full=False, high=True))
    return corners


def from_node(networks: Sequence[Network], start: int) -> NDArray[np.float64]:
    """Return (k, 2 or 4, n) float64: Ω from one node to every node of k networks on one graph.

    For each network with all its branches low, then with all high; where it has splits, then with their
    sections full and all low, and with their sections bare and all high (`Loose`).
    """
    corners = np.array([_corners(network) for network in networks])
    flat = corners.reshape(-1, corners.shape[-1])
    order = levels(networks[0].graph, np.isfinite(flat).any(axis=0), start)
    return order.resistances(flat).reshape(*corners.shape[:2], -1)


def sections_at(network: Network, ohms: Ohms, *, full: bool, high: bool) -> Ohms:
    """Return branch ohms with every section of every split as large, or as small, as it may be.

    Sections are taken as if they were independent, which is safe for a limit and quick.
    """
    result = ohms.copy()
    for split, numbers in zip(network.splits, network.split_numbers, strict=True):
        total = split.total.high if high else split.total.low
        part = 1.0 - split.least * (len(numbers) - 1) if full else split.least
        result[list(numbers)] = total * part if part > 0.0 else 0.0
    return result


@dataclass(frozen=True, eq=False)
class _Seen:
    """What the leads and the splits' ends see of the network: all else taken out, exactly."""

    graph: Graph
    ohms: Ohms
    shafts: tuple[tuple[_Piece, ...], ...]
    start: int
    end: int

    @property
    def pieces(self) -> tuple[_Piece, ...]:
        """Every split by itself."""
        return tuple(piece for shaft in self.shafts for piece in shaft)


def _seen(
    network: Network, ohms: Ohms, which: Sequence[int], totals: Sequence[float], start: int, end: int
) -> _Seen:
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
        pieces.append(_Piece(np.arange(first, first + count), totals[split], network.splits[split].least))
        first += count
    fixed = np.array([1.0 / adjacency[one][other] for one, other in laid])
    small = Graph.of(len(place), pairs)
    values = np.concatenate([fixed, np.zeros(len(numbers))])
    by_number = dict(zip(which, pieces, strict=True))
    shafts = tuple(tuple(by_number[number] for number in shaft) for shaft in on_shafts(network, which))
    return _Seen(small, values, shafts, place[int(group[start])], place[int(group[end])])


def _least(seen: _Seen) -> float:
    found = math.inf
    ohms = seen.ohms.copy()
    for places in product(*(range(len(shaft[0].numbers)) for shaft in seen.shafts)):
        for shaft, place in zip(seen.shafts, places, strict=True):
            for piece in shaft:
                ohms[piece.numbers] = piece.end(place)
        found = min(found, resistance(seen.graph, ohms, seen.start, seen.end))
    return found


def _most(seen: _Seen) -> float:
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
        if gap <= _CLOSE * here.ohms:
            break
        climbed = _climb(seen, ohms, target, gap)
        if climbed is None:
            break
        ohms = climbed
    return bound


def _steepest(shaft: Sequence[_Piece], slope: Ohms) -> int:
    """Return the section that, taking all it can on every pot of a shaft, raises the pair most."""
    gains = [
        math.fsum(float(slope[piece.numbers] @ piece.end(place)) for piece in shaft)
        for place in range(len(shaft[0].numbers))
    ]
    return int(np.argmax(gains))


def _climb(seen: _Seen, ohms: Ohms, target: Ohms, slope: float) -> Ohms | None:
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

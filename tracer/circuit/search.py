"""The least and most ohms of a pair while every part roams within its limits.

Between two points of a passive network the resistance never falls when any branch rises (Rayleigh 1871), so
with independent branches the limits lie where all are low and all are high. Branches that share a total (a
pot's halves) are not independent: see `tracer.circuit.divisions`, and `tracer.circuit.bent` for pots of
different laws on one shaft.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from tracer.circuit.bent import least_turned, most_turned
from tracer.circuit.divisions import CLOSE, Piece, on_shafts, seen
from tracer.circuit.level_order import levels
from tracer.circuit.network import Network
from tracer.circuit.solve import Ohms, between, resistance, ways
from tracer.circuit.ways import Ways

__all__ = [
    "Loose",
    "all_in_last",
    "divided",
    "from_node",
    "least_and_most",
    "sections_at",
    "seen_whole",
    "splits_between",
]

_MOST_ENDS = 256
"""Up to so many combinations of ends of splits are all tried; beyond, a safe lower limit is taken."""


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
            piece = Piece(np.array(branches, dtype=np.int64), total, split.least)
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
        return self.low_full <= self.low * (1.0 + CLOSE) and self.high <= self.high_bare * (1.0 + CLOSE)


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
        low = least_turned(seen(network, low_ohms, divide_low, lows, start, end))
    else:
        low = loose.low if loose else 0.0
    if not divide_high:
        return low, resistance(graph, high_ohms, start, end)
    return low, most_turned(seen(network, high_ohms, divide_high, highs, start, end))


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

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

from tracer.circuit.network import Network
from tracer.circuit.solve import Ohms, between, flow, resistance

__all__ = ["divided", "least_and_most", "splits_between"]

_MOST_ENDS = 256
"""Up to so many combinations of ends of splits are all tried; beyond, a safe lower limit is taken."""
_CLOSE = 1e-3
"""How near, as a fraction, the upper limit comes to the greatest resistance."""
_MOST_STEPS = 40


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


def least_and_most(network: Network, start: int, end: int) -> tuple[float, float]:
    """Return the least and most resistance between two nodes, Ω, while all parts stay within their limits.

    The least is exact with up to eight split parts on the way, and safe beyond; the most is at most 0.1 %
    too high and never too low.
    """
    which = splits_between(network, start, end)
    if not which:
        graph = network.graph
        return resistance(graph, network.low, start, end), resistance(graph, network.high, start, end)
    lows = [_piece(network, number, network.splits[number].total.low) for number in which]
    highs = [_piece(network, number, network.splits[number].total.high) for number in which]
    return _least(network, lows, start, end), _most(network, highs, start, end)


def _piece(network: Network, which: int, total: float) -> _Piece:
    return _Piece(np.array(network.split_numbers[which], dtype=np.int64), total, network.splits[which].least)


def _least(network: Network, pieces: Sequence[_Piece], start: int, end: int) -> float:
    choices = [range(len(piece.numbers)) for piece in pieces]
    if math.prod(len(choice) for choice in choices) > _MOST_ENDS:
        return resistance(network.graph, network.low, start, end)
    found = math.inf
    ohms = network.low.copy()
    for places in product(*choices):
        for piece, place in zip(pieces, places, strict=True):
            ohms[piece.numbers] = piece.end(place)
        found = min(found, resistance(network.graph, ohms, start, end))
    return found


def _most(network: Network, pieces: Sequence[_Piece], start: int, end: int) -> float:
    ohms = network.high.copy()
    for piece in pieces:
        ohms[piece.numbers] = piece.total / len(piece.numbers)
    bound = math.inf
    for _ in range(_MOST_STEPS):
        here = flow(network.graph, ohms, start, end)
        if not math.isfinite(here.ohms):
            return math.inf
        slope = here.currents**2
        target = ohms.copy()
        for piece in pieces:
            target[piece.numbers] = piece.end(int(np.argmax(slope[piece.numbers])))
        gap = float(slope @ np.where(np.isfinite(ohms), target - np.where(np.isfinite(ohms), ohms, 0.0), 0.0))
        bound = min(bound, here.ohms + max(0.0, gap))
        if gap <= _CLOSE * here.ohms:
            break
        climbed = _climb(network, ohms, target, start, end)
        if climbed is None:
            break
        ohms = climbed
    return bound


def _climb(network: Network, ohms: Ohms, target: Ohms, start: int, end: int) -> Ohms | None:
    """Return the best point on the way to `target`, by halving where the slope changes its sign, if any."""
    finite = np.isfinite(ohms)
    way = np.where(finite, target - np.where(finite, ohms, 0.0), 0.0)
    base = np.where(finite, ohms, 0.0)
    near, far = 0.0, 1.0
    for _ in range(12):
        middle = 0.5 * (near + far)
        trial = np.where(finite, base + middle * way, np.inf)
        rising = float(flow(network.graph, trial, start, end).currents ** 2 @ way) > 0.0
        near, far = (middle, far) if rising else (near, middle)
    return np.asarray(np.where(finite, base + near * way, np.inf)) if near > 0.0 else None

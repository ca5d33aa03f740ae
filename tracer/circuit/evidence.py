"""What one reading says of every branch: the ohms each may have while all others stay within their limits.

With the others at their low corner the reading bounds a branch from above, with the others at their high
corner from below, as the resistance between two points never falls when a branch rises (Rayleigh 1871).
A branch that a passing reading bounds from above is carried: had it been open, the meter had read more.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property
from itertools import product

import numpy as np
from numpy.typing import NDArray

from tracer.circuit.elements import Circuit
from tracer.circuit.expect import expect_on, lead_node
from tracer.circuit.judge import judge
from tracer.circuit.meter import true_range
from tracer.circuit.network import Network
from tracer.circuit.results import Meter, Reading, Verdict
from tracer.circuit.search import divided, splits_between
from tracer.circuit.solve import Ohms, between, resistance
from tracer.circuit.sweep import Sweep, sweep

__all__ = ["Evidence", "carried_at", "is_joint", "low_sweeps", "weigh"]

_MARGIN = 1e-6
"""A bound must be cleared by this fraction, so that rounding proves nothing."""
_JOINT = 1.0
"""Branches of 0 Ω to this, such as wires, bonds and closed contacts, are joints (our own line)."""
_DIVIDED = 2
"""Up to so many splits that matter are tried at all their ends; further ones are left free, which is safe."""


@dataclass(frozen=True, eq=False)
class Evidence:
    """One reading, the network it was taken on, and how the pair hangs on each branch.

    Attributes
    ----------
    reading : Reading
    verdict : Verdict
    network : Network
    start, end : int
        Node numbers of the leads.
    least, most : float
        The true ohms that the shown figure may stand for; `most` is ``inf`` for OL.
    lows : tuple of Sweep
        With all else at the low corner, one for each end of the splits that matter.
    """

    reading: Reading
    verdict: Verdict
    network: Network
    start: int
    end: int
    least: float
    most: float
    lows: tuple[Sweep, ...]

    @cached_property
    def carried(self) -> NDArray[np.bool_]:
        """(m,) bool: the branches that were not open, as the reading would have shown it."""
        if self.verdict is not Verdict.PASS:
            return np.zeros(len(self.network.branches), dtype=np.bool_)
        return carried_at(self.lows, self.most)

    @cached_property
    def high(self) -> Sweep:
        """With all else at the high corner, joints at 0 Ω; see `slack`."""
        return sweep(self.network.graph, _without_joints(self.network, self._high_ohms), self.start, self.end)

    @cached_property
    def slack(self) -> float:
        """What the joints at their most add to the pair, Ω."""
        if not math.isfinite(self.high.ohms):
            return 0.0
        whole = resistance(self.network.graph, self._high_ohms, self.start, self.end)
        return max(0.0, whole - self.high.ohms)

    @cached_property
    def _high_ohms(self) -> Ohms:
        idle, _ = _splits(self.network, self.start, self.end)
        totals = [
            split.total.high if which in idle else None for which, split in enumerate(self.network.splits)
        ]
        return divided(self.network, self.network.high, totals, 0.0)

    @cached_property
    def allowed(self) -> tuple[Ohms, Ohms]:
        """The least and most ohms, (m,) float64 each, that each branch may have; NaN where none will do."""
        with np.errstate(invalid="ignore"):
            tops = np.array([low.value_for(self.most * (1.0 + _MARGIN)) for low in self.lows])
            best = np.where(np.isnan(tops), -1.0, tops).max(axis=0)
            top = np.where(best < 0.0, np.nan, best)
            least = max(0.0, self.least - self.slack) * (1.0 - _MARGIN)
            bottom = self.high.value_for(least)
            bottom = np.where(np.isnan(bottom) | (least <= self.high.shorted), 0.0, bottom)
            nothing = (least > self.high.opened) | np.isnan(top) | (bottom > top)
        return np.where(nothing, np.nan, bottom), np.where(nothing, np.nan, top)


def carried_at(lows: tuple[Sweep, ...], most: float) -> NDArray[np.bool_]:
    """Return (m,) bool: the branches that, open, would put every possible reading above `most` Ω."""
    opened = np.min([low.opened for low in lows], axis=0)
    return np.asarray(opened > most * (1.0 + _MARGIN)) & lows[0].on_path


def is_joint(network: Network) -> NDArray[np.bool_]:
    """Return (m,) bool: wires, bonds, closed contacts and the like."""
    return np.asarray((network.low == 0.0) & (network.high <= _JOINT))


def _without_joints(network: Network, ohms: Ohms) -> Ohms:
    return np.where(is_joint(network), 0.0, ohms)


def _splits(network: Network, start: int, end: int) -> tuple[set[int], list[int]]:
    """Return the splits on the way whose middle leads nowhere else, and those where the division matters."""
    idle: set[int] = set()
    matter: list[int] = []
    which = splits_between(network, start, end)
    if not which:
        return idle, matter
    graph = network.graph
    on_path = between(graph, np.isfinite(network.low), start, end)
    meeting = np.bincount(np.concatenate([graph.starts[on_path], graph.ends[on_path]]), minlength=graph.size)
    meeting[[start, end]] += 1
    for number in which:
        branches = list(network.split_numbers[number])
        middle = [int(graph.ends[branch]) for branch in branches[:-1]]
        if on_path[branches].all() and all(meeting[node] == 2 for node in middle):
            idle.add(number)
        elif len(branches) == 2:
            matter.append(number)
    return idle, matter


def low_sweeps(network: Network, start: int, end: int) -> tuple[Sweep, ...]:
    """Return how the pair hangs on each branch with all others low, at each end of the splits that matter."""
    return tuple(sweep(network.graph, ohms, start, end) for ohms in _low_corners(network, start, end))


def _low_corners(network: Network, start: int, end: int) -> Iterator[Ohms]:
    idle, matter = _splits(network, start, end)
    tried = matter[:_DIVIDED]
    for ends in product((0.0, 1.0), repeat=len(tried)):
        ohms = network.low
        for number, at in [*((each, 0.0) for each in sorted(idle)), *zip(tried, ends, strict=True)]:
            totals = [
                split.total.low if which == number else None for which, split in enumerate(network.splits)
            ]
            ohms = divided(network, ohms, totals, at)
        yield ohms


def weigh(circuit: Circuit, network: Network, reading: Reading, meter: Meter) -> Evidence:
    """Judge a reading on the network it was taken on and work out how it hangs on each branch.

    Raises
    ------
    UnknownPoint, SamePoint
        As `tracer.circuit.expect.expect`.
    """
    expectation = expect_on(network, circuit, reading.start, reading.end, meter)
    verdict = judge(expectation, reading.ohms, reading.rising, meter)
    over = math.isinf(reading.ohms) or reading.ohms > meter.top
    least, most = true_range(math.inf if over else reading.ohms, meter)
    start, end = (lead_node(network, circuit, point) for point in (reading.start, reading.end))
    return Evidence(reading, verdict, network, start, end, least, most, low_sweeps(network, start, end))

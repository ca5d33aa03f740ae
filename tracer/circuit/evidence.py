"""What one reading says of every branch: the ohms each may have while all others stay within their limits.

With the others at their low corner the reading bounds a branch from above, with the others at their high
corner from below, as the resistance between two points never falls when a branch rises (Rayleigh 1871).
A branch that a passing reading bounds from above is carried: had it been open, the meter had read more.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass, field
from functools import cached_property
from itertools import product

import numpy as np
from numpy.typing import NDArray

from tracer.circuit.elements import Circuit, Setting
from tracer.circuit.expect import lead_node
from tracer.circuit.judge import judge
from tracer.circuit.meter import shown_range, true_range
from tracer.circuit.network import Network, build_network
from tracer.circuit.results import Expectation, Meter, Open, Reading, Verdict
from tracer.circuit.search import divided, least_and_most, splits_between
from tracer.circuit.solve import Ohms
from tracer.circuit.sweep import Corner, Sweep

__all__ = ["Corners", "Evidence", "carried_at", "evidence_of", "setting_key", "weigh"]

_MARGIN = 1e-6
"""A bound must be cleared by this fraction, so that rounding proves nothing."""
_JOINT = 1.0
"""Branches of 0 Ω to this, such as wires, bonds and closed contacts, are joints (our own line)."""
_DIVIDED = 2
"""Up to so many splits that matter are tried at all their ends; further ones are left free, which is safe."""

_Ends = tuple[tuple[int, float], ...]
"""Split numbers, and the end that each stands at: 0 or 1."""


@dataclass(frozen=True, eq=False)
class Corners:
    """A network at its low and high corners, worked out once and asked for many pairs."""

    network: Network
    _lows: dict[_Ends, Corner] = field(default_factory=dict)
    _highs: dict[_Ends, tuple[Corner, Corner]] = field(default_factory=dict)
    _splits_of: dict[tuple[int, int], tuple[_Ends, tuple[int, ...]]] = field(default_factory=dict)

    @cached_property
    def joints(self) -> NDArray[np.bool_]:
        """(m,) bool: wires, bonds, closed contacts and the like."""
        return np.asarray((self.network.low == 0.0) & (self.network.high <= _JOINT))

    def lows(self, start: int, end: int) -> tuple[Corner, ...]:
        """Return the corners with all low for a pair, one for each end of the splits that matter to it."""
        idle, matter = self._splits(start, end)
        tried = self._tried(matter)
        return tuple(
            self._low((*idle, *zip(tried, ends, strict=True)))
            for ends in product((0.0, 1.0), repeat=len(tried))
        )

    def limits(self, start: int, end: int, reading: float, meter: Meter) -> tuple[float, float]:
        """Return the least and most of a pair, Ω, as near as is needed to judge a reading by them."""
        _, matter = self._splits(start, end)
        if self._tried(matter) != matter:
            return least_and_most(self.network, start, end)
        low = min(corner.resistance(start, end) for corner in self.lows(start, end))
        high = self.high(start, end)[0].resistance(start, end)
        if matter:
            # The halves in the middle are one of the cases; if that one passes already, no more is asked.
            enough = self._halved.resistance(start, end)
            least, most = shown_range(low, enough, meter)
            if least <= 0.0 or reading > most:
                return least_and_most(self.network, start, end)
            high = enough
        return low, high

    def _tried(self, matter: tuple[int, ...]) -> tuple[int, ...]:
        """Return the splits that are tried at both their ends; the others are left free."""
        return tuple(each for each in matter if len(self.network.split_numbers[each]) == 2)[:_DIVIDED]

    @cached_property
    def _halved(self) -> Corner:
        totals = [split.total.high for split in self.network.splits]
        return Corner(self.network.graph, divided(self.network, self.network.high, totals, 0.5))

    def free_low(self) -> Corner:
        """Return the corner with all low, every split left free; safe for any pair."""
        return self._low(())

    def middle(self) -> Corner:
        """Return the network at its expected values, at its high ones where none is known."""
        return self._middle

    @cached_property
    def _middle(self) -> Corner:
        network = self.network
        other = np.where(np.isfinite(network.high), network.high, network.low)
        return Corner(network.graph, np.where(np.isnan(network.expected), other, network.expected))

    def high(self, start: int, end: int) -> tuple[Corner, Corner]:
        """Return the corner with all high for a pair, and the same with its joints at 0 Ω."""
        idle, _ = self._splits(start, end)
        if idle not in self._highs:
            ohms = self._divided(self.network.high, idle, low=False)
            whole = Corner(self.network.graph, ohms)
            self._highs[idle] = whole, Corner(self.network.graph, np.where(self.joints, 0.0, ohms))
        return self._highs[idle]

    def _low(self, ends: _Ends) -> Corner:
        if ends not in self._lows:
            self._lows[ends] = Corner(self.network.graph, self._divided(self.network.low, ends, low=True))
        return self._lows[ends]

    def _divided(self, ohms: Ohms, ends: _Ends, *, low: bool) -> Ohms:
        for number, at in ends:
            total = self.network.splits[number].total
            totals = [None] * number + [total.low if low else total.high]
            totals += [None] * (len(self.network.splits) - number - 1)
            ohms = divided(self.network, ohms, totals, at)
        return ohms

    @cached_property
    def _meeting(self) -> NDArray[np.int64]:
        graph, finite = self.network.graph, np.isfinite(self.network.low)
        ends = np.concatenate([graph.starts[finite], graph.ends[finite]])
        return np.bincount(ends, minlength=graph.size)

    def _splits(self, start: int, end: int) -> tuple[_Ends, tuple[int, ...]]:
        """Return the splits whose middle leads nowhere else, and those whose division matters to a pair."""
        pair = min(start, end), max(start, end)
        if pair not in self._splits_of:
            idle = tuple((number, 0.0) for number in self._idle if not {start, end} & self._middles[number])
            others = {number for number, _ in idle} ^ set(range(len(self._middles)))
            on_path = splits_between(self.network, start, end) if others else ()
            self._splits_of[pair] = idle, tuple(number for number in on_path if number in others)
        return self._splits_of[pair]

    @cached_property
    def _middles(self) -> tuple[frozenset[int], ...]:
        """For each split the nodes between its branches."""
        ends = self.network.graph.ends
        return tuple(
            frozenset(int(ends[branch]) for branch in branches[:-1])
            for branches in self.network.split_numbers
        )

    @cached_property
    def _idle(self) -> tuple[int, ...]:
        """The splits whose middle leads nowhere else."""
        return tuple(
            number
            for number, middle in enumerate(self._middles)
            if all(self._meeting[node] == 2 for node in middle)
        )


@dataclass(frozen=True, eq=False)
class Evidence:
    """One reading, the network it was taken on, and how the pair hangs on each branch.

    Attributes
    ----------
    reading : Reading
    verdict : Verdict
    corners : Corners
        Of the network under the reading's setting.
    start, end : int
        Node numbers of the leads.
    least, most : float
        The true ohms that the shown figure may stand for; `most` is ``inf`` for OL.
    """

    reading: Reading
    verdict: Verdict
    corners: Corners
    start: int
    end: int
    least: float
    most: float

    @property
    def network(self) -> Network:
        """The network under the reading's setting."""
        return self.corners.network

    @cached_property
    def lows(self) -> tuple[Sweep, ...]:
        """With all else at the low corner, one for each end of the splits that matter."""
        return tuple(corner.pair(self.start, self.end) for corner in self.corners.lows(self.start, self.end))

    @cached_property
    def high(self) -> Sweep:
        """With all else at the high corner, joints at 0 Ω; see `slack`."""
        return self.corners.high(self.start, self.end)[1].pair(self.start, self.end)

    @cached_property
    def slack(self) -> float:
        """What the joints at their most add to the pair, Ω."""
        whole = self.corners.high(self.start, self.end)[0].resistance(self.start, self.end)
        return max(0.0, whole - self.high.ohms) if math.isfinite(whole) else 0.0

    @cached_property
    def carried(self) -> NDArray[np.bool_]:
        """(m,) bool: the branches that were not open, as the reading would have shown it."""
        if self.verdict is not Verdict.PASS:
            return np.zeros(len(self.network.branches), dtype=np.bool_)
        return carried_at(self.lows, self.most)

    @cached_property
    def allowed(self) -> tuple[Ohms, Ohms]:
        """The least and most ohms, (m,) float64 each, that each branch may have; NaN where none will do."""
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
    total = max(low.ohms for low in lows)
    return np.asarray((opened > most * (1.0 + _MARGIN)) & (opened > total * (1.0 + _MARGIN)))


def weigh(
    circuit: Circuit, corners: Corners, reading: Reading, meter: Meter, known: Expectation | None = None
) -> Evidence:
    """Judge a reading on the network it was taken on and work out how it hangs on each branch.

    Parameters
    ----------
    circuit : Circuit
    corners : Corners
        Of the network under the reading's setting.
    reading : Reading
    meter : Meter
    known : Expectation, optional
        What `tracer.circuit.expect` gave for the pair already.

    Raises
    ------
    UnknownPoint
        A lead's point is not in the circuit.
    """
    start, end = (lead_node(corners.network, circuit, point) for point in (reading.start, reading.end))
    expectation = known or _limits(corners, reading, start, end, meter)
    verdict = judge(expectation, reading.ohms, reading.rising, meter)
    over = math.isinf(reading.ohms) or reading.ohms > meter.top
    least, most = true_range(math.inf if over else reading.ohms, meter)
    return Evidence(reading, verdict, corners, start, end, least, most)


def _limits(corners: Corners, reading: Reading, start: int, end: int, meter: Meter) -> Expectation:
    """Return what `tracer.circuit.expect` would, as far as a verdict needs it."""
    low, high = corners.limits(start, end, reading.ohms, meter)
    least, most = shown_range(low, high, meter)
    is_open = Open.ALWAYS if least > meter.top else Open.NEVER if most <= meter.top else Open.MAYBE
    return Expectation(reading.start, reading.end, low, None, high, least, most, is_open, 0.0, ())


def setting_key(setting: Setting) -> tuple[object, ...]:
    """Return a setting as a key, the same for equal settings."""
    banks, wipers = sorted(setting.banks.items()), sorted(setting.wipers.items())
    return tuple(banks), setting.out, setting.lifted, tuple(wipers)


def evidence_of(circuit: Circuit, readings: Iterable[Reading], meter: Meter) -> tuple[Evidence, ...]:
    """Weigh every reading; the network of each setting is built once.

    Raises
    ------
    UnknownPoint, UnknownPosition, BadValue, BadWiring
        As `tracer.circuit.expect.expect`.
    """
    made: dict[tuple[object, ...], Corners] = {}
    result = []
    for reading in readings:
        key = setting_key(reading.setting)
        if key not in made:
            made[key] = Corners(build_network(circuit, reading.setting, meter))
        result.append(weigh(circuit, made[key], reading, meter))
    return tuple(result)

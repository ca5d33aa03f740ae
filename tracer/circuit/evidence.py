"""What one reading says of every branch: the ohms each may have while all others stay within their limits.

With the others at their low corner the reading bounds a branch from above, with the others at their high
corner from below, as the resistance between two points never falls when a branch rises (Rayleigh 1871).
A branch that a passing reading bounds from above is carried: had it been open, the meter had read more.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from tracer.circuit.corners import Corners
from tracer.circuit.elements import Circuit, Setting
from tracer.circuit.expect import lead_node
from tracer.circuit.judge import judge
from tracer.circuit.meter import shown_range, true_range
from tracer.circuit.network import Network, build_network
from tracer.circuit.results import Expectation, Meter, Open, Reading, Verdict
from tracer.circuit.solve import Ohms
from tracer.circuit.stand import bank_positions
from tracer.circuit.sweep import Sweep

__all__ = ["Evidence", "Weighing", "carried_at", "setting_key", "weigh"]

_BEARS = 1e-3
"""Amperes out of one from which on an unknown value counts."""
_MARGIN = 1e-6
"""A bound must be cleared by this fraction, so that rounding proves nothing."""


@dataclass(frozen=True, eq=False)
class Evidence:
    """One reading, the network it was taken on, and how the pair hangs on each branch.

    Attributes
    ----------
    reading : Reading
    verdict : Verdict
    corners : Corners
        Of the network under the reading's setting, as its leads see it.
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
        return self.corners.low_sweeps(self.start, self.end)

    @cached_property
    def high(self) -> Sweep:
        """With all else at the high corner, joints at 0 Ω; see `slack`."""
        return self.corners.high_sweep(self.start, self.end)

    @cached_property
    def middle(self) -> Sweep:
        """With all else at its expected value; see `Corners.middle`."""
        return self.corners.middle().pair(self.start, self.end)

    @cached_property
    def spread(self) -> float:
        """How much of its limits the pair is likely to use, 0 to 1: where many parts share it, little.

        The root of the sum of the squares of what each part's tolerance does to the pair, over their plain
        sum (Tellegen's theorem; JCGM 100:2008, 5.1.2); 1 where an unknown value bears on it.
        """
        network, corner = self.network, self.corners.middle()
        flows = np.isfinite(corner.ohms) & (corner.ohms > 0.0)
        drop = corner.volts_across(self.start, self.end)
        current = np.divide(drop, corner.ohms, out=np.zeros_like(drop), where=flows)
        if (np.isnan(network.expected) & (np.abs(current) > _BEARS)).any():
            return 1.0
        width = np.where(np.isfinite(network.high), network.high, 0.0)
        width = np.maximum(0.0, width - np.where(width > 0.0, network.low, 0.0))
        each = current**2 * width
        return float(np.sqrt((each**2).sum()) / each.sum()) if each.any() else 1.0

    @cached_property
    def slack(self) -> float:
        """What the joints at their most add to the pair, Ω."""
        whole = self.corners.highest(self.start, self.end)
        return max(0.0, whole - self.high.ohms) if math.isfinite(whole) else 0.0

    @cached_property
    def carried(self) -> NDArray[np.bool_]:
        """(m,) bool: the branches that were not open, as the reading would have shown it."""
        if self.verdict is not Verdict.PASS:
            return np.zeros(len(self.network.branches), dtype=np.bool_)
        return carried_at(self.lows, self.most)

    @cached_property
    def parted(self) -> NDArray[np.bool_]:
        """(m,) bool: the open branches that were not closed, as the reading would have shown it."""
        if self.verdict is not Verdict.PASS:
            return np.zeros(len(self.network.branches), dtype=np.bool_)
        return np.asarray(np.isinf(self.network.low) & (self.high.shorted < self._least))

    @cached_property
    def allowed(self) -> tuple[Ohms, Ohms]:
        """The least and most ohms, (m,) float64 each, that each branch may have; NaN where none will do."""
        top = _highest([low.value_for(self.most * (1.0 + _MARGIN)) for low in self.lows])
        bottom = self.high.value_for(self._least)
        bottom = np.where(np.isnan(bottom) | (self._least <= self.high.shorted), 0.0, bottom)
        nothing = (self._least > self.high.opened) | np.isnan(top) | (bottom > top)
        return np.where(nothing, np.nan, bottom), np.where(nothing, np.nan, top)

    @cached_property
    def totals(self) -> Mapping[int, tuple[float, float]]:
        """The least and most ohms that each split of which the pair sees the total alone may have in all."""
        floating = self.corners.floating(self.start, self.end)
        if not floating:
            return {}
        tight = self.corners.high(self.start, self.end)[1].pair(self.start, self.end)
        bottoms = tight.value_for(self._least)
        result = {}
        for number in floating:
            here = self.network.split_numbers[number][-1]
            top = self._most_total(number)
            bottom = float(bottoms[here])
            if math.isnan(bottom) or self._least <= tight.shorted[here]:
                bottom = 0.0
            if self._least <= tight.opened[here] and bottom <= top:
                result[number] = bottom, top
        return result

    def _most_total(self, number: int) -> float:
        """Return the most that a split may have in all, at the end of its division that allows most, Ω."""
        branches = list(self.network.split_numbers[number])
        found = []
        ends = self.corners.low_ends(self.start, self.end)
        corners = self.corners.lows(self.start, self.end)
        for stands, corner, low in zip(ends, corners, self.lows, strict=True):
            if number not in dict(stands):
                return math.inf
            here = branches[0] if dict(stands)[number] else branches[-1]
            others = corner.ohms[branches].sum() - corner.ohms[here]
            found.append(low.value_for(self.most * (1.0 + _MARGIN))[[here]] + others)
        return float(_highest(found)[0])

    @property
    def _least(self) -> float:
        """The least true ohms less what joints at their most may add, Ω."""
        return max(0.0, self.least - self.slack) * (1.0 - _MARGIN)


def _highest(values: Sequence[Ohms]) -> Ohms:
    """Return the most of each, passing over NaN; NaN where there is nothing else."""
    table = np.array(values)
    best = np.where(np.isnan(table), -1.0, table).max(axis=0)
    return np.where(best < 0.0, np.nan, best)


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
    seen = corners.facing(start, end)
    expectation = known or _limits(seen, reading, start, end, meter)
    verdict = judge(expectation, reading.ohms, reading.rising, meter)
    over = math.isinf(reading.ohms) or reading.ohms > meter.top
    least, most = true_range(math.inf if over else reading.ohms, meter)
    return Evidence(reading, verdict, seen, start, end, least, most)


def _limits(corners: Corners, reading: Reading, start: int, end: int, meter: Meter) -> Expectation:
    """Return what `tracer.circuit.expect` would, as far as a verdict needs it."""
    low, high = corners.limits(start, end, reading.ohms, meter)
    least, most = shown_range(low, high, meter)
    is_open = Open.ALWAYS if least > meter.top else Open.NEVER if most <= meter.top else Open.MAYBE
    return Expectation(reading.start, reading.end, low, None, high, least, most, is_open, 0.0, ())


_Key = tuple[object, ...]


def setting_key(circuit: Circuit, setting: Setting) -> _Key:
    """Return a setting as a key, the same for settings that come to the same.

    Raises
    ------
    UnknownPosition
        It names a bank or position that the circuit has not.
    """
    banks = [(name, *sorted(at)) for name, at in bank_positions(circuit, setting).items()]
    return tuple(banks), setting.out, setting.lifted, tuple(sorted(setting.wipers.items()))


@dataclass(frozen=True, eq=False)
class Weighing:
    """A circuit, a meter, and all readings weighed with them so far.

    Hand one on from call to call (`prove`, `plan`, `explain`) and nothing is worked out twice; `kept` is for
    what others work out from it alone.
    """

    circuit: Circuit
    meter: Meter = field(default_factory=Meter)
    kept: dict[object, object] = field(default_factory=dict)
    _corners: dict[_Key, Corners] = field(default_factory=dict)
    _evidence: dict[_Key, Evidence] = field(default_factory=dict)

    @classmethod
    def of(cls, circuit: Circuit, meter: Meter | None, known: Weighing | None = None) -> Weighing:
        """Return `known` where it is of the same circuit and meter, else a new one."""
        meter = meter or Meter()
        fits = known is not None and known.circuit == circuit and known.meter == meter
        return known if known is not None and fits else cls(circuit, meter)

    def corners(self, setting: Setting) -> Corners:
        """Return the corners of the network under a setting.

        Raises
        ------
        UnknownPosition, BadValue, BadWiring
            As `build_network`.
        """
        key = setting_key(self.circuit, setting)
        if key not in self._corners:
            self._corners[key] = Corners(build_network(self.circuit, setting, self.meter))
        return self._corners[key]

    def evidence(self, reading: Reading, expectation: Expectation | None = None) -> Evidence:
        """Return a reading weighed; `expectation` is what `expect` gave for its pair, if known.

        Raises
        ------
        UnknownPoint, UnknownPosition, BadValue, BadWiring
            As `tracer.circuit.expect.expect`.
        """
        setting = setting_key(self.circuit, reading.setting)
        shown = reading.ohms, reading.rising, reading.number
        key = (reading.start, reading.end, *shown, setting)
        if key not in self._evidence:
            corners = self.corners(reading.setting)
            self._evidence[key] = weigh(self.circuit, corners, reading, self.meter, expectation)
        return self._evidence[key]

    def all(self, readings: Iterable[Reading]) -> tuple[Evidence, ...]:
        """Return every reading weighed; see `evidence`."""
        return tuple(self.evidence(reading) for reading in readings)

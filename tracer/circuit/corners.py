"""A network at its corners: every part at its least, its most or its expected ohms, for any pair of leads.

The unknown division of a pot or a tapped winding (a split) matters to a pair only where something meets it
between its sections. Elsewhere the pair sees the total alone, and the whole of it may stand in one section.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import cached_property
from itertools import product

import numpy as np
from numpy.typing import NDArray

from tracer.circuit.bent import bent
from tracer.circuit.divisions import on_shafts
from tracer.circuit.meter import shown_range
from tracer.circuit.network import Network
from tracer.circuit.polarity import blocked_junctions, with_blocked
from tracer.circuit.results import Meter
from tracer.circuit.search import all_in_last, divided, least_and_most, seen_whole
from tracer.circuit.solve import Ohms, resistance, ways
from tracer.circuit.sweep import Corner, Sweep
from tracer.circuit.ways import Ways

__all__ = ["Corners", "Ends"]

_JOINT = 1.0
"""Branches of 0 Ω to this, such as wires, bonds and closed contacts, are joints (our own line)."""
_SMALL = 1e-3
"""A share of joints below which they are simply added up."""
_SAME = 0.01
"""An unknown value that moves the expected ohms by no more than this fraction is passed over."""
_DIVIDED = 2
"""Up to so many splits that matter are tried at all their ends; further ones are left free, which is safe."""

Ends = tuple[tuple[int, float | None], ...]
"""Split numbers, and the end that each stands at, 0 or 1; None where all of it stands in the last section."""


@dataclass(frozen=True, eq=False)
class Corners:
    """A network at its corners, worked out once and asked for many pairs.

    Attributes
    ----------
    network : Network
    base : Corners or None
        Those of the same network with no junction blocked; None where this is it.
    """

    network: Network
    base: Corners | None = None
    _faced: dict[tuple[int, ...], Corners] = field(default_factory=dict)
    _lows: dict[Ends, Corner] = field(default_factory=dict)
    _highs: dict[Ends, tuple[Corner, Corner]] = field(default_factory=dict)
    _middles_at: dict[Ends, Corner] = field(default_factory=dict)
    _mosts: dict[tuple[int, int], float] = field(default_factory=dict)
    _ways: dict[tuple[str, int], Ways] = field(default_factory=dict)

    def facing(self, start: int, end: int) -> Corners:
        """Return the corners of the network as leads on two nodes see it, the positive one on `start`.

        A junction that they cannot drive forward has its blocked limits (`tracer.circuit.polarity`).
        """
        base = self.base or self
        blocked = blocked_junctions(base.network, start, end)
        if not blocked:
            return base
        if blocked not in base._faced:
            base._faced[blocked] = Corners(with_blocked(base.network, blocked), base)
        return base._faced[blocked]

    @cached_property
    def joints(self) -> NDArray[np.bool_]:
        """(m,) bool: wires, bonds, closed contacts and the like."""
        return np.asarray((self.network.low == 0.0) & (self.network.high <= _JOINT))

    def low_ends(self, start: int, end: int) -> tuple[Ends, ...]:
        """Return the ways to set the splits that matter to a pair to their ends, one for each of `lows`."""
        idle = self._alone("low", start, end)
        tried = self._tried(tuple(number for number in range(len(self.network.splits)) if number not in idle))
        shafts = on_shafts(self.network, tried)
        return tuple(
            (
                *((number, None) for number in idle),
                *((number, at) for shaft, at in zip(shafts, ends, strict=True) for number in shaft),
            )
            for ends in product((0.0, 1.0), repeat=len(shafts))
        )

    def lows(self, start: int, end: int) -> tuple[Corner, ...]:
        """Return the corners with all low for a pair, one for each end of the splits that matter to it."""
        return tuple(self.low(ends) for ends in self.low_ends(start, end))

    def low_sweeps(self, start: int, end: int) -> tuple[Sweep, ...]:
        """Return the pair with all else low, each branch in turn opened and shorted, one for each of `lows`.

        A branch that is open at the low corner may, if it conducts after all, meet the middle of a split; for
        such a branch the sections count as independent, which is safe.
        """
        tight = tuple(corner.pair(start, end) for corner in self.lows(start, end))
        use = np.isfinite(self.network.low)
        if not self.network.splits or use.all():
            return tight
        loose = self.free_low().pair(start, end)
        return tuple(_joined(each, loose, use) for each in tight)

    def limits(self, start: int, end: int, reading: float, meter: Meter) -> tuple[float, float]:
        """Return the least and most of a pair, Ω, as near as is needed to judge a reading by them."""
        idle = self._alone("low", start, end)
        matter = tuple(number for number in range(len(self.network.splits)) if number not in idle)
        if self._tried(matter) != matter:
            return least_and_most(self.network, start, end)
        low = self.lowest(start, end)
        high = self._enough(start, end, reading, meter)
        if not set(matter) <= set(self.floating(start, end)):
            # The halves in the middle are one of the cases; if that one passes already, no more is asked.
            enough = self._halved.resistance(start, end)
            least, most = shown_range(low, enough, meter)
            if least <= 0.0 or reading > most:
                return least_and_most(self.network, start, end)
            high = enough
        return low, high

    def _enough(self, start: int, end: int, reading: float, meter: Meter) -> float:
        """Return the most of a pair as near as is needed to judge a reading by it, Ω."""
        whole, tight = self.high(start, end)
        least, most = tight.resistance(start, end), self.highest(start, end)
        bounds = [shown_range(0.0, high, meter)[1] for high in (least, most)]
        told = [(bound <= meter.top, reading <= bound) for bound in bounds]
        if told[0] == told[1] or not np.isfinite(most):
            return most
        return self._whole(whole, start, end)

    def free_low(self) -> Corner:
        """Return the corner with all low, every split left free; safe for any pair."""
        return self.low(())

    def middle(self, ends: Ends = ()) -> Corner:
        """Return the network at its expected values, at its high ones where none is known.

        Splits of known total are halved, those in `ends` stand at that end.
        """
        if ends not in self._middles_at:
            network = self.network
            halved = divided(network, network.expected, self._expected_totals, 0.5)
            for number, at in ends:
                halved = self._at(halved, number, at, self._expected_totals[number])
            other = np.where(np.isfinite(network.high), network.high, network.low)
            self._middles_at[ends] = Corner(network.graph, np.where(np.isnan(halved), other, halved))
        return self._middles_at[ends]

    def nominal(self, start: int, end: int) -> float | None:
        """Return the ohms of a pair with all at their expected values; None where an unknown one decides."""
        found = [corner.resistance(start, end) for corner in self._nominal_cases]
        low, high = min(found), max(found)
        known = low == high or (np.isfinite(high) and high - low <= _SAME * high)
        return found[0] if known else None

    @cached_property
    def _nominal_cases(self) -> tuple[Corner, ...]:
        network = self.network
        places = (0.5, 0.0, 1.0) if any(total is not None for total in self._expected_totals) else (0.5,)
        cases = []
        for at in places:
            base = divided(network, network.expected, self._expected_totals, at)
            untold = np.isnan(base)
            for fill in (network.low, network.high) if untold.any() else (network.low,):
                cases.append(Corner(network.graph, np.where(untold, fill, base)))
        return tuple(cases)

    def high(self, start: int, end: int) -> tuple[Corner, Corner]:
        """Return the corner with all high for a pair, and the same with its joints at 0 Ω."""
        return self._high(tuple((number, None) for number in self.floating(start, end)))

    def highest(self, start: int, end: int) -> float:
        """Return the most that a pair can be, Ω: never too little, and at most a thousandth too much."""
        whole, tight = self.high(start, end)
        parts = tight.resistance(start, end)
        joints = tight.joint_ohms(start, end, self._joint_most)
        # Joints side by side share the current; where they make much of it, that counts.
        if not np.isfinite(parts) or joints <= _SMALL * parts:
            return parts + joints
        return self._whole(whole, start, end)

    def _whole(self, whole: Corner, start: int, end: int) -> float:
        """Return a pair with all high, joints among them, Ω; kept, as it is dear."""
        pair = start, end
        if pair not in self._mosts:
            self._mosts[pair] = resistance(whole.graph, whole.ohms, start, end)
        return self._mosts[pair]

    def lowest(self, start: int, end: int) -> float:
        """Return the least that a pair can be, Ω."""
        return min(corner.resistance(start, end) for corner in self.lows(start, end))

    @cached_property
    def _joint_most(self) -> Ohms:
        return np.where(self.joints, self.network.high, 0.0)

    def high_sweep(self, start: int, end: int) -> Sweep:
        """Return the pair with all else high and joints at 0 Ω, each branch in turn opened and shorted.

        A branch that is open at the high corner may, if it conducts, meet the middle of a split; for such a
        branch, and for the sections themselves, the sections count as independent, which is safe.
        """
        tight = self.high(start, end)[1].pair(start, end)
        if not self.network.splits:
            return tight
        use = np.isfinite(self.network.high)
        use[[branch for branches in self.network.split_numbers for branch in branches]] = False
        return _joined(tight, self._high(())[1].pair(start, end), use)

    def floating(self, start: int, end: int) -> tuple[int, ...]:
        """Return the splits of which a pair sees the total alone once all that may be open is open."""
        return self._alone("high", start, end)

    def floating_in_middle(self, start: int, end: int) -> tuple[int, ...]:
        """Return the splits of which a pair sees the total alone with every part at its expected value."""
        return self._alone("middle", start, end)

    def _tried(self, matter: tuple[int, ...]) -> tuple[int, ...]:
        """Return the splits that are tried at both their ends; the others are left free."""
        splits, shafts = self.network.splits, on_shafts(self.network, range(len(self.network.splits)))
        bends = {each for shaft in shafts if bent(splits[each].law for each in shaft) for each in shaft}
        two = (each for each in matter if len(self.network.split_numbers[each]) == 2 and each not in bends)
        return tuple(two)[:_DIVIDED]

    @cached_property
    def _expected_totals(self) -> list[float | None]:
        untold = np.isnan(self.network.expected)
        return [
            split.total.expected if untold[list(numbers)].all() else None
            for split, numbers in zip(self.network.splits, self.network.split_numbers, strict=True)
        ]

    @cached_property
    def _halved(self) -> Corner:
        totals = [split.total.high for split in self.network.splits]
        return Corner(self.network.graph, divided(self.network, self.network.high, totals, 0.5))

    def low(self, ends: Ends) -> Corner:
        """Return the corner with all low and splits at the ends told (see `low_ends`); others left free."""
        if ends not in self._lows:
            ohms = self.network.low
            for number, at in ends:
                ohms = self._at(ohms, number, at, self.network.splits[number].total.low)
            self._lows[ends] = Corner(self.network.graph, ohms)
        return self._lows[ends]

    def _high(self, ends: Ends) -> tuple[Corner, Corner]:
        if ends not in self._highs:
            ohms = self.network.high
            for number, at in ends:
                ohms = self._at(ohms, number, at, self.network.splits[number].total.high)
            whole = Corner(self.network.graph, ohms)
            self._highs[ends] = whole, Corner(self.network.graph, np.where(self.joints, 0.0, ohms))
        return self._highs[ends]

    def _at(self, ohms: Ohms, number: int, at: float | None, total: float | None) -> Ohms:
        """Return branch ohms with one split at an end, or all in its last section."""
        if total is None:
            return ohms
        if at is None:
            return all_in_last(self.network, ohms, number, total)
        totals: list[float | None] = [None] * len(self.network.splits)
        totals[number] = total
        return divided(self.network, ohms, totals, at)

    def _alone(self, corner: str, start: int, end: int) -> tuple[int, ...]:
        """Return the splits of which a pair sees the total alone at a corner: low, high or middle."""
        if not self.network.splits:
            return ()
        if (corner, start) not in self._ways:
            middle = corner == "middle"
            ohms = self.middle().ohms if middle else getattr(self.network, corner)
            self._ways[corner, start] = ways(self.network.graph, np.isfinite(ohms), start)
        return seen_whole(self.network, self._ways[corner, start], start, end)


def _joined(one: Sweep, other: Sweep, use: NDArray[np.bool_]) -> Sweep:
    """Return a sweep that holds the one's branches where `use` says so, else the other's."""
    return Sweep(
        one.ohms,
        np.where(use, one.opened, other.opened),
        np.where(use, one.shorted, other.shorted),
        np.where(use, one.across, other.across),
    )

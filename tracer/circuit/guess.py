"""One possible cause of a reading while the causes are being weighed, and the case it belongs to."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from scipy.special import erf

from tracer.circuit.corners import Corners
from tracer.circuit.elements import Circuit, Element, Setting
from tracer.circuit.evidence import Evidence
from tracer.circuit.meter import shown_range
from tracer.circuit.priors import Priors
from tracer.circuit.results import CauseKind, Meter, Reading
from tracer.circuit.settle import settling_seconds
from tracer.circuit.solve import Ohms
from tracer.circuit.sweep import Sweep

__all__ = ["Case", "Guess", "chance", "chances"]

_ALIKE = 0.9
"""From this spread on, one part makes nearly all of the range, and all of it is alike."""
_LEAST_SIDE = 0.25
"""The range on the narrower side of the middle counts for at least this part of the wider one."""
_WIDE = 0.1
"""A part of the chance that is spread over all of the range, as no middle is quite to be trusted."""
_TOP = 1e12
"""Ω taken for open when ohms are weighed on a logarithmic scale."""


@dataclass(frozen=True, slots=True)
class Guess:
    """A possible cause.

    Attributes
    ----------
    kind : CauseKind
    prior : float
        How likely it is before any reading, as a relative figure.
    likely : float
        How likely it makes what was read.
    says : str
        One sentence.
    element : str or None
    branches : tuple of int
        The branches that the cause changes.
    value : float or None
        Ω that they would have to be; ``inf`` for open.
    setting : Setting or None
        For a bank that stands elsewhere.
    join : (int, int) or None
        Nodes that are joined after all.
    also : str or None
        The element of a second cause beside it.
    """

    kind: CauseKind
    prior: float
    likely: float
    says: str
    element: str | None = None
    branches: tuple[int, ...] = ()
    value: float | None = None
    setting: Setting | None = None
    join: tuple[int, int] | None = None
    also: str | None = None

    @property
    def weight(self) -> float:
        """Prior times likelihood; not yet shared out."""
        return self.prior * self.likely


@dataclass(frozen=True, eq=False)
class Case:
    """A reading to be explained, with all that the causes ask of the network."""

    circuit: Circuit
    reading: Reading
    meter: Meter
    evidence: Evidence
    priors: Priors
    doubtful: frozenset[str]

    @property
    def corners(self) -> Corners:
        """The network at its corners."""
        return self.evidence.corners

    @property
    def start(self) -> int:
        """The node of the first lead."""
        return self.evidence.start

    @property
    def end(self) -> int:
        """The node of the second lead."""
        return self.evidence.end

    @cached_property
    def elements(self) -> Mapping[str, Element]:
        """Every element by its reference."""
        return {element.reference: element for element in self.circuit.elements}

    @property
    def middle(self) -> Sweep:
        """The pair with all else at its expected value."""
        return self.evidence.middle

    @cached_property
    def values(self) -> tuple[Ohms, Ohms, Ohms]:
        """(m,) float64 each: the ohms of each branch that would explain the least, the shown and the most
        that the reading may stand for, all else as expected; see `Sweep.value_for`."""
        least, most = self.evidence.least, self.evidence.most
        low, shown, high = (self.middle.value_for(each) for each in (least, self.reading.ohms, most))
        return np.where(least <= self.middle.shorted, 0.0, low), shown, high

    @cached_property
    def volts(self) -> Ohms:
        """(m,) float64: volts from each branch's start to its end for 1 A in at the positive lead."""
        return self.corners.middle().volts_across(self.start, self.end)

    def drives_forward(self, number: int) -> bool:
        """Tell whether the leads drive a polarised branch the way it is meant to be driven."""
        volts = float(self.volts[number])
        return volts <= 0.0 if self.meter.reversed_leads else volts >= 0.0

    @cached_property
    def opened(self) -> tuple[Ohms, Ohms]:
        """(m,) float64 each: the least and most the pair can be with each branch open."""
        low = np.min([each.opened for each in self.evidence.lows], axis=0)
        # An open branch can but raise a reading (Rayleigh), also where sections were taken for independent.
        return np.maximum(low, self.limits[0]), self.evidence.high.opened + self.evidence.slack

    @cached_property
    def shorted(self) -> tuple[Ohms, Ohms]:
        """(m,) float64 each: the least and most the pair can be with each branch at 0 Ω."""
        low = np.min([each.shorted for each in self.evidence.lows], axis=0)
        high = np.minimum(self.evidence.high.shorted, self.evidence.high.ohms)
        return low, high + self.evidence.slack

    @cached_property
    def limits(self) -> tuple[float, float]:
        """The least and most the pair can be with nothing amiss."""
        low = min(each.ohms for each in self.evidence.lows)
        return low, self.evidence.high.ohms + self.evidence.slack

    @cached_property
    def settles(self) -> float:
        """How long the reading climbs, s."""
        return settling_seconds(self.evidence.network, self.start, self.end, self.meter)

    @cached_property
    def is_open(self) -> bool:
        """Whether the meter should show OL whatever the parts have."""
        return shown_range(self.limits[0], self.limits[0], self.meter)[0] > self.meter.top

    def prior(self, figure: float, part: str) -> float:
        """Return a part's prior, raised where it is doubtful already."""
        return figure * (self.priors.doubtful_times if part in self.doubtful else 1.0)

    def chance(self, low: float, high: float, middle: float = math.nan) -> float:
        """Return how likely the reading is if the pair is from `low` to `high` Ω, `middle` as told."""
        evidence = self.evidence
        return chance(low, high, evidence.least, evidence.most, middle, evidence.spread)

    def if_open(self, number: int) -> float:
        """Return how likely the reading is if a branch is open."""
        low, high = (float(side[number]) for side in self.opened)
        return self.chance(low, high, float(self.middle.opened[number]))

    def if_shorted(self, number: int) -> float:
        """Return how likely the reading is if a branch is at 0 Ω."""
        low, high = (float(side[number]) for side in self.shorted)
        return self.chance(low, high, float(self.middle.shorted[number]))


def chance(
    low: float, high: float, least: float, most: float, middle: float = math.nan, spread: float = 1.0
) -> float:
    """Return how likely a pair that may be `low` … `high` is within `least` … `most`, on a logarithmic scale.

    Parameters
    ----------
    low, high : float
        Ω at least and at most.
    least, most : float
    middle : float
        Ω expected; where it is not known all of the range is alike.
    spread : float
        How much of the range is likely to be used; see `Evidence.spread`.

    Examples
    --------
    >>> chance(1e3, 1e5, 1e3, 1e4) > 0.49, chance(1e3, 1e4, 1e5, 1e6)
    (True, 0.0)
    >>> chance(1e3, 1e5, 9e3, 11e3) < chance(1e3, 1e5, 9e3, 11e3, middle=1e4, spread=0.2)
    True
    """
    if math.isnan(low) or math.isnan(high) or low > most or high < least:
        return 0.0
    bottom, top, first, last = (math.log10(min(ohms, _TOP) + 1.0) for ohms in (low, high, least, most))
    first, last, width = max(first, bottom), min(last, top), top - bottom
    if width <= 0.0:
        return 1.0
    alike = max(0.0, min(1.0, (last - first) / width))
    if spread >= _ALIKE or not low <= middle <= high:
        return alike
    centre = math.log10(min(middle, _TOP) + 1.0)
    sides = sorted((centre - bottom, top - centre))
    sigma = math.sqrt(2.0) * spread * max(sides[0], _LEAST_SIDE * sides[1]) / math.sqrt(3.0)
    ends = [math.erf((end - centre) / sigma) for end in (first, last, bottom, top)]
    return _WIDE * alike + (1.0 - _WIDE) * max(0.0, ends[1] - ends[0]) / (ends[3] - ends[2])


def chances(
    low: Ohms, high: Ohms, least: float, most: float, middle: Ohms | None = None, spread: float = 1.0
) -> Ohms:
    """Return `chance` for each of several pairs of limits, all of one shape, float64."""
    bottom, top = (np.log10(np.minimum(side, _TOP) + 1.0) for side in (low, high))
    first, last = (math.log10(min(ohms, _TOP) + 1.0) for ohms in (least, most))
    one, other, width = np.maximum(first, bottom), np.minimum(last, top), top - bottom
    with np.errstate(divide="ignore", invalid="ignore"):
        alike = np.where(width > 0.0, np.clip((other - one) / width, 0.0, 1.0), 1.0)
        found = alike
        if middle is not None and spread < _ALIKE:
            centre = np.log10(np.minimum(middle, _TOP) + 1.0)
            sides = centre - bottom, top - centre
            narrow = np.maximum(np.minimum(*sides), _LEAST_SIDE * np.maximum(*sides))
            sigma = math.sqrt(2.0) * spread * narrow / math.sqrt(3.0)
            ends = [erf((end - centre) / sigma) for end in (one, other, bottom, top)]
            bell = np.maximum(0.0, ends[1] - ends[0]) / (ends[3] - ends[2])
            told = (width > 0.0) & (low <= middle) & (middle <= high) & (sigma > 0.0)
            found = np.where(told, _WIDE * alike + (1.0 - _WIDE) * bell, alike)
    inside = ~(np.isnan(low) | np.isnan(high) | (low > most) | (high < least))
    return np.where(inside, found, 0.0)

"""Several readings of one set hang together: they go through the same parts, each of which has one value.

What a part's tolerance does to a reading is its sensitivity i² (Tellegen's theorem) times the standard
deviation of its value; readings that share parts have a covariance (JCGM 102:2011, 6.2: the law of
propagation with several outputs). A fault of one branch changes all currents by a change of rank one, so that
the chance of all readings at once is a normal density for every value that the fault may leave.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from tracer.circuit.evidence import Evidence
from tracer.circuit.results import Verdict
from tracer.circuit.solve import Ohms

__all__ = ["Together"]

_EVEN = math.sqrt(12.0)
"""The width of an even distribution over its standard deviation."""
_BENT = 0.005
"""A fraction of each reading that straight lines may be out by (our own line)."""
_UNKNOWN = 0.01
"""A value of which nothing is known may make this fraction of a reading for it to be laid with others."""
_OHM = 0.5
"""Ω added to every figure before its logarithm is taken: what leads and joints make is not told apart."""
_LEAST = 1e-3
"""A reading that passed counts as at least so likely."""
_MOST = 8
"""So many readings at most are laid together: those that failed, then the passing ones most bound to them."""


@dataclass(frozen=True, eq=False)
class _Bound:
    """One reading, and what moves it.

    Attributes
    ----------
    evidence : Evidence
    volts : (m,) float64
        Across each branch for 1 A from lead to lead, all parts at their expected values.
    width : (m,) float64
        How far each branch's value may lie apart, Ω.
    places : (m,) int64
        The row of each branch in the table of all readings' parts.
    """

    evidence: Evidence
    volts: Ohms
    width: Ohms
    places: NDArray[np.int64]

    def drops(self, number: int | None, values: Ohms) -> NDArray[np.float64]:
        """Return (v, m) float64: volts across each branch with one branch at each of `values` Ω."""
        if number is None:
            return np.tile(self.volts, (len(values), 1))
        evidence, corner = self.evidence, self.evidence.corners.middle()
        graph, ohms = corner.graph, float(corner.ohms[number])
        ends = int(graph.starts[number]), int(graph.ends[number])
        if corner.piece[evidence.start] != corner.piece[evidence.end]:
            return np.tile(self._across(number, ends), (len(values), 1))
        row = np.flatnonzero(corner.splits.branches == number)
        if len(row):
            splits, top = corner.splits, int(row[0])
            shift = splits.response(top)
            current = float(splits.current(evidence.start, evidence.end)[top])
            with np.errstate(divide="ignore"):
                share = current / (1.0 / values + splits.rest[top])
            return np.asarray(self.volts + share[:, None] * shift)
        shift = corner.volts_across(*ends)
        own, drop = float(shift[number]), float(self.volts[number])
        if own <= 0.0 or ohms == 0.0 or corner.piece[ends[0]] != corner.piece[ends[1]]:
            return np.tile(self.volts, (len(values), 1))
        with np.errstate(divide="ignore", invalid="ignore"):
            added = 1.0 / values - 1.0 / ohms
            share = np.where(values > 0.0, added * drop / (1.0 + added * own), drop / own)
        share = np.where(np.isfinite(share), share, 0.0)
        return np.asarray(self.volts - share[:, None] * shift)

    def _across(self, number: int, ends: tuple[int, int]) -> Ohms:
        """Return the volts where the branch alone joins the leads' two sides."""
        corner, evidence = self.evidence.corners.middle(), self.evidence
        near, far = ends if corner.piece[ends[0]] == corner.piece[evidence.start] else ends[::-1]
        return corner.volts_across(evidence.start, near) + corner.volts_across(far, evidence.end)

    def moved(self, drops: NDArray[np.float64], size: int) -> NDArray[np.float64]:
        """Return (v, size) float64: Ω that one standard deviation of each part moves the reading by."""
        network, ohms = self.evidence.network, self.evidence.corners.middle().ohms
        currents = np.divide(drops, ohms, out=np.zeros_like(drops), where=np.isfinite(ohms) & (ohms > 0.0))
        power = currents**2
        found = np.zeros((len(drops), size))
        found[:, self.places] = power * self.width / _EVEN
        whole = set(self.evidence.corners.floating_in_middle(self.evidence.start, self.evidence.end))
        for place, branches in enumerate(network.split_numbers):
            total, first, last = network.splits[place].total, branches[0], branches[-1]
            share = ohms[list(branches)] / max(float(ohms[list(branches)].sum()), 1e-12)
            found[:, self.places[first]] = power[:, list(branches)] @ share * (total.high - total.low) / _EVEN
            apart = (power[:, first] - power[:, last]) * (total.expected or total.high) / _EVEN
            found[:, self.places[last]] = 0.0 if place in whole else apart
        return found


@dataclass(frozen=True, eq=False)
class Together:
    """Readings of one set whose chances are taken at once."""

    bound: tuple[_Bound, ...]
    size: int

    @cached_property
    def sound(self) -> float:
        """How likely those that passed are at once if nothing is amiss; 1 for none."""
        passed = tuple(each for each in self.bound if each.evidence.verdict is Verdict.PASS)
        middles = [np.array([each.evidence.middle.ohms]) for each in passed]
        found = float(Together(passed, self.size).chances(None, np.ones(1), middles)[0])
        alone = math.prod(_LEAST for _ in passed)
        return max(found, alone)

    @classmethod
    def of(cls, readings: Sequence[Evidence], failed: int) -> Together:
        """Choose from `readings`, of which the first `failed` failed, those with a finite, known figure."""
        places: dict[str, int] = {}
        bound = []
        for each in readings:
            corner = each.corners.middle()
            names = (branch.name for branch in each.network.branches)
            rows = np.array([places.setdefault(name, len(places)) for name in names], dtype=np.int64)
            volts = corner.volts_across(each.start, each.end)
            bound.append(_Bound(each, volts, _width(each), rows))
        chosen = [each for each in bound if math.isfinite(each.evidence.most) and _is_known(each)]
        if len(chosen) > _MOST:
            sure = [each for each in chosen if each in bound[:failed]]
            table = [each.moved(each.volts[None, :], len(places))[0] for each in chosen]
            about = [row for row, each in zip(table, chosen, strict=True) if each in sure]
            first = np.sum(about, axis=0) if about else np.zeros(len(places))
            order = sorted(range(len(chosen)), key=lambda place: -float(first @ table[place]))
            chosen = [*sure, *(chosen[place] for place in order if chosen[place] not in sure)][:_MOST]
        return cls(tuple(chosen), len(places))

    def __contains__(self, evidence: Evidence) -> bool:
        return any(each.evidence is evidence for each in self.bound)

    def chances(self, name: str | None, values: Ohms, middles: Sequence[Ohms]) -> Ohms:
        """Return (v,) float64: how likely all the readings are at once.

        Parameters
        ----------
        name : str or None
            Of the branch at fault; None for a sound set.
        values : (v,) float64
            Ω that the fault may have left it.
        middles : sequence of (v,) float64
            What each reading is expected to be then, Ω.
        """
        if not self.bound:
            return np.ones(len(values))
        off = np.zeros((len(values), len(self.bound)))
        table = np.zeros((len(values), len(self.bound), self.size))
        noise = np.zeros(len(self.bound))
        width = np.zeros(len(self.bound))
        for place, (each, middle) in enumerate(zip(self.bound, middles, strict=True)):
            number = None if name is None else each.evidence.network.number_of_branch.get(name)
            moved = each.moved(each.drops(number, values), self.size)
            with np.errstate(divide="ignore", invalid="ignore"):
                table[:, place] = moved / (middle[:, None] + _OHM)
                least, most = each.evidence.least + _OHM, each.evidence.most + _OHM
                off[:, place] = np.log(math.sqrt(least * most) / (middle + _OHM))
            width[place] = math.log(most / least)
            noise[place] = width[place] ** 2 / 12.0 + _BENT**2
        sure = np.asarray(np.isfinite(off).all(axis=1) & np.isfinite(table).all(axis=(1, 2)))
        off, table = np.where(sure[:, None], off, 0.0), np.where(sure[:, None, None], table, 0.0)
        covariance = np.asarray(table @ table.transpose(0, 2, 1) + np.diag(noise))
        away = np.linalg.solve(covariance, off[:, :, None])[:, :, 0]
        exponent = -0.5 * (off * away).sum(axis=1)
        scale = np.sqrt(np.linalg.det(2.0 * math.pi * covariance))
        return np.where(sure, np.minimum(1.0, np.exp(exponent) * np.prod(width) / scale), 0.0)


def _width(evidence: Evidence) -> Ohms:
    """Return (m,) float64: how far each branch's value may lie apart, Ω; 0 for the sections of splits."""
    network, ohms = evidence.network, evidence.corners.middle().ohms
    bounded = np.isfinite(network.high) & np.isfinite(ohms) & (ohms > 0.0)
    width = np.where(bounded, np.where(bounded, network.high, 0.0) - np.where(bounded, network.low, 0.0), 0.0)
    for branches in network.split_numbers:
        width[list(branches)] = 0.0
    return width


def _is_known(bound: _Bound) -> bool:
    """Tell whether no value of which nothing is known has a say in the reading."""
    network, corner = bound.evidence.network, bound.evidence.corners.middle()
    unknown = np.isnan(network.expected)
    for split, branches in zip(network.splits, network.split_numbers, strict=True):
        unknown[list(branches)] = split.total.expected is None
    flows = np.isfinite(corner.ohms) & (corner.ohms > 0.0) & unknown
    if not flows.any():
        return True
    power = bound.volts[flows] ** 2 / corner.ohms[flows]
    total = corner.resistance(bound.evidence.start, bound.evidence.end)
    return bool(power.sum() <= _UNKNOWN * total)

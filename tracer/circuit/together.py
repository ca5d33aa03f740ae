"""How likely one lasting fault makes several readings at once, whatever ohms it left the part with.

Each reading allows a branch some ohms while all others roam within their limits. Over the ohms that all of
them allow, what each would show is laid against what it did show, and the chances are summed with the fault's
own spread of values (Bayes' rule on a grid). That the readings share parts, each of one value in all of them,
is `tracer.circuit.correlated`'s.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from tracer.circuit.branch import Branch
from tracer.circuit.correlated import Together
from tracer.circuit.evidence import Evidence
from tracer.circuit.guess import chance, chances
from tracer.circuit.priors import Priors
from tracer.circuit.results import CauseKind, Verdict
from tracer.circuit.solve import Ohms
from tracer.circuit.sweep import Sweep

__all__ = ["Fit", "fit", "fit_join", "fit_joints", "sound_chance"]

_CELLS = 24
_JOINT_DECADES = (1.0, 1e6)
"""Ω: a bad joint may be anything between, all decades alike (our own line)."""
_LEAST_LEAK = 10.0
_APART = 0.02
"""A part of the chance that takes the readings for independent, as no covariance is quite to be trusted."""
_VALUED = frozenset({CauseKind.DRIFTED, CauseKind.LEAKY, CauseKind.REVERSED})


@dataclass(frozen=True, slots=True)
class Fit:
    """How well a fault of one branch fits each reading.

    Attributes
    ----------
    likely : float
        Of all the readings together, relative to a sound set for those that the branch does not bear on.
    each : tuple of float
        Of each reading by itself.
    value : float
        The ohms that fit best.
    """

    likely: float
    each: tuple[float, ...]
    value: float


def sound_chance(evidence: Evidence) -> float:
    """Return how likely a reading is if nothing is amiss."""
    low, high = min(each.ohms for each in evidence.lows), evidence.high.ohms + evidence.slack
    least, most, middle = evidence.least, evidence.most, evidence.middle.ohms
    return chance(low, high, least, most, middle, evidence.spread)


def fit(
    kind: CauseKind,
    branch: Branch,
    readings: Sequence[Evidence],
    priors: Priors,
    together: Together | None = None,
) -> Fit:
    """Return how well a fault of a branch fits all `readings`.

    Parameters
    ----------
    kind : CauseKind
        ``OPEN`` and ``CONTACT`` of a joint take bad joints of any ohms in; a part's ``OPEN`` is open.
    branch : Branch
        Found in each reading's network by its name; where it is not there, it bears on nothing.
    together : Together, optional
        Those of `readings` that are bound to each other by the parts that they share.
    """
    values, weights = _values(kind, branch, readings, priors)
    if not len(values):
        return Fit(0.0, (0.0,) * len(readings), math.nan)
    table = np.array([_chances(each, branch, values) for each in readings])
    joint = weights * np.prod(table, axis=0)
    if together is not None and len(together.bound) > 1 and joint.any():
        joint = weights * _at_once(readings, branch.name, values, table, together)
    best = int(np.argmax(joint if joint.any() else weights * table.sum(axis=0)))
    return Fit(float(joint.sum()), tuple((table @ weights).tolist()), float(values[best]))


def _at_once(
    readings: Sequence[Evidence],
    name: str | None,
    values: Ohms,
    table: NDArray[np.float64],
    together: Together,
    middles: Sequence[Ohms] | None = None,
) -> NDArray[np.float64]:
    """Return (v,) float64: how likely all readings are at once, relative to a sound set that passes.

    Parameters
    ----------
    table : (k, v) float64
        How likely each is by itself.
    """
    tied = np.array([each in together for each in readings], dtype=np.bool_)
    middles = middles or [_middle(each.evidence, name, values) for each in together.bound]
    bound, apart = together.chances(name, values, middles), np.prod(table[tied], axis=0)
    found = np.prod(table[~tied], axis=0) * ((1.0 - _APART) * bound / together.sound + _APART * apart)
    return np.where((table > 0.0).all(axis=0), found, 0.0)


def _middle(evidence: Evidence, name: str | None, values: Ohms) -> Ohms:
    """Return (v,) float64: what a reading is expected to show with one branch at each of `values`, Ω."""
    number = None if name is None else evidence.network.number_of_branch.get(name)
    if number is None or not _bears(evidence, number):
        return np.full(len(values), evidence.middle.ohms)
    return evidence.middle.of(number, values)


def fit_join(nodes: tuple[str, str], readings: Sequence[Evidence], together: Together | None = None) -> Fit:
    """Return how well two nodes that are joined after all fit all `readings`."""
    found, middles = [], {}
    for each in readings:
        one, other = (each.network.number_of.get(node) for node in nodes)
        if one is None or other is None:
            found.append(1.0)
            continue
        ends = each.start, each.end
        corners = each.corners.free_low(), each.corners.middle(), each.corners.high(*ends)[0]
        low, middle, high = (corner.joined(*ends, one, other) for corner in corners)
        likely = chance(low, high, each.least, each.most, middle, each.spread)
        found.append(likely / _sound(each))
        middles[id(each)] = middle
    likely = math.prod(found)
    if together is not None and len(together.bound) > 1 and likely:
        sound = [each.evidence.middle.ohms for each in together.bound]
        told = [
            np.array([middles.get(id(each.evidence), ohms)])
            for each, ohms in zip(together.bound, sound, strict=True)
        ]
        likely = float(_at_once(readings, None, np.zeros(1), np.array(found)[:, None], together, told)[0])
    return Fit(likely, tuple(found), 0.0)


def fit_joints(evidence: Evidence, numbers: NDArray[np.int64]) -> tuple[Ohms, Ohms]:
    """Return how likely a bad joint makes one reading, and the likeliest ohms, (j,) float64, for each branch.

    As `fit` does of each with ``CONTACT``, but for all at once.
    """
    least, most = _JOINT_DECADES
    allowed = evidence.allowed[0][numbers], evidence.allowed[1][numbers]
    floor = np.maximum(least, np.array([evidence.network.branches[number].high for number in numbers]))
    low, high = np.fmax(floor, allowed[0]), np.fmin(most, allowed[1])
    some = (low < high) & ~np.isnan(allowed[0])
    low, high = np.where(some, low, 1.0), np.where(some, high, 1.0)
    cells = low[:, None] * (high / low)[:, None] ** np.linspace(0.0, 1.0, _CELLS + 1)
    values = np.column_stack([np.sqrt(cells[:, :-1] * cells[:, 1:]), np.full(len(numbers), np.inf)])
    share = 0.5 * np.log(high / low) / math.log(most / least) / _CELLS
    weights = np.column_stack([np.tile(share[:, None], _CELLS), np.full(len(numbers), 0.5)])
    lows = np.min([_of(each, numbers, values) for each in evidence.lows], axis=0)
    highs = _of(evidence.high, numbers, values) + evidence.slack
    middles = _of(evidence.middle, numbers, values)
    found = weights * chances(lows, highs, evidence.least, evidence.most, middles, evidence.spread)
    best = values[np.arange(len(numbers)), np.argmax(found, axis=1)]
    return found.sum(axis=1) / _sound(evidence), best


def _of(sweep: Sweep, numbers: NDArray[np.int64], values: Ohms) -> Ohms:
    """Return (j, v) float64: `Sweep.of` for several branches."""
    opened, shorted, across = (each[numbers][:, None] for each in (sweep.opened, sweep.shorted, sweep.across))
    with np.errstate(invalid="ignore"):
        both = (opened * values + shorted * across) / (values + across)
    both = np.where(np.isinf(across) | (values == 0.0), shorted, both)
    return np.where(np.isinf(values), opened, np.where(np.isinf(opened), shorted + values, both))


def _chances(evidence: Evidence, branch: Branch, values: Ohms) -> NDArray[np.float64]:
    """Return (v,) float64: how likely the reading is with the branch at each value."""
    number = evidence.network.number_of_branch.get(branch.name)
    if number is None or not _bears(evidence, number):
        return np.full(len(values), sound_chance(evidence) / _sound(evidence))
    low = np.min([each.of(number, values) for each in evidence.lows], axis=0)
    high = evidence.high.of(number, values) + evidence.slack
    # Ohms that a sound part may not have can but lower a reading, or but raise it (Rayleigh); where the
    # sections of a split were taken for independent the sweeps alone do not say so.
    bottom, top = min(each.ohms for each in evidence.lows), evidence.high.ohms + evidence.slack
    low = np.where(values >= branch.low, np.maximum(low, bottom), low)
    high = np.where(values <= branch.high, np.minimum(high, top), high)
    middle = evidence.middle.of(number, values)
    found = chances(low, high, evidence.least, evidence.most, middle, evidence.spread)
    return found / _sound(evidence)


def _sound(evidence: Evidence) -> float:
    """Return what a passing reading is measured by: how likely it is anyway; 1 for one that failed."""
    return (sound_chance(evidence) or 1.0) if evidence.verdict is Verdict.PASS else 1.0


def _bears(evidence: Evidence, number: int) -> bool:
    """Tell whether a branch has any say in a reading, and can fail in its setting."""
    sweeps = (*evidence.lows, evidence.high)
    return any(each.opened[number] > each.shorted[number] * (1.0 + 1e-6) for each in sweeps)


def _values(
    kind: CauseKind, branch: Branch, readings: Sequence[Evidence], priors: Priors
) -> tuple[Ohms, NDArray[np.float64]]:
    """Return the ohms that a fault may have left, and how likely each is; they need not add up to 1."""
    if kind is CauseKind.SHORT or (kind is CauseKind.CONTACT and branch.is_open):
        return np.zeros(1), np.ones(1)
    if kind in _VALUED:
        return _spread(kind, branch, readings, priors)
    if kind is CauseKind.JOIN or (branch.high > 1.0 and kind is not CauseKind.CONTACT):
        return np.array([math.inf]), np.ones(1)
    least, most = _JOINT_DECADES
    cells = _cells(max(least, branch.high), most, _allowed(branch, readings))
    middle = np.sqrt(cells[:-1] * cells[1:])
    part = 0.5 * np.log(cells[1:] / cells[:-1]) / math.log(most / least)
    return np.append(middle, math.inf), np.append(part, 0.5)


def _spread(
    kind: CauseKind, branch: Branch, readings: Sequence[Evidence], priors: Priors
) -> tuple[Ohms, NDArray[np.float64]]:
    allowed = _allowed(branch, readings)
    if kind is not CauseKind.DRIFTED:
        cells = _cells(_LEAST_LEAK, branch.low, allowed)
        weights = np.log(cells[1:] / cells[:-1]) / math.log(max(branch.low, 100.0) / _LEAST_LEAK)
        return np.sqrt(cells[:-1] * cells[1:]), weights
    nominal = branch.expected or 0.0
    if nominal <= 0.0:
        return np.zeros(0), np.zeros(0)
    found: list[tuple[float, float]] = []
    for least, most in ((nominal / 1e3, branch.low), (branch.high, nominal * 1e3)):
        cells = _cells(least, most, allowed).tolist()
        for low, high in pairwise(cells):
            found.append((math.sqrt(low * high), priors.drift_chance(nominal, low, high)))
    table = np.array(found).reshape(-1, 2)
    return table[:, 0], table[:, 1]


def _allowed(branch: Branch, readings: Iterable[Evidence]) -> tuple[float, float]:
    """Return the least and most ohms that every reading which the branch bears on allows it."""
    least, most = 0.0, math.inf
    for each in readings:
        number = each.network.number_of_branch.get(branch.name)
        if number is not None and _bears(each, number):
            low, high = float(each.allowed[0][number]), float(each.allowed[1][number])
            if math.isnan(low):
                return math.inf, 0.0
            least, most = max(least, low), min(most, high)
    return least, most


def _cells(least: float, most: float, allowed: tuple[float, float]) -> Ohms:
    """Return the bounds of cells between `least` and `most` Ω within what is allowed; one bound for none."""
    low, high = max(least, allowed[0]), min(most, allowed[1])
    if not 0.0 < low < high:
        return np.ones(1)
    return np.geomspace(low, high, _CELLS + 1)

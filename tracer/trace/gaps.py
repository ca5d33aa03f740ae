"""Breaks in the ink: ends that face each other across bare paper, a worn stretch or another wire."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.spatial import cKDTree

from tracer.trace.arms import Arm
from tracer.trace.grid import pixels_of
from tracer.trace.mask import Inked

__all__ = ["Gap", "facing_gaps"]

_LONGEST = 6.0  # stroke widths, over bare paper
_LONGEST_ACROSS = 9.0  # stroke widths, under another wire
_LONGEST_LADDER = 20.0  # stroke widths, under several other wires
_LONGEST_WORN = 34.0  # stroke widths, over what is left of a worn line
_WORN = 0.4  # of a worn stretch that must still show ink
_CLEAR = 0.8  # the same, where another wire lies between or one end is too short to have a way
_NARROW = 2.2  # stroke widths; so close that a corner may be broken, and no label fits between
_WORN_CORNER = 5.0  # stroke widths over which a corner may be broken whose ink still shows
_COVERED = 0.75  # of the way round such a corner that must still show ink
_SURE_SPAN = 1.5  # stroke widths; a shorter arm's way is not sure


@dataclass(frozen=True, slots=True)
class Gap:
    """Two arms whose ends are one conductor, how sure (0 to 1), and whether another wire passes between.

    `long` is how far they are apart, in stroke widths.
    """

    first: int
    second: int
    score: float
    across: bool
    long: float


@dataclass(frozen=True, slots=True)
class _Facing:
    """Two ends and how they lie; lengths in stroke widths.

    `out` and `back` are the cosines of the turns into and out of the straight link between the ends.
    """

    first: Arm
    second: Arm
    long: float
    out: float
    back: float
    sideways: float
    sure_way: bool

    @property
    def turns(self) -> float:
        return float(np.arccos(np.clip(self.out, -1, 1)) + np.arccos(np.clip(self.back, -1, 1)))


@dataclass(frozen=True, slots=True)
class _Between:
    """What lies between two ends: a body or a cut, lettering, how many wires, and what share shows ink.

    `bare` is the longest stretch between two wires, in stroke widths.
    """

    stopped: bool
    lettered: bool
    wires: int
    shown: float
    bare: float


def facing_gaps(arms: Mapping[int, Arm], inked: Inked, stroke: float) -> list[Gap]:
    """Pair free ends that aim at each other across a small break, the best pairs first.

    A body, lettering or a cut by hand between them stops it. Another wire between them does not, if
    both ends aim well: the under-wire of a crossing is often drawn with a gap. Where a faint or dashed
    remnant of the line still shows (the reader calls it furniture), the break may be long.
    """
    found = []
    for pair in _candidates(list(arms.values()), stroke):
        gap = _judge(pair, inked, stroke)
        if gap is not None:
            found.append((pair.long + 3.0 * pair.turns, gap))
    taken: set[int] = set()
    kept = []
    for _, gap in sorted(found, key=lambda each: (each[0], each[1].first, each[1].second)):
        if gap.first not in taken and gap.second not in taken:
            taken |= {gap.first, gap.second}
            kept.append(gap)
    return kept


def _candidates(arms: list[Arm], stroke: float) -> Iterator[_Facing]:
    """Yield the pairs of ends that lie so that a gap is possible; thousands of ends are sifted at once."""
    if len(arms) < 2:
        return
    at, way = np.array([arm.at for arm in arms]), np.array([arm.way for arm in arms])
    span = np.array([arm.span for arm in arms]) / stroke
    line = np.array([arm.id // 2 for arm in arms])
    near = cKDTree(at).query_pairs(_LONGEST_ACROSS * stroke, output_type="ndarray")
    # Long stretches are only followed from lines that are long themselves: specks have no way.
    lines = np.flatnonzero(span >= 2 * _SURE_SPAN)
    others = cKDTree(at).query_ball_point(at[lines], _LONGEST_WORN * stroke) if len(lines) else []
    far = [
        (int(here), there)
        for here, found in zip(lines, others, strict=True)
        for there in found
        if there != here
    ]
    pairs = np.unique(np.sort(np.vstack([near, np.array(far, np.intp).reshape(-1, 2)]), axis=1), axis=0)
    one, other = pairs.T
    link = at[other] - at[one]
    length = np.maximum(np.hypot(link[:, 0], link[:, 1]), 1e-9)
    out = -(way[one] * link).sum(axis=1) / length
    back = (way[other] * link).sum(axis=1) / length
    sideways = np.maximum(*(np.abs(_cross(way[side], link)) for side in (one, other))) / stroke
    long = length / stroke
    aimed = (np.minimum(out, back) > 0.85) & (sideways < 0.9) & (long <= _LONGEST_ACROSS)
    corner = (long <= _WORN_CORNER) & (np.maximum(out, back) > 0.6)
    straight = (np.minimum(out, back) > 0.97) & (sideways < 1.2)
    # A short stub has no way of its own: the long line alone aims at it.
    aside = [np.abs(_cross(way[side], link)) / stroke for side in (one, other)]
    one_leads = (span[one] >= 2 * _SURE_SPAN) & (out > 0.97) & (aside[0] < 1.2)
    other_leads = (span[other] >= 2 * _SURE_SPAN) & (back > 0.97) & (aside[1] < 1.2)
    sure_way = np.minimum(span[one], span[other]) >= _SURE_SPAN
    straight |= ~sure_way & (one_leads | other_leads)
    fits = (aimed | corner | straight) & (line[one] != line[other])
    for row in np.flatnonzero(fits):
        yield _Facing(
            arms[one[row]],
            arms[other[row]],
            float(long[row]),
            float(out[row]),
            float(back[row]),
            float(sideways[row]),
            bool(sure_way[row]),
        )


def _judge(pair: _Facing, inked: Inked, stroke: float) -> Gap | None:
    """Return the gap between two ends, or None."""
    between = _between(pair.first.at, pair.second.at, inked, stroke)
    if between.stopped or (between.lettered and pair.long > _NARROW):
        return None
    least, most = min(pair.out, pair.back), max(pair.out, pair.back)
    straight = least > 0.97 and pair.sideways < 1.2 and pair.sure_way
    clear = between.shown >= _CLEAR and (straight or not pair.sure_way)
    ladder = straight and between.wires > 1 and between.bare <= _LONGEST and pair.long <= _LONGEST_LADDER
    if clear or ladder or (between.shown >= _WORN and not between.wires and straight):
        return Gap(
            pair.first.id, pair.second.id, float(np.clip(0.6 * between.shown, 0.2, 0.6)), False, pair.long
        )
    aimed = least > 0.85 and pair.sideways < 0.9
    if between.wires > 1:
        fits = False
    elif between.wires:
        fits = aimed and pair.sure_way and least > 0.94 and pair.long <= _LONGEST_ACROSS
    elif pair.long <= _NARROW or (between.shown >= _COVERED and pair.long <= _WORN_CORNER):
        fits = pair.turns < np.radians(110) and most > 0.6
    else:
        fits = aimed and pair.long <= _LONGEST and (pair.sure_way or pair.long < 4.0)
    if not fits:
        return None
    score = 0.95 - 0.07 * pair.long - 0.25 * pair.turns
    score -= (0.15 if between.wires else 0.0) + (0.0 if pair.sure_way else 0.1)
    return Gap(
        pair.first.id, pair.second.id, float(np.clip(score, 0.05, 0.95)), bool(between.wires), pair.long
    )


def _between(
    first: NDArray[np.float64], second: NDArray[np.float64], inked: Inked, stroke: float
) -> _Between:
    """Look at what lies on the straight way between two ends."""
    length = float(np.hypot(*(second - first)))
    share = np.arange(0.0, length + 0.5, 0.5) / max(length, 1e-9)
    path = first + np.clip(share, 0, 1)[:, None] * (second - first)
    x, y = pixels_of(path, inked.wire.shape)
    stopped = bool((inked.bodies[y, x] > 0).any() or inked.cut[y, x].any())
    lettering = inked.lettering[y, x]
    lettered = bool(lettering.sum() > stroke * 0.5)
    ink = inked.wire[y, x]
    bare = np.flatnonzero(~ink)
    if len(bare) == 0:
        return _Between(stopped, lettered, 0, 0.0, 0.0)
    inner = ink[bare[0] : bare[-1] + 1].astype(np.int8)
    shown = float(inked.remnant[y, x][bare].mean())
    longest = max(len(run) for run in np.split(bare, np.flatnonzero(np.diff(bare) > 1) + 1))
    return _Between(stopped, lettered, int((np.diff(inner) == 1).sum()), shown, longest / 2 / stroke)


def _cross(first: NDArray[np.float64], second: NDArray[np.float64]) -> NDArray[np.float64]:
    """Return the z parts of the cross products of plane vectors, (N, 2)."""
    return np.asarray(first[:, 0] * second[:, 1] - first[:, 1] * second[:, 0], np.float64)

"""How two straight stretches of wire stand to each other, and which ways of standing no eye could read."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from tracer.training.layout.geometry import distance

__all__ = ["BESIDE", "CROSS", "ONE", "Blocked", "Stretch", "meet"]

ONE: Final = 0.6  # px; nearer than this is one place
BESIDE: Final = 4.0  # strokes; wires side by side that do not join keep this far apart
CROSS: Final = 4.2  # strokes; from a crossing to any end, bend, join or body, or more where dots are large
_NEAR: Final = 3.4  # strokes; as `BESIDE`, for wires at an angle


class Blocked(Exception):
    """The way is taken; whoever wanted it goes elsewhere or does without."""


@dataclass(frozen=True, slots=True, eq=False)
class Stretch:
    """One straight piece of a wire.

    Attributes
    ----------
    row : (4,) float64
        x0, y0, x1, y1 px.
    free, pins : (2,) bool
        Whether its start and its end are ends of the wire, not bends; whether they lie on terminals.
    """

    row: NDArray[np.float64]
    free: NDArray[np.bool_]
    pins: NDArray[np.bool_]


def meet(one: Stretch, other: Stretch, stroke: float, cross: float) -> tuple[str, float, float] | None:
    """``"touch"``, ``"cross"`` or ``"near"`` and where; None where they have nothing to do with each other.

    `stroke` and `cross` (the least way from a crossing to an end or a bend) are in px.

    Raises
    ------
    Blocked
        Nobody could tell whether they join.
    """
    a, b, c, d = one.row[:2], one.row[2:], other.row[:2], other.row[2:]
    away = distance(np.array([a, b, c, d]), np.array([c, c, a, a]), np.array([d, d, b, b]))
    mine, theirs = b - a, d - c
    turn = float(mine[0] * theirs[1] - mine[1] * theirs[0])
    length, their_length = float(np.hypot(*mine)), float(np.hypot(*theirs))
    flat = abs(turn) < 0.05 * length * their_length
    least = float(away.min())
    if least < ONE:
        return _touch(one, other, away, flat)
    if not flat:
        gap = c - a
        part = float(gap[0] * theirs[1] - gap[1] * theirs[0]) / turn
        their_part = float(gap[0] * mine[1] - gap[1] * mine[0]) / turn
        if 0.0 < part < 1.0 and 0.0 < their_part < 1.0:
            nodes = min(part, 1 - part) * length, min(their_part, 1 - their_part) * their_length
            if min(nodes) < cross or abs(turn) < 0.35 * length * their_length:
                raise Blocked
            x, y = a + part * mine
            return "cross", float(x), float(y)
    if least >= (BESIDE if flat else _NEAR) * stroke:
        return None
    pairs = [
        float(np.hypot(*(p - q)))
        for p, on in zip((a, b), one.pins, strict=True) if on
        for q, their_on in zip((c, d), other.pins, strict=True) if their_on
    ]  # fmt: skip
    if not pairs and flat:
        along = mine / length
        low, high = sorted((float((c - a) @ along), float((d - a) @ along)))
        if min(high, length) - max(low, 0.0) > BESIDE * stroke:
            raise Blocked  # side by side for a while, even where they join elsewhere
    # Leads of one part come as near to each other as its terminals are.
    return None if pairs and min(pairs) < 1.02 * least else ("near", float(a[0]), float(a[1]))


def _touch(one: Stretch, other: Stretch, away: NDArray[np.float64], flat: bool) -> tuple[str, float, float]:
    """A join, if a true end of one lies on the other and they do not run on top of each other."""
    free = (*one.free, *other.free)
    places = (one.row[:2], one.row[2:], other.row[:2], other.row[2:])
    hits = [n for n in range(4) if away[n] < ONE]
    good = [n for n in hits if free[n]]
    if not good:
        raise Blocked
    spots = np.array([places[n] for n in hits])
    if flat and (len(hits) == 1 or np.hypot(*(spots - spots[0]).T).max() > ONE):
        raise Blocked  # an end inside a parallel one, or more than an end in common
    x, y = places[good[0]]
    return "touch", float(x), float(y)

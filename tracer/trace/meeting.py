"""The record of one decision: what happens where lines meet, pass or end."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from tracer.trace.arms import Pairing
from tracer.trace.grid import Grid
from tracer.trace.sheet import JoinKind

__all__ = ["Meeting", "Meetings", "plain", "straightness", "sureness_at"]


@dataclass(frozen=True, slots=True)
class Meeting:
    """One decision, as in `Join` but of arms (``2 * line + end``); `body` counts from 1, 0 is none.

    `bare` is what was bridged, in stroke widths.
    """

    kind: JoinKind
    at: tuple[float, float]
    score: float
    arms: tuple[int, ...]
    pairs: tuple[tuple[int, int], ...] = ()
    body: int = 0
    bare: float = 0.0


@dataclass(slots=True)
class Meetings:
    """All decisions on a sheet, and the short lines inside a drawn X that are no segment of their own."""

    meetings: list[Meeting] = field(default_factory=list)
    dropped: set[int] = field(default_factory=set)


def straightness(pairing: Pairing) -> float:
    """Return 1 for pairs that run dead straight, falling to 0.2 for the most bent that is let pass."""
    worst = max(pairing.bends, default=0.0)
    return float(np.clip(1.0 - 0.5 * max(worst - np.radians(15), 0.0), 0.2, 1.0))


def sureness_at(grid: Grid, places: list[NDArray[np.float64]]) -> float:
    """Return the reader's mean sureness, 0 to 1, in a window of about a stroke around each place."""
    reach = int(np.ceil(grid.stroke / 2))
    height, width = grid.sureness.shape
    windows = []
    for place in places:
        x = min(max(round(float(place[0])), 0), width - 1)
        y = min(max(round(float(place[1])), 0), height - 1)
        window = grid.sureness[max(y - reach, 0) : y + reach + 1, max(x - reach, 0) : x + reach + 1]
        windows.append(float(window.mean()))
    return sum(windows) / (255.0 * max(len(windows), 1))


def plain(at: NDArray[np.float64]) -> tuple[float, float]:
    """Return a point as two plain numbers."""
    return float(at[0]), float(at[1])

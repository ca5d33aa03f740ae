"""How sure a name is, as a share: of a hundred that say 0.9, about ninety are right.

What a name gathers on its way (the reading's chance, signs put right, distance, kind) is no share yet. The
recogniser's card holds what came of such proposals on drawn sheets (``tests/truth/lettering.py`` counts it);
between its points a straight line is drawn.
"""

from __future__ import annotations

import json
from collections.abc import Sequence
from functools import cache

import numpy as np

from tracer.errors import FileMissing
from tracer.resources import asset

__all__ = ["calibrated", "calibration_points"]


@cache
def calibration_points() -> tuple[tuple[float, float], ...]:
    """Give the card's points (gathered, share), both rising; none where the card has none."""
    try:
        listed = json.loads(asset("letters.json").read_text("utf-8")).get("naming_confidence", [])
        return tuple((float(gathered), float(share)) for gathered, share in listed)
    except (FileMissing, OSError, ValueError, TypeError, AttributeError):
        return ()


def calibrated(gathered: float, points: Sequence[tuple[float, float]]) -> float:
    """Give the share for what was gathered, to three places.

    Examples
    --------
    >>> calibrated(0.5, [(0.4, 0.2), (0.6, 0.8)]), calibrated(0.5, [])
    (0.5, 0.5)
    >>> calibrated(0.99, [(0.4, 0.2), (0.6, 0.8)])
    0.8
    """
    if not points:
        return round(gathered, 3)
    xs, ys = np.array(points, dtype=np.float64).T
    return round(float(np.interp(gathered, xs, ys)), 3)

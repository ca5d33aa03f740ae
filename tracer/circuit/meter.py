"""What a meter may show for true ohms, and which true ohms a shown figure stands for."""

from __future__ import annotations

import math

from tracer.circuit.results import Meter

__all__ = ["count_ohms", "shown_range", "true_range"]

_RANGES = 6
"""Decade ranges from the top one down; the lowest of a 20 MΩ meter is 200 Ω (common practice)."""
_COUNTS = 2000
"""Counts of a whole range of a 3½-digit meter."""


def count_ohms(ohms: float, meter: Meter) -> float:
    """Return what one last-digit count is worth on the range that shows `ohms`, Ω.

    Examples
    --------
    >>> count_ohms(150.0, Meter()), count_ohms(47e3, Meter())
    (0.1, 100.0)
    """
    span = meter.top
    for _ in range(_RANGES - 1):
        if ohms > span / 10:
            break
        span /= 10
    return span / _COUNTS


def shown_range(low: float, high: float, meter: Meter) -> tuple[float, float]:
    """Return the least and most that `meter` may show for a pair whose true ohms are `low` to `high`.

    The meter's error is taken on both sides; the leads may add up to `Meter.leads` at the upper end.

    Examples
    --------
    >>> least, most = shown_range(900.0, 1100.0, Meter(error=0.01, counts=2, leads=0.3))
    >>> round(least, 1), round(most, 1)
    (889.0, 1113.3)
    """
    least = low * (1.0 - meter.error) - meter.counts * count_ohms(low, meter) if math.isfinite(low) else low
    if not math.isfinite(high):
        return max(0.0, least), high
    most = (high + meter.leads) * (1.0 + meter.error) + meter.counts * count_ohms(high, meter)
    return max(0.0, least), most


def true_range(shown: float, meter: Meter) -> tuple[float, float]:
    """Return the least and most true ohms of a pair for which `meter` shows `shown` (``inf`` for OL).

    Examples
    --------
    >>> least, most = true_range(float("inf"), Meter(error=0.01, top=20e6))
    >>> least < 20e6, most
    (True, inf)
    """
    if not math.isfinite(shown):
        return meter.top * (1.0 - meter.error) - meter.leads, math.inf
    counts = meter.counts * count_ohms(shown, meter)
    least = (shown - counts) / (1.0 + meter.error) - meter.leads
    most = (shown + counts) / (1.0 - meter.error) if meter.error < 1.0 else math.inf
    return max(0.0, least), most

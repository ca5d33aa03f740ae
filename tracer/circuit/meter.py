"""What a meter may show for true ohms, and which true ohms a shown figure stands for."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import asdict
from types import MappingProxyType
from typing import Any

from tracer.circuit.results import Meter
from tracer.circuit.values import parse_tolerance, parse_value
from tracer.errors import BadValue

__all__ = ["count_ohms", "parse_meter", "shown_range", "true_range"]

_RANGES = 6
"""Decade ranges from the top one down; the lowest of a 20 MΩ meter is 200 Ω (common practice)."""
_COUNTS = 2000
"""Counts of a whole range of a 3½-digit meter."""


def parse_meter(texts: Sequence[str], meter: Meter | None = None) -> Meter:
    """Return a meter's profile with what words such as ``error=2%`` say laid over it.

    Parameters
    ----------
    texts : sequence of str
        ``error=2%``, ``counts=3``, ``leads=0.5``, ``top=2M``, ``current=0.1mA``, ``volts=1.5V``,
        ``polarity=reversed`` or ``polarity=straight``.
    meter : Meter, optional
        What is not told; by default a common digital meter.

    Raises
    ------
    BadValue
        A word is not known, or its value makes no sense.

    Examples
    --------
    >>> found = parse_meter(["error=3%", "top=1M", "polarity=reversed"])
    >>> found.error, found.top, found.reversed_leads
    (0.03, 1000000.0, True)
    """
    told_so_far: dict[str, Any] = asdict(meter or Meter())
    for text in texts:
        name, equals, told = (part.strip() for part in text.partition("="))
        if not equals or name not in _READS:
            raise BadValue(f"{text!r} tells nothing of a meter. Write one of: {', '.join(_EXAMPLES)}.")
        field, read = _READS[name]
        told_so_far[field] = read(told)
    found = Meter(**told_so_far)
    if not (0.0 <= found.error < 1.0 and found.top > 0.0 and found.current > 0.0 and found.open_volts > 0.0):
        raise BadValue("A meter needs an error below 100 % and a top of range, current and volts above 0.")
    return found


def _number(text: str) -> float:
    try:
        number = float(text.replace(",", "."))
    except ValueError:
        number = -1.0
    if not 0.0 <= number < math.inf:
        raise BadValue(f"{text!r} is no number of counts.")
    return number


def _polarity(text: str) -> bool:
    if text not in ("reversed", "straight"):
        raise BadValue(f"A meter's polarity on ohms is reversed or straight, not {text!r}.")
    return text == "reversed"


_READS: Mapping[str, tuple[str, Callable[[str], float | bool]]] = MappingProxyType(
    {
        "error": ("error", parse_tolerance),
        "counts": ("counts", _number),
        "leads": ("leads", lambda text: parse_value(text, "ohm")),
        "top": ("top", lambda text: parse_value(text, "ohm")),
        "current": ("current", lambda text: parse_value(text, "ampere")),
        "volts": ("open_volts", lambda text: parse_value(text, "volt")),
        "polarity": ("reversed_leads", _polarity),
    }
)
_EXAMPLES = (
    "error=2%",
    "counts=3",
    "leads=0.5",
    "top=2M",
    "current=0.1mA",
    "volts=1.5V",
    "polarity=reversed",
)


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

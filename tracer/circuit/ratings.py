"""Reading an element's printed value, tolerance and ratings as limits of ohms."""

from __future__ import annotations

from tracer.circuit.limits import DEFAULT_TOLERANCE, Limit
from tracer.circuit.stand import Stand
from tracer.circuit.values import format_value, parse_printed, parse_tolerance, parse_value

__all__ = ["hot_ohms", "nominal", "rated", "toleranced", "within"]


def within(ohms: float, tolerance: float) -> Limit:
    """Return `ohms` ± `tolerance` (a fraction), never below 0 Ω."""
    return Limit(max(0.0, ohms * (1.0 - tolerance)), ohms, ohms * (1.0 + tolerance))


def nominal(stand: Stand, unit: str) -> tuple[float | None, float, tuple[str, ...]]:
    """Return an element's printed number, its tolerance as a fraction, and notes on what was taken for it.

    The tolerance is that of ``tol=``, else the one printed behind the value, else the kind's own.
    """
    element = stand.element
    told = element.option("tol")
    default = DEFAULT_TOLERANCE.get(element.kind, 0.2)
    if not element.value:
        return None, parse_tolerance(told) if told else default, ()
    printed = parse_printed(element.value, unit)
    if told:
        return printed.number, parse_tolerance(told), ()
    if printed.tolerance is not None:
        return printed.number, printed.tolerance, ()
    return printed.number, default, (f"{element.reference} has no tolerance: ±{default:.0%} is taken.",)


def toleranced(stand: Stand, unit: str, untold: Limit) -> tuple[Limit, tuple[str, ...]]:
    """Return the limits of a part whose value is its ohms, and notes; `untold` where it has no value."""
    number, tolerance, notes = nominal(stand, unit)
    if number is None:
        return untold, (_untold(stand, "value", untold),)
    return within(number, tolerance), notes


def rated(stand: Stand, key: str, untold: Limit, text: str | None = None) -> tuple[Limit, tuple[str, ...]]:
    """Return the limits of a part whose ohms an option tells (``ohms=250``), and notes.

    `text` stands in for the option's text, for one section of a tapped winding.
    """
    element = stand.element
    told = text if text is not None else element.option(key)
    if not told:
        return untold, (_untold(stand, f"{key}=", untold),)
    tolerance = element.option("tol")
    default = DEFAULT_TOLERANCE.get(element.kind, 0.2)
    ohms = parse_value(told, "ohm")
    if tolerance:
        return within(ohms, parse_tolerance(tolerance)), ()
    return within(ohms, default), (f"{element.reference} has no tolerance: ±{default:.0%} is taken.",)


def hot_ohms(volts: str | None, amps: str | None) -> float | None:
    """Return volts over amperes, Ω, or None where either is not told or is nought."""
    if not volts or not amps:
        return None
    current = parse_value(amps, "ampere")
    return parse_value(volts, "volt") / current if current > 0.0 else None


def _untold(stand: Stand, what: str, limit: Limit) -> str:
    return f"{stand.element.reference} has no {what}: 0 to {format_value(limit.high, 'ohm')} is taken."

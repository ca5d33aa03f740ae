"""Reading an element's printed value, tolerance and ratings as limits of ohms."""

from __future__ import annotations

from tracer.circuit.kinds import kinds
from tracer.circuit.limits import OTHER_TOLERANCE, Limit
from tracer.circuit.stand import Stand
from tracer.circuit.values import format_value, parse_printed, parse_tolerance, parse_value

__all__ = ["hot_ohms", "nominal", "rated", "toleranced", "untold_note", "within"]


def within(ohms: float, tolerance: float) -> Limit:
    """Return `ohms` ± `tolerance` (a fraction), never below 0 Ω."""
    return Limit(max(0.0, ohms * (1.0 - tolerance)), ohms, ohms * (1.0 + tolerance))


def nominal(stand: Stand, unit: str) -> tuple[float | None, float, tuple[str, ...]]:
    """Return an element's printed number, its tolerance as a fraction, and notes on what was taken for it.

    The tolerance is that of ``tol=``, else the one printed behind the value, else the kind's own.
    """
    element = stand.element
    told = element.option("tol")
    default = _default(stand)
    if not element.value:
        return None, parse_tolerance(told) if told else default, ()
    printed = parse_printed(element.value, unit)
    if told:
        return printed.number, parse_tolerance(told), ()
    if printed.tolerance is not None:
        return printed.number, printed.tolerance, ()
    return printed.number, default, (_no_tolerance(default),)


def toleranced(stand: Stand, unit: str, untold: Limit) -> tuple[Limit, tuple[str, ...]]:
    """Return the limits of a part whose value is its ohms, and notes; `untold` where it has no value."""
    number, tolerance, notes = nominal(stand, unit)
    if number is None:
        return untold, (untold_note("value", untold),)
    return within(number, tolerance), notes


def rated(stand: Stand, key: str, untold: Limit, text: str | None = None) -> tuple[Limit, tuple[str, ...]]:
    """Return the limits of a part whose ohms an option tells (``ohms=250``), and notes.

    `text` stands in for the option's text, for one section of a tapped winding.
    """
    element = stand.element
    told = text if text is not None else element.option(key)
    if not told:
        return untold, (untold_note("ohms of the winding" if "." in key else "ohms", untold),)
    tolerance = element.option("tol")
    default = _default(stand)
    ohms = parse_value(told, "ohm")
    if tolerance:
        return within(ohms, parse_tolerance(tolerance)), ()
    return within(ohms, default), (_no_tolerance(default),)


def hot_ohms(volts: str | None, amps: str | None) -> float | None:
    """Return volts over amperes, Ω, or None where either is not told or is nought."""
    if not volts or not amps:
        return None
    current = parse_value(amps, "ampere")
    return parse_value(volts, "volt") / current if current > 0.0 else None


def _default(stand: Stand) -> float:
    kind = kinds().get(stand.element.kind)
    return kind.default_tolerance if kind and kind.default_tolerance else OTHER_TOLERANCE


def _no_tolerance(taken: float) -> str:
    return f"no tolerance given, ±{taken:.0%} is taken"


def untold_note(what: str, limit: Limit) -> str:
    """Return the note on a part whose `what` is not given."""
    return f"no {what} given, anything from 0 to {format_value(limit.high, 'ohm')} Ω is taken"

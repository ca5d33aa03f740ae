"""What a person must be told before touching a set; shown wherever the next step is a lead on a terminal."""

from __future__ import annotations

__all__ = ["CAUTIONS", "SHORT_CAUTION"]

SHORT_CAUTION = "Plug out and in sight; large capacitors bled and seen empty on volts before any ohms."
"""One line, for the foot of a page or window."""

CAUTIONS: tuple[str, ...] = (
    "Pull the plug and keep it in sight. A switch that is off is not enough: it may break one side of "
    "the mains only.",
    "Capacitors keep their charge long after the plug is out. Bleed each large one through a resistor "
    "made for it, then put the meter on volts and see that nothing is left. Only then put the meter on "
    "ohms.",
    "In many sets the chassis is joined to one side of the mains. Take every metal part for live until "
    "the plug is out, and never run such a set from the mains without an isolating transformer.",
    "Picture tubes hold charge and may implode; old insulation and heat shields may hold asbestos; old "
    "capacitors may hold oils that must not touch the skin.",
    "Readings that pass are no leave to switch on. They tell of the paths that were measured, at an "
    "ohmmeter's few volts; insulation that fails at working voltage passes them. Switching on is for a "
    "person who is qualified for it, under the rules of your country. Where those rules and these lines "
    "differ, the rules hold.",
)
"""The usual cautions of the trade (common practice), one paragraph each."""

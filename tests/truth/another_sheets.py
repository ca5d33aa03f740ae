"""The sheets drawn by another hand, by name: each a layout and the manner it is drawn in.

They are for judging alone: nothing in the training reads them, and they share no symbol, alphabet, layout or
ageing with it.
"""

from __future__ import annotations

from collections.abc import Callable
from types import MappingProxyType

from another_brush import Manner
from another_layouts_a import if_strip, push_pull
from another_layouts_b import front_end, power_supply
from another_layouts_c import control_unit, transistor_amplifier
from another_layouts_d import oscillator_and_filter, panel
from another_layouts_e import keyboard, mixed
from another_pen import Pen
from another_sheet import finish
from another_wear import wear

from tracer.training.truth import SheetTruth

__all__ = ["SHEETS", "draw_another", "walked"]

Layout = Callable[[Pen], None]

_CLUB = Manner(11.8, 0.36, 0.36, 0.5, 0.5, wobble=0.2, slope=0.06, letters="hand", ground="triangle")
"""Freehand with a felt pen, scanned at 300 dpi."""
_THIN = Manner(6.5, 0.26, 0.26, 0.8, 0.5, crossing="hop")
"""Ruled thin with a stencil, envelopes heavy, hops."""
_PRESS = Manner(8.0, 0.25, 0.25, 0.75, 0.45, letters="type", ground="rake", capacitor="curved")
"""A printed manual of valve days."""
_NORM = Manner(
    5.9, 0.28, 0.3, 0.5, 0.55, "gap", "box", coil="bumps", ground="solid", letters="type", high=2.5
)
"""European: boxes, filled electrolytics, breaks at crossings; 150 dpi."""
_BARE = Manner(7.9, 0.3, 0.3, 0.45, 0.0, "hop", "box", coil="bumps")
"""No dots at all: what meets is joined, what passes hops."""
_INK = Manner(11.8, 0.45, 0.45, 0.6, 0.75, "gap", "box", wobble=0.12, slope=0.04, letters="hand", high=2.6)
"""Indian ink by hand with a ruler at times, 300 dpi."""
_POCKET = Manner(7.0, 0.22, 0.25, 0.9, 0.38, capacitor="curved", coil="bumps", letters="type", circles=False)
"""A leaflet: strokes of a pixel and a half, dots hardly wider than the line."""

SHEETS: MappingProxyType[str, tuple[Layout, Manner]] = MappingProxyType(
    {
        "front end": (front_end, _PRESS),
        "if strip": (if_strip, _THIN),
        "push-pull amplifier": (
            push_pull,
            Manner(9.5, wobble=0.12, slope=0.03, letters="hand", coil="bumps", capacitor="curved"),
        ),
        "power supply": (power_supply, _NORM),
        "control unit": (control_unit, _BARE),
        "transistor amplifier": (transistor_amplifier, _INK),
        "oscillator and filter": (oscillator_and_filter, _CLUB),
        "panel": (
            panel,
            Manner(8.0, 0.3, 0.3, 0.4, 0.42, slope=0.05, wobble=0.1, letters="hand", ground="triangle"),
        ),
        "keyboard": (keyboard, Manner(7.9, 0.3, 0.3, 0.4, 0.5, "gap", "box", ground="rake", circles=True)),
        "mixed": (mixed, _POCKET),
    }
)


def walked(name: str) -> Pen:
    """Walk a layout in its manner."""
    layout, manner = SHEETS[name]
    pen = Pen(manner)
    layout(pen)
    return pen


def draw_another(name: str, level: int) -> SheetTruth:
    """Draw a sheet and age it."""
    seed = 500 + list(SHEETS).index(name)
    return wear(finish(walked(name), seed), level, seed, SHEETS[name][1].scale)

"""Symbols drawn in other ways than the training draws them: three manners of each kind.

They are made with the same public record, so that the pen can place them; no shape is taken from
``tracer.training.symbols``. Lengths are in units (a resistor is about five long), widths in strokes.
"""

from __future__ import annotations

from collections.abc import Callable
from types import MappingProxyType

import held_out_devices as devices
import held_out_passives as passives
import held_out_sundries as sundries
from held_out_strokes import box

from tracer.training.symbols.symbol import Inscription, Symbol, Terminal

__all__ = ["MAKERS", "held_out_block", "held_out_symbol"]

MAKERS: MappingProxyType[str, Callable[[int], Symbol]] = MappingProxyType(
    {name: getattr(room, name) for room in (passives, devices, sundries) for name in room.__all__}
)


def held_out_symbol(name: str, manner: int) -> Symbol:
    """Draw the symbol `name` in one of three manners, from 0."""
    return MAKERS[name](manner)


def held_out_block(
    wide: float,
    high: float,
    pins: dict[str, tuple[float, float, float, float]],
    name: str,
    heavy: float = 1.0,
) -> Symbol:
    """A box with named pins, each as x, y, dx, dy on its edge, and its pin numbers outside."""
    outline = box(-wide / 2, -high / 2, wide / 2, high / 2, heavy)
    ends = tuple(Terminal(pin, *place) for pin, place in pins.items())
    marks = tuple(
        Inscription(x + 1.0 * dx + 0.9 * (dx == 0), y + 1.3 * dy - 0.9 * (dy == 0), pin, 0.9)
        for pin, (x, y, dx, dy) in pins.items()
    )
    return Symbol("block", (outline,), (outline.points,), ends, (*marks, Inscription(0, 0, name, 1.4)))

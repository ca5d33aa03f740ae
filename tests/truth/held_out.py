"""The held-out sheets by name, each with its size in units."""

from __future__ import annotations

from collections.abc import Callable
from types import MappingProxyType

from held_out_dense import panel, slants
from held_out_layouts import Numbering, amplifier_board, receiver, valve_amplifier
from held_out_pen import MANNERS, HeldOutPen
from held_out_rows import flip_flops, power_supply, switch_rows

__all__ = ["LAYOUTS", "draw_held_out"]

Layout = Callable[[HeldOutPen, Numbering], None]

LAYOUTS: MappingProxyType[str, tuple[Layout, float, float]] = MappingProxyType(
    {
        "valve amplifier": (valve_amplifier, 150.0, 84.0),
        "receiver": (receiver, 148.0, 88.0),
        "amplifier board": (amplifier_board, 154.0, 118.0),
        "power supply": (power_supply, 192.0, 72.0),
        "switch rows": (switch_rows, 156.0, 88.0),
        "flip-flops": (flip_flops, 166.0, 78.0),
        "panel": (panel, 150.0, 126.0),
        "slants": (slants, 150.0, 66.0),
    }
)


def draw_held_out(name: str, manner: int) -> HeldOutPen:
    """Draw a sheet; `finish` of what is returned gives its truth."""
    layout, wide, high = LAYOUTS[name]
    seed = 10 * list(LAYOUTS).index(name) + manner
    pen = HeldOutPen(wide, high, MANNERS[manner], seed)
    layout(pen, Numbering(seed))
    return pen

"""Denser sheets of the held-out pen: a control panel, and bridges with their wires on the slant."""

from __future__ import annotations

import numpy as np
from held_out_layouts import Numbering, between, upright
from held_out_pen import HeldOutPen

__all__ = ["panel", "slants"]

Place = tuple[float, float]


def panel(pen: HeldOutPen, name: Numbering) -> None:
    """A row of controls between two rails, wide blocks and two buses; 150 by 112 units."""
    top, foot = 48.0, 66.0
    bus = [26.0 + 2.2 * line for line in range(6)]
    low = [97.0 + 2.4 * line for line in range(4)]
    for place, y in enumerate(bus):
        left, right = pen.put("label", 6, y, mirror=True), pen.put("label", 144, y)
        pen.run(pen.at(left, "1"), pen.at(right, "1"))
        pen.text(2.6 * pen.unit, y * pen.unit, f"D{place}", height=1.35 * pen.unit)
    for number, x in enumerate((40.0, 108.0)):
        pins = {str(pin + 1): (-25.0 + 9.0 * pin + 2 * number, 6.0, 0.0, 1.0) for pin in range(6)}
        block = pen.block(x, 11, 62, 12, pins, name("IC"))
        for pin in range(6):
            px, py = pen.at(block, str(pin + 1))
            y = bus[(pin * (1 + 4 * number) + number) % 6]
            pen.run((px, py), (None, y))
            pen.dots((px, y))
    pins = {str(pin + 1): (-56.0 + 14.0 * pin, -6.0, 0.0, -1.0) for pin in range(8)}
    pins |= {str(pin + 9): (-45.0 + 24.0 * pin, 6.0, 0.0, 1.0) for pin in range(4)}
    pins |= {"13": (-62.0, 0.0, -1.0, 0.0), "14": (62.0, -2.0, 1.0, 0.0), "15": (62.0, 2.0, 1.0, 0.0)}
    block = pen.block(74, 84, 124, 12, pins, name("IC"))
    for place in range(8):
        px, py = pen.at(block, str(place + 1))
        control = upright(pen, "pot", px + 6, 57, name("VR"))
        between(pen, control, top, foot)
        pen.run(pen.at(control, "w"), (px, None), (px, py))
        if place < 7:
            pen.dots((px + 6, top), (px + 6, foot))
    pen.run((20, 44), (None, top), (px + 6, None))
    pen.put("label", 20, 43.5, turn=-90)
    pen.run((12, 69), (None, foot), (px + 6, None))
    pen.earth(12, 69)
    _low_bus(pen, [pen.at(block, str(pin)) for pin in range(9, 13)], low, name)
    side = pen.at(block, "13")
    pen.run(side, (7, None), (None, 78))
    pen.put("label", 7, 77.5, turn=-90)
    pen.run(pen.at(block, "14"), (142, None), (None, pen.at(block, "15")[1]), pen.at(block, "15"))
    pen.run((142, pen.at(block, "15")[1]), (None, 90))
    pen.earth(142, 90)
    pen.dots((142, pen.at(block, "15")[1]))


def _low_bus(pen: HeldOutPen, feet: list[Place], low: list[float], name: Numbering) -> None:
    """Four lines under the block, each with a resistor to a common rail."""
    for place, (y, (px, py)) in enumerate(zip(low, feet, strict=True)):
        out = pen.put("label", 136, y)
        pen.run((20, y), pen.at(out, "1"))
        pen.run((px, py), (None, y))
        pull = upright(pen, "resistor", 39 + 24.0 * place, 112, name("R"))
        between(pen, pull, y, 119)
        pen.dots((px, y), (39 + 24.0 * place, y))
        if place < 3:
            pen.dots((39 + 24.0 * place, 119))
    pen.run((30, 122), (None, 119), (111, None))
    pen.earth(30, 122)


def _side(pen: HeldOutPen, symbol: str, start: Place, end: Place) -> None:
    """A part in the middle of a slanting wire."""
    turn = float(np.rad2deg(np.arctan2(end[1] - start[1], end[0] - start[0])))
    part = pen.put(symbol, (start[0] + end[0]) / 2, (start[1] + end[1]) / 2, turn=turn)
    first, last = (each.name for each in part.terminals)
    pen.run(start, pen.at(part, first))
    pen.run(pen.at(part, last), end)


def slants(pen: HeldOutPen, name: Numbering) -> None:
    """Three bridges stood on their corners, joined by wires that slant and cross; 150 by 66 units."""
    reach = 15.0
    for number, (x, symbol) in enumerate(((24.0, "diode"), (74.0, "resistor"), (124.0, "capacitor"))):
        west, north, east, south = (x - reach, 34.0), (x, 34 - reach), (x + reach, 34.0), (x, 34 + reach)
        for start, end in ((west, north), (north, east), (west, south), (south, east)):
            _side(pen, symbol, start, end)
        across = upright(pen, ("lamp", "meter", "coil")[number], x, 34, name(("LP", "M", "L")[number]))
        between(pen, across, north[1], south[1])
        pen.dots(west, north, east, south)
        if number < 2:
            pen.run(north, (x, 12), (x + 12, 12), (x + 38, 56), (x + 50, 56), (x + 50, 34 + reach))
            pen.run(south, (x, 56), (x + 12, 56), (x + 30, 12), (x + 50, 12), (x + 50, 34 - reach))
    source = pen.put("label", 4, 34, mirror=True)
    pen.run(pen.at(source, "1"), (9, 34))
    out = pen.put("label", 145, 34)
    pen.run((139, 34), pen.at(out, "1"))
    pen.run((89, 34), (109, 34))
    pen.run((39, 34), (59, 34))

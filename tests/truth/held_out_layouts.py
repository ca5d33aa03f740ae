"""Orderly sheets of the held-out pen: a valve amplifier, a receiver, an amplifier board.

The circuits are made up in the manner of each kind of set (common practice); their values are invented.
"""

from __future__ import annotations

import numpy as np
from held_out_pen import HeldOutPen

from tracer.training.truth import DrawnPart

__all__ = ["amplifier_board", "receiver", "valve_amplifier"]

_OHMS = ("47k", "100k", "220k", "1M", "4k7", "10k", "330", "2k2", "680", "1M5")
_FARADS = (".01", ".05", "100p", "470p", ".1", "25", "8", "16", "47n", "10n")


class Numbering:
    """References counted up by their letters, each with an invented value."""

    def __init__(self, seed: int) -> None:
        self._rng = np.random.default_rng(seed)
        self._next: dict[str, int] = {}

    def __call__(self, letters: str) -> str:
        number = self._next[letters] = self._next.get(letters, 0) + 1
        values = {"R": _OHMS, "VR": ("500k", "1M", "25k"), "C": _FARADS}.get(letters, ())
        value = f" {self._rng.choice(values)}" if values else ""
        return f"{letters}{number}{value}"


def upright(pen: HeldOutPen, symbol: str, x: float, y: float, name: str, text: str = "right") -> DrawnPart:
    """Place a part with two ends upright, its first end up."""
    return pen.put(symbol, x, y, name, turn=90, text=text)


def between(pen: HeldOutPen, part: DrawnPart, top: float, foot: float) -> None:
    """Run an upright part's ends straight to two levels."""
    first, last = (each.name for each in (part.terminals[0], part.terminals[-1]))
    pen.run(pen.at(part, first), (None, top))
    pen.run(pen.at(part, last), (None, foot))


def _cathode(pen: HeldOutPen, valve: DrawnPart, name: Numbering, node: float, earth: float) -> float:
    """A cathode resistor with its bypass; return where the cathode lies."""
    x, y = pen.at(valve, "k")
    resistor = upright(pen, "resistor", x, node + 9, name("R"), "left")
    pen.run((x, y), pen.at(resistor, "1"))
    pen.run(pen.at(resistor, "2"), (None, earth))
    bypass = upright(pen, "electrolytic", x + 9, node + 9, name("C"))
    pen.run((x, node), (x + 9, None), pen.at(bypass, "1"))
    pen.run(pen.at(bypass, "2"), (None, earth))
    pen.dots((x, node), (x, earth), (x + 9, earth))
    return x


def valve_amplifier(pen: HeldOutPen, name: Numbering) -> None:
    """Three triodes and a pentode with feedback over all; 152 by 82 units."""
    rail, earth, pitch, first = 12.0, 74.0, 30.0, 24.0
    end = first + 3 * pitch
    cathodes = []
    for stage in range(4):
        x = first + pitch * stage
        valve = pen.put("pentode" if stage == 3 else "triode", x, 40, name("V"), text="none")
        pen.text((x + 4.6) * pen.unit, 36.2 * pen.unit, valve.reference)
        (gx, gy), (ax, ay) = pen.at(valve, "g1"), pen.at(valve, "a")
        leak = upright(pen, "resistor", x - 9, 58, name("R"), "left")
        pen.run((gx, gy), (x - 9, None))
        between(pen, leak, gy, earth)
        pen.dots((x - 9, gy))
        if stage:
            pen.dots((x - 9, earth))
        cathodes.append(_cathode(pen, valve, name, 50, earth))
        if stage == 3:
            _output(pen, valve, name, rail, cathodes[0])
            continue
        load = upright(pen, "resistor", ax, 23, name("R"))
        between(pen, load, rail, ay)
        couple = pen.put("capacitor", x + 12, 31, name("C"))
        pen.run((ax, 31), pen.at(couple, "1"))
        pen.run(pen.at(couple, "2"), (x + pitch - 9, None), (None, gy if stage < 2 else 42.0))
        pen.dots((ax, rail), (ax, 31))
        dropper = pen.put("resistor", x + 20, rail, name("R"))
        pen.run((x, rail), pen.at(dropper, "1"))
        pen.run(pen.at(dropper, "2"), (x + pitch, None))
        smooth = upright(pen, "electrolytic", x + 10, 17.5, name("C"))
        pen.run((x + 10, rail), pen.at(smooth, "1"))
        pen.run(pen.at(smooth, "2"), (None, 21))
        pen.earth(x + 10, 21)
        pen.dots((x + 10, rail))
    grid = 40.0
    source = pen.put("label", first - 20, grid, mirror=True)
    couple = pen.put("capacitor", first - 14, grid, name("C"))
    pen.run(pen.at(source, "1"), pen.at(couple, "1"))
    pen.run(pen.at(couple, "2"), (first - 9, None))
    pen.run((first - 13, 77), (None, earth), (end + 10, None))
    pen.earth(first - 13, 77)
    pen.dots((first - 9, earth))


def _output(pen: HeldOutPen, valve: DrawnPart, name: Numbering, rail: float, cathode: float) -> None:
    """The output transformer, the loudspeaker and the feedback to the first cathode."""
    (x, y), (sx, sy) = pen.at(valve, "a"), pen.at(valve, "g2")
    kx, _ = pen.at(valve, "k")
    tx, ty = pen.at(valve, "g3")
    pen.run((tx, ty), (x - 5.2, None), (None, 50), (kx, None))
    pen.run((sx, sy), (x + 8, None), (None, rail))
    coil = pen.put("transformer", x + 17, 24, name("T"))
    pen.run((x, y), (None, pen.at(coil, "p2")[1]), pen.at(coil, "p2"))
    pen.run(pen.at(coil, "p1"), (x + 12, None), (None, rail))
    horn = pen.put("speaker", x + 28, 24, name("LS"), text="none")
    pen.run(pen.at(coil, "s1"), (x + 23, None), (None, 23), pen.at(horn, "1"))
    pen.run(pen.at(coil, "s2"), (x + 23, None), (None, 25), pen.at(horn, "2"))
    foot = pen.at(coil, "s2")[1]
    pen.run((x + 21, foot), (None, 68), (cathode + 4.5, None), (None, 50))
    pen.run((x, rail), (x + 22, None))
    pen.put("label", x + 22.5, rail)
    pen.dots((x + 8, rail), (x + 12, rail), (x + 21, foot), (cathode + 4.5, 50))


def receiver(pen: HeldOutPen, name: Numbering) -> None:
    """Two tuned stages and a detector with its volume control; 150 by 84 units."""
    rail, earth, agc = 10.0, 78.0, 66.0
    for stage in range(2):
        x = 32.0 + 46 * stage
        coil = pen.put("transformer", x - 20, 38, name("T"))
        valve = pen.put("pentode", x, 38, name("V"), text="none")
        pen.text((x + 4.8) * pen.unit, 33.6 * pen.unit, valve.reference)
        _tuned_grid(pen, coil, valve, name, agc)
        kx = _cathode(pen, valve, name, 50, earth)
        tx, ty = pen.at(valve, "g3")
        pen.run((tx, ty), (x - 5.0, None), (None, 50), (kx, None))
        sx, sy = pen.at(valve, "g2")
        screen = upright(pen, "resistor", x + 8, 19, name("R"))
        between(pen, screen, rail, sy)
        pen.run((sx, sy), (x + 8, None))
        bypass = upright(pen, "capacitor", x + 12, 44, name("C"))
        pen.run((x + 8, sy), (x + 12, None), pen.at(bypass, "1"))
        pen.run(pen.at(bypass, "2"), (None, 47))
        pen.earth(x + 12, 47)
        pen.dots((x + 8, rail), (x + 8, sy))
        (dx, up), (_, down) = pen.offset("transformer", "p1"), pen.offset("transformer", "p2")
        pen.run(pen.at(valve, "a"), (None, 27), (x + 18, None), (None, 38 + up), (x + 26 + dx, None))
        pen.run((x + 26 + dx, 38 + down), (x + 20, None), (None, rail))
        if stage == 0:
            pen.dots((x + 20, rail))
            aerial = pen.put("label", x - 30, 38 + up, mirror=True)
            pen.run(pen.at(aerial, "1"), pen.at(coil, "p1"))
            pen.run(pen.at(coil, "p2"), (x - 26, None), (None, 45))
            pen.earth(x - 26, 45)
    pen.run((40, rail), (98, rail))
    supply = pen.put("label", 36, rail, mirror=True)
    pen.run(pen.at(supply, "1"), (40, None))
    pen.run((25, 81), (None, earth), (86, None))
    pen.earth(25, 81)
    _detector(pen, name, 78, agc)


def _tuned_grid(pen: HeldOutPen, coil: DrawnPart, valve: DrawnPart, name: Numbering, agc: float) -> None:
    """A tuned winding to the first grid, its foot on the gain-control line."""
    (sx, sy), (fx, fy) = pen.at(coil, "s1"), pen.at(coil, "s2")
    gx, gy = pen.at(valve, "g1")
    tune = upright(pen, "capacitor", sx + 5, (sy + fy) / 2, name("C").split(" ")[0])
    pen.run((sx, sy), (gx - 4, None), (None, gy), (gx, gy))
    pen.run((sx + 5, sy), pen.at(tune, "1"))
    pen.run((fx, fy), (sx + 5, None), pen.at(tune, "2"))
    pen.run((sx + 2.5, fy), (None, agc))
    hold = upright(pen, "capacitor", sx + 2.5, agc + 4, name("C"))
    pen.run((sx + 2.5, agc), pen.at(hold, "1"))
    pen.run(pen.at(hold, "2"), (None, agc + 7))
    pen.earth(sx + 2.5, agc + 7)
    pen.dots((sx + 5, sy), (sx + 2.5, fy), (sx + 2.5, agc))


def _detector(pen: HeldOutPen, name: Numbering, x: float, agc: float) -> None:
    """A diode, its load and the volume control; the gain-control line goes back through a resistor."""
    coil = pen.put("transformer", x + 26, 38, name("T"))
    top = pen.at(coil, "s1")[1]
    rectify = pen.put("diode", x + 37, top, name("D"))
    pen.run(pen.at(coil, "s1"), pen.at(rectify, "a"))
    volume = pen.put("pot", x + 54, 46, name("VR"), turn=-90, text="left")
    pen.run(pen.at(rectify, "k"), (x + 54, None), pen.at(volume, "2"))
    filter_ = upright(pen, "capacitor", x + 44, 46, name("C").split(" ")[0], "left")
    between(pen, filter_, top, 55)
    pen.run(pen.at(volume, "1"), (None, 55), (x + 33, None))
    pen.run(pen.at(coil, "s2"), (x + 33, None), (None, agc))
    back = pen.put("resistor", x + 22, agc, name("R"))
    pen.run((x + 33, agc), pen.at(back, "2"))
    pen.run(pen.at(back, "1"), (12 + pen.offset("transformer", "s1")[0] + 2.5, None))
    out = pen.put("label", x + 64, pen.at(volume, "w")[1])
    pen.run(pen.at(volume, "w"), pen.at(out, "1"))
    pen.dots((x + 44, top), (x + 44, 55), (x + 33, 55))


def amplifier_board(pen: HeldOutPen, name: Numbering) -> None:
    """Three rows of four amplifiers, each with its feedback, row joined to row; 154 by 118 units."""
    for row in range(3):
        y = 28.0 + 40 * row
        for column in range(4):
            _inverter(pen, name, 24.0 + 36 * column, y, integrates=(row + column) % 2 == 1, last=column == 3)
        x = 24.0 + 36 * 3
        if row < 2:
            pen.run((x + 9, y), (x + 14, None), (None, y + 11), (4, None), (None, y + 38.6), (7.4, None))
        else:
            out = pen.put("label", x + 14, y)
            pen.run((x + 9, y), pen.at(out, "1"))
    source = pen.put("label", 3, 26.6, mirror=True)
    pen.run(pen.at(source, "1"), (7.4, None))
    for row, column in ((0, 1), (1, 0)):
        y, x = 28.0 + 40 * row, 24.0 + 36 * column
        cross = upright(pen, "resistor", x + 11.5, y + 21, name("R"))
        pen.run((x + 11.5, y), pen.at(cross, "1"))
        pen.run(pen.at(cross, "2"), (None, y + 34), (x + 36 - 9, None))
        pen.dots((x + 11.5, y), (x + 27, y + 34))


def _inverter(pen: HeldOutPen, name: Numbering, x: float, y: float, *, integrates: bool, last: bool) -> None:
    """One amplifier with its input resistor and feedback; its output node lies 9 units to the right."""
    amp = pen.put("amplifier", x, y, name("IC"), text="none")
    pen.text((x + 3.5) * pen.unit, (y + 4.4) * pen.unit, amp.reference)
    source = pen.put("resistor", x - 13.5, y - 1.4, name("R"), text="below")
    pen.run((x - 16.6, y - 1.4), pen.at(source, "1"))
    pen.run(pen.at(source, "2"), pen.at(amp, "-"))
    back = pen.put("resistor", x, y - 9, name("R"))
    pen.run((x - 9, y - 1.4), (None, y - 9), pen.at(back, "1"))
    pen.run(pen.at(back, "2"), (x + 9, None), (None, y))
    pen.run(pen.at(amp, "out"), (x + 9, None))
    if not last:
        pen.run((x + 9, y), (x + 14, None), (None, y - 1.4), (x + 36 - 16.6, None))
    pen.dots((x - 9, y - 1.4), (x + 9, y))
    if integrates:
        slow = pen.put("capacitor", x, y - 18, name("C"))
        pen.run((x - 9, y - 9), (None, y - 18), pen.at(slow, "1"))
        pen.run(pen.at(slow, "2"), (x + 9, None), (None, y - 9))
        pen.dots((x - 9, y - 9), (x + 9, y - 9))
    pen.run(pen.at(amp, "+"), (x - 6.5, None), (None, y + 6))
    pen.earth(x - 6.5, y + 6)

"""Symbols with two leads in line, as another hand draws them, and what ends a wire.

Each function draws from (0, 0) along x and returns how long the body is, mm.
"""

from __future__ import annotations

from another_brush import Brush

__all__ = ["ENDS", "TWO_LEADS"]


def resistor(b: Brush) -> float:
    if b.manner.resistor == "box":
        b.line((0, -1.5), (8, -1.5), (8, 1.5), (0, 1.5), (0, -1.5))
        return 8.0
    places = [(0.0, 0.0), (0.6, -1.3)]
    for peak in range(1, 6):
        places.append((0.6 + 1.2 * peak, 1.3 if peak % 2 else -1.3))
    b.line(*places, (7.2, 0.0))
    return 7.2


def pot(b: Brush) -> float:
    long = resistor(b)
    b.fill((long / 2, 1.7), (long / 2 - 0.8, 3.8), (long / 2 + 0.8, 3.8))
    b.terminal("w", long / 2, 3.8, 0, 1)
    return long


def preset(b: Brush) -> float:
    """A preset: its wiper a bar, not an arrow."""
    long = resistor(b)
    b.line((long / 2 - 1.0, 2.0), (long / 2 + 1.0, 2.0))
    b.line((long / 2, 2.0), (long / 2, 3.2))
    b.terminal("w", long / 2, 3.2, 0, 1)
    return long


def capacitor(b: Brush) -> float:
    b.line((0, -2.6), (0, 2.6), width=1.3 * b.manner.symbol_pen)
    if b.manner.capacitor == "curved":
        b.round((2.3, -2.6), (1.3, -1.2), (1.3, 1.2), (2.3, 2.6), width=1.3 * b.manner.symbol_pen)
        return 1.55
    b.line((1.4, -2.6), (1.4, 2.6), width=1.3 * b.manner.symbol_pen)
    return 1.4


def electrolytic(b: Brush) -> float:
    """The positive plate first: hollow where resistors are boxes, else straight against curved."""
    if b.manner.resistor == "box":
        b.line((0, -2.6), (1.0, -2.6), (1.0, 2.6), (0, 2.6), (0, -2.6))
        b.fill((1.8, -2.6), (2.8, -2.6), (2.8, 2.6), (1.8, 2.6))
        long = 2.8
    else:
        b.line((0, -2.6), (0, 2.6), width=1.4 * b.manner.symbol_pen)
        b.round((2.6, -2.6), (1.4, -1.2), (1.4, 1.2), (2.6, 2.6))
        long = 1.75
    for dx, dy in ((0.7, 0.0), (0.0, 0.7)):
        b.line((-1.4 - dx, -2.0 - dy), (-1.4 + dx, -2.0 + dy), counts=False, meaning="lettering")
    return long


def trimmer(b: Brush) -> float:
    long = capacitor(b)
    b.line((-2.2, 2.4), (3.2, -2.6))
    b.line((2.5, -3.3), (3.9, -1.9))
    return long


def variable(b: Brush) -> float:
    long = capacitor(b)
    b.line((-2.6, 3.0), (3.4, -3.0))
    b.fill((4.1, -3.7), (2.6, -3.2), (3.6, -2.2))
    return long


def coil(b: Brush) -> float:
    if b.manner.coil == "loops":
        places = [(0.0, 0.0)]
        for turn in range(4):
            x = 0.5 + 1.9 * turn
            places += [(x - 0.4, -2.0), (x + 1.9, -2.4), (x + 2.4, 0.4), (x + 1.4, 1.1), (x + 1.2, -0.3)]
        b.round(*places[:-2], (8.6, 0.0))
        return 8.6
    for turn in range(4):
        b.arc(1.1 + 2.2 * turn, 0, 1.1, 180, 360)
    return 8.8


def choke(b: Brush) -> float:
    long = coil(b)
    for y in (-3.2, -4.0):
        b.line((0.3, y), (long - 0.3, y))
    return long


def slug_coil(b: Brush) -> float:
    """A coil with a dust core."""
    long = coil(b)
    b.line((0.3, -3.3), (long - 0.3, -3.3), dash=(1.2, 0.7))
    return long


def diode(b: Brush) -> float:
    if b.manner.circles:
        b.fill((0, -1.7), (0, 1.7), (3.0, 0))
    else:
        b.line((0, -1.7), (0, 1.7), (3.0, 0), (0, -1.7))
    b.line((3.0, -1.8), (3.0, 1.8), width=1.3 * b.manner.symbol_pen)
    return 3.0


def zener(b: Brush) -> float:
    long = diode(b)
    b.line((3.0, -1.8), (2.0, -1.8))
    b.line((3.0, 1.8), (4.0, 1.8))
    return long


def light(b: Brush) -> float:
    """A diode that gives light."""
    b.line((0, -1.7), (0, 1.7), (3.0, 0), (0, -1.7))
    b.line((3.0, -1.8), (3.0, 1.8))
    for x in (1.2, 2.6):
        b.line((x, -2.1), (x + 1.2, -3.8))
        b.fill((x + 1.5, -4.3), (x + 0.5, -3.5), (x + 1.4, -3.0))
    return 3.0


def plates(b: Brush) -> float:
    """A metal rectifier."""
    b.fill((0, -2.2), (0, 2.2), (3.4, 0))
    b.line((3.6, -2.4), (3.6, 2.4), width=2 * b.manner.symbol_pen)
    return 3.6


def fuse(b: Brush) -> float:
    b.round((0, 0), (1.2, -2.0), (2.6, 0), (4.0, 2.0), (5.2, 0))
    return 5.2


def boxed_fuse(b: Brush) -> float:
    b.line((0, -1.2), (7, -1.2), (7, 1.2), (0, 1.2), (0, -1.2))
    b.line((0, 0), (7, 0))
    return 7.0


def lamp(b: Brush) -> float:
    b.arc(2.3, 0, 2.3)
    b.round((0, 0), (1.2, 0), (1.6, -1.6), (3.0, -1.6), (3.4, 0), (4.6, 0))
    return 4.6


def switch(b: Brush) -> float:
    """Two fixed points and a blade that stands open."""
    for x in (0.5, 6.5):
        b.arc(x, 0, 0.5)
    b.line((0.9, -0.3), (6.4, -2.6))
    return 7.0


def crystal(b: Brush) -> float:
    b.line((0, -2.2), (0, 2.2))
    b.line((0.8, -1.8), (2.4, -1.8), (2.4, 1.8), (0.8, 1.8), (0.8, -1.8))
    b.line((3.2, -2.2), (3.2, 2.2))
    return 3.2


def battery(b: Brush) -> float:
    for cell in range(3):
        b.line((2.0 * cell, -2.6), (2.0 * cell, 2.6))
        b.line((2.0 * cell + 1.0, -1.3), (2.0 * cell + 1.0, 1.3), width=1.8 * b.manner.symbol_pen)
    return 5.0


def meter(b: Brush) -> float:
    b.arc(3.2, 0, 3.2)
    b.line((1.6, 1.6), (4.6, -1.6))
    b.fill((5.0, -2.0), (3.9, -1.4), (4.5, -0.8))
    return 6.4


def speaker(b: Brush) -> float:
    """A coil's box with a cone to one side; the leads run in and out at its ends."""
    b.line((0, -1.2), (5, -1.2), (5, 1.2), (0, 1.2), (0, -1.2))
    b.line((0, -1.2), (-2.2, -5.0), (7.2, -5.0), (5, -1.2))
    return 5.0


def chassis(b: Brush) -> float:
    """What a wire goes to: the sign that the manner asks for, the lead coming along x."""
    shape = b.manner.ground
    if shape == "bars":
        for step, half in enumerate((2.2, 1.4, 0.6)):
            b.line((0.9 * step, -half), (0.9 * step, half))
    elif shape == "rake":
        b.line((0, -2.2), (0, 2.2))
        for y in (-2.2, -0.6, 1.0):
            b.line((0, y + 1.0), (1.7, y))
    elif shape == "triangle":
        b.line((0, -1.6), (2.4, 0), (0, 1.6), (0, -1.6))
    else:
        b.fill((0, -2.2), (0.8, -2.2), (0.8, 2.2), (0, 2.2))
    return 0.0


def ring(b: Brush) -> float:
    """An open circle at a wire's end."""
    b.arc(0.7, 0, 0.7)
    return 0.0


def arrow(b: Brush) -> float:
    b.fill((0, -0.9), (0, 0.9), (2.4, 0))
    return 0.0


def barb(b: Brush) -> float:
    """An arrow of two strokes."""
    b.line((0, 0), (2.0, 0))
    b.line((0.2, -1.1), (2.0, 0), (0.2, 1.1))
    return 0.0


def prong(b: Brush) -> float:
    """A contact of an edge connector."""
    b.line((0, -0.9), (3.2, -0.9), (3.2, 0.9), (0, 0.9), (0, -0.9))
    return 0.0


TWO_LEADS = {
    "resistor": (resistor, "resistor"),
    "pot": (pot, "pot"),
    "preset": (preset, "pot"),
    "capacitor": (capacitor, "capacitor"),
    "electrolytic": (electrolytic, "capacitor"),
    "trimmer": (trimmer, "capacitor"),
    "variable": (variable, "capacitor"),
    "coil": (coil, "coil"),
    "choke": (choke, "coil"),
    "slug coil": (slug_coil, "coil"),
    "diode": (diode, "diode"),
    "zener": (zener, "diode"),
    "light": (light, "diode"),
    "plates": (plates, "rectifier"),
    "fuse": (fuse, "fuse"),
    "boxed fuse": (boxed_fuse, "fuse"),
    "lamp": (lamp, "lamp"),
    "switch": (switch, "contact"),
    "crystal": (crystal, "crystal"),
    "battery": (battery, "battery"),
    "meter": (meter, "meter"),
    "speaker": (speaker, "speaker"),
}
ENDS = {
    "chassis": (chassis, "chassis"),
    "ring": (ring, "label"),
    "arrow": (arrow, "label"),
    "barb": (barb, "label"),
    "prong": (prong, "label"),
}

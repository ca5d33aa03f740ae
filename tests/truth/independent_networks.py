"""Networks without amplifiers for the independent pen: textbook ones, supplies, a bus."""

from __future__ import annotations

from collections.abc import Callable
from types import MappingProxyType

import schemdraw.elements as elm
from independent import Independent

__all__ = ["NETWORKS"]


def ladder(sheet: Independent) -> None:
    """A supply rail with droppers and smoothing capacitors to a common rail (common practice)."""
    for stage in range(4):
        x = 4.0 * stage
        near, far = f"HT{stage}", f"HT{stage + 1}"
        sheet.two(elm.Resistor(), "resistor", (x, 6), (x + 4, 6), (near, far), f"R{stage + 1} {stage + 1}k")
        sheet.two(
            elm.Capacitor2(polar=True),
            "capacitor",
            (x + 4, 6),
            (x + 4, 1),
            (far, "common"),
            f"C{stage + 1} 16u",
            "bottom",
        )
        sheet.dot((x + 4, 6), (x + 4, 1))
    sheet.join("common", (0, 1), (18, 1))
    sheet.join("HT4", (16, 6), (18, 6))
    sheet.open_end((18, 6))
    sheet.ground("common", (0, 1))


def matrix(sheet: Independent) -> None:
    """A matrix: four levels pass under four uprights, with a dot only where they join."""
    for row in range(4):
        y = 2.0 * row
        sheet.two(
            elm.ResistorIEC() if row % 2 else elm.Resistor(),
            "resistor",
            (-6, y),
            (-2, y),
            (f"in{row}", f"row{row}"),
            f"R{row + 1} {row + 1}k5",
        )
        sheet.join(f"row{row}", (-2, y), (9, y))
        sheet.open_end((-6, y))
    for column in range(4):
        x = 2.0 * column
        net = f"row{column}"
        sheet.join(net, (x, 8), (x, 2.0 * column))
        if column:
            sheet.join(net, (x, 2.0 * column), (x, -1.5))
        sheet.dot((x, 2.0 * column))
        sheet.two(elm.Diode(), "diode", (x, 8), (x, 11), (net, f"out{column}"), f"D{column + 1}", "bottom")
        sheet.join(f"out{column}", (x, 11), (x, 12))


def bridge(sheet: Independent) -> None:
    """Wheatstone's bridge with its source and a meter across (textbook network)."""
    corners = {"left": (0.0, 5.0), "top": (5.0, 10.0), "right": (10.0, 5.0), "bottom": (5.0, 0.0)}
    for number, (start, end) in enumerate(
        (("left", "top"), ("top", "right"), ("left", "bottom"), ("bottom", "right")), start=1
    ):
        sheet.two(elm.Resistor(), "resistor", corners[start], corners[end], (start, end), f"R{number}")
    sheet.two(elm.MeterV(), "meter", (5, 8), (5, 2), ("top", "bottom"), "M1", "bottom")
    sheet.join("top", corners["top"], (5, 8))
    sheet.join("bottom", (5, 2), corners["bottom"])
    sheet.two(elm.Battery(), "battery", (2.5, -3), (7.5, -3), ("left", "right"), "B1 9V")
    sheet.join("left", corners["left"], (-2, 5), (-2, -3), (2.5, -3))
    sheet.join("right", corners["right"], (12, 5), (12, -3), (7.5, -3))
    sheet.dot(*corners.values())


def twin_t(sheet: Independent) -> None:
    """The twin-T notch (textbook network) between a source and a load."""
    sheet.two(elm.ResistorIEC(), "resistor", (2, 6), (6, 6), ("in", "mid"), "R1 10k")
    sheet.two(elm.ResistorIEC(), "resistor", (6, 6), (10, 6), ("mid", "out"), "R2 10k")
    sheet.two(elm.Capacitor(), "capacitor", (6, 6), (6, 3), ("mid", "earth"), "C3 2n", "bottom")
    sheet.two(elm.Capacitor(), "capacitor", (2, 1), (6, 1), ("in", "low"), "C1 1n")
    sheet.two(elm.Capacitor(), "capacitor", (6, 1), (10, 1), ("low", "out"), "C2 1n")
    sheet.two(elm.ResistorIEC(), "resistor", (6, 1), (6, -2), ("low", "deep"), "R3 5k", "bottom")
    sheet.join("in", (0, 3.5), (2, 3.5), (2, 6))
    sheet.join("in", (2, 3.5), (2, 1))
    sheet.join("out", (10, 6), (10, 3.5), (14, 3.5))
    sheet.join("out", (10, 3.5), (10, 1))
    sheet.two(elm.Potentiometer(), "pot", (14, 3.5), (14, -2), ("out", "deep2"), "VR1 100k", "top", "wiper")
    tap = sheet.parts[-1].terminals["w"][1]
    sheet.join("wiper", tap, (tap[0] + 2, tap[1]))
    sheet.open_end((0, 3.5), (tap[0] + 2, tap[1]))
    sheet.dot((2, 3.5), (10, 3.5), (6, 6), (6, 1))
    sheet.ground("earth", (6, 3))
    sheet.ground("deep", (6, -2))
    sheet.ground("deep2", (14, -2))


def r_2r(sheet: Independent) -> None:
    """The R-2R ladder of a digital-to-analogue converter with its switches (textbook network)."""
    for bit in range(4):
        x = 4.0 * bit
        sheet.two(
            elm.Resistor(),
            "resistor",
            (x, 8),
            (x, 4),
            (f"n{bit}", f"s{bit}"),
            f"R{2 * bit + 1} 20k",
            "bottom",
        )
        if bit:
            sheet.two(
                elm.Resistor(), "resistor", (x - 4, 8), (x, 8), (f"n{bit - 1}", f"n{bit}"), f"R{2 * bit} 10k"
            )
        switch = sheet.many(
            elm.SwitchSpdt(), "contact", (x, 4), {"start": f"s{bit}", "b": "zero", "c": "ref"}, turn=-90
        )
        (bx, by), (cx, cy) = switch.absanchors["b"], switch.absanchors["c"]
        sheet.join("zero", (bx, by), (bx, 1))
        sheet.join("ref", (cx, cy), (cx, -0.5))
        sheet.dot((bx, 1), (cx, -0.5), (x, 8))
    sheet.two(elm.Resistor(), "resistor", (-4, 8), (0, 8), ("foot", "n0"), "R8 20k")
    sheet.join("foot", (-4, 8), (-4, 7))
    sheet.ground("foot", (-4, 7))
    sheet.join("zero", (-2, 1), (14, 1))
    sheet.join("ref", (-2, -0.5), (15, -0.5))
    sheet.ground("zero", (-2, 1))
    sheet.join("n3", (12, 8), (15, 8))
    sheet.open_end((15, -0.5), (15, 8))


def multiplier(sheet: Independent) -> None:
    """A voltage multiplier of three stages (Cockcroft and Walton 1932), its diodes on the slant."""
    for stage in range(3):
        x = 5.0 * stage
        top, low = f"a{stage}", f"b{stage}"
        sheet.two(elm.Capacitor(), "capacitor", (x, 6), (x + 5, 6), (top, f"a{stage + 1}"), f"C{stage + 1}")
        sheet.two(
            elm.Capacitor(),
            "capacitor",
            (x, 0),
            (x + 5, 0),
            (low, f"b{stage + 1}"),
            f"C{stage + 4}",
            "bottom",
        )
        sheet.two(elm.Diode(), "diode", (x, 0), (x + 5, 6), (low, f"a{stage + 1}"), f"D{2 * stage + 1}")
        sheet.two(
            elm.Diode(),
            "diode",
            (x + 5, 6),
            (x + 5, 0),
            (f"a{stage + 1}", f"b{stage + 1}"),
            f"D{2 * stage + 2}",
            "bottom",
        )
        sheet.dot((x + 5, 6), (x + 5, 0))
    sheet.join("a0", (-2, 6), (0, 6))
    sheet.join("b0", (-2, 0), (0, 0))
    sheet.join("b3", (15, 0), (17, 0))
    sheet.two(elm.SourceSin(), "other", (-2, 6), (-2, 0), ("a0", "b0"))
    sheet.dot((0, 0))
    sheet.join("b0", (0, 0), (0, -1))
    sheet.ground("b0", (0, -1))
    sheet.open_end((17, 0))


def supply(sheet: Independent) -> None:
    """Mains fuse, switch, transformer, a bridge of four diodes at 45 degrees, reservoirs and a regulator."""
    sheet.two(elm.Fuse(), "fuse", (-9, 7), (-6, 7), ("live", "fused"), "FS1 1A")
    sheet.two(elm.Switch(), "contact", (-6, 7), (-3, 7), ("fused", "pri1"), "S1")
    coil = sheet.many(
        elm.Transformer(t1=6, t2=5).anchor("p1"),
        "transformer",
        (-1, 6),
        {"p1": "pri1", "p2": "pri2", "s1": "ac1", "s2": "ac2"},
    )
    at = {name: (float(p[0]), float(p[1])) for name, p in coil.absanchors.items()}
    sheet.join("pri1", (-3, 7), (-1.5, 7), (-1.5, at["p1"][1]), at["p1"])
    sheet.join("pri2", at["p2"], (-1.5, at["p2"][1]), (-1.5, 1), (-9, 1))
    corners = {"ac1": (6.0, 8.0), "plus": (9.0, 5.0), "ac2": (6.0, 2.0), "minus": (3.0, 5.0)}
    for number, (start, end) in enumerate(
        (("minus", "ac1"), ("ac1", "plus"), ("minus", "ac2"), ("ac2", "plus")), start=1
    ):
        sheet.two(elm.Diode(), "diode", corners[start], corners[end], (start, end), f"D{number}")
    sheet.join("ac1", at["s1"], (1.5, at["s1"][1]), (1.5, 8), corners["ac1"])
    sheet.join("ac2", at["s2"], (1.5, at["s2"][1]), (1.5, 2), corners["ac2"])
    sheet.join("minus", corners["minus"], (3, 0), (22, 0))
    chip = sheet.many(
        elm.Ic(
            size=(3, 2),
            pins=[
                elm.IcPin("IN", side="left"),
                elm.IcPin("OUT", side="right"),
                elm.IcPin("GND", side="bottom"),
            ],
        )
        .anchor("IN")
        .label("IC1", "top"),
        "block",
        (14, 5),
        {"IN": "plus", "OUT": "rail", "GND": "minus"},
        "IC1",
    )
    foot, out = chip.absanchors["GND"], chip.absanchors["OUT"]
    sheet.join("plus", corners["plus"], (14, 5))
    sheet.join("minus", (foot[0], foot[1]), (foot[0], 0))
    sheet.join("rail", (out[0], out[1]), (22, out[1]))
    sheet.two(
        elm.Capacitor2(polar=True), "capacitor", (11.5, 5), (11.5, 0), ("plus", "minus"), "C1 2200u", "bottom"
    )
    sheet.two(elm.Capacitor(), "capacitor", (20.5, out[1]), (20.5, 0), ("rail", "minus"), "C2 .1", "bottom")
    sheet.dot(*corners.values(), (11.5, 5), (11.5, 0), (foot[0], 0), (20.5, 0), (20.5, out[1]))
    sheet.open_end((-9, 7), (-9, 1), (22, out[1]), (22, 0))


def bus(sheet: Independent) -> None:
    """Two blocks and a resistor pack on a bus of eight lines half a unit apart, joined by dots."""
    count = 8
    level = [0.55 * line for line in range(count)]
    for line, y in enumerate(level):
        sheet.join(f"A{line}", (-2, y), (26, y))
        sheet.open_end((-2, y))
    for number, x in enumerate((0.0, 13.0)):
        pins = [elm.IcPin(str(line + 1), side="bottom") for line in range(count)]
        chip = sheet.many(
            elm.Ic(size=(9, 2.5), pins=pins).anchor("1").label(f"IC{number + 1}"),
            "block",
            (x, 8),
            {str(line + 1): f"A{line}" for line in range(count)},
            f"IC{number + 1}",
        )
        for line, y in enumerate(level):
            px, py = chip.absanchors[str(line + 1)]
            sheet.join(f"A{line}", (px, py), (px, y))
            sheet.dot((px, y))
    for line, y in enumerate(level[::2]):
        x = 8.5 + 1.6 * line
        net = f"A{2 * line}"
        sheet.join(net, (x, y), (x, -2))
        sheet.two(elm.ResistorIEC(), "resistor", (x, -2), (x, -5), (net, "pull"), f"R{line + 1}", "bottom")
        sheet.dot((x, y))
    sheet.join("pull", (8.5, -5), (15.5, -5))
    sheet.dot((8.5 + 1.6, -5), (8.5 + 3.2, -5), (8.5 + 4.8, -5))
    sheet.open_end((15.5, -5))


NETWORKS: MappingProxyType[str, Callable[[Independent], None]] = MappingProxyType(
    {
        "ladder": ladder,
        "diode matrix": matrix,
        "Wheatstone bridge": bridge,
        "twin-T": twin_t,
        "R-2R ladder": r_2r,
        "Cockcroft-Walton": multiplier,
        "bridge supply": supply,
        "bus": bus,
    }
)

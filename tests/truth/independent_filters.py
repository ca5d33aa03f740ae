"""Active filters for the independent pen: textbook circuits with op-amps."""

from __future__ import annotations

from collections.abc import Callable
from types import MappingProxyType

import schemdraw.elements as elm
from independent import Independent, anchor_of, capacitor, resistor

__all__ = ["FILTERS"]


def sallen_key(sheet: Independent) -> None:
    """Two low-pass sections after Sallen and Key (1955), in a row."""
    for stage in range(2):
        x = 15.0 * stage
        n = 2 * stage
        near, mid, plus, out = f"in{stage}", f"m{stage}", f"p{stage}", f"in{stage + 1}"
        resistor(sheet, (x, 6), (x + 3, 6), (near, mid), f"R{n + 1} 10k", "top")
        resistor(sheet, (x + 3, 6), (x + 6, 6), (mid, plus), f"R{n + 2} 10k", "top")
        amp = sheet.many(
            elm.Opamp().flip().anchor("in2").label(f"IC{stage + 1}", "center"),
            "block",
            (x + 8, 6),
            {"in2": plus, "in1": out, "out": out},
            f"IC{stage + 1}",
        )
        minus, end = anchor_of(amp, "in1"), anchor_of(amp, "out")
        sheet.join(plus, (x + 6, 6), (x + 8, 6))
        capacitor(sheet, (x + 6, 6), (x + 6, 2), (plus, "earth"), f"C{n + 2} 4n7", "top")
        sheet.ground("earth", (x + 6, 2))
        sheet.join(out, minus, (x + 7.2, minus[1]), (x + 7.2, 2.8), (x + 11.5, 2.8), (x + 11.5, end[1]), end)
        sheet.join(out, (x + 11.5, end[1]), (x + 15, end[1]), (x + 15, 6))
        sheet.join(mid, (x + 3, 6), (x + 3, 9))
        capacitor(sheet, (x + 3, 9), (x + 11.5, 9), (mid, out), f"C{n + 1} 10n", "top")
        sheet.join(out, (x + 11.5, 9), (x + 11.5, end[1]))
        sheet.dot((x + 3, 6), (x + 6, 6), (x + 11.5, end[1]))
    sheet.open_end((0, 6), (30, 6))


def state_variable(sheet: Independent) -> None:
    """The state-variable filter of Kerwin, Huelsman and Newcomb (1967): a summer and two integrators."""
    place = [(6.0, 6.0), (15.0, 6.0), (24.0, 6.0)]
    nets = [("s", "hp"), ("i1", "bp"), ("i2", "lp")]
    outs = []
    for number, ((x, y), (minus, out)) in enumerate(zip(place, nets, strict=True), start=1):
        amp = sheet.many(
            elm.Opamp().anchor("in1").label(f"IC{number}", "center"),
            "block",
            (x, y),
            {"in1": minus, "in2": f"p{number}", "out": out},
            f"IC{number}",
        )
        px, py = anchor_of(amp, "in2")
        ox, oy = anchor_of(amp, "out")
        outs.append((ox + 1, oy))
        sheet.join(minus, (x - 1.5, y), (x, y))
        sheet.join(minus, (x - 1.5, y), (x - 1.5, y + 2.5))
        sheet.join(out, (ox, oy), (ox + 1, oy), (ox + 1, y + 2.5))
        if number > 1:
            capacitor(sheet, (x - 1.5, y + 2.5), (ox + 1, y + 2.5), (minus, out), f"C{number - 1} 1n", "top")
            sheet.join(f"p{number}", (px, py), (px - 0.7, py), (px - 0.7, py - 1))
            sheet.ground(f"p{number}", (px - 0.7, py - 1))
            lead = outs[number - 2]
            resistor(sheet, lead, (x - 3, lead[1]), (nets[number - 2][1], minus), f"R{number + 2} 15k", "top")
            sheet.join(minus, (x - 3, lead[1]), (x - 2.2, lead[1]), (x - 2.2, y), (x - 1.5, y))
        else:
            resistor(sheet, (x - 1.5, y + 2.5), (ox + 1, y + 2.5), (minus, out), "R2 10k", "top")
            sheet.join("p1", (px, py), (px - 2.5, py), (px - 2.5, 1))
            resistor(sheet, (px - 2.5, 1), (px - 2.5, -2), ("p1", "earth"), "R7 1k", "top")
            sheet.ground("earth", (px - 2.5, -2))
        sheet.dot((x - 1.5, y), (ox + 1, oy))
    resistor(sheet, (1, 6), (4.5, 6), ("in", "s"), "R1 10k", "top")
    sheet.open_end((1, 6))
    ox, oy = outs[2]
    resistor(sheet, (8, 11), (14, 11), ("s", "lp"), "R3 10k", "top")
    sheet.join("s", (8, 11), (3.9, 11), (3.9, 8.5), (4.5, 8.5))
    sheet.join("lp", (14, 11), (ox, 11), (ox, 8.5))
    sheet.dot((4.5, 8.5), (ox, 8.5))
    bx, by = outs[1]
    resistor(sheet, (6, 1), (12, 1), ("p1", "bp"), "R6 33k", "top")
    sheet.join("p1", (6, 1), (3.5, 1))
    sheet.join("bp", (12, 1), (bx, 1), (bx, by))
    sheet.dot((3.5, 1))
    sheet.join("lp", (ox, oy), (ox + 2, oy))
    sheet.open_end((ox + 2, oy))


FILTERS: MappingProxyType[str, Callable[[Independent], None]] = MappingProxyType(
    {"Sallen-Key": sallen_key, "state variable": state_variable}
)

"""More sheets of the held-out pen: a power supply, rows of contacts on a bus, a chain of flip-flops."""

from __future__ import annotations

from held_out_layouts import Numbering, between, upright
from held_out_pen import HeldOutPen

__all__ = ["flip_flops", "power_supply", "switch_rows"]


def power_supply(pen: HeldOutPen, name: Numbering) -> None:
    """Mains, transformer, bridge, choke, a series transistor and a block; 192 by 72 units."""
    rail, zero = 14.0, 62.0
    live, neutral = (pen.put("label", 6, y, mirror=True) for y in (20, 46))
    fuse, switch = pen.put("fuse", 14, 20, name("FS")), pen.put("contact", 25, 20, name("S"))
    coil = pen.put("transformer", 44, 33, name("T"))
    pen.run(pen.at(live, "1"), pen.at(fuse, "1"))
    pen.run(pen.at(fuse, "2"), pen.at(switch, "common"))
    pen.run(pen.at(switch, "make"), (38, None), (None, pen.at(coil, "p1")[1]), pen.at(coil, "p1"))
    pen.run(pen.at(neutral, "1"), (38, None), (None, pen.at(coil, "p2")[1]), pen.at(coil, "p2"))
    lamp = upright(pen, "lamp", 32, 33, name("LP"), "left")
    between(pen, lamp, 20, 46)
    bridge = pen.put("bridge", 64, 36, name("BR"), text="none")
    pen.run(pen.at(coil, "s1"), (52, None), (None, 24), (64, None), pen.at(bridge, "ac1"))
    pen.run(pen.at(coil, "s2"), (52, None), (None, 48), (64, None), pen.at(bridge, "ac2"))
    pen.run(pen.at(bridge, "-"), (56, None), (None, zero), (181, None))
    pen.run((68, zero), (None, 66))
    pen.earth(68, 66)
    choke = pen.put("coil", 84, rail, name("L"))
    pen.run(pen.at(bridge, "+"), (71, None), (None, rail), pen.at(choke, "1"))
    pen.run(pen.at(choke, "2"), (110, None))
    for x, symbol in ((77, "electrolytic"), (91, "electrolytic"), (101, "resistor")):
        part = upright(pen, symbol, x, 38, name("R" if symbol == "resistor" else "C"))
        between(pen, part, rail, zero)
        pen.dots((x, rail), (x, zero))
    pen.dots((32, 20), (32, 46), (68, zero))
    _regulators(pen, name, rail, zero)


def _regulators(pen: HeldOutPen, name: Numbering, rail: float, zero: float) -> None:
    """A series transistor on a reference diode, a meter, then a block with its capacitors."""
    series = pen.put("transistor", 118, rail + 1.2, name("TR"), turn=-90)
    pen.run((110, rail), pen.at(series, "c"))
    feed = upright(pen, "resistor", 110, 25, name("R"))
    between(pen, feed, rail, 34)
    pen.run((110, 34), (126, None))
    pen.run(pen.at(series, "b"), (None, 34))
    steady = pen.put("diode", 118, 45, name("D"), turn=-90, text="left")
    pen.run(pen.at(steady, "k"), (None, 34))
    pen.run(pen.at(steady, "a"), (None, zero))
    slow = upright(pen, "electrolytic", 126, 45, name("C"))
    between(pen, slow, 34, zero)
    meter = pen.put("meter", 136, rail, name("M"))
    pen.run(pen.at(series, "e"), pen.at(meter, "1"))
    pen.run(pen.at(meter, "2"), (188, None))
    pen.put("label", 188.5, rail)
    pins = {"1": (-5.0, 0.0, -1.0, 0.0), "2": (5.0, 0.0, 1.0, 0.0), "3": (0.0, 4.0, 0.0, 1.0)}
    block = pen.block(159, 32, 10, 8, pins, name("IC"))
    pen.run((145, rail), (None, 32), pen.at(block, "1"))
    pen.run(pen.at(block, "3"), (None, zero))
    pen.run(pen.at(block, "2"), (188, None))
    pen.put("label", 188.5, 32)
    for x, level in ((145, 32), (171, 32), (181, rail)):
        part = upright(pen, "resistor" if x == 181 else "capacitor", x, 48, name("R" if x == 181 else "C"))
        between(pen, part, level, zero)
        pen.dots((x, level))
    pen.dots(
        (110, rail), (118, 34), (118, zero), (126, zero), (145, rail), (145, zero), (159, zero), (171, zero)
    )


def switch_rows(pen: HeldOutPen, name: Numbering) -> None:
    """Two blocks and a row of contacts on a bus of eight lines; 156 by 88 units."""
    level = [30.0 + 2.4 * line for line in range(8)]
    for line, y in enumerate(level):
        left, right = pen.put("label", 6, y, mirror=True), pen.put("label", 150, y)
        pen.run(pen.at(left, "1"), pen.at(right, "1"))
        pen.text(2.6 * pen.unit, y * pen.unit, f"A{line}", height=1.35 * pen.unit)
    for x in (38.0, 112.0):
        pins = {str(pin + 1): (-24.5 + 7.0 * pin, 5.0, 0.0, 1.0) for pin in range(8)}
        block = pen.block(x, 13, 56, 10, pins, name("IC"))
        for pin, y in enumerate(level):
            px, py = pen.at(block, str(pin + 1))
            pen.run((px, py), (None, y))
            pen.dots((px, y))
    for place, x in enumerate((17.0, 31.0, 45.0, 59.0, 75.0, 91.0, 105.0, 119.0)):
        y = level[(5 * place + 3) % 8]
        guard = upright(pen, "diode", x, 57, name("D"))
        switch = upright(pen, "contact", x, 69, name("S"))
        pen.run((x, y), pen.at(guard, "a"))
        pen.run(pen.at(guard, "k"), pen.at(switch, "common"))
        pen.run(pen.at(switch, "make"), (None, 79))
        pen.dots((x, y))
        if 0 < place < 7:
            pen.dots((x, 79))
    pen.run((17, 82), (None, 79), (119, None))
    pen.earth(17, 82)


def flip_flops(pen: HeldOutPen, name: Numbering) -> None:
    """Four pairs of transistors, each crosswise coupled, on a common reset line; 170 by 76 units."""
    rail, zero, reset = 8.0, 68.0, 60.0
    for stage in range(4):
        x = 17.0 + 40 * stage
        left = pen.put("transistor", x, 42, name("Q"), text="none")
        right = pen.put("transistor", x + 17, 42, name("Q"), mirror=True, text="none")
        pen.text((x + 4.6) * pen.unit, 45.5 * pen.unit, left.reference)
        pen.text((x + 12.4) * pen.unit, 45.5 * pen.unit, right.reference)
        (ax, _), (bx, _) = pen.at(left, "c"), pen.at(right, "c")
        load, lamp = upright(pen, "resistor", ax, 15, name("R")), upright(pen, "lamp", bx, 15, name("LP"))
        between(pen, load, rail, pen.at(left, "c")[1])
        between(pen, lamp, rail, pen.at(right, "c")[1])
        for part in (left, right):
            pen.run(pen.at(part, "e"), (None, zero))
            pen.dots((pen.at(part, "e")[0], zero))
        over = pen.put("resistor", x + 10, 34, name("R"), text="below")
        pen.run((ax, 34), pen.at(over, "1"))
        pen.run(pen.at(over, "2"), (x + 26, None), (None, 42), pen.at(right, "b"))
        back = pen.put("resistor", x + 6.8, 27, name("R"))
        pen.run((bx, 27), pen.at(back, "2"))
        pen.run(pen.at(back, "1"), (x - 8, None), (None, 42), pen.at(left, "b"))
        guard = upright(pen, "diode", x - 8, 53, name("D"))
        between(pen, guard, 42, reset)
        pen.dots((ax, 34), (bx, 27), (x - 8, 42), (ax, rail), (bx, rail))
        if stage:
            pen.dots((x - 8, reset))
    pen.run((9, reset), (160, None))
    pen.put("label", 160.5, reset)
    pen.run((10, 71), (None, zero), (160, None))
    pen.earth(10, 71)
    supply = pen.put("label", 160.5, rail)
    pen.run((14, rail), pen.at(supply, "1"))

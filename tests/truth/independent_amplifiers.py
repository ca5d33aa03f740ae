"""Amplifiers and oscillators for the independent pen: textbook circuits with valves and transistors."""

from __future__ import annotations

from collections.abc import Callable
from types import MappingProxyType

import schemdraw.elements as elm
from independent import Independent, anchor_of, capacitor, resistor

__all__ = ["AMPLIFIERS"]


def common_emitter(sheet: Independent) -> None:
    """Two stages in common-emitter connection with coupling and bypass capacitors (common practice)."""
    for stage in range(2):
        x = 10.0 * stage
        base, collector, emitter = f"b{stage}", f"c{stage}", f"e{stage}"
        part = sheet.many(
            elm.BjtNpn(circle=True).anchor("base").label(f"Q{stage + 1}", "right"),
            "transistor",
            (x + 4, 4),
            {"base": base, "collector": collector, "emitter": emitter},
            f"Q{stage + 1}",
        )
        (cx, cy), (ex, ey) = anchor_of(part, "collector"), anchor_of(part, "emitter")
        sheet.join(base, (x + 2, 4), (x + 4, 4))
        resistor(sheet, (x + 2, 4), (x + 2, 9), (base, "rail"), f"R{4 * stage + 1} 470k", "top")
        resistor(sheet, (x + 2, 4), (x + 2, -1), (base, "earth"), f"R{4 * stage + 2} 68k", "top")
        resistor(sheet, (cx, 9), (cx, 5.5), ("rail", collector), f"R{4 * stage + 3} 4k7")
        sheet.join(collector, (cx, 5.5), (cx, cy))
        resistor(sheet, (ex, ey - 0.5), (ex, -1), (emitter, "earth"), f"R{4 * stage + 4} 1k", "top")
        sheet.join(emitter, (ex, ey), (ex, ey - 0.5), (ex + 1.8, ey - 0.5))
        capacitor(sheet, (ex + 1.8, ey - 0.5), (ex + 1.8, -1), (emitter, "earth"), f"C{2 * stage + 2} 25u")
        source = f"c{stage - 1}" if stage else "in"
        capacitor(sheet, (x - 1, 4), (x + 2, 4), (source, base), f"C{2 * stage + 1} .1", "top")
        if stage:
            sheet.join(source, (x - 1, 4), (x - 2.5, 4), (x - 2.5, 5.5), (4.75, 5.5))
            sheet.dot((4.75, 5.5))
        else:
            sheet.open_end((x - 1, 4))
        sheet.dot((x + 2, 4), (x + 2, 9), (x + 2, -1), (cx, 9), (ex, -1), (ex, ey - 0.5), (ex + 1.8, -1))
    sheet.join("rail", (0, 9), (17, 9))
    sheet.join("earth", (0, -1), (18, -1))
    sheet.open_end((17, 9))
    sheet.ground("earth", (0, -1))


def multivibrator(sheet: Independent) -> None:
    """The astable multivibrator (Abraham and Bloch 1919), its capacitors cross-coupled on the slant."""
    left = sheet.many(
        elm.BjtNpn(circle=True).anchor("collector").reverse(),
        "transistor",
        (2, 4),
        {"base": "b1", "collector": "c1", "emitter": "earth"},
    )
    right = sheet.many(
        elm.BjtNpn(circle=True).anchor("collector"),
        "transistor",
        (14, 4),
        {"base": "b2", "collector": "c2", "emitter": "earth"},
    )
    for number, (x, net) in enumerate(((2.0, "c1"), (5.0, "b1"), (11.0, "b2"), (14.0, "c2")), start=1):
        resistor(sheet, (x, 11), (x, 8), ("rail", net), f"R{number} {'1k' if net[0] == 'c' else '47k'}")
        sheet.dot((x, 11))
    for part, collector, base, x in ((left, "c1", "b1", 5.0), (right, "c2", "b2", 11.0)):
        bx, by = anchor_of(part, "base")
        ex, ey = anchor_of(part, "emitter")
        cx, cy = anchor_of(part, "collector")
        sheet.join(collector, (cx, 8), (cx, cy))
        sheet.join("earth", (ex, ey), (ex, 1))
        sheet.dot((ex, 1), (cx, 7))
        sheet.join(base, (x, 8), (x, 5.2))
        sheet.join(base, (x, 5.2), (x, by), (bx, by))
        sheet.dot((x, 5.2))
    capacitor(sheet, (2, 7), (11, 5.2), ("c1", "b2"), "C1", "top")
    capacitor(sheet, (5, 5.2), (14, 7), ("b1", "c2"), "C2", "top")
    sheet.join("rail", (0, 11), (16, 11))
    sheet.join("earth", (0, 1), (16, 1))
    sheet.ground("earth", (0, 1))


def push_pull(sheet: Independent) -> None:
    """A complementary output stage with bias diodes and a loudspeaker (common practice)."""
    top = sheet.many(
        elm.BjtNpn(circle=True).anchor("base").label("Q2", "right"),
        "transistor",
        (7, 7),
        {"base": "b1", "collector": "rail", "emitter": "e1"},
        "Q2",
    )
    low = sheet.many(
        elm.BjtPnp(circle=True).anchor("base").label("Q3", "right"),
        "transistor",
        (7, 2),
        {"base": "b2", "collector": "earth", "emitter": "e2"},
        "Q3",
    )
    drive = sheet.many(
        elm.BjtNpn(circle=True).anchor("base").label("Q1", "right"),
        "transistor",
        (2.5, 0),
        {"base": "in", "collector": "b2", "emitter": "earth"},
        "Q1",
    )
    dx = anchor_of(drive, "collector")[0]
    resistor(sheet, (dx, 11), (dx, 8), ("rail", "b1"), "R1 2k2", "top")
    sheet.join("b1", (dx, 8), (dx, 7), (7, 7))
    sheet.two(elm.Diode(), "diode", (dx, 7), (dx, 4.5), ("b1", "d"), "D1", "top")
    sheet.two(elm.Diode(), "diode", (dx, 4.5), (dx, 2), ("d", "b2"), "D2", "top")
    sheet.join("b2", (dx, 2), (7, 2))
    sheet.join("b2", (dx, 2), anchor_of(drive, "collector"))
    sheet.join("earth", anchor_of(drive, "emitter"), (dx, -3))
    sheet.join("in", (0, 0), (2.5, 0))
    tx, ty = anchor_of(top, "emitter")
    lx, ly = anchor_of(low, "emitter")
    sheet.join("rail", anchor_of(top, "collector"), (tx, 11))
    resistor(sheet, (tx, ty), (tx, 4.5), ("e1", "out"), "R2 1", "top")
    resistor(sheet, (tx, 4.5), (lx, ly), ("out", "e2"), "R3 1", "top")
    sheet.join("earth", anchor_of(low, "collector"), (lx, -3))
    sheet.two(elm.Capacitor2(polar=True), "capacitor", (tx, 4.5), (tx + 4, 4.5), ("out", "load"), "C1 470u")
    horn = sheet.many(elm.Speaker().anchor("in1"), "speaker", (tx + 5, 3), {"in1": "load", "in2": "earth"})
    sheet.join("load", (tx + 4, 4.5), (tx + 4.4, 4.5), (tx + 4.4, 3), anchor_of(horn, "in1"))
    bx, by = anchor_of(horn, "in2")
    sheet.join("earth", (bx, by), (tx + 4.4, by), (tx + 4.4, -3))
    sheet.join("rail", (1, 11), (13, 11))
    sheet.join("earth", (1, -3), (13, -3))
    sheet.dot((dx, 11), (dx, 7), (dx, 2), (tx, 11), (tx, 4.5), (dx, -3), (lx, -3), (tx + 4.4, -3))
    sheet.open_end((0, 0), (13, 11))
    sheet.ground("earth", (1, -3))


def phase_shift(sheet: Independent) -> None:
    """A phase-shift oscillator: three RC sections from drain to gate (textbook circuit)."""
    tube = sheet.many(
        elm.JFetN(circle=True).anchor("gate").label("Q1", "right"),
        "transistor",
        (12, 5),
        {"gate": "g", "drain": "d", "source": "s"},
        "Q1",
    )
    dx, dy = anchor_of(tube, "drain")
    sx, sy = anchor_of(tube, "source")
    resistor(sheet, (dx, 11), (dx, 8), ("rail", "d"), "R4 10k")
    sheet.join("d", (dx, 8), (dx, dy))
    resistor(sheet, (sx, 3), (sx, -1), ("s", "earth"), "R5 1k")
    sheet.join("s", (sx, sy), (sx, 3), (sx + 2, 3))
    capacitor(sheet, (sx + 2, 3), (sx + 2, -1), ("s", "earth"), "C4 25u")
    sheet.join("d", (dx, 7.5), (0, 7.5), (0, 5))
    for stage in range(3):
        x = 3.4 * stage
        near, far = ("d" if stage == 0 else f"n{stage}"), ("g" if stage == 2 else f"n{stage + 1}")
        capacitor(sheet, (x, 5), (x + 3.4, 5), (near, far), f"C{stage + 1} 10n", "top")
        resistor(sheet, (x + 3.4, 5), (x + 3.4, -1), (far, "earth"), f"R{stage + 1} 10k", "top")
        sheet.dot((x + 3.4, 5), (x + 3.4, -1))
    gx, gy = anchor_of(tube, "gate")
    sheet.join("g", (10.2, 5), (gx, gy))
    sheet.join("earth", (2, -1), (16, -1))
    sheet.join("rail", (8, 11), (16, 11))
    sheet.dot((dx, 11), (dx, 7.5), (sx, 3), (sx, -1), (sx + 2, -1))
    sheet.ground("earth", (2, -1))


def long_tailed(sheet: Independent) -> None:
    """A long-tailed pair (Blumlein 1936) without envelopes, a third transistor in its tail."""
    left = sheet.many(
        elm.BjtNpn().anchor("base"),
        "transistor",
        (2, 5),
        {"base": "inA", "collector": "cA", "emitter": "tail"},
    )
    right = sheet.many(
        elm.BjtNpn().anchor("base").reverse(),
        "transistor",
        (10, 5),
        {"base": "inB", "collector": "cB", "emitter": "tail"},
    )
    foot = sheet.many(
        elm.BjtNpn().anchor("collector"),
        "transistor",
        (6, 1.5),
        {"base": "bias", "collector": "tail", "emitter": "lowE"},
    )
    for part, net, number in ((left, "cA", 1), (right, "cB", 2)):
        x, y = anchor_of(part, "collector")
        resistor(sheet, (x, 10), (x, 7), ("rail", net), f"R{number} 22k")
        sheet.join(net, (x, 7), (x, y))
        sheet.dot((x, 10))
        ex, ey = anchor_of(part, "emitter")
        sheet.join("tail", (ex, ey), (ex, 3), (6, 3))
    sheet.join("tail", (6, 3), anchor_of(foot, "collector"))
    sheet.dot((6, 3))
    ex, ey = anchor_of(foot, "emitter")
    resistor(sheet, (ex, ey), (ex, -4), ("lowE", "minus"), "R3 4k7")
    bx, by = anchor_of(foot, "base")
    sheet.join("bias", (bx, by), (3, by))
    resistor(sheet, (3, by), (3, -4), ("bias", "minus"), "R4 10k", "top")
    sheet.two(elm.Zener(), "diode", (0, -4), (0, by), ("minus", "bias"), "D1", "top")
    sheet.join("bias", (0, by), (3, by))
    sheet.dot((3, by), (3, -4), (ex, -4))
    sheet.join("minus", (-1, -4), (11, -4))
    sheet.join("rail", (1, 10), (11, 10))
    sheet.join("inA", (0, 5), (2, 5))
    sheet.join("inB", (10, 5), (12, 5))
    sheet.open_end((0, 5), (12, 5), (11, 10), (11, -4))


def colpitts(sheet: Independent) -> None:
    """A crystal oscillator after Colpitts, with a choke (common practice)."""
    part = sheet.many(
        elm.BjtNpn(circle=True).anchor("base").label("Q1", "right"),
        "transistor",
        (8, 6),
        {"base": "b", "collector": "c", "emitter": "e"},
        "Q1",
    )
    cx, cy = anchor_of(part, "collector")
    ex, ey = anchor_of(part, "emitter")
    sheet.two(elm.Inductor2(loops=4), "coil", (cx, 12), (cx, 8.5), ("rail", "c"), "L1 1mH")
    sheet.join("c", (cx, 8.5), (cx, cy))
    capacitor(sheet, (cx, 8), (cx + 4, 8), ("c", "out"), "C4 47p")
    sheet.two(elm.Crystal(), "crystal", (1, 6), (1, 1), ("b", "earth"), "X1", "top")
    sheet.join("b", (1, 6), (8, 6))
    resistor(sheet, (3.5, 12), (3.5, 6), ("rail", "b"), "R1 47k", "top")
    resistor(sheet, (3.5, 6), (3.5, 1), ("b", "earth"), "R2 22k", "top")
    capacitor(sheet, (6, 6), (6, 3.5), ("b", "e"), "C1 220p", "top")
    capacitor(sheet, (6, 3.5), (6, 1), ("e", "earth"), "C2 220p", "top")
    sheet.join("e", (6, 3.5), (ex, 3.5), (ex, ey))
    resistor(sheet, (ex, 3.5), (ex, 1), ("e", "earth"), "R3 1k")
    sheet.join("rail", (2, 12), (12, 12))
    sheet.join("earth", (1, 1), (12, 1))
    sheet.dot((3.5, 12), (3.5, 6), (3.5, 1), (6, 6), (6, 3.5), (6, 1), (ex, 3.5), (ex, 1), (cx, 12), (cx, 8))
    sheet.open_end((12, 12), (cx + 4, 8))
    sheet.ground("earth", (12, 1))


def valve_amplifier(sheet: Independent) -> None:
    """A triode and a pentode, coupled by resistance and capacitance, with an output transformer."""
    first = sheet.many(
        elm.Triode(heater=False).anchor("grid").label("V1", "right"),
        "valve",
        (3, 5),
        {"grid": "g1", "anode": "a1", "cathode": "k1"},
        "V1",
    )
    second = sheet.many(
        elm.Pentode(heater=False).anchor("control"),
        "valve",
        (13, 5),
        {"control": "g2", "anode": "a2", "cathode": "k2", "screen_R": "HT"},
        "V2",
    )
    sheet.text((14.9, 6.2), "V2")
    for number, (tube, x, grid, cathode) in enumerate(
        ((first, 0.0, "g1", "k1"), (second, 10.0, "g2", "k2")), start=1
    ):
        gx, gy = anchor_of(tube, "grid" if number == 1 else "control")
        kx, ky = anchor_of(tube, "cathode")
        sheet.join(grid, (x + 1, gy), (gx, gy))
        resistor(sheet, (x + 1, gy), (x + 1, -1), (grid, "earth"), f"R{number} 1M", "top")
        sheet.join(cathode, (kx, ky), (kx, 3), (kx + 2, 3))
        resistor(sheet, (kx, 3), (kx, -1), (cathode, "earth"), f"R{number + 2} 2k2", "top")
        capacitor(sheet, (kx + 2, 3), (kx + 2, -1), (cathode, "earth"), f"C{number} 25u")
        sheet.dot((x + 1, gy), (x + 1, -1), (kx, 3), (kx, -1), (kx + 2, -1))
    ax, ay = anchor_of(first, "anode")
    resistor(sheet, (ax, 12), (ax, 8), ("HT", "a1"), "R5 100k", "top")
    sheet.join("a1", (ax, 8), (ax, ay))
    gy = anchor_of(second, "control")[1]
    capacitor(sheet, (7, 7.5), (10, 7.5), ("a1", "g2"), "C3 .01", "top")
    sheet.join("a1", (ax, 7.5), (7, 7.5))
    sheet.join("g2", (10, 7.5), (11, 7.5), (11, gy))
    bx, by = anchor_of(second, "anode")
    coil = sheet.many(
        elm.Transformer(t1=6, t2=4).anchor("p2"),
        "transformer",
        (bx + 1.5, 8.5),
        {"p1": "HT", "p2": "a2", "s1": "ls1", "s2": "ls2"},
    )
    sheet.join("a2", (bx, by), (bx, 8.5), (bx + 1.5, 8.5))
    px, py = anchor_of(coil, "p1")
    sheet.join("HT", (px, py), (px, 12))
    sx, sy = anchor_of(second, "screen_R")
    sheet.join("HT", (sx, sy), (sx + 3.4, sy), (sx + 3.4, 7), (bx + 4.6, 7), (bx + 4.6, 12))
    ux, uy = anchor_of(coil, "s1")
    vx, vy = anchor_of(coil, "s2")
    horn = sheet.many(
        elm.Speaker().anchor("in1"), "speaker", (bx + 7, uy - 0.2), {"in1": "ls1", "in2": "ls2"}
    )
    sheet.join("ls1", (ux, uy), (ux + 0.8, uy), (ux + 0.8, uy - 0.2), anchor_of(horn, "in1"))
    sheet.join("ls2", (vx, vy), (ux + 0.8, vy), (ux + 0.8, uy - 0.7), anchor_of(horn, "in2"))
    sheet.join("HT", (1, 12), (bx + 6, 12))
    sheet.join("earth", (0, -1), (18, -1))
    sheet.dot((ax, 12), (ax, 7.5), (px, 12), (bx + 4.6, 12))
    sheet.join("g1", (-1, anchor_of(first, "grid")[1]), (1, anchor_of(first, "grid")[1]))
    sheet.open_end((-1, anchor_of(first, "grid")[1]), (bx + 6, 12))
    sheet.ground("earth", (0, -1))


AMPLIFIERS: MappingProxyType[str, Callable[[Independent], None]] = MappingProxyType(
    {
        "common emitter": common_emitter,
        "multivibrator": multivibrator,
        "push-pull": push_pull,
        "phase shift": phase_shift,
        "long-tailed pair": long_tailed,
        "Colpitts": colpitts,
        "valve amplifier": valve_amplifier,
    }
)

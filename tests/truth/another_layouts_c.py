"""Layouts of another hand: a stereo control unit with ganged pots, and a transistor power amplifier."""

from __future__ import annotations

from another_devices import transistor, wafer
from another_pen import Pen

__all__ = ["control_unit", "stage", "transistor_amplifier"]


def stage(pen: Pen, x: float, y: float, number: int, rail: float, name: str, *, bypass: bool = True) -> None:
    """A common-emitter stage: its base at (x, y), marks ``collector`` and ``emitter`` with `number`."""
    pen.at(x + 3, y).dot().d(2).R(f"R{number} 33K", "d", lead=2, side="l").chassis(2)
    pen.at(x, y).dot().u(2).R(f"R{number + 1} 220K", "u", side="l").v(rail).dot()
    device = pen.put(transistor, name, x + 8, y, side="r")
    pen.at(x, y).to(device["b"])
    pen.at(device["c"]).u(2).dot(f"collector{number}").R(f"R{number + 2} 10K", "u", lead=2).v(rail).dot()
    pen.at(device["e"]).d(2).dot(f"emitter{number}").R(f"R{number + 3} 1K", "d", lead=2, side="l").chassis(2)
    if bypass:
        pen.at(f"emitter{number}").r(7).d(1.5).E(f"C{number} 25/6V", "d", lead=2.5).chassis(2)


def control_unit(pen: Pen) -> None:
    """Two like channels: selector wafer, a stage, bass and treble, balance and volume; pots are ganged."""
    for channel, (y, name) in enumerate(((34.0, "L"), (98.0, "R"))):
        base = 100 + 100 * channel
        rail = y - 24
        pen.at(34, rail).h(212.5)
        select = pen.put(wafer, f"S1{'AB'[channel]}", 26, y, 4, turn=270, side="d")
        for way, text in enumerate(("TAPE", "AUX", "RADIO", "PHONO"), start=1):
            pen.at(select[str(way)]).h(6).end("ring", text, "l")
        pen.at(select["c"]).C(f"C{base} .22", "r").h(48)
        stage(pen, 48, y, base + 1, rail, f"Q{channel + 1} 2SC458")
        pen.at(f"collector{base + 1}").r(7).E(f"C{base + 2} 10", "r", side="u").h(84).dot(f"tone{base}")
        tone(pen, 84, y - 6, base)
        out = pen.marks[f"sum{base}"]
        pen.at(out).h(146).v(y).C(f"C{base + 7} 1", "r").h(160)
        stage(pen, 160, y + 0.0, base + 11, rail, f"Q{channel + 3} 2SC458", bypass=False)
        pen.at(f"collector{base + 11}").r(8).E(f"C{base + 12} 10", "r", side="u").h(192).dot().v(y + 2).two(
            "pot", f"VR{base + 3} 50K", "d", mirror=True, mark=f"volume{base}"
        ).chassis(2)
        pen.at(f"volume{base}").h(202).dot().h(215).C(f"C{base + 13} 4.7", "r").h(229).end(
            "arrow", f"OUT {name}"
        )
        pen.at(202, pen.marks[f"volume{base}"][1]).d(2).R(f"R{base + 30} 100K", "d").chassis(2)
    pen.at(212.5, 10).v(74).dot()
    pen.at(212.5, 10).dot().R("R90 470", "r").end("arrow", "+18V")
    for x, top, low in ((96.0, 42.0, 106.0), (116.0, 42.0, 106.0)):
        pen.ganging((x, top + 6), (x, low - 16))
    pen.ganging((26, 44), (26, 84))


def tone(pen: Pen, x: float, y: float, base: int) -> None:
    """Bass and treble chains down from (x, y), their wipers to one line."""
    pen.at(f"tone{base}").v(y).h(x + 4).dot().h(x + 24)
    pen.at(x + 4, y).R(f"R{base + 5} 10K", "d", lead=1.5, side="l").two(
        "pot", f"VR{base + 1} 100K", "d", lead=1.5, mirror=True, mark=f"bass{base}", side="l"
    ).R(f"R{base + 6} 1K", "d", lead=1.5, side="l").chassis(1.5)
    pen.at(x + 24, y).C(f"C{base + 3} .0022", "d", lead=4).two(
        "pot", f"VR{base + 2} 100K", "d", lead=1.5, mirror=True, mark=f"treble{base}", side="l"
    ).C(f"C{base + 4} .022", "d", lead=4, side="l").chassis(1.5)
    pen.at(f"bass{base}").r(2).d(8).R(f"R{base + 7} 22K", "r", lead=1).v(y + 42).mark(f"low{base}")
    pen.at(f"low{base}").h(x + 40)
    pen.at(f"treble{base}").h(x + 40).dot(f"sum{base}").v(y + 42)


def transistor_amplifier(pen: Pen) -> None:
    """A long-tailed pair, a driver, a complementary pair and an output pair into a loudspeaker."""
    top, low, mid = 8.0, 112.0, 62.0
    pen.at(22, top).h(190).end("arrow", "+35V")
    pen.at(22, low).h(190).end("arrow", "-35V")
    pen.at(0, mid).end("ring", "INPUT", "l", "u")
    pen.at(0, mid).C("C1 2.2", "r").dot("in").R("R1 47K", "d").chassis(2)
    pen.at("in").h(16).R("R2 1K", "r", lead=1.5).dot("b1").d(6).C("C2 330P", "d").chassis(2)
    one = pen.put(transistor, "TR1 BC107", 34, mid)
    two = pen.put(transistor, "TR2 BC107", 58, mid, turn=180, mirror=True, side="r")
    pen.at("b1").to(one["b"])
    pen.at(one["e"]).d(4).h(46).dot("tail")
    pen.at(two["e"]).d(4).to("tail")
    pen.at("tail").d(4).R("R3 22K", "d").v(low).dot()
    pen.at(one["c"]).v(38).dot("c1").R("R4 1.8K", "u").v(top).dot()
    pen.at(two["c"]).v(top).dot()
    driver = pen.put(transistor, "TR3 BFY64", 66, 38, "pnp", mirror=True, side="r")
    pen.at("c1").to(driver["b"])
    pen.at(driver["e"]).u(3).R("R5 100", "u", lead=1.5).v(top).dot()
    pen.at(driver["c"]).d(4).dot("upper").d(4).two("diode", "D1", "d").two("diode", "D2", "d").two(
        "preset", "RV1 500", "d", mirror=True, mark="bias"
    ).dot("lower").R("R6 3.9K", "d").v(low).dot()
    pen.at("bias").r(2).v(pen.marks["lower"][1]).to("lower")
    outputs(pen, top, low)
    pen.at(two["b"]).r(2).dot("fb")
    pen.at(150, 62).dot().v(108).h(92).R("R13 22K", "l").h(66).v(82).h(pen.marks["fb"][0])
    pen.at("fb").v(82).dot("fb2").R("R7 1K", "d").E("C3 47/6V", "d").chassis(2)


def outputs(pen: Pen, top: float, low: float) -> None:
    high = pen.put(transistor, "TR4 2N3053", 96, 38, side="r")
    pen.at("upper").h(88).v(38).to(high["b"])
    under = pen.put(transistor, "TR5 2N4037", 96, pen.marks["lower"][1], "pnp", mirror=True, side="r")
    pen.at("lower").to(under["b"])
    pen.at(high["c"]).v(top).dot()
    power = pen.put(transistor, "TR6 2N3055", 122, 46, side="r")
    pen.at(high["e"]).v(46).dot("d1").to(power["b"])
    pen.at("d1").R("R8 100", "d", lead=2).v(62).dot("mid")
    pen.at(power["c"]).v(top).dot()
    pen.at(power["e"]).R("R9 .5", "d", lead=2).v(62).dot("out")
    pen.at(under["e"]).v(62).to("mid")
    second = pen.put(transistor, "TR7 2N3055", 122, 92, side="r")
    pen.at(under["c"]).v(92).dot("d2").to(second["b"])
    pen.at("d2").d(1).R("R10 100", "d", lead=2).v(low).dot()
    pen.at(second["c"]).R("R11 .5", "u", lead=2).v(62)
    pen.at(second["e"]).v(low).dot()
    pen.at("mid").h(pen.marks["out"][0])
    pen.at("out").h(140).dot("zobel").d(4).R("R12 10", "d", lead=2).C("C4 .1", "d", lead=2).chassis(2)
    pen.at("zobel").h(150).two("coil", "L1 3UH", "r").h(166).two("boxed fuse", "F1 2A", "r").h(186).two(
        "speaker", "LS1 8", "d", lead=4
    ).chassis(2)
    pen.at(160, top).dot().E("C5 100/50V", "d", lead=4).chassis(2)
    pen.at(174, low).dot().u(4).E("C6 100/50V", "u", lead=4, back=True).h(184).chassis(2)

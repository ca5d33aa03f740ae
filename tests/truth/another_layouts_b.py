"""Layouts of another hand: a tuner's front end with ganged capacitors and a band switch, and a supply."""

from __future__ import annotations

from another_devices import transformer, valve, wafer
from another_pen import Pen

__all__ = ["front_end", "power_supply"]


def front_end(pen: Pen) -> None:
    """An aerial coil, a radio stage, a mixer and an oscillator; the band switch picks FM or AM coils."""
    pen.at(0, 6).h(236).end("arrow", "B+ 180V")
    pen.at(0, 40).end("ring", "ANT", "l", "u")
    pen.at(0, 52).end("ring", "GND", "l", "d")
    aerial = pen.put(transformer, "L1", 12, 40, [[0, 12]], [[0, 5, 12]], "air", side="d")
    pen.at(0, 40).to(aerial["p1.1"])
    pen.at(0, 52).to(aerial["p1.2"])
    pen.at(6, 52).dot().chassis(3)
    pen.at(aerial["s1.1"]).h(26).dot("tune1").h(34).dot("trim1").h(40).C("C2 47P", "r", lead=2).h(50).dot(
        "grid1"
    )
    pen.at("tune1").d(6).two("variable", "C1A", "d", side="l").chassis(3)
    pen.at("trim1").d(6).two("trimmer", "C3", "d").chassis(3)
    pen.at(aerial["s1.3"]).d(8).dot("agc1").R("R1 470K", "d").d(3).h(4).end("barb", "AGC", "l")
    pen.at("agc1").r(7).C("C4 .01", "d").chassis(2)
    radio = pen.put(valve, "V1 6BJ6", 66, 38, "agggk", 6.5)
    pen.at("grid1").v(radio["g1"][1]).to(radio["g1"])
    pen.at(radio["k"]).d(4).dot("k1").R("R2 100", "d").chassis(2)
    pen.at("k1").r(8).C("C5 .005", "d").chassis(2)
    pen.at(radio["g3"]).l(4).v(radio["k"][1] + 2).h(radio["k"][0]).dot()
    pen.at(radio["g2"]).r(5).dot("s1").u(1).R("R3 22K", "u").v(6).dot()
    pen.at("s1").d(7).C("C6 .005", "d").chassis(2)
    pen.at(radio["a"]).u(9).h(92).dot("plate1")
    tank = pen.put(transformer, "L2", 96, 32, [[0, 12]], [[0, 12]], "dust", side="d")
    pen.screen(92.6, 28, 106, 52)
    pen.at("plate1").v(32).to(tank["p1.1"])
    pen.at(tank["p1.2"]).l(5).v(58).dot("low1").R("R5 1K", "d", side="l").v(86).h(112).v(6).dot()
    pen.at("low1").r(8).C("C8 .005", "d").chassis(2)
    pen.at(tank["s1.1"]).h(118).dot("tune2").h(126).dot("trim2").h(134).C("C10 47P", "r", lead=2).h(146).dot(
        "grid2"
    )
    pen.at("tune2").d(6).two("variable", "C1B", "d", side="l").chassis(3)
    pen.at("trim2").d(6).two("trimmer", "C9", "d").chassis(3)
    pen.at(tank["s1.2"]).h(109).chassis(3)
    pen.ganging((26, 65), (26, 94), (205, 94))
    mixer(pen)


def mixer(pen: Pen) -> None:
    tube = pen.put(valve, "V2 6BE6", 164, 36, "agggk", 6.5)
    pen.at("grid2").d(8).R("R6 1M", "d").chassis(2)
    pen.at("grid2").v(tube["g3"][1]).to(tube["g3"])
    pen.at(tube["a"]).u(6).h(184).dot("if")
    pen.at("if").R("R7 2.2K", "u").v(6).dot()
    pen.at("if").r(8).C("C11 100P", "r").h(216).end("arrow", "TO I.F.")
    pen.at(tube["g2"]).r(4).dot("s2").d(5).C("C12 .01", "d").chassis(2)
    pen.at("s2").h(184).d(6).R("R8 15K", "r").h(205).v(6).dot()
    pen.at(tube["k"]).d(14).dot("k2").h(196).mark("coil tap")
    pen.at(tube["g1"]).l(5).v(62).dot("leak").R("R9 22K", "d").chassis(2)
    pen.at("leak").h(182).C("C13 50P", "r").h(216).dot("osc").h(224).dot("osc2")
    pen.at(196, pen.marks["coil tap"][1]).v(74).dot("t").h(199)
    switch = pen.put(wafer, "S1A", 216, 92, 3)
    pen.at(199, 74).v(103).two("slug coil", "L3", "r").chassis(3)
    pen.at(switch["c"]).d(4).chassis(1)
    pen.at("osc").v(switch["2"][1]).to(switch["2"])
    pen.at("osc2").d(2).two("variable", "C1C", "d").chassis(4)
    pen.text("C1A-C1C GANGED", 120, 98)


def power_supply(pen: Pen) -> None:
    """A mains selector, a rectifier valve with choke and resistor smoothing, and a heater chain."""
    t = pen.put(
        transformer,
        "T1",
        52,
        20,
        [[0, 8, 14, 20], [26, 40]],
        [[0, 14, 28], [36, 48], [54, 66]],
        "iron",
        side="u",
    )
    for tap, y, text in (("p1.4", 40, "200"), ("p1.3", 34, "220"), ("p1.2", 28, "240")):
        pen.at(t[tap]).h(30).end("ring", text, "l")
        del y
    pen.at(t["p1.1"]).h(30).v(12).two("boxed fuse", "F1 1A", "l").two("switch", "S1A", "l").end(
        "ring", "L", "l", "u"
    )
    pen.at(18, 60).end("ring", "N", "l", "d")
    pen.at(18, 60).two("switch", "S1B", "r").to(t["p2.2"])
    pen.at(t["p2.1"]).h(40).end("ring", "SEL", "l", "d")
    pen.ganging((9, 15), (9, 50), (24, 58))
    tube = pen.put(valve, "V1 EZ81", 92, 28, "dh", 7.0)
    pen.at(t["s1.1"]).h(70).v(8).h(tube["a1"][0]).to(tube["a1"])
    pen.at(t["s1.3"]).h(74).v(13).h(tube["a2"][0]).to(tube["a2"])
    pen.at(t["s1.2"]).h(64).chassis(6)
    pen.at(t["s2.1"]).h(tube["h1"][0]).to(tube["h1"])
    pen.at(t["s2.2"]).h(tube["h2"][0]).dot("hot").to(tube["h2"])
    pen.at("hot").h(106).v(14).dot("raw").h(112).two("choke", "L1 10H", "r").h(132).dot("smooth")
    pen.at(110, 14).dot().d(3).E("C1 50MF 350V", "d").chassis(2)
    pen.at("smooth").d(3).E("C2 50MF 350V", "d").chassis(2)
    pen.at("smooth").R("R1 1K 2W", "r").dot("ht2").d(3).E("C3 32MF", "d").chassis(2)
    pen.at("ht2").h(164).R("R2 10K", "r").dot("ht3").d(3).E("C4 32MF", "d").chassis(2)
    pen.at("smooth").u(8).h(196).end("arrow", "HT1 280V")
    pen.at("ht2").h(158).dot().d(22).h(196).end("arrow", "HT2 250V")
    pen.at("ht3").h(196).end("arrow", "HT3 210V")
    heaters(pen, t["s3.1"], t["s3.2"])


def heaters(pen: Pen, high: tuple[float, float], low: tuple[float, float]) -> None:
    y = high[1]
    pen.at(high).h(196).end("arrow", "X")
    pen.at(low).h(196).end("arrow", "Y")
    for number in range(4):
        x = 92.0 + 20 * number
        pen.at(x, y).dot().d(2).two("lamp", ("PL1", "V2", "V3", "V4")[number], "d", lead=1.0).v(low[1]).dot()
    pen.at(172, y).dot().d(1).two("preset", "RV1 100", "d", lead=1.0, mark="hum", side="l").v(low[1]).dot()
    pen.at("hum").l(4).v(low[1] + 5).chassis(1)
    pen.text("HEATERS 6.3V 3A", 96, low[1] + 8)

"""Layouts of another hand: an intermediate-frequency strip and a push-pull amplifier with its supply."""

from __future__ import annotations

from another_devices import transformer, valve
from another_pen import Pen

__all__ = ["if_strip", "push_pull"]


def if_strip(pen: Pen) -> None:
    """Two intermediate stages with cans, and a ratio detector (common practice of valve tuners)."""
    top = 8.0
    pen.at(0, top).h(222).end("arrow", "B+ 210V")
    x = 10.0
    pen.at(0, 44).end("ring", "FROM MIXER", "l", "d")
    pen.at(0, 44).h(x)
    for stage in range(2):
        number = 101 + 10 * stage
        can = pen.put(transformer, f"T{stage + 1}", x + 6, 32, [[0, 12]], [[0, 12]], "dust", side="d")
        pen.screen(x + 0.5, 24, x + 17, 55)
        if stage == 0:
            pen.at(x, 44).to(can["p1.2"])
        else:
            pen.at(f"plate{stage}").h(x - 1).v(44).to(can["p1.2"])
        pen.at(can["p1.1"]).l(3.5).v(20).dot(f"feed{stage}").R(f"R{number} 1K", "u").v(top).dot()
        tube = pen.put(valve, f"V{stage + 1} {'6BA6' if stage == 0 else '6AU6'}", x + 40, 34, "agggk", 6.5)
        pen.at(can["s1.1"]).r(4).v(tube["g1"][1]).to(tube["g1"])
        if stage == 0:
            pen.at(can["s1.2"]).d(8).dot("agc").R(f"R{number + 1} 100K", "d").v(84).dot()
            pen.at("agc").r(6).C(f"C{number + 1} .01", "d").chassis(1.5)
        else:
            pen.at(can["s1.2"]).d(6).dot("limit").R(f"R{number + 1} 47K", "d", side="l").chassis(2)
            pen.at("limit").r(6).C(f"C{number + 1} 50P", "d").chassis(2)
        pen.at(tube["g2"]).r(10).dot(f"screen{stage}").u(3).R(f"R{number + 2} 33K", "u").v(top).dot()
        pen.at(f"screen{stage}").d(8).C(f"C{number + 2} .005", "d").chassis(1.5)
        pen.at(tube["g3"]).l(5).v(tube["k"][1] + 3).h(tube["k"][0]).dot(f"kathode{stage}")
        pen.at(tube["k"]).v(tube["k"][1] + 3)
        pen.at(f"kathode{stage}").d(2).dot(f"bias{stage}").R(f"R{number + 3} 68", "d").chassis(2)
        pen.at(f"bias{stage}").r(7).d(2).C(f"C{number + 3} .005", "d").chassis(2)
        pen.at(tube["a"]).v(14).h(x + 61)
        pen.marks[f"plate{stage + 1}"] = (x + 61, 14)
        x += 70
    pen.at(0, 84).h(36)
    pen.at(0, 84).end("barb", "AGC", "l")
    ratio(pen, x)


def ratio(pen: Pen, x: float) -> None:
    can = pen.put(transformer, "T3 10.7MC", x + 5, 30, [[0, 14]], [[0, 7, 14]], "dust", side="d")
    pen.screen(x + 0.5, 23, x + 21, 54)
    pen.at("plate2").h(x - 3).v(44).to(can["p1.2"])
    pen.at(can["p1.1"]).l(3.5).v(22.5).dot("last").R("R121 470", "u").v(8.0).dot()
    pen.at("last").r(12).C("C121 .005", "r").r(2).chassis(1.5)
    pen.at(can["s1.1"]).h(x + 24).two("diode", "D1 1N60", "r").dot("high").R("R122 6.8K", "d", lead=2.0).dot(
        "mid"
    )
    pen.at(can["s1.3"]).h(x + 24).d(12).two("diode", "D2 1N60", "r", back=True).dot("low")
    pen.at("mid").R("R123 6.8K", "d", lead=2.0).v(pen.marks["low"][1]).to("low")
    pen.at("high").r(14).mark("plus").E("C122 5MF", "d", lead=4.0).v(pen.marks["low"][1]).to("low")
    pen.at("mid").r(5).chassis(2)
    pen.at(can["s1.2"]).r(5).v(70).dot("tap").R("R124 39K", "r").dot("audio").r(12).end("arrow", "AUDIO")
    pen.at("tap").C("C123 330P", "d").chassis(1.5)
    pen.at("audio").C("C124 .001", "d").chassis(1.5)


def push_pull(pen: Pen) -> None:
    """A phase splitter and two output valves into a transformer with taps; feedback from its highest tap."""
    pen.at(0, 60).end("ring", "INPUT", "l")
    pen.at(0, 60).r(4).C("C1 .05", "r").dot("in").r(4)
    pen.at("in").R("R1 1M", "d").chassis(2)
    first = pen.put(valve, "V1A 12AX7", 26, 60, "agk", 5.5)
    pen.at("in").to(first["g1"])
    pen.at(first["k"]).d(3).dot("feedback").R("R2 1.5K", "d").chassis(2)
    pen.at(first["a"]).u(6).dot("a1").R("R3 220K", "u").v(10).dot()
    pen.at("a1").h(40).v(60)
    second = pen.put(valve, "V1B 12AX7", 52, 60, "agk", 5.5)
    pen.at(40, 60).to(second["g1"])
    pen.at(second["k"]).d(8).dot("k2").R("R4 100K", "d").dot("split").chassis(3)
    pen.at(second["a"]).u(6).dot("a2").R("R5 100K", "u").v(10).dot()
    pen.at("a2").h(66).C("C2 .1", "r").dot("g3").R("R6 470K", "d", lead=2).v(60.6).dot("fix")
    pen.at("k2").h(66).C("C3 .1", "r").dot("g4").R("R7 470K", "u", lead=2).v(60.6)
    pen.at("fix").l(4).chassis(1)
    upper = pen.put(valve, "V2 6V6GT", 96, 36, "agggk", 7.0)
    lower = pen.put(valve, "V3 6V6GT", 96, 86, "agggk", 7.0)
    pen.at("g3").R("R8 1K", "r", lead=1.5).h(85).v(upper["g1"][1]).to(upper["g1"])
    pen.at("g4").R("R9 1K", "r", lead=1.5).h(85).v(lower["g1"][1]).to(lower["g1"])
    for tube, name in ((upper, "upper"), (lower, "lower")):
        pen.at(tube["g3"]).l(3).v(tube["k"][1] + 2.5).h(tube["k"][0]).dot(name)
        pen.at(tube["k"]).v(tube["k"][1] + 2.5)
    pen.at("upper").v(56).h(112).dot("kk").R("R10 270 5W", "r").r(1.5).chassis(1)
    pen.at("lower").v(108).h(112).v(56)
    pen.at(112, 67).dot().E("C4 25MF", "r", lead=4).chassis(1)
    out = pen.put(transformer, "T1", 142, 34, [[0, 14, 28]], [[0, 9, 18, 28]], "iron", side="u")
    pen.at(upper["a"]).v(22).h(137).v(34).to(out["p1.1"])
    pen.at(out["p1.2"]).l(9).v(10).dot()
    pen.at(upper["g2"]).r(2.5).v(16).dot("sc").v(10).dot()
    pen.at(lower["g2"]).h(108.5).v(16).to("sc")
    pen.at(lower["a"]).v(74.5).h(137).v(62).to(out["p1.3"])
    for tap, text in (("s1.4", "COM"), ("s1.3", "4"), ("s1.2", "8"), ("s1.1", "16")):
        pen.at(out[tap]).h(168).end("ring", text, "r")
    pen.at(out["s1.4"]).r(12).dot().chassis(4)
    pen.at(out["s1.1"]).r(6).dot("sixteen").v(122).h(60).R("R11 10K", "l").h(18).v(
        pen.marks["feedback"][1]
    ).to("feedback")
    pen.at(14, 10).h(170).end("arrow", "B+ 300V")
    pen.at(14, 10).E("C6 20MF 350V", "d").chassis(1.5)
    supply(pen)


def supply(pen: Pen) -> None:
    """The supply of the amplifier, to the right of it: transformer, rectifier valve, choke."""
    mains = pen.put(transformer, "T2", 212, 70, [[0, 20]], [[0, 9, 18], [24, 32]], "iron", side="u")
    tube = pen.put(valve, "V4 5Y3GT", 244, 78, "dh", 6.5)
    pen.at(mains["s1.1"]).h(227).v(62).h(tube["a1"][0]).to(tube["a1"])
    pen.at(mains["s1.3"]).h(230).v(66).h(tube["a2"][0]).to(tube["a2"])
    pen.at(mains["s1.2"]).h(224).chassis(4)
    pen.at(mains["s2.1"]).h(tube["h1"][0]).to(tube["h1"])
    pen.at(mains["s2.2"]).h(tube["h2"][0]).dot("raw").to(tube["h2"])
    pen.at("raw").h(262).dot("first").v(88).two("choke", "CH1 8H", "u").v(40).dot("second")
    pen.at("second").h(250).end("arrow", "B+ 300V", "l", "u")
    pen.at("second").h(274).E("C7 40MF 450V", "d").chassis(2)
    pen.at("first").E("C8 40MF 450V", "d").chassis(2)
    pen.at(mains["p1.1"]).h(204).v(60).two("switch", "S1", "l").two("boxed fuse", "F1 2A", "l").end(
        "ring", "", "l"
    )
    pen.at(mains["p1.2"]).h(188).end("ring", "117V 60CY", "l", "d")
    pen.text("ALL RESISTORS 1/2W UNLESS MARKED", 187, 128)
    pen.text("V1 12AX7  V2,V3 6V6GT  V4 5Y3GT", 187, 133)

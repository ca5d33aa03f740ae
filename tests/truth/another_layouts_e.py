"""Layouts of another hand: a keyboard with its logic, and a dense sheet of many small circuits."""

from __future__ import annotations

from another_devices import box, transformer, transistor, valve
from another_layouts_c import stage
from another_pen import Pen

__all__ = ["keyboard", "mixed"]


def keyboard(pen: Pen) -> None:
    """Key contacts with their diodes between rows and columns, a decoder, a counter, gates and a clock."""
    decoder = pen.put(
        box,
        "IC1 7442",
        6,
        8,
        46.0,
        14.0,
        {
            **{str(1 + n): ("b", 5 + 7.2 * n) for n in range(6)},
            **{str(12 + n): ("t", 8 + 8.0 * n) for n in range(4)},
            "16": ("r", 5.0),
            "8": ("l", 9.0),
        },
        side="in",
    )
    rows = [48.0, 64.0, 80.0]
    for row, y in enumerate(rows):
        pen.at(4, y).h(70).mark(f"sense{row}")
    for column in range(6):
        x = decoder[str(1 + column)][0]
        pen.at(decoder[str(1 + column)]).v(rows[-1] - 12.0)
        for y in rows:
            pen.at(x, y - 12.0).dot()
            pen.at(x, y - 12.0).r(3.2).two("switch", "", "d", lead=0.6).v(y).dot()
    pen.at(decoder["8"]).l(2).d(5).chassis(1)
    pen.at(decoder["16"]).r(4).u(3).end("arrow", "+5V", "u", "r")
    counter = pen.put(
        box,
        "IC2 7493",
        78,
        8,
        34.0,
        16.0,
        {
            **{str(8 + n): ("l", 2.5 + 3.6 * n) for n in range(4)},
            "14": ("r", 4.0),
            "1": ("r", 11.0),
            "5": ("t", 10.0),
            "GND": ("b", 10.0),
        },
        side="in",
    )
    for line in range(4):
        source, target = counter[str(8 + line)], decoder[str(12 + line)]
        pen.at(source).h(74 - 3.0 * line).v(4 - 3.0 * (3 - line)).h(target[0]).to(target)
    pen.at(counter["5"]).u(3).end("arrow", "+5V", "u", "r")
    pen.at(counter["GND"]).d(2).chassis(1)
    pen.at(counter["1"]).r(4).v(counter["14"][1]).dot("clk").to(counter["14"])
    clock(pen)
    for row in range(3):
        gate = pen.put(
            box,
            f"IC{3 + row} 7474",
            84,
            rows[row] - 8,
            24.0,
            12.0,
            {"2": ("l", 8.0), "3": ("l", 3.5), "5": ("r", 3.5), "6": ("r", 8.5)},
            side="in",
        )
        pen.at(f"sense{row}").to(gate["2"])
        pen.at(gate["3"]).h(78 - 3.2 * row).mark(f"strobe{row}").v(34).dot()
        pen.at(gate["5"]).h(122).R(f"R{10 + row} 1K", "r", lead=1.5).mark(f"drive{row}")
        pen.at(gate["6"]).r(5).end("ring", f"Q{row}", "r")
        device = pen.put(transistor, f"TR{row + 1} BC108", 142, gate["5"][1], side="r")
        pen.at(f"drive{row}").to(device["b"])
        pen.at(device["e"]).chassis(1.2)
        pen.at(device["c"]).u(0.8).h(158 + 6 * row).v(22).dot()
    pen.at(71.6, 34).h(140).end("arrow", "STROBE")
    pen.at(150, 22).h(182).end("arrow", "KEY BUS")


def clock(pen: Pen) -> None:
    pen.at("clk").h(124).dot("c1").u(4).R("R7 2.2K", "u", lead=1.5).end("arrow", "+5V", "u", "r")
    pen.at("c1").C("C1 .01", "r").h(136).dot("x").two("crystal", "X1", "r").h(150).chassis(3)
    pen.at("x").u(3).R("R8 10K", "u", lead=1.5).h(146).end("arrow", "TEST")


def mixed(pen: Pen) -> None:
    """A small receiver's last stages, a meter bridge, a regulated supply and two valves on one sheet."""
    rail = 6.0
    pen.at(14, rail).h(130).end("arrow", "+9V")
    pen.at(0, 32).end("ring", "A", "l")
    pen.at(0, 32).C("C30 .1", "r").h(20)
    stage(pen, 20, 32, 31, rail, "Q1 OC71")
    stage(pen, 66, 32, 41, rail, "Q2 OC72", bypass=False)
    pen.at("collector31").r(6).E("C33 10", "r", side="u").h(58).v(32).to(66, 32)
    driver = pen.put(transformer, "T1", 92, 14, [[0, 12]], [[0, 6, 12]], "iron", side="u")
    pen.at("collector41").h(84).v(26).to(driver["p1.2"])
    pen.at(driver["p1.1"]).h(86).v(rail).dot()
    upper = pen.put(transistor, "Q3 OC81", 114, 14, "pnp", side="r")
    lower = pen.put(transistor, "Q4 OC81", 114, 30, "pnp", mirror=True, side="r")
    pen.at(driver["s1.1"]).h(108).to(upper["b"])
    pen.at(driver["s1.3"]).h(104).v(30).to(lower["b"])
    pen.at(driver["s1.2"]).r(3).v(38).dot("bias").R("R50 68", "d").chassis(1)
    pen.at("bias").R("R51 2.2K", "l", side="d").end("ring", "B", "l")
    pen.at(upper["e"]).d(0.5).h(128).v(22).dot("pair").v(lower["e"][1] - 0.5).h(lower["e"][0]).to(lower["e"])
    pen.at("pair").r(4).chassis(2)
    out = pen.put(transformer, "T2", 140, 12, [[0, 10, 20]], [[0, 20]], "iron", side="u")
    pen.at(upper["c"]).u(0.4).h(134).v(12).to(out["p1.1"])
    pen.at(lower["c"]).d(1).h(134).v(32).to(out["p1.3"])
    pen.at(out["p1.2"]).l(2.5).end("ring", "", "l")
    pen.at(out["s1.1"]).h(156).two("speaker", "LS1 3", "d", lead=7.5, mirror=False).v(32).to(out["s1.2"])
    bridge(pen)
    regulator(pen)
    tube(pen)


def bridge(pen: Pen) -> None:
    """Four diodes on the slant are drawn upright here, with a meter across."""
    pen.at(176, 6).end("ring", "C", "l")
    pen.at(176, 6).h(186).dot("n").two("diode", "D1", "d", lead=3).dot("m1").two(
        "diode", "D2", "d", lead=3
    ).dot("s")
    pen.at("n").h(212).two("diode", "D3", "d", lead=3, side="r").dot("m2").two(
        "diode", "D4", "d", lead=3, side="r"
    ).h(186)
    pen.at("m1").r(5).two("meter", "M1 1MA", "r", side="u").to("m2")
    pen.at("s").d(2).R("R60 12K", "d").chassis(2)


def regulator(pen: Pen) -> None:
    pen.at(0, 76).end("ring", "18V AC", "l")
    pen.at(0, 76).two("fuse", "F1 .5A", "r").two("plates", "MR1", "r").dot("raw").h(40)
    pen.at("raw").d(2).E("C60 2000 25V", "d").chassis(2)
    series = pen.put(transistor, "Q5 2N3055", 47.6, 81.4, side="d", turn=270)
    pen.at(40, 76).to(series["c"][0], 76).to(series["c"])
    pen.at(series["b"]).d(3).dot("base").h(68).two("zener", "D5 9V1", "d", back=True, lead=3).chassis(1)
    pen.at("base").l(2).R("R61 470", "l", lead=1.5, side="d").h(29.5).v(76).dot()
    pen.at(series["e"]).h(80).dot("reg").R("R62 1K", "d", side="r").two("light", "D6", "d").chassis(1)
    pen.at("reg").h(92).dot("o").E("C61 100", "d", lead=4).chassis(2)
    pen.at("o").h(104).two("switch", "S1", "r").end("arrow", "+9V")
    pen.at(0, 104).two("battery", "B1 9V", "r", side="u", back=True).h(14).dot().h(24).two(
        "switch", "S2", "r"
    ).R("R63 33", "r").end("arrow", "BATT")
    pen.at(14, 104).chassis(3)
    pen.at(0, 104).end("ring", "", "l")


def tube(pen: Pen) -> None:
    v = pen.put(valve, "V1 ECC83", 142, 84, "agk", 6.0)
    w = pen.put(valve, "V2 ECC83", 174, 84, "agk", 6.0)
    pen.at(126, 56).h(206).end("arrow", "HT")
    for device, number, x in ((v, 70, 142), (w, 73, 174)):
        pen.at(device["a"]).u(3).dot(f"a{number}").R(f"R{number} 100K", "u", lead=2).v(56).dot()
        pen.at(device["k"]).d(2).h(x - 2.4).R(f"R{number + 1} 1.5K", "d", lead=2, side="r").chassis(1)
        pen.at(device["g1"]).l(3).dot(f"g{number}").d(5).R(
            f"R{number + 2} 1M", "d", lead=2, side="l"
        ).chassis(1)
    pen.at("a70").r(6).C("C70 .01", "r", lead=2).v(pen.marks["g73"][1]).to("g73")
    pen.at("a73").r(8).C("C71 .01", "r", lead=2).h(200).dot().v(pen.marks["a73"][1] + 4).two(
        "pot", "VR1 500K", "d", mirror=True, mark="out"
    ).chassis(1)
    pen.at("out").r(3).end("ring", "OUT", "r")
    pen.at("g70").l(4).C("C72 .047", "l", lead=2, side="u").end("ring", "IN", "l")

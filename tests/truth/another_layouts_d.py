"""Layouts of another hand: a synthesizer's oscillator and ladder filter, and a panel with long buses."""

from __future__ import annotations

from another_devices import amplifier, box, jack, toggle, transistor
from another_pen import Pen

__all__ = ["oscillator_and_filter", "panel"]


def oscillator_and_filter(pen: Pen) -> None:
    """Control voltages are summed, an integrator and a trigger make the wave, a ladder filters it."""
    for number, (y, text) in enumerate(
        ((12.0, "KEYBD CV"), (20.0, "1V/OCT"), (28.0, "FM IN"), (36.0, "TUNE")), start=1
    ):
        pen.at(0, y).end("ring", text, "l")
        pen.at(0, y).h(6).R(f"R{number} 100K", "r", lead=1.5).h(24).dot()
    pen.at(24, 12).v(44).h(28).dot("sum")
    first = pen.put(amplifier, "IC1 LM741", 34, 46.75, side="d")
    pen.at("sum").to(first["-"])
    pen.at(first["+"]).l(3).d(4).chassis(1)
    pen.at("sum").v(28).R("R5 100K", "r", lead=3).h(48).v(first["out"][1]).dot("cv")
    pen.at(first["out"]).to("cv").R("R6 1.5K", "r").dot("exp").R("R7 100", "d").chassis(2)
    pair = pen.put(transistor, "Q1 2N3904", 70, pen.marks["exp"][1], side="r")
    pen.at("exp").to(pair["b"])
    pen.at(pair["e"]).d(6).R("R8 1M", "d").end("arrow", "-15V", "d", "r")
    pen.at(pair["c"]).v(30).h(84).dot("int")
    second = pen.put(amplifier, "IC2 LM741", 90, 32.75, side="d")
    pen.at("int").to(second["-"])
    pen.at(second["+"]).l(3).d(4).chassis(1)
    pen.at("int").v(16).dot("res").C("C1 .001", "r", lead=6).h(106).dot("saw2").v(second["out"][1]).dot("saw")

    pen.at("res").u(8).two("switch", "S1", "r", lead=5).h(106).to("saw2")
    pen.at(second["out"]).to("saw")
    third = pen.put(amplifier, "IC3 LM311", 124, 35.5, mirror=True, side="d")
    pen.at("saw").to(third["+"])
    pen.at(third["-"]).l(4).dot("level").d(4).R("R10 4.7K", "d").chassis(2)
    pen.at("level").d(2).l(6).R("R9 10K", "l", side="d").l(1).end("arrow", "+15V", "l", "d")
    pen.at(third["out"]).h(142).dot("trig").d(0.5).R("R11 33K", "d").chassis(2)
    pen.at("trig").u(8).h(150).end("arrow", "SYNC")
    pen.at(116, 32.75).dot().v(22).R("R12 47K", "r").h(154).v(52).h(24 + 130).dot("audio")
    ladder(pen)


def ladder(pen: Pen) -> None:
    """Four rungs of two transistors each, a capacitor across every rung, a pair below, an amplifier above."""
    left, right, top = 178.0, 206.0, 18.0
    pen.at("audio").C("C2 .1", "r").h(168).mark("in")
    y = 96.0
    low = [
        pen.put(transistor, "Q10 2N3904", left - 4.8, y, side="r"),
        pen.put(transistor, "Q11 2N3904", right + 4.8, y, turn=180, mirror=True, side="l"),
    ]
    pen.at("in").v(y).to(low[0]["b"])
    pen.at(168, 80).dot().R("R13 1K", "l", side="d").l(2).d(4).chassis(1)
    pen.at(low[1]["b"]).r(3).R("R14 1K", "d").chassis(2)
    for device in low:
        pen.at(device["e"]).d(3).h(192)
    pen.at(192, low[0]["e"][1] + 3).dot().d(2).R("R15 2.2K", "d").end("arrow", "-15V", "d", "r")
    for rung in range(3):
        y -= 20
        upper = [
            pen.put(transistor, f"Q{12 + 2 * rung} 2N3904", left - 4.8, y, side="r"),
            pen.put(transistor, f"Q{13 + 2 * rung} 2N3904", right + 4.8, y, turn=180, mirror=True, side="l"),
        ]
        level = y + 8
        for side, device in enumerate(upper):
            pen.at(low[side]["c"]).v(level).dot(f"rung{rung}{side}").to(device["e"])
        pen.at(f"rung{rung}0").h(190).C(f"C{10 + rung} .01", "r", lead=1.5, side="u").to(f"rung{rung}1")
        pen.at(upper[0]["b"]).h(164).mark(f"bias{rung}")
        pen.at(upper[1]["b"]).h(220).dot(f"other{rung}")
        if rung:
            pen.at(f"bias{rung - 1}").v(y)
            pen.at(f"other{rung - 1}").R(f"R{20 + rung} 150", "u", lead=3.9).to(f"other{rung}")
        low = upper
    for side in range(2):
        pen.at(low[side]["c"]).v(y - 6).dot(f"out{side}").R(f"R{16 + side} 1K", "u", lead=1.5).v(top).dot()
    pen.at(164, y).v(10).h(220).dot().v(y)
    pen.at(170, top).h(228).end("arrow", "+15V")
    out = pen.put(amplifier, "IC4 LM741", 240, y - 4.0, 12.0, side="d")
    pen.at("out1").r(4).C("C14 1", "r").h(232).v(out["-"][1]).to(out["-"])
    pen.at(out["+"]).l(5).d(3).R("R18 1K", "d").chassis(2)
    pen.at(out["out"]).r(3).dot("vcf").h(266).end("ring", "VCF OUT", "r")
    pen.at("vcf").u(14).R("R19 220K", "l").h(236).v(out["-"][1]).dot()
    pen.at(220, y + 40).d(4).R("R23 390", "d").chassis(2)


def panel(pen: Pen) -> None:
    """A bus from edge to edge with dots for its taps, blocks that hang from it, jacks, and contacts."""
    lines = [f"A{number}" for number in range(8)]
    for number, name in enumerate(lines):
        y = 10 + 4.0 * number
        pen.at(0, y).end("prong", name, "l")
        pen.at(0, y).h(224).end("prong", name, "r")
    for chip in range(3):
        x = 20 + 58.0 * chip
        pins = {str(1 + pin): ("t", 5 + 5.0 * pin) for pin in range(6)}
        pins |= {str(7 + pin): ("b", 5 + 5.0 * pin) for pin in range(6)} | {
            "VDD": ("l", 6.0),
            "VSS": ("r", 6.0),
        }
        body = pen.put(box, f"IC{5 + chip} 4051", x, 54, 35.0, 15.0, pins, side="in")
        for pin in range(6):
            line = (2 * chip + pin) % 8 if chip != 1 else 7 - pin
            pen.at(body[str(1 + pin)]).v(10 + 4.0 * line).dot()
            foot = body[str(7 + pin)]
            if pin < 4:
                pen.at(foot).d(4).two("switch", f"S{chip * 4 + pin + 1}", "d", lead=1.5, side="r").v(92).dot()
        pen.at(x + 5, 92).h(x + 20)
        pen.at(x + 12, 92).dot().chassis(3)
        pen.at(body["11"]).v(100 + 4.0 * chip).h(196).end("arrow", f"RP3/{chip + 2}")
        pen.at(body["VDD"]).l(3).u(4).end("arrow", "+5", "u", "l")
        pen.at(body["VSS"]).r(3).d(3).chassis(1)
        pen.at(body["12"]).d(6).end("ring", "", "d")
    matrix(pen)
    jacks(pen)


def matrix(pen: Pen) -> None:
    """Columns of switches up to the bus, joined by dots (a contact matrix)."""
    for column in range(5):
        x = 196.0 + 5.0 * column
        pen.at(x, 64).v(10 + 4.0 * (7 - column)).dot()
        pen.at(x, 64).two("diode", "", "d", lead=1.5).v(78).dot()
    pen.at(196, 78).h(222).end("arrow", "EN")
    pen.text("D1-D5 1N914", 196, 84)


def jacks(pen: Pen) -> None:
    for number in range(3):
        x = 6 + 62.0 * number
        socket = pen.put(jack, f"SK{number + 1}", x, 128, side="l")
        pen.at(socket["sleeve"]).r(4).u(3).h(x + 16).chassis(1)
        pen.at(socket["tip"]).h(x + 20).R(f"R{number + 1} 10K", "r", lead=1.5).dot(f"tip{number}")
        pen.at(f"tip{number}").d(3).two(
            "pot", f"VR{number + 1} 50K", "d", lead=1.5, mirror=True, mark=f"w{number}", side="l"
        ).chassis(2)
        pen.at(f"w{number}").h(x + 44).end("arrow", f"CV{number + 1}")
        pen.at(socket["break"]).h(x + 12).d(6).chassis(1)
    key = pen.put(toggle, "S20", 188, 124, side="u")
    pen.at(key["c"]).l(4).end("ring", "GATE", "l", "u")
    pen.at(key["1"]).h(206).end("arrow", "AUTO")
    pen.at(key["2"]).h(200).d(4).chassis(1)

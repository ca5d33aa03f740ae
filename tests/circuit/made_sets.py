"""Sets made at random for the tests: stages fed by rails, every net drawn as wires that meet at junctions."""

from __future__ import annotations

import random

from tracer.circuit.elements import CHASSIS, Bank, Circuit, Element

__all__ = ["made_set"]

_VALUES = ("220", "470", "1k", "2k2", "4k7", "10k", "22k", "47k", "100k", "220k", "470k", "1M")


def made_set(seed: int, stages: int) -> Circuit:
    """Return a set of `stages` valve stages, about eight parts and twenty wires each.

    Every stage has an anode load, a decoupled feed, cathode and grid resistors, couplings and a valve that
    is out; every second one a voltage divider, every third a contact of the bank INPUT. A pot takes the
    signal and an output transformer the first anode.
    """
    maker = _Maker(random.Random(seed))
    rails = tuple(f"HT{number}" for number in range(1, max(2, stages // 3) + 1))
    previous = "RAW"
    maker.part("capacitor", previous, CHASSIS, "16u", names=("+", "-"))
    for rail in rails:
        maker.part("resistor", previous, rail, maker.random.choice(("470", "1k", "2k2", "4k7")))
        maker.part("capacitor", rail, CHASSIS, "16u", names=("+", "-"))
        previous = rail
    maker.part("resistor", rails[-1], CHASSIS, "100k")
    signal = "IN"
    for stage in range(stages):
        signal = _stage(maker, stage, maker.random.choice(rails), signal)
    maker.add("pot", "P1", (("1", signal), ("w", "WIPER"), ("2", CHASSIS)), "500k", (("tol", "20%"),))
    maker.part("capacitor", "WIPER", "OUT", "47n")
    maker.part("resistor", "OUT", CHASSIS, "470k")
    windings = (("pri.1", rails[0]), ("pri.2", "A0"), ("sec.1", "LOUD"), ("sec.2", CHASSIS))
    maker.add("transformer", "T1", windings, None, (("ohms.pri", "450"), ("ohms.sec", "1")))
    maker.add("speaker", "LS1", (("1", "LOUD"), ("2", CHASSIS)), "15")
    maker.draw()
    return Circuit(tuple(maker.elements), (Bank("INPUT", ("Off", "Disc", "Tape")),), rails)


def _stage(maker: _Maker, stage: int, rail: str, signal: str) -> str:
    value = maker.random.choice
    anode, grid, cathode, feed = (f"{name}{stage}" for name in ("A", "G", "K", "F"))
    maker.part("resistor", rail, feed, value(_VALUES[3:7]))
    maker.part("resistor", feed, anode, value(_VALUES[5:10]))
    maker.part("capacitor", feed, CHASSIS, "8u", names=("+", "-"))
    maker.part("capacitor", signal, grid, "10n")
    maker.part("resistor", grid, CHASSIS, value(_VALUES[8:]))
    maker.part("resistor", cathode, CHASSIS, value(_VALUES[:5]))
    pins = (("a/1", anode), ("g1/2", grid), ("k/3", cathode), ("h/4", "HEAT"), ("h/5", CHASSIS))
    maker.add("valve", f"V{stage + 1}", pins, None, (("out", ""),))
    if stage % 2:
        screen = f"S{stage}"
        maker.part("resistor", rail, screen, value(_VALUES[6:9]))
        maker.part("resistor", screen, CHASSIS, value(_VALUES[6:9]))
    if stage % 3 == 0:
        ends = (("common", grid), ("make", f"X{stage}"))
        maker.add("contact", f"S{stage + 1}", ends, None, (("closed", "INPUT:Disc,Tape"),))
        maker.part("resistor", f"X{stage}", CHASSIS, value(_VALUES[5:9]))
    return anode


class _Maker:
    def __init__(self, source: random.Random) -> None:
        self.random = source
        self.elements: list[Element] = []
        self.ends: dict[str, list[str]] = {}
        self.count: dict[str, int] = {}

    def part(self, kind: str, one: str, other: str, value: str, names: tuple[str, str] = ("1", "2")) -> None:
        letter = {"resistor": "R", "capacitor": "C"}[kind]
        self.count[letter] = self.count.get(letter, 0) + 1
        options = (("tol", "10%"),) if kind == "resistor" else ()
        self.add(kind, f"{letter}{self.count[letter]}", ((names[0], one), (names[1], other)), value, options)

    def add(
        self,
        kind: str,
        reference: str,
        terminals: tuple[tuple[str, str], ...],
        value: str | None,
        options: tuple[tuple[str, str], ...] = (),
    ) -> None:
        """Add a part; each terminal gets a node of its own, to be wired to its net by `draw`."""
        own = []
        for name, net in terminals:
            node = f"{reference}_{name.replace('/', '_')}"
            self.ends.setdefault(net, []).append(node)
            own.append((name, node))
        self.elements.append(Element(reference, kind, tuple(own), value, options))

    def draw(self) -> None:
        """Draw every net as a tree: each terminal meets a trunk of junctions at one of its own."""
        wires = 0
        for net, ends in self.ends.items():
            trunk = net
            for place, end in enumerate(ends):
                junction = trunk if place in (0, len(ends) - 1) else f"{net}_{place}"
                pairs = [(junction, end)] + ([(trunk, junction)] if junction != trunk else [])
                for pair in pairs:
                    wires += 1
                    kind = "bond" if net == CHASSIS and pair[0] == CHASSIS else "wire"
                    self.elements.append(Element(f"W1.{wires}", kind, (("1", pair[0]), ("2", pair[1]))))
                trunk = junction

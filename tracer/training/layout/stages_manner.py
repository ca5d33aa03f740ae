"""What one draughtsman does alike all over his sheet: his symbols, their sizes, his dots and his names."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Final

import numpy as np

from tracer.training import symbols
from tracer.training.symbols import symbols_of
from tracer.training.symbols.symbol import Symbol

__all__ = ["Manner", "random_manner"]

_PLAIN: Final = {"R", "D", "C", "E", "L"}
_E12: Final = ("10", "12", "15", "18", "22", "27", "33", "39", "47", "56", "68", "82")
_PREFIX: Final = {
    "resistor": "R", "pot": "VR", "capacitor": "C", "coil": "L", "transformer": "T", "diode": "D",
    "rectifier": "MR", "bridge": "BR", "valve": "V", "contact": "S", "lamp": "PL", "neon": "N",
    "speaker": "LS", "meter": "M", "battery": "B", "jack": "SK", "plug": "PL", "fuse": "FS",
    "crystal": "X", "thermistor": "TH", "relay coil": "RL",
}  # fmt: skip
_WORDS: Final = {
    "valve": ("TRIODE", "PENTODE", "OUTPUT", "F.C.", "I.F.", "A.F.", "", ""),
    "transistor": ("NPN", "PNP", "", "", "", "SEL."),
    "coil": ("10H", "250mH", "", "CHOKE"),
    "speaker": ("15Ω", "3 ohms", ""),
    "fuse": ("1A", "500mA", "2A"),
    "battery": ("9V", "90V", "1.5V"),
    "lamp": ("6.3V", "0.3A", ""),
}


@dataclass(slots=True)
class Manner:
    """The habits of one sheet.

    Attributes
    ----------
    dots : float
        How often a join of three arms gets its dot.
    margin : float
        Kept bare round the page, px.
    pen : float
        Width of the wires, in usual strokes.
    dash : tuple
        Length on and off of screens, strokes.
    common_earth : bool
        Whether feet stand on one long line rather than each on a sign of its own.
    close : float
        How tightly things stand: 1 is tight, 1.6 roomy.
    valve : float
        Size of valves and transistors beside other parts.
    triangle : float
        Half the height of an op-amp, units.
    names : dict
        The registered symbol for each short name: ``"R"``, ``"C"``, ``"E"`` (electrolytic), ``"L"``, ``"D"``…
    prefixes : dict
        The letters of references, by kind.
    valued : float
        How often a value is lettered.
    pinned : bool
        Whether pin numbers are lettered.
    boxes : str
        The registered symbol of integrated circuits.
    packed : bool
        Whether resistors stand in packs, with pin numbers at their ends.
    tight : float
        How near lettering comes to wires, strokes; it touches them where this is less than 0.
    writing : int
        Which of four ways to write values.
    hand, hands : int
        Seed of the symbols' shapes, and how many shapes of each there are.
    """

    dots: float
    margin: float
    pen: float
    dash: tuple[float, float]
    common_earth: bool
    close: float
    valve: float
    triangle: float
    names: dict[str, str]
    prefixes: dict[str, str]
    valued: float
    pinned: bool
    boxes: str
    packed: bool
    tight: float
    writing: int
    hand: int
    hands: int
    _held: dict[tuple[str, int], Symbol] = field(default_factory=dict)
    _next: dict[str, int] = field(default_factory=dict)

    def size_of(self, made: Symbol) -> float:
        """How much to enlarge an op-amp so that all on the sheet are of one height."""
        return self.triangle / made.extent[3]

    def build(self, kind: str, rng: np.random.Generator, **options: object) -> tuple[str, Symbol]:
        """The registered name and the symbol that this sheet uses for `kind`, the same each time.

        The option ``hand`` asks for another hand than the usual one; the rest go to the symbol's maker.
        """
        name = self.names.get(kind, kind)
        shift = options.pop("hand", 0)
        assert isinstance(shift, int)
        varied = self.hands > 1 and name == "resistor.zigzag"
        hand = self.hand + shift + (int(rng.integers(0, self.hands)) if varied else 0)
        if options:
            return name, symbols.SYMBOLS[name](np.random.default_rng(hand), **options)
        key = (kind, hand)
        if key not in self._held:
            made = symbols.build(name, np.random.default_rng(hand))
            for seed in range(1, 40):
                if kind not in _PLAIN or (not _odd(made) and abs(made.terminals[0].x) < 3.4):
                    break
                made = symbols.build(name, np.random.default_rng(hand + 977 * seed))
            self._held[key] = made
        return name, self._held[key]

    def name_of(self, kind: str, rng: np.random.Generator) -> tuple[str, str]:
        """The next reference of a part of `kind`, and a value in this sheet's manner."""
        prefix = self.prefixes.get(kind, "")
        number = self._next.get(prefix, int(rng.choice([1, 1, 20, 100]))) + int(rng.choice([0, 0, 0, 1]))
        self._next[prefix] = number + 1
        reference = f"{prefix}{number}" if prefix and rng.random() < 0.96 else ""
        value = self._value(kind, rng) if rng.random() < self.valued else ""
        return reference, value

    def _value(self, kind: str, rng: np.random.Generator) -> str:
        """A value of the E12 row (IEC 60063), written as this sheet writes them, or words."""
        if kind in _WORDS:
            return str(rng.choice(_WORDS[kind]))
        if kind not in ("resistor", "capacitor", "pot"):
            return ""
        digits, decade = str(rng.choice(_E12)), int(rng.integers(0, 6))
        if kind == "capacitor":
            return _farads(digits, self.writing, rng)
        return _ohms(digits, decade, self.writing)


def _ohms(digits: str, decade: int, writing: int) -> str:
    number = int(digits) * 10**decade
    if number < 1000:
        return f"{number}{('', 'Ω', 'R', '')[writing]}"
    factor, letter = (1000, "k" if writing in (0, 1) else "K") if number < 10**6 else (10**6, "M")
    text = f"{number / factor:g}"
    if writing == 2 or "." not in text:
        return text.replace(".", letter) if "." in text else text + letter
    return (text if writing != 3 else text.replace(".", ",")) + letter


def _farads(digits: str, writing: int, rng: np.random.Generator) -> str:
    pick = rng.random()
    if pick < 0.3:
        return digits + str(rng.choice(["pF", "p", "p", "0p"]))
    if pick < 0.65:
        return ("." if writing in (0, 3) else "0.") + str(
            rng.choice(["05", "1", "01", "005", "02", "047", "22"])
        )
    if pick < 0.85:
        return (
            str(rng.choice(["8", "16", "32", "25", "50", "100", "2.2", "47"])) + ("u", "µF", "µ", "")[writing]
        )
    return str(rng.choice(["10n", "47n", "4n7", "100n", "2n2", "16+16", "25 25V", "50 12V"]))


_BOXES = ("resistor.box", "resistor.box", "resistor.rated")
_ZIGZAGS = ("resistor.zigzag", "resistor.zigzag", "resistor.zigzag", "resistor.peaks", "resistor.squares")
_PLATES = (*["capacitor.plates"] * 5, "capacitor.curved", "capacitor.cup", "capacitor.heavy")
_TRANSISTORS = (
    *["transistor.bipolar"] * 4,
    "transistor.bare",
    "transistor.wide",
    "transistor.wide",
    "transistor.field",
)
_EARTHS = (
    "chassis.bars",
    "chassis.rake",
    "chassis.triangle",
    "chassis.triangle",
    "chassis.bar",
    "chassis.rungs",
    "chassis.fork",
    "chassis.arrow",
    "chassis.block",
    "chassis.comb",
    "chassis.comb",
)


def _odd(made: Symbol) -> bool:
    return any(mark.text not in "+-" for mark in made.inscriptions) or len(made.strokes) > (
        1 if made.kind == "resistor" else 5
    )


def random_manner(rng: np.random.Generator, freehand: bool) -> Manner:
    """The manner of one sheet."""
    box = bool(rng.random() < 0.45)
    chassis = str(rng.choice(_EARTHS))
    names = {
        "R": str(rng.choice(_BOXES if box else _ZIGZAGS)),
        "P": "pot.arrow",
        "preset": "pot.preset",
        "C": str(rng.choice(_PLATES)),
        "E": str(rng.choice(["capacitor.electrolytic", "capacitor.electrolytic", "capacitor.curved",
                             "capacitor.plates", "capacitor.trough", "capacitor.hollow", "capacitor.cup"])),
        "CV": str(rng.choice(["capacitor.variable", "capacitor.trimmer"])),
        "L": str(rng.choice(["coil.plain", "coil.plain", "coil.variable", "coil.cored", "coil.solid"])),
        "D": str(rng.choice(["diode.triangle", "diode.open"])),
        "F": str(rng.choice(symbols_of("fuse"))),
        "S": str(rng.choice(["contact.blade", "contact.blade", "contact.push", "contact.bare"])),
        "TR": str(rng.choice(_TRANSISTORS)),
        "valve.envelope": str(rng.choice(["valve.envelope", "valve.glass"])),
        "earth": chassis,
        "label.circle": str(rng.choice(["label.circle", "label.circle", "label.circle", "label.ring",
                                        "label.spot", "label.cup", "label.tongue", "label.clip"])),
        "label.arrow": str(rng.choice(["label.arrow", "label.arrow", "label.chevron", "label.dart"])),
        "lamp": str(rng.choice(symbols_of("lamp"))),
    }  # fmt: skip
    return Manner(
        dots=float(rng.choice([1.0, 1.0, 1.0, 0.97, 0.6, 0.0])),
        margin=float(rng.uniform(4, 26)),
        dash=(float(rng.uniform(2, 9)), float(rng.uniform(1.8, 5))),
        pen=float(rng.choice([1.0, 1.0, 1.0, 1.0, 0.8, 1.3, 1.6])),
        common_earth=bool(rng.random() < 0.55),
        close=float(rng.uniform(0.95, 1.45)),
        triangle=float(rng.uniform(3.0, 5.0)),
        valve=float(rng.uniform(0.95, 1.5)),
        names=names,
        prefixes={
            **_PREFIX,
            "transistor": str(rng.choice(["TR", "Q", "VT", "T"])),
            "block": str(rng.choice(["IC", "U"])),
        },
        tight=float(rng.choice([0.4, 0.4, 0.4, 0.1, -0.6])),
        boxes="block.drawn" if rng.random() < (0.6 if freehand else 0.3) else "block.box",
        packed=bool(rng.random() < 0.15),
        pinned=bool(rng.random() < 0.75),
        valued=float(rng.choice([1.0, 0.97, 0.85, 0.3])),
        writing=int(rng.integers(0, 4)),
        hand=int(rng.integers(0, 1 << 30)),
        hands=4 if freehand else 1,
    )

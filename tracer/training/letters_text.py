"""What is lettered on sheets: references, values, pins, rails and short notes, made up at random.

The forms are common practice on drawings of the valve years and after; the digits of values are the preferred
numbers of IEC 60063 (from memory) and the round ones used before them.
"""

from __future__ import annotations

from typing import Final

import numpy as np

__all__ = ["ALPHABET", "random_text"]

ALPHABET: Final = "0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyzΩµ.,-+/()=%&:'\"± "
"""Every sign that the recogniser tells apart, in the order of its outputs after the blank."""

LONGEST: Final = 20

_PREFIXES: Final = (
    *("R",) * 22, *("C",) * 18, *("V",) * 6, *("VR",) * 3, *("L",) * 4, *("T",) * 4, *("S",) * 4, "SW",
    "SK", "PL",
    "P", "RV", "D", "D", "MR", "BR", "TR", "TR", "Q", "IC", "IC", "LS", "B", "F", "FS", "X", "RP", "TC",
    "CH", "J",
    "JK", "TH", "N", "M", "LP", "RL", "RFC", "HT", "TP", "W", "XL", "VC", "E", "A", "LK", "K",
)  # fmt: skip
_DIGITS: Final = (
    "10", "12", "15", "18", "22", "27", "33", "39", "47", "56", "68", "82", "11", "13", "16", "20", "24",
    "30", "36",
    "43", "51", "62", "75", "91", "25", "50", "40", "35", "60", "80",
)  # fmt: skip
# What follows the point in old capacitors' values.
_BARE: Final = ("1", "1", "2", "5", "5", "25", "05", "01", "02", "005", "001", "002", "003", "03", "15")
_WORDS: Final = (
    "MAINS", "OUTPUT", "INPUT", "VOLUME", "TONE", "BASS", "TREBLE", "GAIN", "MIC", "GRAM", "TAPE", "TUNER",
    "HEATERS",
    "TO", "FROM", "CHASSIS", "EARTH", "SCREEN", "GRID", "ANODE", "CATHODE", "LINE", "LIVE", "NEUTRAL",
    "FUSE", "NOTE",
    "SEE", "TEXT", "ALL", "UNLESS", "MARKED", "IN", "OHMS", "SHEET", "ISSUE", "OF", "TYPE", "PART",
    "SWITCH", "WAVE",
    "RANGE", "LONG", "MEDIUM", "SHORT", "BAND", "AERIAL", "FRAME", "OSC", "MIXER", "DET", "FILTER", "CHOKE",
    "LOG",
    "LIN", "ON", "OFF", "AC", "DC", "VIEW", "BACK", "BASE", "PINS", "BLACK", "RED", "GREEN", "BLUE",
    "WHITE", "BROWN",
    "PRI", "SEC", "CT", "RELAY", "METER", "LAMP", "PHONES", "SPEAKER", "AND", "ONLY", "WHEN", "SET", "MAX",
    "MIN",
    "STANDBY", "PLAY", "RECORD", "ERASE", "BIAS", "FEEDBACK", "HUM", "PRESET", "TRIM", "CLOSED", "OPEN",
    "AMPLIFIER", "RESISTORS", "CAPACITORS", "OHMS", "MFD", "PFD", "MMFD", "MEGOHMS", "MICROFARADS",
    "PICOFARADS", "OTHERWISE", "STATED", "SHOWN", "SPECIFIED", "VALUES", "EXCEPT", "WHERE", "ARE", "IS",
    "K", "M", "=", "1000", "K=1000", "M=1000000", "1000 OHMS", "WATT", "WATTS", "VOLTS", "MEASURED", "WITH",
    "RESPECT", "THE", "NOT", "FITTED", "GROUND", "POWER", "CONTROL", "SELECT", "MOUNTED", "BATTERY", "RESET",
    "TRANSFORMER", "RECTIFIER", "SMOOTHING", "DETECTOR", "DRIVER", "NC", "N.C.", "COM", "OUT", "COIL",
    "MOTOR",
)  # fmt: skip
_RAILS: Final = (
    "+5V", "+5v", "-5V", "+15V", "+9V", "-12V", "-24V", "+24V", "VDD", "VSS", "VEE", "-VE", "+VE", "H.T.",
    "L.T.", "E.H.T.", "H.T.-", "HT2+", "G.B.", "B-", "C+", "A+", "A-", "+HT", "AC", "L", "N", "0V", "+90V",
    "+1.5V",
    "HTR", "HTR", "HTR1", "HTR2", "HT4", "LT1", "AGC1", "HTR", "+HT1", "BIAS",
    "HT", "HT+", "HT-", "HT1", "HT2", "HT3", "H.T.+", "L.T.", "LT+", "HTR", "AGC", "AVC", "A.V.C.", "GND",
    "E", "+5",
    "-5v", "(+5)", "0V", "+12V", "-15V", "B+", "EHT", "+250V", "+300V", "200V", "6.3V", "4V", "GB-", "HT1+",
    "VCC",
)  # fmt: skip
_ELECTRODES: Final = (
    "a",
    "g",
    "k",
    "h",
    "g1",
    "g2",
    "g3",
    "a1",
    "a2",
    "e",
    "b",
    "c",
    "f",
    "s",
    "t",
    "+",
    "-",
    "p",
)


def random_text(rng: np.random.Generator) -> str:
    """Make up one line of lettering, at most `LONGEST` signs of `ALPHABET`.

    Examples
    --------
    >>> text = random_text(np.random.default_rng(1))
    >>> 0 < len(text) <= LONGEST and set(text) <= set(ALPHABET)
    True
    """
    makers = (
        _reference, _resistance, _capacitance, _other_value, _pin, _rail, _note, _mixture, _both, _type,
        _syllables,
    )  # fmt: skip
    share = (0.23, 0.15, 0.15, 0.06, 0.09, 0.06, 0.08, 0.06, 0.03, 0.05, 0.04)
    text = makers[int(rng.choice(len(makers), p=share))](rng)
    return text[:LONGEST].strip() or "1"


def _one(rng: np.random.Generator, *choices: str) -> str:
    return choices[int(rng.integers(0, len(choices)))]


def _number(rng: np.random.Generator) -> str:
    top = (10, 40, 100, 300, 1000)[int(rng.choice(5, p=(0.3, 0.35, 0.2, 0.1, 0.05)))]
    return str(int(rng.integers(1, top)))


def _reference(rng: np.random.Generator) -> str:
    text = _one(rng, *_PREFIXES) + _number(rng)
    pick = rng.random()
    if pick < 0.14:
        text += _one(rng, "a", "b", "c", "d", "A", "B", "C", "D", "-1", "/2", "'", "e", "f")
    elif pick < 0.16:
        text += "-" + _reference(rng)
    elif pick < 0.18:
        text += "," + _number(rng)
    return text


def _point(rng: np.random.Generator, digits: str) -> str:
    """Digits as they are, with a point among them, or a part of one."""
    pick = rng.random()
    if pick < 0.35:
        return f"{digits[0]}{_one(rng, '.', '.', ',')}{digits[1]}"
    if pick < 0.45:
        return f"0.{digits.rstrip('0')}"
    return digits.rstrip("0") if rng.random() < 0.3 else digits + "0" * int(rng.integers(0, 2))


def _resistance(rng: np.random.Generator) -> str:
    digits = _one(rng, *_DIGITS)
    pick = rng.random()
    if pick < 0.3:
        text = f"{digits[0]}{_one(rng, 'k', 'k', 'K', 'M', 'R')}{digits[1]}"
    elif pick < 0.68:
        text = _point(rng, digits) + _one(
            rng, "k", "k", "K", "K", "M", "M", "R", "kΩ", "KΩ", "MΩ", " k", " meg", "Meg"
        )
    elif pick < 0.75:
        text = f"0M{digits.rstrip('0')}"
    else:
        text = digits + "0" * int(rng.integers(0, 4)) + _one(rng, "", "", "", "Ω", " ohms", " OHMS", "R")
    if rng.random() < 0.07:
        text += _one(
            rng, " 5%", " 10%", " 2%", " ±5%", " ½W".replace("½", "1/2"), " 1W", " 3W", " 10W", "J", "K"
        )
    return text


def _capacitance(rng: np.random.Generator) -> str:
    digits = _one(rng, *_DIGITS)
    pick = rng.random()
    if pick < 0.14:
        text = "." + _one(rng, *_BARE) + _one(rng, "", "", "", "", "µF", "µ", "u", "uF", " mfd")
    elif pick < 0.38:
        text = (
            _one(rng, ".", "0.", ".0", ".00", "0.0", "0.00") + digits.rstrip("0")[: int(rng.integers(1, 3))]
        )
        text += _one(rng, "", "", "", "µF", "µ", "uF", " mfd", "u")
    elif pick < 0.6:
        whole = _one(
            rng,
            "1",
            "2",
            "4",
            "8",
            "16",
            "24",
            "25",
            "32",
            "40",
            "50",
            "64",
            "100",
            "200",
            "2.2",
            "4.7",
            "47",
        )
        text = whole + _one(
            rng, "µF", "µF", "µ", "u", "uF", "", " µF", " MFD", "+" + whole, "+" + whole + "µF"
        )
        if rng.random() < 0.35:
            text += _one(rng, " ", "/", "") + _one(
                rng, "450V", "350V", "275V", "63v", "25V", "12V", "500VW", "16v"
            )
    elif pick < 0.9:
        text = _point(rng, digits) + _one(rng, "pF", "pF", "p", "n", "nF", "", "P", "PF", "µµF", "mmf")
    else:
        text = f"{digits[0]}{_one(rng, 'n', 'p', 'µ', 'u')}{digits[1]}"
    return text


def _other_value(rng: np.random.Generator) -> str:
    digits = _one(rng, *_DIGITS)
    return _point(rng, digits) + _one(
        rng,
        "H",
        "H",
        "mH",
        "µH",
        "V",
        "v",
        "V",
        "A",
        "mA",
        "mA",
        "W",
        "c/s",
        "kc/s",
        "Mc/s",
        "Hz",
        "dB",
        "VA",
        "Ω",
        "%",
    )


def _pin(rng: np.random.Generator) -> str:
    if rng.random() < 0.85:
        return str(int(rng.integers(0, 10 if rng.random() < 0.7 else 40)))
    return _one(rng, *_ELECTRODES)


def _rail(rng: np.random.Generator) -> str:
    return _one(rng, *_RAILS)


def _note(rng: np.random.Generator) -> str:
    words = [_one(rng, *_WORDS) for _ in range(int(rng.integers(1, 4)))]
    pick = rng.random()
    if pick < 0.15:
        words = [word.capitalize() for word in words]
    elif pick < 0.3:
        words = [word.lower() for word in words]
    text = " ".join(words)
    if rng.random() < 0.1:
        text = f"({text[: LONGEST - 2]})"
    return text


def _mixture(rng: np.random.Generator) -> str:
    """Signs without sense, and type numbers: nothing to be guessed from what stands beside."""
    if rng.random() < 0.4:
        letters = "".join(rng.choice(list("ABCDEFGHKLMNPTUVXYZ"), int(rng.integers(1, 5))))
        return letters + "".join(rng.choice(list("0123456789"), int(rng.integers(1, 5))))
    return "".join(rng.choice(list(ALPHABET), int(rng.integers(1, 9))))


def _type(rng: np.random.Generator) -> str:
    """A type number: letters, digits, at times letters again, or digits first as on diodes and valves."""
    letters, digits = list("ABCDEFGHKLMNPSTUVXYZ"), list("0123456789")
    first = "".join(rng.choice(letters, int(rng.integers(1, 4))))
    number = "".join(rng.choice(digits, int(rng.integers(2, 5))))
    last = "".join(rng.choice(letters, int(rng.integers(0, 3))))
    pick = rng.random()
    if pick < 0.2:
        return f"{int(rng.integers(1, 10))}N{number}"
    if pick < 0.4:
        return number + last
    if pick < 0.55:
        return f"{int(rng.integers(1, 60))}{first}{int(rng.integers(1, 10))}{last[:1]}"
    return first + number + last


def _syllables(rng: np.random.Generator) -> str:
    """A word that is none, so that words are spelt and not guessed."""
    word = "".join(
        _one(rng, *"BCDFGHKLMNPRSTVWY", "TR", "ST", "CH", "SH", "")
        + _one(rng, *"AEIOU", "EE", "OU", "ER", "IN")
        for _ in range(int(rng.integers(1, 5)))
    )
    pick = rng.random()
    return word.lower() if pick < 0.25 else word.capitalize() if pick < 0.5 else word


def _both(rng: np.random.Generator) -> str:
    value = _resistance(rng) if rng.random() < 0.5 else _capacitance(rng)
    return f"{_reference(rng)}{_one(rng, ' ', ' ', ' = ', ': ')}{value}"

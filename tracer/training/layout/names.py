"""References and values as they are lettered on strewn pieces of circuit."""

from __future__ import annotations

from typing import Final

import numpy as np

__all__ = ["part_name"]

_PREFIX: Final = {
    "resistor": "R",
    "pot": "VR",
    "capacitor": "C",
    "coil": "L",
    "transformer": "T",
    "diode": "D",
    "rectifier": "MR",
    "bridge": "BR",
    "valve": "V",
    "transistor": "TR",
    "block": "IC",
    "contact": "S",
    "lamp": "PL",
    "neon": "N",
    "speaker": "LS",
    "meter": "M",
    "battery": "B",
    "jack": "SK",
    "plug": "PL",
    "fuse": "FS",
    "crystal": "X",
    "thermistor": "TH",
    "varistor": "VDR",
    "relay coil": "RL",
}
_VALUES: Final = {
    "resistor": (
        "10k",
        "4k7",
        "1M",
        "0M5",
        "220",
        "47K",
        "1 meg",
        "2.2M",
        "330Ω",
        "100 ohms",
        "68K",
        "0,5M",
        "150",
    ),
    "capacitor": (
        ".05",
        "16u",
        "0.1µ",
        "100pF",
        "8+8",
        ".001",
        "47n",
        "2.2 63V",
        "220p",
        "500",
        "32µF",
        ".01µF",
    ),
    "pot": ("500k", "1M LOG", "25K LIN", "10k", "2M"),
    "valve": ("TRIODE", "PENTODE", "OUTPUT", "FREQ. CH.", ""),
    "transistor": ("NPN", "AF117", "", "BC1"),
    "coil": ("10H", "250mH", "", "CHOKE"),
    "speaker": ("15Ω", "3 ohms", ""),
    "fuse": ("1A", "500mA", "2A"),
    "battery": ("9V", "90V HT", "1.5V"),
    "lamp": ("6.3V", "0.3A", ""),
}


def part_name(kind: str, number: int, rng: np.random.Generator) -> tuple[str, str]:
    """A reference with `number` and a value, either at times left out, for a part of `kind`."""
    prefix = _PREFIX.get(kind, "")
    reference = f"{prefix}{number}" if prefix and rng.random() < 0.92 else ""
    values = _VALUES.get(kind, ("",))
    value = str(rng.choice(values)) if rng.random() < 0.75 else ""
    if kind in ("chassis", "label") or (kind == "other"):
        return "", ""
    return reference, value

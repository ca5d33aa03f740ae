"""Every limit of ohms that a part has when the sheet does not print it, in one table.

A limit is what a sound part may show an ohmmeter, cold and unplugged; a part outside it is worth a look.
Most are common practice, for which no source is claimed; each row says so or names one.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

__all__ = [
    "BATTERY",
    "BLOCKED_DIODE",
    "BLOCKED_RECTIFIER",
    "BLOCKED_SILICON",
    "BOND",
    "CLOSED_CONTACT",
    "COLD_FUSE",
    "COLD_HEATER",
    "COLD_LAMP",
    "FILM_OHMS",
    "FILM_SECONDS",
    "FORWARD_VOLTS",
    "FUSE",
    "HEATER",
    "LAMP",
    "LEAST_ELECTROLYTIC_FARADS",
    "LEAST_HALF",
    "LEAST_TAP",
    "METER",
    "OTHER_TOLERANCE",
    "POLARISED_SECONDS",
    "RADIO_COIL",
    "RESISTOR",
    "SPEAKER",
    "SPEAKER_RATIO",
    "THERMISTOR",
    "TRANSFORMER",
    "UNKNOWN",
    "VARISTOR",
    "WINDING",
    "WIPER",
    "WIRE",
    "Limit",
]


@dataclass(frozen=True, slots=True)
class Limit:
    """Ω at least, as expected (None where nothing tells) and at most."""

    low: float
    expected: float | None
    high: float

    def times(self, ohms: float) -> Limit:
        """Return this limit, taken as a ratio, of `ohms`."""
        expected = None if self.expected is None else self.expected * ohms
        return Limit(self.low * ohms, expected, self.high * ohms)


WIRE = Limit(0.0, 0.0, 0.1)
"""One stretch of hook-up wire and its joint, Ω (common practice)."""
BOND = Limit(0.0, 0.0, 0.1)
"""A joint to the chassis, a link or a continued-on reference, Ω (common practice)."""
CLOSED_CONTACT = Limit(0.0, 0.0, 0.5)
"""A clean closed switch or jack contact, Ω (common practice; a dirty one reads more)."""

OTHER_TOLERANCE = 0.3
"""Fraction for windings and meters whose ohms are told without one (common practice). That of other kinds
stands in ``shared/kinds.json``: ±20 % is the widest series, E6, of IEC 60063 (from memory)."""

RESISTOR = Limit(0.0, None, 22e6)
"""A resistor or pot without a value, Ω: up to the largest usual value (common practice)."""
RADIO_COIL = Limit(0.0, None, 200.0)
"""A coil under 10 mH whose ohms are not given (common practice)."""
WINDING = Limit(0.0, None, 5e3)
"""A choke or coil whose ohms are not given (common practice)."""
TRANSFORMER = Limit(0.0, None, 10e3)
"""A whole transformer winding whose ohms are not given (common practice)."""
LEAST_TAP = 0.0
"""Least part of a winding's ohms on either side of a tap that may sit anywhere."""
LEAST_HALF = 0.4
"""Least part of a winding's ohms in one half of a centre tap: the outer half is longer (common practice)."""

FILM_OHMS, FILM_SECONDS = 1e9, 1e3
"""A sound film, mica, ceramic or paper capacitor: at least 1 GΩ, and above 1 µF at least 1000 s ÷ farads.
A tenth and less of what IEC 60384-2 asks of new film capacitors (from memory)."""
POLARISED_SECONDS = 100.0
"""A sound electrolytic shows at least 100 s ÷ farads, Ω: the leakage limit of IEC 60384-4, 0.01·C·U a
second after forming (from memory), as ohms. 16 µF gives 6.25 MΩ, 100 µF gives 1 MΩ."""
LEAST_ELECTROLYTIC_FARADS = 4e-6
"""From here on a capacitor of untold make is taken for an electrolytic (common practice)."""

COLD_FUSE = Limit(0.0, 0.1, 1.0)
"""Volts across a fuse at its rated current, by which its ohms are found (common practice)."""
WIPER = Limit(0.0, 0.0, 0.01)
"""What a sound wiper adds, as a ratio of its track's ohms (common practice)."""
FUSE = Limit(0.0, None, 10.0)
"""A fuse of untold rating (common practice)."""
COLD_LAMP = Limit(1 / 16, 1 / 10, 1 / 6)
"""A lamp's cold ohms as a ratio of its hot ohms: about a tenth for a tungsten wire (common practice)."""
LAMP = Limit(0.0, None, 5e3)
"""A filament lamp of untold rating (common practice)."""
COLD_HEATER = Limit(1 / 8, 1 / 6, 1 / 4)
"""A valve heater's cold ohms as a ratio of its hot ohms (common practice)."""
HEATER = Limit(0.0, None, 200.0)
"""A heater of untold rating (common practice)."""
SPEAKER_RATIO = Limit(0.6, 0.85, 1.0)
"""A voice coil's ohms as a ratio of its rated impedance (common practice)."""
SPEAKER = Limit(0.0, None, 2e3)
"""A loudspeaker of untold impedance, high-impedance horns and headphones among them (common practice)."""
METER = Limit(0.0, None, 100e3)
"""A panel meter of untold ohms (common practice)."""
THERMISTOR = Limit(0.0, None, 10e3)
"""A cold thermistor without a value (common practice)."""
VARISTOR = Limit(10e3, None, math.inf)
"""A voltage-dependent resistor at a few volts (common practice)."""

FORWARD_VOLTS = 0.1
"""Least volts across a conducting junction of any make (common practice); over the meter's test current
it gives the least ohms it can show."""
BLOCKED_SILICON, BLOCKED_DIODE, BLOCKED_RECTIFIER = 50e6, 50e3, 10e3
"""Least ohms of a blocked junction at a few volts: of silicon, of a diode of untold make (germanium leaks),
of a selenium or copper oxide rectifier (common practice)."""
UNKNOWN = Limit(0.0, None, math.inf)
"""Nothing is known."""
BATTERY = UNKNOWN
"""A battery left in: its volts upset the meter."""

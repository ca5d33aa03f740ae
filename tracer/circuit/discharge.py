"""How long large capacitors keep their charge once the plug is out, if every part that bleeds them is sound.

Never a time after which a set is safe: a bleeder that has failed bleeds nothing, and old ones do fail. What
this is for is to say beforehand which capacitors nothing bleeds at all.

With the plug out the voltages v across the capacitors C obey v = −R·C·dv/dt, where R are the ohms that the
capacitors' ends see of each other (textbook theory of RC networks). Scaled by √C the matrix is symmetric and
its eigenvalues are the time constants. All capacitors start at their rated volts, each with the sign that
keeps the one looked at up longest; ohms are at their highest, and no capacitor leaks.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.linalg import eigh

from tracer.circuit.elements import Circuit, Element, Setting
from tracer.circuit.network import Network, build_network
from tracer.circuit.results import Meter
from tracer.circuit.settle import steady_ohms
from tracer.circuit.solve import Ohms, flow
from tracer.circuit.sweep import Corner
from tracer.circuit.values import format_value, parse_value

__all__ = ["DISCHARGE_CAUTION", "LEVELS", "Discharge", "discharge_words", "discharges"]

LEVELS = (50.0, 10.0)
"""V: the levels whose times are told (our own choice; neither is promised to be harmless)."""
DISCHARGE_CAUTION = (
    "These are no times after which a set may be touched: they hold only while every bleeder is sound, and "
    "old bleeders fail open. Bleed each capacitor by hand through a resistor made for it, and measure its "
    "volts, before anything is touched."
)
"""What must stand wherever a `Discharge` is shown."""
_LARGE = 1e-6
"""F: from here on a capacitor is listed (our own line)."""
_UNTOLD_VOLTS = 500.0
"""V taken where neither the capacitor nor any other tells its rated volts (common practice)."""
_JOINING = frozenset({"wire", "bond", "link", "chassis", "label", "contact"})
_NAMED = 3
_MINUTE, _HOUR = 60.0, 3600.0
_LEAST_SHARE = 0.05
_SECONDS = np.geomspace(1e-3, 1e7, 401)


@dataclass(frozen=True, slots=True)
class Discharge:
    """One large capacitor with the plug out.

    Attributes
    ----------
    part : str
    farads : float
        At the top of its tolerance, F.
    volts : float
        That it may hold at first, V: its rated ones.
    told : bool
        Whether its rated volts are given; else those of the highest rated capacitor are taken.
    seconds : tuple of float, or None
        Until it is below each of `LEVELS`, s, if all that bleeds it is sound; None where nothing does.
    through : tuple of str
        The parts that most of its current goes through.
    """

    part: str
    farads: float
    volts: float
    told: bool
    seconds: tuple[float, ...] | None
    through: tuple[str, ...]


def discharges(
    circuit: Circuit, setting: Setting | None = None, meter: Meter | None = None
) -> tuple[Discharge, ...]:
    """Return every capacitor of 1 µF and more whose rated volts are above the highest of `LEVELS`.

    Parameters
    ----------
    circuit : Circuit
    setting : Setting, optional
        An open contact may part a capacitor from what bleeds it.
    meter : Meter, optional

    Raises
    ------
    UnknownPosition, BadValue, BadWiring
        As `build_network`.

    Examples
    --------
    16 µF at 450 V through 100 kΩ: 1.6 s times ln(450 / 50).

    >>> from tracer.circuit.wiring import parse_wiring
    >>> (one,) = discharges(parse_wiring('''
    ... capacitor C1: +=A -=chassis; 16u; rated=450V; tol=0%
    ... resistor R1: 1=A 2=chassis; 100k; tol=0%
    ... '''))
    >>> round(one.seconds[0], 2), one.through
    (3.52, ('R1',))
    """
    network = build_network(circuit, setting, meter)
    elements = {element.reference: element for element in circuit.elements}
    charged = [n for n, branch in enumerate(network.branches) if branch.farads > 0.0 and not branch.is_open]
    told = [_rated(elements[network.branches[number].part]) for number in charged]
    highest = max((each for each in told if each is not None), default=_UNTOLD_VOLTS)
    volts = np.array([highest if each is None else each for each in told])
    ohms = steady_ohms(network)
    corner = Corner(network.graph, ohms)
    bled = _bled(network, corner, charged)
    modes = _Modes.of(network, corner, [charged[place] for place in bled])
    result = []
    for place, number in enumerate(charged):
        branch = network.branches[number]
        if branch.farads < _LARGE or volts[place] <= max(LEVELS):
            continue
        seconds = None
        if place in bled:
            seconds = modes.seconds_below(bled.index(place), volts[bled])
        through = _through(network, ohms, number, elements) if seconds else ()
        known = told[place] is not None
        result.append(Discharge(branch.part, branch.farads, float(volts[place]), known, seconds, through))
    return tuple(result)


def discharge_words(discharge: Discharge) -> str:
    """Say one in a sentence; `DISCHARGE_CAUTION` belongs beside it.

    Examples
    --------
    >>> discharge_words(Discharge("C1", 16e-6, 450.0, True, (3.5, 6.1), ("R1",)))
    'C1 (up to 16u, 450 V): through R1, if sound, below 50 V in about 4 s, below 10 V in about 7 s.'
    >>> discharge_words(Discharge("C1", 16e-6, 450.0, True, None, ()))
    'C1 (up to 16u, 450 V): nothing bleeds it. It holds its charge until it is bled by hand.'
    """
    volts = (
        f"{discharge.volts:.0f} V"
        if discharge.told
        else f"rated volts not given, {discharge.volts:.0f} V taken"
    )
    name = f"{discharge.part} (up to {format_value(discharge.farads, 'farad', 3)}, {volts})"
    if discharge.seconds is None:
        return f"{name}: nothing bleeds it. It holds its charge until it is bled by hand."
    through = f"through {', '.join(discharge.through)}, " if discharge.through else ""
    falls = [
        f"below {level:.0f} V in {_about(seconds)}"
        for level, seconds in zip(LEVELS, discharge.seconds, strict=True)
    ]
    return f"{name}: {through}if sound, {', '.join(falls)}."


def _about(seconds: float) -> str:
    """Return seconds in words, rounded up."""
    if seconds > _HOUR:
        return "over an hour"
    return (
        f"about {math.ceil(seconds)} s"
        if seconds <= 2 * _MINUTE
        else f"about {math.ceil(seconds / _MINUTE)} min"
    )


def _rated(element: Element) -> float | None:
    told = element.option("rated")
    return parse_value(told, "volt") if told else None


def _bled(network: Network, corner: Corner, charged: list[int]) -> list[int]:
    """Return the places of the capacitors whose two ends something joins that passes a steady current."""
    graph = network.graph
    return [
        place
        for place, number in enumerate(charged)
        if corner.piece[graph.starts[number]] == corner.piece[graph.ends[number]]
    ]


@dataclass(frozen=True, eq=False)
class _Modes:
    """``response[j, k, m]``: what mode m holds of the volts of capacitor j for 1 V on capacitor k."""

    taus: NDArray[np.float64]
    response: NDArray[np.float64]

    @classmethod
    def of(cls, network: Network, corner: Corner, numbers: list[int]) -> _Modes:
        if not numbers:
            return cls(np.zeros(0), np.zeros((0, 0, 0)))
        graph, farads = network.graph, network.farads[numbers]
        columns = [
            corner.volts_across(int(graph.starts[number]), int(graph.ends[number]))[numbers]
            for number in numbers
        ]
        root = np.sqrt(farads)
        table = np.column_stack(columns) * np.outer(root, root)
        taus, shapes = eigh((table + table.T) / 2.0)
        response = shapes[:, None, :] * shapes[None, :, :] * (root[None, :] / root[:, None])[:, :, None]
        return cls(np.clip(taus, 0.0, None), response)

    def seconds_below(self, place: int, volts: NDArray[np.float64]) -> tuple[float, ...]:
        """Return when a capacitor is below each of `LEVELS` for good, s."""
        times = _SECONDS
        held = self._held(place, volts, times)
        found = []
        for level in LEVELS:
            above = np.flatnonzero(held >= level)
            if volts[place] < level or not len(above):
                found.append(0.0)
            elif above[-1] == len(times) - 1:
                found.append(math.inf)
            else:
                found.append(self._between(place, volts, level, times[above[-1]], times[above[-1] + 1]))
        return tuple(found)

    def _held(
        self, place: int, volts: NDArray[np.float64], seconds: NDArray[np.float64]
    ) -> NDArray[np.float64]:
        """Return the most volts that the capacitor may still hold at each time, V."""
        slow = self.taus > 0.0
        rest = np.exp(-seconds[:, None] / self.taus[slow][None, :])
        return np.asarray(np.abs(rest @ self.response[place][:, slow].T) @ volts)

    def _between(
        self, place: int, volts: NDArray[np.float64], level: float, low: float, high: float
    ) -> float:
        while high > low * 1.0005:
            middle = math.sqrt(low * high)
            above = self._held(place, volts, np.array([middle]))[0] >= level
            low, high = (middle, high) if above else (low, middle)
        return high


def _through(network: Network, ohms: Ohms, number: int, elements: dict[str, Element]) -> tuple[str, ...]:
    """Return the parts, joints left aside, that most of the watts of the discharge go to."""
    graph = network.graph
    here = flow(graph, ohms, int(graph.starts[number]), int(graph.ends[number]))
    if not 0.0 < here.ohms < math.inf:
        return ()
    watts: dict[str, float] = {}
    for each in np.flatnonzero(here.currents).tolist():
        part = network.branches[each].part
        if elements[part].kind not in _JOINING:
            watts[part] = watts.get(part, 0.0) + float(here.currents[each] ** 2 * ohms[each])
    ordered = sorted(watts, key=lambda part: (-watts[part], part))
    return tuple(part for part in ordered[:_NAMED] if watts[part] >= _LEAST_SHARE * here.ohms)

"""Expected ohms between two points, with honest limits, in the words a person at the bench needs."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from tracer.circuit.elements import Circuit, Setting
from tracer.circuit.from_start import FromStart
from tracer.circuit.meter import shown_range
from tracer.circuit.network import Network, build_network
from tracer.circuit.on_the_way import notes, shares, wire_parts
from tracer.circuit.points import find_terminal, named_points, resolve_point
from tracer.circuit.polarity import blocked_junctions, with_blocked, with_leads
from tracer.circuit.probable import probable_range
from tracer.circuit.results import Expectation, Meter, Open, Share
from tracer.errors import SamePoint, UnknownPoint

__all__ = [
    "expect",
    "expect_all",
    "expect_all_on",
    "expect_on",
    "expectation_of",
    "lead_node",
    "refuse_same_point",
]

_FEW = 3
"""Up to so many ends each is worked out by itself."""
_LARGE = 4000
"""Above so many nodes too, as all ends at once need a table of nodes by nodes."""


def expect(
    circuit: Circuit, start: str, end: str, setting: Setting | None = None, meter: Meter | None = None
) -> Expectation:
    """Return what a meter between two points should show.

    Parameters
    ----------
    circuit : Circuit
    start, end : str
        Points, as `resolve_point` takes them; the positive lead is on `start`. A lifted terminal's name
        stands for its free end.
    setting : Setting, optional
        By default every bank at its first position and nothing out but what its line says.
    meter : Meter, optional

    Raises
    ------
    UnknownPoint
        There is no such point.
    SamePoint
        Both are one and the same terminal.
    UnknownPosition, BadValue, BadWiring
        As `build_network`.

    Examples
    --------
    >>> from tracer.circuit.wiring import parse_wiring
    >>> line = expect(parse_wiring("resistor R1: 1=A 2=B; 1k; tol=10%"), "A", "B")
    >>> line.low, line.expected, line.high, line.open.value
    (900.0, 1000.0, 1100.0, 'never')
    """
    meter = meter or Meter()
    return expect_on(build_network(circuit, setting, meter), circuit, start, end, meter)


def expect_all(
    circuit: Circuit,
    start: str,
    setting: Setting | None = None,
    meter: Meter | None = None,
    ends: Iterable[str] | None = None,
) -> tuple[Expectation, ...]:
    """Return what a meter should show from one point to each of `ends`, by default every named point.

    Points on the node of `start` itself are left out when no `ends` are given.

    Raises
    ------
    UnknownPoint, SamePoint, UnknownPosition, BadValue, BadWiring
        As `expect`.
    """
    meter = meter or Meter()
    return expect_all_on(build_network(circuit, setting, meter), circuit, start, meter, ends)


def expect_all_on(
    network: Network,
    circuit: Circuit,
    start: str,
    meter: Meter,
    ends: Iterable[str] | None = None,
    corners: NDArray[np.float64] | None = None,
) -> tuple[Expectation, ...]:
    """Return what `expect_all` does on a network that is built already.

    Parameters
    ----------
    corners : (2 or 4, n) float64, optional
        What `tracer.circuit.search.from_node` gave for it and the node of `start`.
    """
    here, first = _lead(network, circuit, start)
    if ends is None:
        named = ((name, network.lifted.get(name, node)) for name, node in named_points(circuit))
        numbered = [(name, network.number_of[node]) for name, node in named]
        places = [(name, number) for name, number in numbered if number != here]
    else:
        places = []
        for end in ends:
            number, second = _lead(network, circuit, end)
            _refuse_same_point((start, end), (first, second))
            places.append((end, number))
    return _expect_each(network, wire_parts(network, _kinds(circuit)), (start, here), places, meter, corners)


def _expect_each(
    network: Network,
    wires: NDArray[np.bool_],
    start: tuple[str, int],
    ends: Sequence[tuple[str, int]],
    meter: Meter,
    corners: NDArray[np.float64] | None,
) -> tuple[Expectation, ...]:
    """Work out each node once; points and nodes come as name and number."""
    many = len(ends) > _FEW and len(network.nodes) <= _LARGE
    shared: dict[tuple[int, ...], FromStart] = {}
    known: dict[int, Expectation] = {}
    result = []
    for name, number in ends:
        if number == start[1]:
            result.append(_one_conductor(start[0], name, meter))
            continue
        if number not in known:
            blocked = blocked_junctions(network, start[1], number)
            if blocked not in shared:
                faced = with_blocked(network, blocked)
                known_corners = corners if faced is network else None
                shared[blocked] = FromStart(faced, start[1], many=many, known=known_corners)
            known[number] = _expect(shared[blocked], wires, (start[0], name), number, meter)
        result.append(replace(known[number], end=name))
    return tuple(result)


def lead_node(network: Network, circuit: Circuit, point: str) -> int:
    """Return the number of the node that a lead on `point` touches; a lifted terminal's is its free end.

    Raises
    ------
    UnknownPoint
        There is no such point.
    """
    return _lead(network, circuit, point)[0]


def _lead(network: Network, circuit: Circuit, point: str) -> tuple[int, str | None]:
    """Return the number of a point's node, and its full name if it is a terminal."""
    places = dict(circuit.points)
    if point not in places and point in network.number_of and " " not in point:
        return network.number_of[point], None
    if "." in point and point not in places:
        try:
            element, terminal = find_terminal(circuit, point)
        except UnknownPoint:
            pass  # some node's name, in other letters
        else:
            name = f"{element.reference}.{terminal}"
            return network.number_of[network.lifted.get(name) or dict(element.terminals)[terminal]], name
    return network.number_of[resolve_point(circuit, point)], None


def expect_on(network: Network, circuit: Circuit, start: str, end: str, meter: Meter) -> Expectation:
    """Return what a meter should show on a network that is built already; see `expect`."""
    (one, first), (other, second) = _lead(network, circuit, start), _lead(network, circuit, end)
    _refuse_same_point((start, end), (first, second))
    if one == other:
        return _one_conductor(start, end, meter)
    here = FromStart(with_leads(network, one, other), one)
    return _expect(here, wire_parts(network, _kinds(circuit)), (start, end), other, meter)


def refuse_same_point(network: Network, circuit: Circuit, start: str, end: str) -> None:
    """Raise where both leads would rest on one and the same terminal.

    Raises
    ------
    UnknownPoint, SamePoint
    """
    (_, first), (_, second) = _lead(network, circuit, start), _lead(network, circuit, end)
    _refuse_same_point((start, end), (first, second))


def _kinds(circuit: Circuit) -> dict[str, str]:
    return {element.reference: element.kind for element in circuit.elements}


def _refuse_same_point(points: tuple[str, str], terminals: tuple[str | None, str | None]) -> None:
    if points[0] == points[1] or (terminals[0] is not None and terminals[0] == terminals[1]):
        raise SamePoint(f"Both leads are on {points[0]}. Put one of them on another point.")


def _one_conductor(start: str, end: str, meter: Meter) -> Expectation:
    return expectation_of(
        (start, end), (0.0, 0.0, 0.0), meter, notes=(f"{start} and {end} are one conductor.",)
    )


def _expect(
    here: FromStart, wires: NDArray[np.bool_], points: tuple[str, str], end: int, meter: Meter
) -> Expectation:
    low, high = here.limits(end)
    nominal = here.nominal(end)
    wait = here.seconds(end, meter)
    blocked: tuple[str, ...] = ()
    if not math.isfinite(nominal.whole) or not math.isfinite(high):
        blocked = here.blocked_by(end)
    return expectation_of(
        points,
        (low, nominal.ohms, high),
        meter,
        settles=wait,
        through=shares(here, wires, nominal, end),
        blocked=blocked,
        notes=notes(here, end, wait, ends_open=nominal.ohms == math.inf and low <= meter.top),
        probable=probable_range(here.network, nominal),
    )


def expectation_of(
    points: tuple[str, str],
    limits: tuple[float, float | None, float],
    meter: Meter,
    *,
    settles: float = 0.0,
    through: tuple[Share, ...] = (),
    blocked: tuple[str, ...] = (),
    notes: tuple[str, ...] = (),
    probable: tuple[float, float] | None = None,
) -> Expectation:
    """Return the expectation of a pair whose least, expected and most ohms are known."""
    low, expected, high = limits
    least, most = shown_range(low, high, meter)
    is_open = Open.ALWAYS if least > meter.top else Open.NEVER if most <= meter.top else Open.MAYBE
    always = is_open is Open.ALWAYS
    return Expectation(
        start=points[0],
        end=points[1],
        low=None if always else low,
        expected=None if always or expected is None or math.isinf(expected) else expected,
        high=None if always or math.isinf(high) else high,
        accept_low=None if always else least,
        accept_high=None if always or math.isinf(most) else most,
        open=is_open,
        settles_s=settles,
        through=() if always else through,
        blocked_by=() if is_open is Open.NEVER else blocked,
        notes=notes,
        ends_open=always or expected == math.inf,
        probable=None if always else probable,
    )

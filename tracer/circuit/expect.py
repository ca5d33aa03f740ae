"""Expected ohms between two points, with honest limits, in the words a person at the bench needs."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import replace

import numpy as np

from tracer.circuit.blocked import blockers
from tracer.circuit.elements import Circuit, Setting
from tracer.circuit.from_start import FromStart, Nominal
from tracer.circuit.meter import shown_range
from tracer.circuit.network import Network, build_network
from tracer.circuit.points import find_terminal, named_points, resolve_point
from tracer.circuit.polarity import blocked_junctions, with_blocked, with_leads
from tracer.circuit.results import Expectation, Meter, Open, Share
from tracer.circuit.settle import LONGEST
from tracer.circuit.solve import between, flow
from tracer.errors import SamePoint, UnknownPoint

__all__ = ["expect", "expect_all", "expect_on", "lead_node"]

_WIRES = frozenset({"wire", "bond", "link", "chassis", "label"})
_LEAST_SHARE = 0.005
"""A wire is named on the way only from this share on; any other part from a thousandth of it."""
_NAMED = 6
"""A note names at most so many parts."""


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
    network = build_network(circuit, setting, meter)
    here, first = _lead(network, circuit, start)
    if ends is None:
        ends = [name for name, _ in named_points(circuit) if lead_node(network, circuit, name) != here]
    shared: dict[tuple[int, ...], FromStart] = {}
    known: dict[int, Expectation] = {}
    result = []
    for end in ends:
        other, second = _lead(network, circuit, end)
        _refuse_same_point((start, end), (first, second))
        if other not in known:
            blocked = blocked_junctions(network, here, other)
            if blocked not in shared:
                shared[blocked] = FromStart(with_blocked(network, blocked), here, many=True)
            known[other] = _expect(shared[blocked], circuit, (start, end), other, meter)
        result.append(replace(known[other], end=end) if other != here else _one_conductor(start, end, meter))
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
    return _expect(FromStart(with_leads(network, one, other), one), circuit, (start, end), other, meter)


def _refuse_same_point(points: tuple[str, str], terminals: tuple[str | None, str | None]) -> None:
    if points[0] == points[1] or (terminals[0] is not None and terminals[0] == terminals[1]):
        raise SamePoint(f"Both leads are on {points[0]}. Put one of them on another point.")


def _one_conductor(start: str, end: str, meter: Meter) -> Expectation:
    return _result((start, end), (0.0, 0.0, 0.0), meter, notes=(f"{start} and {end} are one conductor.",))


def _expect(
    here: FromStart, circuit: Circuit, points: tuple[str, str], end: int, meter: Meter
) -> Expectation:
    low, high = here.limits(end)
    nominal = here.nominal(end)
    wait = here.seconds(end, meter)
    kinds = {element.reference: element.kind for element in circuit.elements}
    blocked: tuple[str, ...] = ()
    if not math.isfinite(nominal.whole) or not math.isfinite(high):
        blocked = blockers(here.network, here.start, end)
    return _result(
        points,
        (low, nominal.ohms, high),
        meter,
        settles=wait,
        through=_shares(here, kinds, nominal, end),
        blocked=blocked,
        notes=_notes(here, end, wait, low, meter),
    )


def _result(
    points: tuple[str, str],
    limits: tuple[float, float | None, float],
    meter: Meter,
    *,
    settles: float = 0.0,
    through: tuple[Share, ...] = (),
    blocked: tuple[str, ...] = (),
    notes: tuple[str, ...] = (),
) -> Expectation:
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
    )


def _shares(here: FromStart, kinds: dict[str, str], nominal: Nominal, end: int) -> tuple[Share, ...]:
    """Return each part's r·i² as a fraction of the whole, largest first (Tellegen's theorem)."""
    whole, ohms, currents = nominal.whole, nominal.branch_ohms, nominal.currents
    wires_alone = whole == 0.0
    if wires_alone:
        ohms = here.network.high
        at_most = flow(here.network.graph, ohms, here.start, end)
        whole, currents = at_most.ohms, at_most.currents
    if whole == 0.0 or math.isinf(whole):
        return ()
    power = np.where(currents != 0.0, currents**2 * np.where(np.isfinite(ohms), ohms, 0.0), 0.0)
    sums: dict[str, float] = {}
    for branch, watts in zip(here.network.branches, power.tolist(), strict=True):
        sums[branch.part] = sums.get(branch.part, 0.0) + watts
    shares = [
        Share(part, watts / whole)
        for part, watts in sums.items()
        if watts / whole > _least_share(kinds.get(part, ""), wires_alone)
    ]
    return tuple(sorted(shares, key=lambda each: (-round(each.share, 9), each.part)))


def _least_share(kind: str, wires_alone: bool) -> float:
    """Return from which share on a part is named; where 0 Ω is expected, limits alone are compared."""
    if kind in _WIRES:
        return math.inf if wires_alone else _LEAST_SHARE
    return _LEAST_SHARE * 10.0 if wires_alone else _LEAST_SHARE / 1000.0


def _notes(here: FromStart, end: int, wait: float, low: float, meter: Meter) -> tuple[str, ...]:
    """Return sentences about the parts on the way and about waiting."""
    network, start = here.network, here.start
    reaches = np.isfinite(network.low)
    blocks = np.isinf(network.expected)
    on_path = between(network.graph, reaches & ~blocks, start, end)
    leaks = between(network.graph, reaches, start, end) & blocks
    parts = {branch.part for branch, lies in zip(network.branches, on_path, strict=True) if lies}
    said: dict[str, list[str]] = {}
    for part, note in network.notes:
        if part in parts and part not in said.setdefault(note, []):
            said[note].append(part)
    notes = [f"{_listed(names)}: {note}." for note, names in said.items() if names]
    if wait >= LONGEST:
        notes.append("The reading may climb for over an hour.")
    leaky = list(dict.fromkeys(b.part for b, lies in zip(network.branches, leaks, strict=True) if lies))
    if not on_path.any() and leaky and low <= meter.top:
        notes.append(f"{_listed(leaky)}: what sound parts leak may show instead of open.")
    return tuple(notes)


def _listed(names: Sequence[str]) -> str:
    shown = ", ".join(names[:_NAMED])
    return shown if len(names) <= _NAMED else f"{shown} and {len(names) - _NAMED} more"

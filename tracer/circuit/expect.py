"""Expected ohms between two points, with honest limits, in the words a person at the bench needs."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np

from tracer.circuit.blocked import blockers
from tracer.circuit.elements import Circuit, Setting
from tracer.circuit.meter import shown_range
from tracer.circuit.network import Network, build_network
from tracer.circuit.points import find_terminal, named_points, resolve_point
from tracer.circuit.polarity import with_leads
from tracer.circuit.results import Expectation, Meter, Open, Share
from tracer.circuit.search import divided, least_and_most, splits_between
from tracer.circuit.settle import LONGEST, settling_seconds
from tracer.circuit.solve import Flow, Ohms, between, flow
from tracer.errors import SamePoint, UnknownPoint

__all__ = ["expect", "expect_all", "expect_on", "lead_node"]

_WIRES = frozenset({"wire", "bond", "link", "chassis", "label"})
_LEAST_SHARE = 0.005
"""A wire is named on the way only from this share on; any other part from a thousandth of it."""
_SAME = 0.01
"""An unknown value that moves the expected ohms by no more than this fraction is passed over."""
_NAMED = 6
"""A note names at most so many parts."""


@dataclass(frozen=True, slots=True)
class _Expected:
    """The pair with every part at its expected value; `ohms` None where an unknown value decides."""

    ohms: float | None
    flow: Flow
    branch_ohms: Ohms


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
    if ends is None:
        here = lead_node(network, circuit, start)
        ends = [name for name, _ in named_points(circuit) if lead_node(network, circuit, name) != here]
    return tuple(expect_on(network, circuit, start, end, meter) for end in ends)


def lead_node(network: Network, circuit: Circuit, point: str) -> int:
    """Return the number of the node that a lead on `point` touches; a lifted terminal's is its free end.

    Raises
    ------
    UnknownPoint
        There is no such point.
    """
    node = resolve_point(circuit, point)
    terminal = _terminal(circuit, point)
    return network.number_of[network.lifted.get(terminal or "", node)]


def _terminal(circuit: Circuit, point: str) -> str | None:
    if "." not in point:
        return None
    try:
        element, terminal = find_terminal(circuit, point)
    except UnknownPoint:
        return None
    return f"{element.reference}.{terminal}"


def expect_on(network: Network, circuit: Circuit, start: str, end: str, meter: Meter) -> Expectation:
    """Return what a meter should show on a network that is built already; see `expect`."""
    one, other = lead_node(network, circuit, start), lead_node(network, circuit, end)
    terminals = _terminal(circuit, start), _terminal(circuit, end)
    if start == end or (terminals[0] is not None and terminals[0] == terminals[1]):
        raise SamePoint(f"Both leads are on {start}. Put one of them on another point.")
    if one == other:
        notes = (f"{start} and {end} are one conductor.",)
        return _result(network, (start, end), (0.0, 0.0, 0.0), meter, notes=notes)
    network = with_leads(network, one, other)
    low, high = least_and_most(network, one, other)
    expected = _expected(network, one, other)
    wait = settling_seconds(network, one, other, meter)
    kinds = {element.reference: element.kind for element in circuit.elements}
    blocked: tuple[str, ...] = ()
    if not math.isfinite(expected.flow.ohms) or not math.isfinite(high):
        blocked = blockers(network, one, other)
    return _result(
        network,
        (start, end),
        (low, expected.ohms, high),
        meter,
        settles=wait,
        through=_shares(network, kinds, expected, one, other),
        blocked=blocked,
        notes=_notes(network, kinds, one, other, wait, low, meter),
    )


def _result(
    network: Network,
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


def _variants(network: Network, start: int, end: int) -> list[Ohms]:
    """Return the branch ohms, the middle case first, whose results agree if no unknown value matters."""
    untold = np.isnan(network.expected)
    totals: Sequence[float | None] = [None] * len(network.splits)
    free = [False] * len(network.splits)
    for which in splits_between(network, start, end):
        branches = list(network.split_numbers[which])
        free[which] = bool(untold[branches].all()) and network.splits[which].total.expected is not None
    totals = [
        split.total.expected if loose else None for split, loose in zip(network.splits, free, strict=True)
    ]
    result = []
    for at in (0.5, 0.0, 1.0) if any(free) else (0.5,):
        base = divided(network, network.expected, totals, at)
        still = np.isnan(base)
        for fill in (network.low, network.high) if still.any() else (network.low,):
            result.append(np.where(still, fill, base))
    return result


def _expected(network: Network, start: int, end: int) -> _Expected:
    variants = _variants(network, start, end)
    flows = [flow(network.graph, ohms, start, end) for ohms in variants]
    values = [each.ohms for each in flows]
    best = next((place for place, value in enumerate(values) if math.isfinite(value)), 0)
    low, high = min(values), max(values)
    known = low == high or (math.isfinite(high) and high - low <= _SAME * high)
    return _Expected(values[0] if known else None, flows[best], variants[best])


def _shares(
    network: Network, kinds: dict[str, str], expected: _Expected, start: int, end: int
) -> tuple[Share, ...]:
    """Return each part's r·i² as a fraction of the whole, largest first (Tellegen's theorem)."""
    here, ohms = expected.flow, expected.branch_ohms
    if here.ohms == 0.0:
        ohms = network.high
        here = flow(network.graph, ohms, start, end)
    if here.ohms == 0.0 or math.isinf(here.ohms):
        return ()
    power = np.where(here.currents != 0.0, here.currents**2 * np.where(np.isfinite(ohms), ohms, 0.0), 0.0)
    sums: dict[str, float] = {}
    for branch, watts in zip(network.branches, power.tolist(), strict=True):
        sums[branch.part] = sums.get(branch.part, 0.0) + watts
    wires_alone = expected.flow.ohms == 0.0
    shares = [
        Share(part, watts / here.ohms)
        for part, watts in sums.items()
        if watts / here.ohms > _least_share(kinds.get(part, ""), wires_alone)
    ]
    return tuple(sorted(shares, key=lambda each: (-each.share, each.part)))


def _least_share(kind: str, wires_alone: bool) -> float:
    """Return from which share on a part is named; where 0 Ω is expected, limits alone are compared."""
    if kind in _WIRES:
        return math.inf if wires_alone else _LEAST_SHARE
    return _LEAST_SHARE * 10.0 if wires_alone else _LEAST_SHARE / 1000.0


def _notes(
    network: Network, kinds: dict[str, str], start: int, end: int, wait: float, low: float, meter: Meter
) -> tuple[str, ...]:
    """Return sentences about the parts on the way and about waiting."""
    reaches = np.isfinite(network.low)
    blocks = np.isinf(network.expected)
    on_path = between(network.graph, reaches & ~blocks, start, end)
    leaks = between(network.graph, reaches, start, end) & blocks
    parts = {branch.part for branch, here in zip(network.branches, on_path, strict=True) if here}
    said: dict[str, list[str]] = {}
    for part, note in network.notes:
        if part in parts and part not in said.setdefault(note, []):
            said[note].append(part)
    notes = [f"{_listed(names)}: {note}." for note, names in said.items() if names]
    if wait >= LONGEST:
        notes.append("The reading may climb for over an hour.")
    leaky = list(dict.fromkeys(b.part for b, here in zip(network.branches, leaks, strict=True) if here))
    if not on_path.any() and leaky and low <= meter.top:
        notes.append(f"{_listed(leaky)}: what sound parts leak may show instead of open.")
    return tuple(notes)


def _listed(names: Sequence[str]) -> str:
    shown = ", ".join(names[:_NAMED])
    return shown if len(names) <= _NAMED else f"{shown} and {len(names) - _NAMED} more"

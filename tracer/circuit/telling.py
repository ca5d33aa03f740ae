"""Which reading would tell a cause from the others, and what it would show if the cause is right."""

from __future__ import annotations

import math

import numpy as np

from tracer.circuit.elements import Setting
from tracer.circuit.expect import lead_node
from tracer.circuit.guess import Case, Guess
from tracer.circuit.network import Network, build_network
from tracer.circuit.results import CauseKind, NextReading
from tracer.circuit.settle import settling_seconds
from tracer.circuit.solve import Ohms, resistance

__all__ = ["telling_reading"]

_AGAIN = frozenset(
    {CauseKind.SETTING, CauseKind.WRONG_POINT, CauseKind.LEADS, CauseKind.FINGERS, CauseKind.RISING}
)
_SPREAD = 0.05
"""A solved value is taken for right within this fraction."""


def telling_reading(case: Case, guess: Guess) -> NextReading | None:
    """Return the reading that would tell `guess` from the others, with its limits if the guess is right.

    A slip shows when the reading is taken again with care. A part is measured across its own ends or, where
    its neighbours would hide it, with one end lifted. A wire is narrowed down from the first lead.
    """
    reading = case.reading
    if guess.kind in _AGAIN:
        return _again(case, reading.start, reading.end)
    if guess.kind is CauseKind.REVERSED:
        return _again(case, reading.end, reading.start)
    if not guess.branches:
        return None
    if guess.kind is CauseKind.UNTELLABLE:
        return _lifted(case, guess)
    if len(guess.branches) > 1 and guess.kind is CauseKind.OPEN:
        return _halving(case, guess)
    return _across(case, guess) or _lifted(case, guess) or _halving(case, guess)


def _again(case: Case, start: str, end: str) -> NextReading:
    corners = case.corners.facing(
        *((case.start, case.end) if start == case.reading.start else (case.end, case.start))
    )
    low, high = corners.lowest(case.start, case.end), corners.highest(case.start, case.end)
    middle = corners.middle().resistance(case.start, case.end)
    return NextReading(
        start,
        end,
        case.reading.setting,
        None if case.is_open else low,
        middle if math.isfinite(middle) else None,
        high if math.isfinite(high) and not case.is_open else None,
        case.settles,
        (),
        (),
    )


def _changed(guess: Guess, member: int, ohms: Ohms, factor: float) -> Ohms:
    result = ohms.copy()
    value = guess.value if guess.value is not None else math.inf
    if _is_total(guess):
        result[list(guess.branches)] = 0.0
    result[member] = value * factor if math.isfinite(value) else value
    return result


def _is_total(guess: Guess) -> bool:
    """Whether the guess is of the total of several sections in series."""
    return guess.kind is CauseKind.DRIFTED and len(guess.branches) > 1


def _forecast(case: Case, guess: Guess, start: int, end: int, member: int) -> tuple[float, float]:
    """Return the least and most between two nodes if the guess is right, and `member` the branch at fault."""
    network = case.corners.facing(start, end).network
    low = _changed(guess, member, network.low, 1.0 - _SPREAD)
    high = _changed(guess, member, network.high, 1.0 + _SPREAD)
    return (
        resistance(network.graph, low, start, end),
        resistance(network.graph, high, start, end),
    )


def _reading(
    case: Case, network: Network, points: tuple[str, str], setting: Setting, ohms: tuple[float, float]
) -> NextReading:
    top = case.meter.top
    low = None if ohms[0] > top else ohms[0]
    high = None if ohms[1] > top else ohms[1]
    expected = math.sqrt(low * high) if low is not None and high is not None else None
    nodes = [lead_node(network, case.circuit, point) for point in points]
    wait = settling_seconds(network, nodes[0], nodes[1], case.meter)
    return NextReading(points[0], points[1], setting, low, expected, high, wait, (), ())


def _sound(case: Case, start: int, end: int) -> tuple[float, float]:
    corners = case.corners.facing(start, end)
    return corners.lowest(start, end), corners.highest(start, end)


def _apart(one: tuple[float, float], other: tuple[float, float]) -> bool:
    return one[0] > other[1] * 1.02 + 0.5 or one[1] * 1.02 + 0.5 < other[0]


def _across(case: Case, guess: Guess) -> NextReading | None:
    """Measure across the part's own ends, if its neighbours leave the guess to be seen."""
    network = case.evidence.network
    first, last = network.branches[guess.branches[0]], network.branches[guess.branches[-1]]
    points = _ends(case, guess)
    if points is None or {points[0], points[1]} == {case.reading.start, case.reading.end}:
        return None
    nodes = network.number_of[first.start], network.number_of[(last if _is_total(guess) else first).end]
    ohms = _forecast(case, guess, nodes[0], nodes[1], guess.branches[0])
    if not _apart(ohms, _sound(case, *nodes)) or set(nodes) == {case.start, case.end}:
        return None
    return _reading(case, network, points, case.reading.setting, ohms)


def _ends(case: Case, guess: Guess) -> tuple[str, str] | None:
    """Return the names of the two terminals that the guessed branch lies between."""
    branches = case.evidence.network.branches
    branch, last = (branches[guess.branches[place]] for place in (0, -1 if _is_total(guess) else 0))
    by_node: dict[str, str] = {}
    for terminal, node in case.elements[branch.part].terminals:
        by_node.setdefault(node, f"{branch.part}.{terminal.rpartition('/')[2]}")
    if case.elements[branch.part].kind in ("wire", "bond", "label", "chassis", "link"):
        return None
    one, other = by_node.get(branch.start), by_node.get(last.end)
    return None if one is None or other is None else (one, other)


def _lifted(case: Case, guess: Guess) -> NextReading | None:
    """Lift one end of the part and measure it by itself."""
    branch = case.evidence.network.branches[guess.branches[0]]
    points = _ends(case, guess)
    if points is None:
        return None
    setting = case.reading.setting
    full = next(
        f"{branch.part}.{terminal}"
        for terminal, _ in case.elements[branch.part].terminals
        if f"{branch.part}.{terminal.rpartition('/')[2]}" == points[0]
    )
    lifted = Setting(setting.banks, setting.out, setting.lifted | {full}, setting.wipers)
    value = guess.value if guess.value is not None else math.inf
    spread = (value * (1 - _SPREAD), value * (1 + _SPREAD)) if math.isfinite(value) else (value, value)
    network = build_network(case.circuit, lifted, case.meter)
    return _reading(case, network, points, lifted, spread)


def _halving(case: Case, guess: Guess) -> NextReading | None:
    """Measure from the first lead to the point that best halves what may be broken."""
    network, seen = case.evidence.network, case.seen
    doubted = seen.moved[list(guess.branches)]
    count = doubted.sum(axis=0)
    parted = np.minimum(count, len(guess.branches) - count) if len(guess.branches) > 1 else count
    # Of points that part it alike the one that least else bears on.
    score = np.where(parted > 0, 1000.0 * parted - seen.bearing, -np.inf)
    if not len(score) or np.isinf(score.max()):
        return None
    best = int(np.argmax(score))
    member = guess.branches[int(np.argmax(doubted[:, best]))]
    ohms = _forecast(case, guess, case.start, int(seen.nodes[best]), member)
    return _reading(case, network, (case.reading.start, seen.names[best]), case.reading.setting, ohms)

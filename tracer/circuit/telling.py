"""Which reading would tell a cause from the others, and what it would show if the cause is right.

Every cause of the list foretells the least and most of many pairs of points. The pair chosen for a cause is
one at which the cause shows, and at which as much as may be of the weight of all others foretells something
else; of pairs that part them alike, one with a lead on a rail or the chassis, a lead where it was, and little
else on the way.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from tracer.circuit.elements import CHASSIS, Setting
from tracer.circuit.expect import lead_node
from tracer.circuit.forecast import Pairs, forecast
from tracer.circuit.guess import Case, Guess
from tracer.circuit.network import Network, build_network
from tracer.circuit.results import CauseKind, NextReading
from tracer.circuit.settle import Modes, modes_from, settling_seconds
from tracer.circuit.solve import Ohms, resistance
from tracer.circuit.survey import touchable

__all__ = ["Telling"]

_AGAIN = frozenset(
    {CauseKind.SETTING, CauseKind.WRONG_POINT, CauseKind.LEADS, CauseKind.FINGERS, CauseKind.RISING}
)
_UNMEASURED = frozenset({"wire", "bond", "label", "chassis", "link"})
_SPREAD = 0.05
"""A solved value is taken for right within this fraction."""
_MEMBERS = 6
"""Of joints that the readings do not tell apart so many stand for all."""
_LEADS = 6
_JOINTS = 0.3
"""Ω that wires and contacts on the way may add (our own line)."""
_RIVAL = 0.3
"""What a pair loses, in shares of the weight told apart, where it does not part a cause from the next."""
_OFF_RAIL, _MOVED, _LIFTED, _WIDE = 0.08, 0.02, 0.3, 0.02
"""What a pair loses, in shares of the weight told apart: for no lead on a rail or the chassis, for moving
both leads, for a terminal to be unsoldered, and for each decade that its reading may lie apart."""


@dataclass(frozen=True, slots=True)
class _Branch:
    """One branch at ohms that a cause gives it: its number, None for two nodes joined after all."""

    cause: int
    weight: float
    nodes: tuple[int, int]
    number: int | None
    value: float
    others: tuple[int, ...] = ()


@dataclass(frozen=True, eq=False)
class Telling:
    """The causes of one question, likeliest first, and the pairs of points that may part them.

    Attributes
    ----------
    case : Case
        Of the first reading that failed.
    found : sequence of (Case, Guess)
    taken : sequence of (str, str)
        Pairs of points that were read already.
    most : int
        For so many causes a reading is asked.
    """

    case: Case
    found: Sequence[tuple[Case, Guess]]
    taken: Sequence[tuple[str, str]] = ()
    most: int = 6

    def reading(self, place: int) -> NextReading | None:
        """Return the reading that would tell cause `place` from the others, with its limits if it is right.

        A slip shows when the reading is taken again with care; a part that nothing else tells is measured
        with one end lifted.
        """
        case, guess = self.found[place]
        if guess.kind in _AGAIN:
            return self._again(case, case.reading.start, case.reading.end)
        if guess.kind is CauseKind.REVERSED:
            return self._again(case, case.reading.end, case.reading.start)
        if guess.kind is CauseKind.UNTELLABLE:
            return self._lifted(case, guess) if guess.branches else None
        score, best = self._chosen[place]
        lifted = self._lifted(case, guess) if score < 1.0 - _LIFTED and guess.branches else None
        if lifted is not None or best is None:
            return lifted
        return self._at(place, best)

    @property
    def _network(self) -> Network:
        return self.case.evidence.network

    def _again(self, case: Case, start: str, end: str) -> NextReading:
        one, other = (case.start, case.end) if start == case.reading.start else (case.end, case.start)
        corners = case.corners.facing(one, other)
        low, high = corners.lowest(one, other), corners.highest(one, other)
        middle = corners.middle().resistance(one, other)
        expected = middle if math.isfinite(middle) else None
        most = high if math.isfinite(high) and not case.is_open else None
        least = None if case.is_open else low
        setting = case.reading.setting
        return NextReading(start, end, setting, least, expected, most, case.settles, (), ())

    @cached_property
    def _branches(self) -> tuple[_Branch, ...]:
        """What each cause makes of the network; a cause that makes nothing of it has none."""
        return tuple(each for place in range(len(self.found)) for each in self._of(place))

    def _of(self, place: int) -> Iterator[_Branch]:
        case, guess = self.found[place]
        network, theirs = self._network, case.evidence.network
        if guess.join is not None:
            nodes = [network.number_of.get(theirs.nodes[node], -1) for node in guess.join]
            if min(nodes) >= 0:
                yield _Branch(place, guess.weight, (nodes[0], nodes[1]), None, 0.0)
            return
        if guess.kind in _AGAIN:
            return
        names = [theirs.branches[number].name for number in guess.branches]
        numbers = [network.number_of_branch[name] for name in names if name in network.number_of_branch]
        others: tuple[int, ...] = ()
        if _is_total(guess):
            numbers, others = numbers[-1:], tuple(numbers[:-1])
        numbers = numbers[:: max(1, math.ceil(len(numbers) / _MEMBERS))]
        value = math.inf if guess.value is None else guess.value
        for number in numbers:
            ends = int(network.graph.starts[number]), int(network.graph.ends[number])
            yield _Branch(place, guess.weight / len(numbers), ends, number, value, others)

    @cached_property
    def _touched(self) -> dict[int, str]:
        """The nodes where a lead may go, and a name of each."""
        number_of = self._network.number_of
        names: dict[int, str] = {}
        for name, node in touchable(self.case.circuit):
            names.setdefault(number_of[node], name)
        return names

    @cached_property
    def _kept(self) -> dict[int, str]:
        """The nodes on which one lead of a pair rests: where the leads were, the chassis and the rails."""
        case = self.case
        leads = {case.start: case.reading.start, case.end: case.reading.end}
        leads.update({node: name for node, name in self._rails.items() if node not in leads})
        return dict(list(leads.items())[:_LEADS])

    @cached_property
    def _own_ends(self) -> dict[tuple[int, int], tuple[str, str]]:
        """The two ends of each part that may be at fault, by their nodes."""
        found: dict[tuple[int, int], tuple[str, str]] = {}
        for other, guess in self.found:
            ends = _ends(other, guess) if guess.branches else None
            if ends is not None:
                one, two = (lead_node(self._network, self.case.circuit, name) for name in ends)
                found.setdefault((one, two), ends)
        return found

    @cached_property
    def _rails(self) -> dict[int, str]:
        """The chassis and the rails by their nodes."""
        names = (CHASSIS, *self.case.circuit.rails)
        return {lead_node(self._network, self.case.circuit, name): name for name in names}

    @cached_property
    def _nodes(self) -> NDArray[np.int64]:
        """(j, 2) int64: the nodes of each pair that may be read."""
        leads, touched = (np.array(list(nodes), dtype=np.int64) for nodes in (self._kept, self._touched))
        own = np.array(list(self._own_ends), dtype=np.int64).reshape(-1, 2)
        pairs = np.stack([np.repeat(leads, len(touched)), np.tile(touched, len(leads))], axis=1)
        pairs = np.concatenate([pairs, own])
        return np.asarray(pairs[pairs[:, 0] != pairs[:, 1]])

    def _names(self, start: int, end: int) -> tuple[str, str]:
        """Return the names of the points of a pair of `_nodes`."""
        if start in self._kept and end in self._touched:
            return self._kept[start], self._touched[end]
        return self._own_ends[start, end]

    @cached_property
    def _ranges(self) -> tuple[Ohms, Ohms]:
        """(h + 1, j) float64 each: the least and most that each branch foretells, a sound set last."""
        corners = self.case.corners.free_low(), self.case.corners.high(self.case.start, self.case.end)[1]
        sides = []
        for corner, factor in zip(corners, (1.0 - _SPREAD, 1.0 + _SPREAD), strict=True):
            pairs = Pairs.of(corner, self._nodes[:, 0], self._nodes[:, 1])
            rows = []
            for each in self._branches:
                rest = float(corner.ohms[list(each.others)].sum()) if each.others else 0.0
                rows.append(forecast(pairs, each.nodes, each.number, max(0.0, each.value * factor - rest)))
            sides.append(np.minimum(np.array([*rows, pairs.ohms]), self.case.meter.top))
        return sides[0], np.maximum(sides[0], sides[1])

    @cached_property
    def _dear(self) -> NDArray[np.float64]:
        """(j,) float64: what each pair loses for the trouble it is; ``inf`` for one that was read already."""
        network, circuit, nodes = self._network, self.case.circuit, self._nodes
        rails, was = np.array(list(self._rails)), np.array([self.case.start, self.case.end])
        dear = np.where(np.isin(nodes, rails).any(axis=1), 0.0, _OFF_RAIL)
        dear += np.where(np.isin(nodes, was).any(axis=1), 0.0, _MOVED)
        read = {frozenset(lead_node(network, circuit, point) for point in pair) for pair in self.taken}
        read.add(frozenset({self.case.start, self.case.end}))
        for pair in read:
            dear[np.isin(nodes, list(pair)).all(axis=1)] = np.inf
        return dear

    @cached_property
    def _chosen(self) -> list[tuple[float, int | None]]:
        """What `_best` gives for each cause that is asked for."""
        return [self._best(place) for place in range(min(self.most, len(self.found)))]

    @cached_property
    def _modes(self) -> dict[int, Modes]:
        """How the network settles for each node that a lead of a chosen pair rests on."""
        pairs = [self._nodes[best].tolist() for _, best in self._chosen if best is not None]
        starts = dict.fromkeys(start for start, _ in pairs)
        return {
            start: modes_from(self._network, start, [end for one, end in pairs if one == start])
            for start in starts
        }

    def _best(self, place: int) -> tuple[float, int | None]:
        """Return what share of the others' weight the best pair tells from a cause, less its trouble."""
        low, high = self._ranges
        mine = [row for row, each in enumerate(self._branches) if each.cause == place]
        if not mine or not len(self._nodes):
            return 0.0, None
        rows, weights = self._others(place)
        rival = [at for at, row in enumerate(rows) if row in self._rival(place)]
        shares = []
        shows, parts = (np.zeros(len(self._nodes), dtype=np.bool_) for _ in range(2))
        for row in mine:
            apart = (low[row] > high[rows] * 1.02 + 0.5) | (high[row] * 1.02 + 0.5 < low[rows])
            shares.append(weights @ apart / weights.sum())
            shows |= apart[-1]
            parts |= apart[-1] & apart[rival].all(axis=0)
        # Of several joints one may be told from all else where no pair tells all of them at once.
        share = 0.5 * np.mean(shares, axis=0) + 0.5 * np.max(shares, axis=0)
        width = np.log10((high[mine] + 1.0) / (low[mine] + 1.0)).mean(axis=0)
        score = np.where(shows, share - _WIDE * width - self._dear - _RIVAL * ~parts, -np.inf)
        best = int(np.argmax(score))
        return (float(score[best]), best) if math.isfinite(score[best]) else (0.0, None)

    def _rival(self, place: int) -> list[int]:
        """Return the rows of the cause next in the list, or of the one before the last; none for a slip."""
        told = dict.fromkeys(each.cause for each in self._branches)
        after = [cause for cause in told if cause > place] or [cause for cause in told if cause < place][-1:]
        return [row for row, each in enumerate(self._branches) if each.cause in after[:1]]

    def _others(self, place: int) -> tuple[list[int], NDArray[np.float64]]:
        """Return the rows of `_ranges` that stand for all other causes, and their weights; a sound set last.

        A slip leaves the set sound, and so it reads at another pair.
        """
        rows = [row for row, each in enumerate(self._branches) if each.cause != place]
        told = {each.cause for each in self._branches}
        sound = math.fsum(
            guess.weight
            for other, (_, guess) in enumerate(self.found)
            if other != place and other not in told and guess.kind is not CauseKind.UNTELLABLE
        )
        weights = [self._branches[row].weight for row in rows]
        least = 1e-3 * (math.fsum(weights) or 1.0)
        return [*rows, len(self._branches)], np.array([*weights, max(sound, least)])

    def _at(self, place: int, pair: int) -> NextReading:
        """Return a chosen pair with what it would show: by the member of the cause that shows most."""
        low, high = self._ranges
        mine = [row for row, each in enumerate(self._branches) if each.cause == place]
        sound = float(high[-1, pair])
        row = max(mine, key=lambda row: abs(math.log((low[row, pair] + 1.0) / (sound + 1.0))))
        ohms = float(low[row, pair]), float(high[row, pair])
        start, end = self._nodes[pair].tolist()
        facing = self.case.corners.facing(start, end)
        if facing is not self.case.corners:
            ohms = self._anew(facing.network, self._branches[row], start, end)
        named, names = self._own_names(place), self._names(start, end)
        points = named.get(start, names[0]), named.get(end, names[1])
        return self._told(points, (start, end), ohms)

    def _own_names(self, place: int) -> dict[int, str]:
        """Return the terminals of the part at fault by their nodes: what is meant is best told by them."""
        case, guess = self.found[place]
        element = case.elements.get(guess.element or "")
        if element is None or element.kind in _UNMEASURED:
            return {}
        at = [(self._network.number_of.get(node, -1), name) for name, node in element.terminals]
        return {
            node: f"{element.reference}.{name.rpartition('/')[2]}"
            for node, name in at
            if node not in self._rails
        }

    def _anew(self, network: Network, branch: _Branch, start: int, end: int) -> tuple[float, float]:
        """Return the least and most of a pair where a junction blocks, or no longer does."""
        found = []
        for ohms, factor in ((network.low, 1.0 - _SPREAD), (network.high, 1.0 + _SPREAD)):
            changed = ohms.copy()
            if branch.number is not None:
                changed[list(branch.others)] = 0.0
                changed[branch.number] = branch.value * factor
            found.append(resistance(network.graph, changed, start, end))
        return found[0], found[1]

    def _told(
        self, points: tuple[str, str], nodes: tuple[int, int], ohms: tuple[float, float]
    ) -> NextReading:
        ohms = ohms[0], ohms[1] + _JOINTS
        wait = settling_seconds(self._network, *nodes, self.case.meter, self._modes.get(nodes[0]))
        return _next(points, self.case.reading.setting, ohms, self.case.meter.top, wait)

    def _lifted(self, case: Case, guess: Guess) -> NextReading | None:
        """Lift one end of the part and measure it by itself."""
        branch = case.evidence.network.branches[guess.branches[0]]
        points, element = _ends(case, guess), case.elements[branch.part]
        if points is None:
            return None
        setting = case.reading.setting
        full = next(
            f"{branch.part}.{terminal}"
            for terminal, _ in element.terminals
            if f"{branch.part}.{terminal.rpartition('/')[2]}" == points[0]
        )
        lifted = Setting(setting.banks, setting.out, setting.lifted | {full}, setting.wipers)
        value = guess.value if guess.value is not None else math.inf
        spread = (value * (1 - _SPREAD), value * (1 + _SPREAD)) if math.isfinite(value) else (value, value)
        wait = 0.0
        if element.kind == "capacitor" or len(element.terminals) > 2:
            network = build_network(case.circuit, lifted, case.meter)
            nodes = [lead_node(network, case.circuit, point) for point in points]
            wait = settling_seconds(network, nodes[0], nodes[1], case.meter)
        return _next(points, lifted, spread, case.meter.top, wait)


def _next(
    points: tuple[str, str], setting: Setting, ohms: tuple[float, float], top: float, wait: float
) -> NextReading:
    low = None if ohms[0] >= top else ohms[0]
    high = None if ohms[1] >= top else ohms[1]
    expected = math.sqrt(low * high) if low is not None and high is not None else None
    return NextReading(points[0], points[1], setting, low, expected, high, wait, (), ())


def _is_total(guess: Guess) -> bool:
    """Whether the guess is of the total of several sections in series."""
    return guess.kind is CauseKind.DRIFTED and len(guess.branches) > 1


def _ends(case: Case, guess: Guess) -> tuple[str, str] | None:
    """Return the names of the two terminals that the guessed branch lies between; None for a joint."""
    branches = case.evidence.network.branches
    branch, last = (branches[guess.branches[place]] for place in (0, -1 if _is_total(guess) else 0))
    if case.elements[branch.part].kind in _UNMEASURED:
        return None
    by_node: dict[str, str] = {}
    for terminal, node in case.elements[branch.part].terminals:
        by_node.setdefault(node, f"{branch.part}.{terminal.rpartition('/')[2]}")
    one, other = by_node.get(branch.start), by_node.get(last.end)
    return None if one is None or other is None else (one, other)

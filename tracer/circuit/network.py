"""The network that a meter sees: every element of a circuit as branches with limits, under one setting."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cached_property
from types import MappingProxyType

import numpy as np
from numpy.typing import NDArray

from tracer.circuit.branch import OPEN, Branch, Effect, Split
from tracer.circuit.elements import CHASSIS, Circuit, Element, Setting
from tracer.circuit.kind_effects import effect_of
from tracer.circuit.laws import law_of, part_at, turn_at
from tracer.circuit.results import Meter
from tracer.circuit.solve import Graph, Ohms
from tracer.circuit.stand import Stand, bank_positions, terminal_names
from tracer.errors import BadValue

__all__ = ["Branch", "Network", "Split", "branches_in", "build_network"]


@dataclass(frozen=True, eq=False)
class Network:
    """Nodes and branches, ready for `tracer.circuit.solve`.

    Attributes
    ----------
    nodes : tuple of str
        Node names; a node's number is its place here. A lifted terminal is a node of its own, under each
        of its names (see `node_number`).
    branches : tuple of Branch
        In the circuit's order of elements; branch number b is entry b of `low`, `expected`, `high`.
    splits : tuple of Split
        Branches that share one total in an unknown way.
    notes : tuple of (str, str)
        Element reference and what a person should know of it; a branch's name in its stead where it
        concerns that branch alone.
    lifted : mapping of str to str
        For each name of a lifted terminal, the node of its free end.
    reversed_leads : bool
        Whether the meter drives its current out of the lead on a pair's end; see `Meter.reversed_leads`.
    laid : Graph or None
        The graph of a network with the same nodes and ends of branches, whatever their ohms.

    Examples
    --------
    >>> from tracer.circuit.elements import Circuit, Element
    >>> r1 = Element("R1", "resistor", (("1", "HT1"), ("2", "HT2")), "1k", (("tol", "10%"),))
    >>> network = build_network(Circuit((r1,), rails=("HT1", "HT2")))
    >>> network.low.tolist(), network.expected.tolist(), network.high.tolist()
    ([900.0], [1000.0], [1100.0])
    """

    nodes: tuple[str, ...]
    branches: tuple[Branch, ...]
    splits: tuple[Split, ...] = ()
    notes: tuple[tuple[str, str], ...] = ()
    lifted: Mapping[str, str] = field(default_factory=lambda: MappingProxyType({}))
    reversed_leads: bool = False
    laid: Graph | None = field(default=None, repr=False)

    @cached_property
    def number_of(self) -> Mapping[str, int]:
        """Node name to node number."""
        return {name: number for number, name in enumerate(self.nodes)}

    @cached_property
    def graph(self) -> Graph:
        """Where the branches end, as node numbers."""
        if self.laid is not None:
            return self.laid
        number = self.number_of
        return Graph.of(len(self.nodes), ((number[b.start], number[b.end]) for b in self.branches))

    @cached_property
    def low(self) -> Ohms:
        """(m,) float64, each branch's least ohms."""
        return np.array([branch.low for branch in self.branches], dtype=np.float64)

    @cached_property
    def high(self) -> Ohms:
        """(m,) float64, each branch's most ohms."""
        return np.array([branch.high for branch in self.branches], dtype=np.float64)

    @cached_property
    def expected(self) -> Ohms:
        """(m,) float64, each branch's expected ohms; NaN where nothing tells."""
        told = (branch.expected for branch in self.branches)
        return np.array([np.nan if ohms is None else ohms for ohms in told], dtype=np.float64)

    @cached_property
    def farads(self) -> Ohms:
        """(m,) float64, the highest capacitance across each branch, F; 0 where there is none."""
        return np.array([branch.farads for branch in self.branches], dtype=np.float64)

    @cached_property
    def split_numbers(self) -> tuple[tuple[int, ...], ...]:
        """For each split the numbers of its branches."""
        number = self.number_of_branch
        return tuple(tuple(number[name] for name in split.branches) for split in self.splits)

    @cached_property
    def split_middles(self) -> tuple[tuple[frozenset[int], tuple[int, ...]], ...]:
        """For each split the nodes between its branches, and the other branches that meet it there."""
        graph, found = self.graph, []
        for branches in self.split_numbers:
            middle = frozenset(int(graph.ends[branch]) for branch in branches[:-1])
            meet = np.isin(graph.starts, list(middle)) | np.isin(graph.ends, list(middle))
            meet[list(branches)] = False
            found.append((middle, tuple(np.flatnonzero(meet).tolist())))
        return tuple(found)

    @cached_property
    def number_of_branch(self) -> Mapping[str, int]:
        """Branch name to branch number."""
        return {branch.name: number for number, branch in enumerate(self.branches)}

    @cached_property
    def parts(self) -> tuple[str, ...]:
        """Every part that has a branch, in the branches' order."""
        return tuple(dict.fromkeys(branch.part for branch in self.branches))

    @cached_property
    def part_rank(self) -> NDArray[np.int64]:
        """(p,) int64: for each of `parts` its place by the alphabet."""
        order = sorted(range(len(self.parts)), key=self.parts.__getitem__)
        return np.argsort(np.array(order, dtype=np.int64))

    @cached_property
    def part_of(self) -> NDArray[np.int64]:
        """(m,) int64: for each branch its part's place in `parts`."""
        place = {part: number for number, part in enumerate(self.parts)}
        return np.array([place[branch.part] for branch in self.branches], dtype=np.int64)

    @cached_property
    def junctions(self) -> tuple[int, ...]:
        """The branches that are rectifying junctions and not open for good."""
        return tuple(
            number
            for number, branch in enumerate(self.branches)
            if branch.reverse_low is not None and not branch.is_open
        )

    @cached_property
    def polarised(self) -> tuple[int, ...]:
        """The branches that are polarised capacitors and not open for good."""
        return tuple(
            number for number, branch in enumerate(self.branches) if branch.polarised and not branch.is_open
        )

    @cached_property
    def noted(self) -> tuple[NDArray[np.int64], NDArray[np.int64]]:
        """Two (j,) int64: places in `notes`, and the numbers of the branches that each is about."""
        by_name = {name: (number,) for name, number in self.number_of_branch.items()} | dict(
            self.branch_numbers
        )
        pairs = [
            (place, number) for place, (name, _) in enumerate(self.notes) for number in by_name.get(name, ())
        ]
        table = np.array(pairs, dtype=np.int64).reshape(-1, 2)
        return table[:, 0], table[:, 1]

    @cached_property
    def branch_numbers(self) -> Mapping[str, tuple[int, ...]]:
        """Element reference to the numbers of its branches."""
        table: dict[str, list[int]] = {}
        for number, branch in enumerate(self.branches):
            table.setdefault(branch.part, []).append(number)
        return {part: tuple(numbers) for part, numbers in table.items()}


def build_network(circuit: Circuit, setting: Setting | None = None, meter: Meter | None = None) -> Network:
    """Return the network that a meter sees in `circuit` under `setting`.

    Parameters
    ----------
    circuit : Circuit
    setting : Setting, optional
        Banks, parts out, lifted terminals, wipers; by default all banks at their first position.
    meter : Meter, optional
        Its test current decides the least ohms of a conducting junction.

    Raises
    ------
    BadValue
        A printed value or option cannot be read; the message names the element.
    BadWiring
        A contact's condition cannot be read.
    UnknownPosition
        The setting names a bank or position that the circuit has not.
    """
    setting = setting or Setting()
    banks = bank_positions(circuit, setting)
    branches: list[Branch] = []
    splits: list[Split] = []
    notes: list[tuple[str, str]] = []
    free: dict[str, str] = {}
    nodes: dict[str, None] = {CHASSIS: None, **dict.fromkeys(circuit.rails)}
    shafts = _shafts(circuit, setting)
    for element in circuit.elements:
        here, lifts = _terminal_nodes(element, setting)
        for _, node in element.terminals:
            nodes[node] = None
        for node, names in lifts.items():
            free.update(dict.fromkeys(names, node))
        effect = _effect(_stand(element, setting, banks, shafts, here, meter))
        branches += [*effect.branches, *_lift_branches(element, here)]
        splits += effect.splits
        notes += [(element.reference, note) for note in effect.notes]
        notes += effect.branch_notes
    nodes.update(dict.fromkeys(node for _, node in circuit.points))
    for branch in branches:
        nodes[branch.start] = nodes[branch.end] = None
    return Network(
        tuple(nodes),
        tuple(branches),
        tuple(splits),
        tuple(notes),
        MappingProxyType(free),
        meter.reversed_leads if meter else False,
    )


def branches_in(
    circuit: Circuit, element: Element, setting: Setting, meter: Meter | None = None
) -> tuple[Branch, ...]:
    """Return what `build_network` makes of one element.

    Raises
    ------
    BadValue, BadWiring, UnknownPosition
        As `build_network`.
    """
    here = _terminal_nodes(element, setting)[0]
    banks, shafts = bank_positions(circuit, setting), _shafts(circuit, setting)
    effect = _effect(_stand(element, setting, banks, shafts, here, meter))
    return (*effect.branches, *_lift_branches(element, here))


def _stand(
    element: Element,
    setting: Setting,
    banks: Mapping[str, frozenset[str]],
    shafts: Mapping[str, float],
    nodes: Mapping[str, str],
    meter: Meter | None,
) -> Stand:
    return Stand(
        element=element,
        nodes=nodes,
        banks=banks,
        out=element.reference in setting.out or element.option("out") is not None,
        wiper=_wiper(element, setting, shafts),
        meter=meter or Meter(),
    )


def _effect(stand: Stand) -> Effect:
    try:
        return effect_of(stand)
    except BadValue as error:
        line = f"Line {stand.element.line}: " if stand.element.line else ""
        raise BadValue(f"{line}{stand.element.reference}: {error}") from error


def _terminal_nodes(element: Element, setting: Setting) -> tuple[dict[str, str], dict[str, frozenset[str]]]:
    """Return each terminal's node, and for each lifted one its free node and all its names."""
    if not setting.lifted:
        return dict(element.terminals), {}
    here: dict[str, str] = {}
    lifts: dict[str, frozenset[str]] = {}
    for terminal, node in element.terminals:
        names = terminal_names(element, terminal)
        if names & setting.lifted:
            here[terminal] = f"{element.reference}.{terminal} lifted"
            lifts[here[terminal]] = names
        else:
            here[terminal] = node
    return here, lifts


def _lift_branches(element: Element, here: Mapping[str, str]) -> list[Branch]:
    """Make an open branch at each lifted terminal, so that what blocks a path can be named."""
    if dict(element.terminals) == here:
        return []
    return [
        Branch(
            f"{here[terminal]}", element.reference, node, here[terminal], OPEN.low, OPEN.expected, OPEN.high
        )
        for terminal, node in element.terminals
        if here[terminal] != node
    ]


def _shafts(circuit: Circuit, setting: Setting) -> dict[str, float]:
    """Return how far the shafts are turned that a setting tells of one pot on them."""
    pots = (element for element in circuit.elements if element.reference in setting.wipers)
    return {
        shaft: turn_at(law_of(pot.option("law") or "lin"), setting.wipers[pot.reference])
        for pot in pots
        if (shaft := pot.option("shaft"))
    }


def _wiper(element: Element, setting: Setting, shafts: Mapping[str, float]) -> float | None:
    if element.kind != "pot":
        return None
    at, turn = setting.wipers.get(element.reference), shafts.get(element.option("shaft") or "")
    if at is None and turn is not None:
        at = part_at(law_of(element.option("law") or "lin"), turn)
    if at is None:
        told = element.option("at")
        if told is None:
            return None
        try:
            at = float(told.replace(",", "."))
        except ValueError:
            at = -1.0
    if not 0.0 <= at <= 1.0:
        raise BadValue(
            f"{element.reference}: a wiper stands between 0 (at terminal 1) and 1 (at terminal 2)."
        )
    return at

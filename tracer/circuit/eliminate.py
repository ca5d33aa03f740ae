"""Taking nodes out of a resistor network one at a time, without ever subtracting.

Removing a node replaces its star of conductances by a mesh between its neighbours (star-mesh transform,
A. Rosen, "A New Network Theorem", J. IEE 62, 1924; for three legs Kennelly's star-delta, 1899). Every
number stays a sum, product or quotient of positive numbers, so each result is right to a few units in the
last place whatever the spread of values (the argument of Grassmann, Taksar and Heyman, Operations Research
33, 1985): a milliohm beside 22 MΩ costs nothing.
"""

from __future__ import annotations

import heapq
from collections.abc import Collection, Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

__all__ = [
    "Adjacency",
    "Elimination",
    "Step",
    "eliminate",
    "eliminate_all",
    "potentials",
    "reduce_to",
    "transfer_matrix",
]

Adjacency = Mapping[int, Mapping[int, float]]
"""For each node its neighbours and the conductance to each, in siemens; symmetric, no self loops."""

_DENSE_DEGREE = 48
"""From this least degree on the rest is nearly full and whole-row arithmetic is quicker."""


@dataclass(frozen=True, slots=True)
class Step:
    """One node's removal: its conductance to all that remained, and the part of it that went to each.

    Attributes
    ----------
    node : int
        The node taken out.
    total : float
        Sum of its conductances when it was taken out, S.
    neighbours : (k,) int64
        The nodes that then remained next to it.
    parts : (k,) float64
        Each neighbour's conductance over `total`; they add up to 1.
    """

    node: int
    total: float
    neighbours: NDArray[np.int64]
    parts: NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Elimination:
    """The removal of every node of one component but `ground`, in order."""

    ground: int
    steps: tuple[Step, ...]


def eliminate(adjacency: Adjacency, ground: int, last: int | None = None) -> Elimination:
    """Take out every node but `ground`, fewest neighbours first, `last` at the very end.

    Parameters
    ----------
    adjacency : Adjacency
        One connected component that holds `ground` and `last`, S.
    ground : int
        The node that stays.
    last : int, optional
        The node to take out last; its `Step.total` is then the conductance between it and `ground`.

    Examples
    --------
    Two resistors of 1 Ω in series, node 1 between them:

    >>> eliminate({0: {1: 1.0}, 1: {0: 1.0, 2: 1.0}, 2: {1: 1.0}}, ground=0, last=2).steps[-1].total
    0.5
    """
    rest = {node: dict(neighbours) for node, neighbours in adjacency.items()}
    steps = _take_out_all_but(rest, {ground} if last is None else {ground, last})
    if last is not None and last != ground:
        steps.append(_take_out(rest, last))
    return Elimination(ground, tuple(steps))


def eliminate_all(adjacency: Adjacency, grounds: Collection[int]) -> Elimination:
    """Take out every node but `grounds`, of which each component holds one; the lowest is its `ground`.

    Parameters
    ----------
    adjacency : Adjacency
        One component or several, S.
    grounds : collection of int
    """
    rest = {node: dict(neighbours) for node, neighbours in adjacency.items()}
    return Elimination(min(grounds, default=0), tuple(_take_out_all_but(rest, set(grounds))))


def reduce_to(adjacency: Adjacency, keep: Collection[int]) -> Adjacency:
    """Return the network that the nodes `keep` see of the whole: all other nodes taken out.

    Parameters
    ----------
    adjacency : Adjacency
        One component or several, S.
    keep : collection of int
        Nodes that stay; those without a branch stay with no neighbours.
    """
    rest = {node: dict(neighbours) for node, neighbours in adjacency.items()}
    _take_out_all_but(rest, set(keep))
    return {node: rest.get(node, {}) for node in keep}


def _take_out_all_but(rest: dict[int, dict[int, float]], kept: set[int]) -> list[Step]:
    """Take out of `rest`, in place, every node that is not kept, fewest neighbours first."""
    queue = [(len(rest[node]), node) for node in rest if node not in kept]
    heapq.heapify(queue)
    steps: list[Step] = []
    while queue:
        degree, node = heapq.heappop(queue)
        if node not in rest or degree != len(rest[node]):
            continue
        if degree >= _DENSE_DEGREE:
            return steps + _take_out_dense(rest, kept)
        steps.append(_take_out(rest, node))
        for neighbour in steps[-1].neighbours.tolist():
            if neighbour not in kept:
                heapq.heappush(queue, (len(rest[neighbour]), neighbour))
    return steps


def _take_out(rest: dict[int, dict[int, float]], node: int) -> Step:
    star = rest.pop(node)
    total = sum(star.values())
    neighbours = list(star)
    parts = [conductance / total for conductance in star.values()]
    for place, one in enumerate(neighbours):
        row = rest[one]
        del row[node]
        mine = star[one]
        for other, part in zip(neighbours[place + 1 :], parts[place + 1 :], strict=True):
            joined = row.get(other, 0.0) + mine * part
            row[other] = joined
            rest[other][one] = joined
    return Step(node, total, np.array(neighbours, dtype=np.int64), np.array(parts))


def _take_out_dense(rest: dict[int, dict[int, float]], kept: set[int]) -> list[Step]:
    """Take out all but `kept` with whole-row arithmetic, and leave the kept nodes' star in `rest`."""
    stay = [node for node in rest if node in kept]
    order = [node for node in rest if node not in kept] + stay
    place = {node: number for number, node in enumerate(order)}
    table = np.zeros((len(order), len(order)))
    for node, star in rest.items():
        for neighbour, conductance in star.items():
            table[place[node], place[neighbour]] = conductance
    numbers = np.array(order, dtype=np.int64)
    steps = []
    for number in range(len(order) - len(stay)):
        row = table[number, number + 1 :]
        total = float(row.sum())
        parts = row / (total or 1.0)  # a component that holds no kept node ends on a node by itself
        near = np.flatnonzero(row)
        steps.append(Step(order[number], total, numbers[number + 1 :][near], parts[near]))
        table[number + 1 :, number + 1 :] += np.outer(row, parts)
        np.fill_diagonal(table[number + 1 :, number + 1 :], 0.0)
    rest.clear()
    first = len(order) - len(stay)
    for node in stay:
        row = table[place[node], first:]
        rest[node] = {other: float(g) for other, g in zip(stay, row, strict=True) if g > 0.0}
    return steps


def potentials(elimination: Elimination, size: int) -> NDArray[np.float64]:
    """Return (size,) volts of every node with 1 A into the last node taken out and out of ground (0 V).

    Each node's volts are a weighted mean of those of its neighbours, so nothing is subtracted.
    """
    volts = np.zeros(size)
    top = elimination.steps[-1]
    volts[top.node] = 1.0 / top.total
    for step in reversed(elimination.steps[:-1]):
        volts[step.node] = step.parts @ volts[step.neighbours]
    return volts


def transfer_matrix(elimination: Elimination, size: int) -> NDArray[np.float64]:
    """Return the (size, size) matrix Z, Ω: volts of node i with 1 A into node j and out of ground.

    ``Z[j, j]`` is the resistance from ground to j. Rows of nodes outside the component are 0.
    """
    Z = np.zeros((size, size))
    for step in reversed(elimination.steps):
        row = step.parts @ Z[step.neighbours]
        Z[step.node] = row
        Z[:, step.node] = row
        Z[step.node, step.node] = 1.0 / step.total + step.parts @ row[step.neighbours]
    return Z

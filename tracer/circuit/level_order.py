"""In which order the nodes of a network are taken out for `tracer.circuit.levels`.

It hangs on the graph alone. Nodes of the fewest neighbours go first, those that are no neighbours together
(multiple minimum degree: J. W. H. Liu, ACM Transactions on Mathematical Software 11, 1985).
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from tracer.circuit.levels import Level, Levels
from tracer.circuit.solve import Graph

__all__ = ["levels"]

_FULL = 32
"""From this least degree on the rest counts as full and is worked on by whole rows."""

Numbers = NDArray[np.int64]
Star = dict[int, int]
"""The neighbours of one node, each with the slot between the two."""
Pairs = list[tuple[int, int, int]]
"""Two neighbours by their places in a star, and the slot between them."""


def levels(graph: Graph, use: NDArray[np.bool_], ground: int) -> Levels:
    """Return the order for the branches of `use`; worked out once for a graph, the branches and `ground`.

    Parameters
    ----------
    graph : Graph
    use : (m,) bool
        Every branch that is below ∞ Ω in any of the networks to come.
    ground : int

    Examples
    --------
    >>> graph = Graph.of(3, [(0, 1), (1, 2), (0, 2)])
    >>> ohms = np.array([[1.0, 1.0, 2.0], [0.0, 1.0, np.inf]])
    >>> levels(graph, np.array([True, True, True]), 0).resistances(ohms).tolist()
    [[0.0, 0.75, 1.0], [0.0, 0.0, 1.0]]
    """
    key = ("levels", use.tobytes(), ground)
    found = graph.kept.get(key)
    if not isinstance(found, Levels):
        found = _ordered(graph, use, ground)
        graph.kept[key] = found
    return found


def _ordered(graph: Graph, use: NDArray[np.bool_], ground: int) -> Levels:
    slot_of, near, count = _first_slots(graph, use)
    taken: list[list[tuple[int, Star]]] = []
    made: list[list[Pairs]] = []
    rest = {node for node, star in near.items() if star and node != ground}
    while rest:
        level = _apart(near, rest)
        if len(near[level[0]]) >= _FULL:
            break
        taken.append([])
        made.append([])
        for node in level:
            star = near.pop(node)
            rest.discard(node)
            if star:
                pairs, count = _join(near, node, list(star), count)
                taken[-1].append((node, star))
                made[-1].append(pairs)
    core = [*sorted(rest), ground]
    place = {node: number for number, node in enumerate(core)}
    between = [
        (place[node], place[other], slot)
        for node in core
        for other, slot in near.get(node, {}).items()
        if place[node] < place[other]
    ]
    steps = [_level(stars, pairs, count) for stars, pairs in zip(taken, made, strict=True) if stars]
    table = np.array(between, dtype=np.int64).reshape(-1, 3).T
    return Levels(graph, ground, slot_of, count, tuple(steps), np.array(core, dtype=np.int64), table)


def _first_slots(graph: Graph, use: NDArray[np.bool_]) -> tuple[Numbers, dict[int, Star], int]:
    """Return the slot of every branch, the slots by node, and how many there are."""
    low, high = np.minimum(graph.starts, graph.ends), np.maximum(graph.starts, graph.ends)
    chosen = np.flatnonzero(use & (low != high))
    pairs, number = np.unique(low[chosen] * graph.size + high[chosen], return_inverse=True)
    slot_of = np.full(len(use), -1, dtype=np.int64)
    slot_of[chosen] = number.ravel()
    near: dict[int, Star] = {node: {} for node in range(graph.size)}
    for slot, (one, other) in enumerate(
        zip((pairs // graph.size).tolist(), (pairs % graph.size).tolist(), strict=True)
    ):
        near[one][other] = near[other][one] = slot
    return slot_of, near, len(pairs)


def _apart(near: dict[int, Star], rest: set[int]) -> list[int]:
    """Return nodes of about the fewest neighbours, no two of them neighbours; the first has the fewest."""
    by_degree = sorted((len(near[node]), node) for node in rest)
    most = max(3, by_degree[0][0] + 1)  # a little fill costs less than many levels
    found, shut = [], set[int]()
    for degree, node in by_degree:
        if degree > most:
            break
        if node not in shut:
            found.append(node)
            shut.update(near[node])
    return found


def _join(near: dict[int, Star], node: int, star: Sequence[int], count: int) -> tuple[Pairs, int]:
    """Join the neighbours of a node that goes; return the pairs of places and their slots, and the count."""
    pairs: Pairs = []
    for place, one in enumerate(star):
        row = near[one]
        row.pop(node, None)
        for further in range(place + 1, len(star)):
            other = star[further]
            slot = row.get(other)
            if slot is None:
                row[other] = near[other][one] = slot = count
                count += 1
            pairs.append((place, further, slot))
    return pairs, count


def _level(stars: Sequence[tuple[int, Star]], made: Sequence[Pairs], count: int) -> Level:
    """Lay one level out as tables; `count` is how many slots there are in the end."""
    degrees = np.array([len(star) for _, star in stars], dtype=np.int64)
    first = np.cumsum(degrees) - degrees
    of_node = np.repeat(np.arange(len(stars)), degrees)
    slots = np.array([slot for _, star in stars for slot in star.values()], dtype=np.int64)
    far = np.array([other for _, star in stars for other in star], dtype=np.int64)
    flat = [
        (begin + one, begin + other, slot)
        for begin, pairs in zip(first.tolist(), made, strict=True)
        for one, other, slot in pairs
    ]
    left, right, between = np.array(flat, dtype=np.int64).reshape(-1, 3).T
    order = np.argsort(between, kind="stable")
    targets, pair_first = np.unique(between[order], return_index=True)
    # Every pair counts for both its slots, and every slot with itself for the neighbour's own entry.
    whose = np.concatenate([left, right, np.arange(len(slots))])
    other = np.concatenate([right, left, np.arange(len(slots))])
    entry = np.concatenate([between, between, count + far])
    by_slot = np.argsort(whose, kind="stable")
    return Level(
        nodes=np.array([node for node, _ in stars], dtype=np.int64),
        first=first,
        of_node=of_node,
        slots=slots,
        far=far,
        left=left[order],
        right=right[order],
        targets=targets,
        pair_first=pair_first,
        other=other[by_slot],
        entry=entry[by_slot],
        other_first=np.searchsorted(whose[by_slot], np.arange(len(slots))),
    )

"""Which branches lie on some way between two nodes.

A branch lies on a path from lead to lead that passes no node twice exactly if it belongs to one of the
blocks (2-connected pieces) through which such a path leads. One depth-first walk from a lead finds all
blocks, and with them the ways to every other node (Hopcroft and Tarjan, Communications of the ACM 16, 1973).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

__all__ = ["Ways", "bridges", "neighbours", "ways_from"]


@dataclass(frozen=True, eq=False)
class Ways:
    """The blocks of a network as one lead sees them.

    Attributes
    ----------
    start : int
        The node the lead rests on.
    of_branch : (m,) int64
        The block that each branch belongs to; -1 for branches not used or out of reach.
    of_node : (n,) int64
        The last block on the way to each node; -1 for `start` and what is out of reach.
    before : tuple of int
        For each block the one before it on the way from `start`; -1 for those that hold `start`.
    """

    start: int
    of_branch: NDArray[np.int64]
    of_node: NDArray[np.int64]
    before: tuple[int, ...]

    def to(self, end: int) -> NDArray[np.bool_]:
        """Return (m,) bool: the branches on some way to `end`."""
        chain = []
        block = int(self.of_node[end])
        while block >= 0:
            chain.append(block)
            block = self.before[block]
        if len(chain) == 1:
            return np.asarray(self.of_branch == chain[0])
        return np.isin(self.of_branch, np.array(chain, dtype=np.int64))


def neighbours(
    size: int, starts: NDArray[np.int64], ends: NDArray[np.int64], use: NDArray[np.bool_]
) -> list[list[int]]:
    """Return for each node the nodes that branches of `use` join it to."""
    near: list[list[int]] = [[] for _ in range(size)]
    chosen = np.flatnonzero(use)
    for one, other in zip(starts[chosen].tolist(), ends[chosen].tolist(), strict=True):
        near[one].append(other)
        near[other].append(one)
    return near


def ways_from(
    size: int,
    starts: NDArray[np.int64],
    ends: NDArray[np.int64],
    use: NDArray[np.bool_],
    start: int,
) -> Ways:
    """Return the ways from one node along the branches of `use`.

    Parameters
    ----------
    size : int
        Number of nodes.
    starts, ends : (m,) int64
        The nodes of each branch.
    use : (m,) bool
    start : int
    """
    return _blocks(size, starts, ends, use, [start])


def bridges(
    size: int, starts: NDArray[np.int64], ends: NDArray[np.int64], use: NDArray[np.bool_]
) -> NDArray[np.bool_]:
    """Return (m,) bool: those of the branches `use` that alone hold their two ends together.

    Examples
    --------
    >>> pairs = np.array([[0, 1], [1, 2], [1, 2]])
    >>> bridges(3, pairs[:, 0], pairs[:, 1], np.ones(3, dtype=bool)).tolist()
    [True, False, False]
    """
    block = _blocks(size, starts, ends, use, range(size)).of_branch
    shared = np.bincount(block[block >= 0], minlength=1)
    return np.asarray((block >= 0) & (shared[block] == 1))


def _blocks(
    size: int,
    starts: NDArray[np.int64],
    ends: NDArray[np.int64],
    use: NDArray[np.bool_],
    roots: Sequence[int],
) -> Ways:
    """Find the blocks of every piece that holds a root; `Ways.start` is the first root."""
    order, low, steps = _walk(neighbours(size, starts, ends, use), roots)
    block = [-1] * size
    before: list[int] = []
    for node, child in steps:
        if low[child] >= order[node]:
            before.append(block[node])
            block[child] = len(before) - 1
        else:
            block[child] = block[node]
    place, of_node = np.array(order, dtype=np.int64), np.array(block, dtype=np.int64)
    # Each branch joins a node to one further up its own walk, and belongs to the block of the lower one.
    lower = np.where(place[starts] > place[ends], starts, ends)
    of_branch = np.where(use & (starts != ends), of_node[lower], -1)
    return Ways(roots[0], of_branch, of_node, tuple(before))


def _walk(near: list[list[int]], roots: Sequence[int]) -> tuple[list[int], list[int], list[tuple[int, int]]]:
    """Walk depth first; return each node's place in the walk (-1 if never met), the earliest place that it
    or any after it leads back to, and the steps taken."""
    order = [-1] * len(near)
    low = order.copy()
    steps: list[tuple[int, int]] = []
    count = 0
    for root in roots:
        if order[root] < 0:
            order[root] = low[root] = count
            count = _walk_from(root, near, order, low, steps, count + 1)
    return order, low, steps


def _walk_from(
    root: int,
    near: list[list[int]],
    order: list[int],
    low: list[int],
    steps: list[tuple[int, int]],
    count: int,
) -> int:
    """Walk one piece; return the place after its last node."""
    stack = [(root, iter(near[root]))]
    while stack:
        node, rest = stack[-1]
        for other in rest:
            if order[other] < 0:
                order[other] = low[other] = count
                count += 1
                steps.append((node, other))
                stack.append((other, iter(near[other])))
                break
            # The step back to the node before changes nothing: it is the limit itself.
            if order[other] < low[node]:
                low[node] = order[other]
        else:
            stack.pop()
            if stack and low[node] < low[stack[-1][0]]:
                low[stack[-1][0]] = low[node]
    return count

"""Which branches lie on some way between two nodes.

A branch lies on a path from lead to lead that passes no node twice exactly if it belongs to one of the
blocks (2-connected pieces) through which such a path leads. One depth-first walk finds all blocks, and with
them the ways between any two nodes (Hopcroft and Tarjan, Communications of the ACM 16, 1973).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy import sparse
from scipy.sparse import csgraph

__all__ = ["Blocks", "Tree", "Walk", "Ways", "blocks", "bridges", "neighbours", "tree", "walk"]

Bools = NDArray[np.bool_]
Numbers = NDArray[np.int64]


@dataclass(frozen=True, eq=False)
class Walk:
    """A depth-first walk over every node: each node's place in it, the earliest place that it or any after it
    leads back to, the first node of its piece, and the steps taken, as the node before and the node after."""

    order: list[int]
    low: list[int]
    root: list[int]
    steps: list[tuple[int, int]]


@dataclass(frozen=True, eq=False)
class Tree:
    """A depth-first tree of every piece: each branch beside it joins a node to one further up.

    Attributes
    ----------
    place : (n,) int64
        Each node's place in the walk; the nodes below node v take the places from ``place[v]`` on.
    size : (n,) int64
        How many nodes hang below each, itself among them.
    parent : (n,) int64
        The node above each; -1 for a root.
    """

    place: Numbers
    size: Numbers
    parent: Numbers

    def lower_first(self, starts: Numbers, ends: Numbers) -> tuple[Numbers, Numbers]:
        """Return of each pair of nodes the one further down, and the other."""
        lower = np.where(self.place[starts] > self.place[ends], starts, ends)
        return lower, starts + ends - lower

    def branches_above(self, starts: Numbers, ends: Numbers, use: Bools) -> Numbers:
        """Return (n,) int64: one branch of `use` from each node to the one above it, -1 for a root."""
        numbers = np.flatnonzero(use & (starts != ends))
        lower, upper = self.lower_first(starts[numbers], ends[numbers])
        step = self.parent[lower] == upper
        found = np.full(len(self.place), -1, dtype=np.int64)
        found[lower[step]] = numbers[step]
        return found


@dataclass(frozen=True, eq=False)
class Blocks:
    """The blocks of a network.

    Attributes
    ----------
    of_branch : (m,) int64
        The block that each branch belongs to; -1 for branches not used.
    of_node : tuple of int
        The block through which each node hangs on the first of its piece, -1 for that one.
    before : tuple of int
        For each block the one before it on the way to the first node of the piece; -1 if it holds that node.
    top : tuple of int
        For each block the node of it that is nearest to the first one.
    root : tuple of int
        The first node of each node's piece.
    """

    of_branch: Numbers
    of_node: tuple[int, ...]
    before: tuple[int, ...]
    top: tuple[int, ...]
    root: tuple[int, ...]

    def between(self, start: int, end: int) -> list[int]:
        """Return the blocks on the way between two nodes, none where nothing joins them."""
        if self.root[start] != self.root[end]:
            return []
        one, other = self._upward(start), self._upward(end)
        shared = one.keys() & other.keys()
        apart = [block for block in (*one, *other) if block not in shared]
        # The first block that both meet is passed through if they enter it by different nodes.
        first = next((block for block in one if block in shared), None)
        return [*apart, first] if first is not None and one[first] != other[first] else apart

    def _upward(self, node: int) -> dict[int, int]:
        """Return the blocks from a node to the first of its piece, each with the node it is entered by."""
        found, block = {}, self.of_node[node]
        while block >= 0:
            found[block] = node
            node, block = self.top[block], self.before[block]
        return found


@dataclass(frozen=True, eq=False)
class Ways:
    """The ways from one lead, on node `start`, to any other node."""

    blocks: Blocks
    start: int

    def to(self, end: int) -> Bools:
        """Return (m,) bool: the branches on some way to `end`."""
        wanted = np.zeros(len(self.blocks.before) + 1, dtype=np.bool_)
        wanted[self.blocks.between(self.start, end)] = True
        return np.asarray(wanted[self.blocks.of_branch])


def walk(size: int, starts: Numbers, ends: Numbers, use: Bools) -> Walk:
    """Walk along the branches of `use` from every node that was not met yet, lowest first."""
    near = neighbours(size, starts, ends, use)
    found = Walk([-1] * size, [-1] * size, [-1] * size, [])
    count = 0
    for root in range(size):
        if found.order[root] < 0:
            count = _walk_from(root, near, found, count)
    return found


def neighbours(size: int, starts: Numbers, ends: Numbers, use: Bools) -> list[list[int]]:
    """Return for each node the nodes that branches of `use` join it to."""
    near: list[list[int]] = [[] for _ in range(size)]
    chosen = np.flatnonzero(use)
    for one, other in zip(starts[chosen].tolist(), ends[chosen].tolist(), strict=True):
        near[one].append(other)
        near[other].append(one)
    return near


def blocks(size: int, starts: Numbers, ends: Numbers, use: Bools) -> Blocks:
    """Return the blocks that the branches of `use` form.

    Parameters
    ----------
    size : int
        Number of nodes.
    starts, ends : (m,) int64
        The nodes of each branch.
    use : (m,) bool
    """
    walked = walk(size, starts, ends, use)
    order, low = walked.order, walked.low
    block = [-1] * size
    before: list[int] = []
    top: list[int] = []
    for node, child in walked.steps:
        if low[child] >= order[node]:
            before.append(block[node])
            top.append(node)
            block[child] = len(before) - 1
        else:
            block[child] = block[node]
    place, of_node = np.array(order, dtype=np.int64), np.array(block, dtype=np.int64)
    # Each branch joins a node to one further up its own walk, and belongs to the block of the lower one.
    lower = np.where(place[starts] > place[ends], starts, ends)
    of_branch = np.where(use & (starts != ends), of_node[lower], -1)
    return Blocks(of_branch, tuple(block), tuple(before), tuple(top), tuple(walked.root))


def tree(size: int, starts: Numbers, ends: Numbers, use: Bools, label: Numbers | None = None) -> Tree:
    """Return a depth-first tree of every piece that the branches of `use` form.

    Parameters
    ----------
    size : int
        Number of nodes.
    starts, ends : (m,) int64
        The nodes of each branch.
    use : (m,) bool
    label : (n,) int64, optional
        The number of the piece that each node belongs to, where it is known.
    """
    chosen = np.flatnonzero(use)
    one, other = starts[chosen], ends[chosen]
    if label is None:
        table = sparse.coo_array((np.ones(len(chosen)), (one, other)), shape=(size, size))
        label = csgraph.connected_components(table, directed=False)[1].astype(np.int64)
    roots = np.unique(np.asarray(label), return_index=True)[1]
    # One more node above the roots lets a single walk reach all pieces.
    one, other = np.concatenate([one, np.full(len(roots), size)]), np.concatenate([other, roots])
    table = sparse.coo_array((np.ones(len(one)), (one, other)), shape=(size + 1, size + 1))
    order, parent = csgraph.depth_first_order(table.tocsr(), size, directed=False)
    place = np.empty(size + 1, dtype=np.int64)
    place[order] = np.arange(-1, size)
    count, above = [1] * (size + 1), parent.tolist()
    for node in order[:0:-1].tolist():
        count[above[node]] += count[node]
    up = np.where(parent[:size] == size, -1, parent[:size]).astype(np.int64)
    return Tree(place[:size], np.array(count[:size], dtype=np.int64), up)


def bridges(size: int, starts: Numbers, ends: Numbers, use: Bools, found: Tree | None = None) -> Bools:
    """Return (m,) bool: those of the branches `use` that alone hold their two ends together.

    Parameters
    ----------
    size : int
        Number of nodes.
    starts, ends : (m,) int64
        The nodes of each branch.
    use : (m,) bool
    found : Tree, optional
        What `tree` gave for the same branches.

    Examples
    --------
    >>> pairs = np.array([[0, 1], [1, 2], [1, 2]])
    >>> bridges(3, pairs[:, 0], pairs[:, 1], np.ones(3, dtype=bool)).tolist()
    [True, False, False]
    """
    found = found or tree(size, starts, ends, use)
    above, place = found.branches_above(starts, ends, use), found.place
    other_ways = use & (starts != ends)
    other_ways[above[above >= 0]] = False
    lower, upper = found.lower_first(starts[other_ways], ends[other_ways])
    # A branch beside the tree goes round all that the tree has between its ends.
    turns = np.bincount(place[lower], minlength=size) - np.bincount(place[upper], minlength=size)
    whole = np.concatenate([[0], np.cumsum(turns)])
    nodes = np.flatnonzero(above >= 0)
    round_it = whole[place[nodes] + found.size[nodes]] - whole[place[nodes]]
    alone = np.zeros(len(use), dtype=np.bool_)
    alone[above[nodes[round_it == 0]]] = True
    return alone


def _walk_from(root: int, near: list[list[int]], found: Walk, count: int) -> int:
    """Walk one piece, its first node at place `count`; return the place after its last node."""
    order, low = found.order, found.low
    order[root] = low[root] = count
    found.root[root] = root
    count += 1
    stack = [(root, iter(near[root]))]
    while stack:
        node, rest = stack[-1]
        for other in rest:
            if order[other] < 0:
                order[other] = low[other] = count
                count += 1
                found.root[other] = root
                found.steps.append((node, other))
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

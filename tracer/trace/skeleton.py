"""From a mask of conductor ink to its centre lines and the nodes where they meet or end."""

from __future__ import annotations

from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray
from scipy.sparse import coo_matrix, csr_matrix
from scipy.sparse.csgraph import connected_components, depth_first_order
from skimage.morphology import skeletonize

from tracer.trace.blobs import ink_places

__all__ = ["Strokes", "arms_by_node", "line_length", "thin", "trace_strokes"]

_REACH = 5  # px from the skeleton beyond which ink has no part in it; wires are some 2 px thick here
_LEAST_EATEN = 14  # px of ink; less is no line


@dataclass(slots=True, eq=False)
class Strokes:
    """Centre lines between nodes, on the grid.

    Attributes
    ----------
    lines : list of (N, 2) float64
        x then y; first and last point are pixels of the nodes at the two ends.
    ends : (S, 2) int
        Node numbers at each line's start and end.
    nodes : (M, 2) float64
        Where each node lies, x then y.
    """

    lines: list[NDArray[np.float64]]
    ends: NDArray[np.intp]
    nodes: NDArray[np.float64]


def thin(mask: NDArray[np.bool_]) -> NDArray[np.bool_]:
    """Return the skeleton, one pixel wide, of `mask` (Zhang and Suen 1984, as in scikit-image).

    That method eats lines an even number of pixels wide that run down to the right, from their free ends
    on. Where ink is left far from any skeleton, the slower method of Lee et al. (1994) is used instead.

    Examples
    --------
    >>> slope = np.eye(40, dtype=bool) | np.eye(40, k=1, dtype=bool)
    >>> int(skeletonize(slope).sum()) < 25, int(thin(slope).sum()) > 35
    (True, True)
    """
    skeleton = np.asarray(skeletonize(mask), np.bool_)  # type: ignore[no-untyped-call]
    reached = cv2.dilate(skeleton.view(np.uint8), np.ones((3, 3), np.uint8))
    for _ in range(_REACH):  # along the ink alone, so that a line close by does not count
        reached = cv2.dilate(reached, np.ones((3, 3), np.uint8)) & mask.view(np.uint8)
    eaten = mask & (reached == 0)
    return _mended(skeleton, mask, eaten) if eaten.any() else skeleton


def _mended(
    skeleton: NDArray[np.bool_], mask: NDArray[np.bool_], eaten: NDArray[np.bool_]
) -> NDArray[np.bool_]:
    """Put the slower skeleton in the place of the faster one where that left ink out."""
    around = np.ones((2 * _REACH + 5, 2 * _REACH + 5), np.uint8)
    grown = cv2.dilate(eaten.view(np.uint8), around)
    outlines, _ = cv2.findContours(grown, cv2.RETR_EXTERNAL, cv2.CHAIN_APPROX_NONE)
    for outline in reversed(outlines):  # they come from the bottom up
        x, y, wide, high = cv2.boundingRect(outline)
        if np.count_nonzero(eaten[y : y + high, x : x + wide]) < _LEAST_EATEN:
            continue  # the corners of a square dot or of a thick rail's end
        left, top = max(x - _REACH, 0), max(y - _REACH, 0)
        part = slice(top, y + high + _REACH), slice(left, x + wide + _REACH)
        slower = skeletonize(mask[part], method="lee") > 0  # type: ignore[no-untyped-call]
        own = np.zeros(slower.shape, np.uint8)
        cv2.drawContours(own, [outline], 0, 1, cv2.FILLED, offset=(-left, -top))
        own &= grown[part]
        mended = np.where(own, slower, skeleton[part])
        if _pieces(mended) > _pieces(skeleton[part]):
            # The two run side by side: ink is laid where they part, and thinned to what links them.
            seam = cv2.dilate(own, np.ones((5, 5), np.uint8)) > cv2.erode(own, np.ones((5, 5), np.uint8))
            mended = skeletonize(mended | (seam & mask[part]), method="lee") > 0  # type: ignore[no-untyped-call]
        if _pieces(mended) <= _pieces(skeleton[part]):
            skeleton[part] = mended
    return skeleton


def _pieces(mask: NDArray[np.bool_]) -> int:
    return int(cv2.connectedComponents(mask.astype(np.uint8))[0])


def line_length(line: NDArray[np.floating]) -> float:
    """Return the length of a polyline, px."""
    steps = line[1:] - line[:-1]
    return float(np.hypot(steps[:, 0], steps[:, 1]).sum())


def arms_by_node(strokes: Strokes) -> list[list[int]]:
    """List for each node the arms there; arm ``2 * line + end`` is one end (0 or 1) of a line."""
    arms: list[list[int]] = [[] for _ in range(len(strokes.nodes))]
    for arm, node in enumerate(strokes.ends.ravel()):
        arms[node].append(arm)
    return arms


def trace_strokes(skeleton: NDArray[np.bool_]) -> Strokes:
    """Turn a skeleton into lines and nodes, all pixels at once.

    A pixel with other than two neighbours is a node; touching nodes of three or more neighbours are one.
    A closed loop without a node gets one of its pixels as its node.

    Examples
    --------
    >>> cross = np.zeros((9, 9), bool)
    >>> cross[4, 1:8] = cross[1:8, 4] = True
    >>> strokes = trace_strokes(cross)
    >>> len(strokes.lines), len(strokes.nodes)
    (4, 5)
    """
    places, links = _pixel_links(skeleton)
    count = len(places)
    if count == 0:
        return Strokes([], np.zeros((0, 2), np.intp), np.zeros((0, 2)))
    degree = np.bincount(links.ravel(), minlength=count)
    is_node = _mark_nodes(links, degree)
    node_of, node_count = _cluster_nodes(links, degree, is_node)
    nodes = np.column_stack(
        [np.bincount(node_of[is_node], places[is_node, axis], node_count) for axis in (0, 1)]
    ) / np.bincount(node_of[is_node], minlength=node_count).reshape(-1, 1)

    lines: list[NDArray[np.float64]] = []
    ends: list[tuple[int, int]] = []
    for chain in _chains(links, is_node):
        lines.append(places[chain])
        ends.append((node_of[chain[0]], node_of[chain[-1]]))
    direct = links[is_node[links[:, 0]] & is_node[links[:, 1]]]
    for first, second in direct[node_of[direct[:, 0]] != node_of[direct[:, 1]]]:
        lines.append(places[[first, second]])
        ends.append((node_of[first], node_of[second]))
    return Strokes(lines, np.array(ends, np.intp).reshape(-1, 2), nodes)


def _pixel_links(skeleton: NDArray[np.bool_]) -> tuple[NDArray[np.float64], NDArray[np.intp]]:
    """Number the skeleton's pixels and list which touch which.

    A diagonal touch does not count where the two also touch round the corner: else every bend
    of the skeleton would look like a node.
    """
    ys, xs = ink_places(skeleton)
    # A column to spare keeps the end of a row from touching the start of the next.
    wide = skeleton.shape[1] + 1
    key = ys * wide + xs
    count = len(key)

    def touching(step: int) -> tuple[NDArray[np.bool_], NDArray[np.intp]]:
        other = np.minimum(np.searchsorted(key, key + step), max(count - 1, 0))
        return key[other] == key + step, other

    right, beside = touching(1)
    below, under = touching(wide)
    left = np.zeros(count, bool)
    left[beside[right]] = True
    found = [(right, beside), (below, under)]
    for step, corner in ((wide + 1, right), (wide - 1, left)):
        touches, other = touching(step)
        found.append((touches & ~(corner | below), other))
    links = [np.column_stack([np.flatnonzero(touches), other[touches]]) for touches, other in found]
    return np.column_stack([xs, ys]).astype(np.float64), np.concatenate(links).astype(np.intp)


def _graph(links: NDArray[np.intp], count: int) -> csr_matrix:
    """Return the symmetric adjacency matrix of `links`."""
    both = np.concatenate([links, links[:, ::-1]])
    return coo_matrix((np.ones(len(both), np.int8), (both[:, 0], both[:, 1])), (count, count)).tocsr()


def _mark_nodes(links: NDArray[np.intp], degree: NDArray[np.intp]) -> NDArray[np.bool_]:
    """Mark node pixels, and one pixel of each loop that has none."""
    is_node = np.asarray(degree != 2)
    pieces, piece = connected_components(_graph(links, len(degree)), directed=False)
    has_node = np.zeros(pieces, bool)
    has_node[piece[is_node]] = True
    first_of_piece = np.unique(piece, return_index=True)[1]
    is_node[first_of_piece[~has_node]] = True
    return is_node


def _cluster_nodes(
    links: NDArray[np.intp], degree: NDArray[np.intp], is_node: NDArray[np.bool_]
) -> tuple[NDArray[np.intp], int]:
    """Number the nodes; touching pixels of degree three or more are one node. Pixels of no node get -1."""
    meeting = degree >= 3
    inner = links[meeting[links[:, 0]] & meeting[links[:, 1]]]
    label = connected_components(_graph(inner, len(degree)), directed=False)[1]
    used, number = np.unique(label[is_node], return_inverse=True)
    node_of = np.full(len(degree), -1, np.intp)
    node_of[is_node] = number
    return node_of, len(used)


def _chains(links: NDArray[np.intp], is_node: NDArray[np.bool_]) -> list[NDArray[np.intp]]:
    """Return each run of pixels between two nodes in order, the node pixels at both ends included.

    One depth-first walk from a made-up root that touches one end of every run lists all runs in order.
    """
    count = len(is_node)
    path = ~is_node
    inner = links[path[links[:, 0]] & path[links[:, 1]]]
    inner_degree = np.bincount(inner.ravel(), minlength=count)
    run = connected_components(_graph(inner, count), directed=False)[1]
    tips = np.flatnonzero(path & (inner_degree < 2))
    if len(tips) == 0:
        return []
    starts = tips[np.unique(run[tips], return_index=True)[1]]
    rooted = np.concatenate([inner, np.column_stack([np.full(len(starts), count), starts])])
    order = depth_first_order(_graph(rooted, count + 1), count, return_predecessors=False)[1:]
    runs = np.split(order, np.flatnonzero(np.diff(run[order])) + 1)

    outer = links[path[links[:, 0]] != path[links[:, 1]]]
    outer = np.where(path[outer[:, :1]], outer, outer[:, ::-1])
    outer = outer[np.argsort(outer[:, 0], kind="stable")]
    first = np.searchsorted(outer[:, 0], np.arange(count))
    neighbour = outer[:, 1]
    chains = []
    for pixels in runs:
        head, tail = pixels[0], pixels[-1]
        start = neighbour[first[head]]
        end = neighbour[first[tail] + (1 if head == tail else 0)]
        chains.append(np.concatenate([[start], pixels, [end]]))
    return chains

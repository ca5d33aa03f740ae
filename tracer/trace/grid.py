"""The reader's grid made ready for tracing: one class map, one stroke width, one way to the page."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray
from scipy.spatial import cKDTree

from tracer.reader.layers import Layers, Pixel
from tracer.scan.transform import apply, inverse
from tracer.trace.blobs import Labels, ink_places
from tracer.trace.mend import Body

__all__ = ["Found", "Grid", "Nearby", "disc", "make_grid", "nearby", "pixels_of", "to_grid", "to_page"]


@dataclass(frozen=True, slots=True, eq=False)
class Grid:
    """The class map that the tracing works on.

    Attributes
    ----------
    classes : (h, w) uint8
        `Pixel` values, bodies by hand painted in.
    sureness : (h, w) uint8
        The winning class's probability times 255.
    stroke : float
        The usual stroke width, grid px.
    scale : float
        Page px to one grid px, in the middle of the grid.
    forward, backward : (2, 3) or (3, 3) float64
        Grid to page, as `Layers.to_page`, and page to grid.
    hand : (h, w) int32
        Number from 1 of the body given by hand that covers a pixel, else 0.
    bodies : tuple of Body
        Those bodies; ``hand == n`` is ``bodies[n - 1]``.
    """

    classes: NDArray[np.uint8]
    sureness: NDArray[np.uint8]
    stroke: float
    scale: float
    forward: NDArray[np.float64]
    backward: NDArray[np.float64]
    hand: NDArray[np.int32]
    bodies: tuple[Body, ...]


@dataclass(frozen=True, slots=True, eq=False)
class Found:
    """For each point asked: distance (inf if none), number of the nearest blob (0 if none), nearest pixel."""

    distance: NDArray[np.float64]
    blob: NDArray[np.int32]
    place: NDArray[np.float64]


@dataclass(frozen=True, slots=True, eq=False)
class Nearby:
    """Pixels of one class, ready to be asked which of their blobs lies nearest.

    Attributes
    ----------
    tree : cKDTree or None
        Over the rim pixels (x, y); None where the class is absent.
    blob : (N,) int32
        The blob number of each rim pixel, from 1.
    labels : (h, w) int32 or uint16
        The blobs themselves; a point inside one is at distance 0 from it.
    """

    tree: cKDTree | None
    blob: NDArray[np.int32]
    labels: Labels

    def middles(self) -> NDArray[np.float64]:
        """Return the centre of each blob, x then y; row n is blob n, row 0 is unused."""
        ys, xs = ink_places(self.labels)
        own = self.labels[ys, xs]
        count = int(own.max(initial=0)) + 1
        area = np.maximum(np.bincount(own, minlength=count), 1)
        return np.column_stack([np.bincount(own, values, count) for values in (xs, ys)]) / area[:, None]

    def find(self, points: NDArray[np.float64], reach: float) -> Found:
        """Return what lies nearest to each of `points` (N, 2), x then y, within `reach` px."""
        count = len(points)
        distance, blob, place = np.full(count, np.inf), np.zeros(count, np.int32), np.zeros((count, 2))
        if self.tree is not None and count:
            asked, nearest = self.tree.query(points, distance_upper_bound=reach)
            distance, index = np.asarray(asked, np.float64), np.asarray(nearest, np.intp)
            hit = np.isfinite(distance)
            blob[hit] = self.blob[index[hit]]
            place[hit] = self.tree.data[index[hit]]
            x, y = np.round(points).astype(np.intp).T
            height, width = self.labels.shape
            own = self.labels[np.clip(y, 0, height - 1), np.clip(x, 0, width - 1)]
            inside = own > 0
            distance[inside], blob[inside], place[inside] = 0.0, own[inside], points[inside]
        return Found(distance, blob, place)


def make_grid(layers: Layers, bodies: Iterable[Body] = ()) -> Grid:
    """Lay the bodies given by hand over the reader's class map.

    Inside such a body nothing is wire: conductors end at its edge.

    Examples
    --------
    >>> import numpy as np
    >>> blank, cell = np.zeros((8, 8), np.uint8), np.zeros((2, 2), np.uint8)
    >>> page = np.array([[2.0, 0, 0], [0, 2.0, 0]])
    >>> layers = Layers(blank, blank, cell, cell, ("none",), page, 6.0, "")
    >>> grid = make_grid(layers, [Body((4, 4, 12, 12))])
    >>> grid.stroke, int((grid.classes == Pixel.BODY).sum())
    (3.0, 16)
    """
    forward = np.asarray(layers.to_page, np.float64)
    backward = inverse(forward)
    scale = layers.scale
    given = tuple(bodies)
    classes, sureness = layers.classes, layers.sureness
    hand = np.broadcast_to(np.int32(0), classes.shape)
    if given:
        classes, sureness, hand = classes.copy(), sureness.copy(), hand.copy()
    for number, body in enumerate(given, start=1):
        x0, y0 = body.box[:2]
        # A half-open box: its last grid pixel lies one grid step before its far corner.
        x1, y1 = max(body.box[2] - scale, x0), max(body.box[3] - scale, y0)
        corners = np.array([(x0, y0), (x1, y0), (x1, y1), (x0, y1)], np.float64)
        outline = np.round(apply(backward, corners)).astype(np.int32)
        cv2.fillConvexPoly(classes, outline, int(Pixel.BODY))
        cv2.fillConvexPoly(sureness, outline, 255)
        cv2.fillConvexPoly(hand, outline, number)
    return Grid(classes, sureness, max(layers.stroke / scale, 1.0), scale, forward, backward, hand, given)


def to_page(grid: Grid, points: NDArray[np.floating]) -> NDArray[np.float64]:
    """Map (N, 2) grid points, x then y, to page px."""
    return apply(grid.forward, points)


def to_grid(grid: Grid, points: NDArray[np.floating]) -> NDArray[np.float64]:
    """Map (N, 2) page points, x then y, to grid px."""
    return apply(grid.backward, points)


def disc(radius: float) -> NDArray[np.uint8]:
    """Return a round structuring element of `radius` px."""
    reach = max(int(np.ceil(radius)), 0)
    y, x = np.mgrid[-reach : reach + 1, -reach : reach + 1]
    return np.asarray(x * x + y * y <= radius * radius + 0.5, np.uint8)


def nearby(labels: Labels) -> Nearby:
    """Make the blobs of a label image (0 is none) ready for `Nearby.find`."""
    solid = (labels > 0).astype(np.uint8)
    rim = solid > cv2.erode(solid, np.ones((3, 3), np.uint8))
    ys, xs = ink_places(rim)
    if len(xs) == 0:
        return Nearby(None, np.zeros(0, np.int32), labels)
    tree = cKDTree(np.column_stack([xs, ys]).astype(np.float64))
    return Nearby(tree, labels[ys, xs].astype(np.int32), labels)


def pixels_of(
    points: NDArray[np.float64], shape: tuple[int, ...]
) -> tuple[NDArray[np.intp], NDArray[np.intp]]:
    """Round points (N, 2), x then y, to columns and rows inside an image of `shape`."""
    x = np.clip(np.round(points[:, 0]), 0, shape[1] - 1).astype(np.intp)
    y = np.clip(np.round(points[:, 1]), 0, shape[0] - 1).astype(np.intp)
    return x, y

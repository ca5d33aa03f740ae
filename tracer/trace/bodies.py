"""The bodies of parts on the grid: which pixels are one body, and which kind it is."""

from __future__ import annotations

from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray
from scipy.ndimage import distance_transform_edt, find_objects

from tracer.reader.layers import Layers, Pixel
from tracer.trace.grid import Grid, disc
from tracer.trace.phantoms import find_phantoms

__all__ = ["BodyMap", "find_bodies"]

_SHARE = 0.2  # of a blob; a kind with less of it than this is no part of its own


@dataclass(frozen=True, slots=True, eq=False)
class BodyMap:
    """Bodies, numbered from 1.

    Attributes
    ----------
    labels : (h, w) int32
        The body of each grid pixel, 0 for none.
    boxes : (N, 4) float64
        x0, y0, x1, y1 of each body, half-open, grid px.
    kinds : tuple of str
        Kind of each; ``"other"`` where the reader has none.
    scores : (N,) float64
        How sure, 0 to 1; 1 for a body given by hand.
    wire : (h, w) bool
        What the reader called a body but is a wire's thick place.
    """

    labels: NDArray[np.int32]
    boxes: NDArray[np.float64]
    kinds: tuple[str, ...]
    scores: NDArray[np.float64]
    wire: NDArray[np.bool_]


def find_bodies(layers: Layers, grid: Grid) -> BodyMap:
    """Number the bodies, parted where two kinds touch, and let the kind map vote on each.

    A body given by hand is one body whatever the reader saw there; what is left over of a body of the
    reader's that it mostly covers goes with it.
    """
    image = (grid.classes == Pixel.BODY) & (grid.hand == 0)
    closed = cv2.morphologyEx(image.astype(np.uint8), cv2.MORPH_CLOSE, disc(0.35 * grid.stroke))
    image = (closed > 0) & (grid.hand == 0)
    kind_of = _kinds_on_grid(layers, image.shape)
    labels = _part_by_kind(image, kind_of, len(layers.kind_names), grid.stroke)
    labels = _large_enough(labels, layers, grid)
    _, scores = _vote(labels, int(labels.max()), kind_of, layers, grid)
    phantom, through = find_phantoms(labels, scores, grid)
    wire = through[labels]
    labels = _renumber(labels, ~phantom)
    reader_count = int(labels.max())
    labels[grid.hand > 0] = grid.hand[grid.hand > 0] + reader_count

    count = reader_count + len(grid.bodies)
    kinds, scores = _vote(labels, count, kind_of, layers, grid)
    for place, body in enumerate(grid.bodies, start=reader_count):
        kinds[place] = body.kind or kinds[place]
        scores[place] = 1.0
    return BodyMap(labels, _boxes(labels, count), tuple(kinds), scores, wire)


def _kinds_on_grid(layers: Layers, shape: tuple[int, ...]) -> NDArray[np.uint8]:
    """Spread the kind map's cells of 4 px over the grid."""
    spread = layers.kinds.repeat(4, axis=0).repeat(4, axis=1)
    full = np.zeros(shape, np.uint8)
    height, width = min(shape[0], spread.shape[0]), min(shape[1], spread.shape[1])
    full[:height, :width] = spread[:height, :width]
    return full


def _part_by_kind(
    image: NDArray[np.bool_], kind_of: NDArray[np.uint8], kinds: int, stroke: float
) -> NDArray[np.int32]:
    """Label blobs, parting a blob in which two kinds each hold a fair share.

    Pixels of a kind without a fair share go to the nearest that has one.
    """
    count, blobs = cv2.connectedComponents(image.astype(np.uint8), connectivity=8)
    votes = np.bincount(blobs.ravel().astype(np.int64) * kinds + kind_of.ravel(), minlength=count * kinds)
    votes = votes.reshape(count, kinds)
    votes[:, 0] = 0
    fair = votes >= np.maximum(_SHARE * votes.sum(axis=1, keepdims=True), 6 * stroke**2)
    mixed = fair.sum(axis=1) >= 2
    mixed[0] = False
    labels = np.asarray(blobs, np.int32).copy()
    next_label = count
    boxes = _boxes(labels, count - 1)
    for blob in np.flatnonzero(mixed):
        x0, y0, x1, y1 = boxes[blob - 1].astype(int)
        part = blobs[y0:y1, x0:x1] == blob
        local = np.where(part, kind_of[y0:y1, x0:x1], 0)
        seeds = np.isin(local, np.flatnonzero(fair[blob])) & part
        nearest = distance_transform_edt(~seeds, return_distances=False, return_indices=True)
        local = np.where(part, local[nearest[0], nearest[1]], 0)
        for kind in np.flatnonzero(fair[blob]):
            pieces, piece = cv2.connectedComponents((local == kind).astype(np.uint8), connectivity=8)
            for number in range(1, pieces):
                labels[y0:y1, x0:x1][piece == number] = next_label
                next_label += 1
    return labels


def _large_enough(labels: NDArray[np.int32], layers: Layers, grid: Grid) -> NDArray[np.int32]:
    """Drop specks, and remnants of bodies that one given by hand mostly covers; renumber from 1."""
    count = int(labels.max()) + 1
    keep = np.bincount(labels.ravel(), minlength=count) >= 3 * grid.stroke**2
    if grid.bodies:
        before = (layers.classes == Pixel.BODY).astype(np.uint8)
        _, whole, stats, _ = cv2.connectedComponentsWithStats(before, connectivity=8)
        covered = np.bincount(whole[grid.hand > 0], minlength=len(stats))
        mostly = covered > 0.7 * stats[:, cv2.CC_STAT_AREA]
        mostly[0] = False
        keep[np.unique(labels[mostly[whole]])] = False
    return _renumber(labels, keep)


def _renumber(labels: NDArray[np.int32], keep: NDArray[np.bool_]) -> NDArray[np.int32]:
    """Keep the labels marked, numbered afresh from 1."""
    kept = keep.copy()
    kept[0] = False
    return np.asarray((np.cumsum(kept) * kept)[labels], np.int32)


def _vote(
    labels: NDArray[np.int32], count: int, kind_of: NDArray[np.uint8], layers: Layers, grid: Grid
) -> tuple[list[str], NDArray[np.float64]]:
    """Return kind and score of each body: the kind with most sureness, and that mean sureness over it."""
    sure_cells = layers.kind_sureness.repeat(4, axis=0).repeat(4, axis=1)
    ys, xs = np.nonzero(labels)
    body = labels[ys, xs].astype(np.int64) - 1
    kind = kind_of[ys, xs]
    inside = (ys < sure_cells.shape[0]) & (xs < sure_cells.shape[1])
    sure = np.zeros(len(ys))
    sure[inside] = sure_cells[ys[inside], xs[inside]] / 255.0
    names = len(layers.kind_names)
    weight = np.bincount(body * names + kind, sure, count * names).reshape(count, names)
    weight[:, 0] = 0
    area = np.maximum(np.bincount(body, minlength=count), 1)
    seen = np.bincount(body, grid.sureness[ys, xs] / 255.0, count) / area
    best = weight.argmax(axis=1)
    strength = weight.max(axis=1) / area
    kinds = [
        layers.kind_names[index] if power > 0 else "other"
        for index, power in zip(best, strength, strict=True)
    ]
    return kinds, np.asarray(np.clip(np.where(strength > 0, strength, 0.2) * seen, 0, 1))


def _boxes(labels: NDArray[np.int32], count: int) -> NDArray[np.float64]:
    """Return x0, y0, x1, y1 (half-open) of each label from 1 to `count`; zeros for one that is absent."""
    boxes = np.zeros((count, 4))
    for place, window in enumerate(find_objects(labels, max_label=count)):
        if window is not None:
            rows, columns = window
            boxes[place] = columns.start, rows.start, columns.stop, rows.stop
    return boxes

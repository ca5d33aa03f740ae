"""The bodies of parts on the grid: which pixels are one body, and which kind it is."""

from __future__ import annotations

from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray
from scipy.ndimage import distance_transform_edt, find_objects

from tracer.reader.layers import Layers, Pixel
from tracer.trace.bare import find_bare
from tracer.trace.blobs import Blobs, Labels, find_blobs, ink_places
from tracer.trace.grid import Grid, disc
from tracer.trace.phantoms import find_phantoms, rims_on_wires

__all__ = ["BodyMap", "find_bodies"]

_SHARE = 0.2  # of a blob; a kind with less of it than this is no part of its own


@dataclass(frozen=True, slots=True, eq=False)
class BodyMap:
    """Bodies, numbered from 1.

    Attributes
    ----------
    labels : (h, w) int32 or uint16
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

    labels: Labels
    boxes: NDArray[np.float64]
    kinds: tuple[str, ...]
    scores: NDArray[np.float64]
    wire: NDArray[np.bool_]


def find_bodies(layers: Layers, grid: Grid) -> BodyMap:
    """Number the bodies, parted where two kinds touch, and let the kind map vote on each.

    A body given by hand is one body whatever the reader saw there; what is left over of a body of the
    reader's that it mostly covers goes with it.
    """
    by_reader = grid.classes == Pixel.BODY
    closed = cv2.morphologyEx(by_reader.view(np.uint8), cv2.MORPH_CLOSE, disc(0.35 * grid.stroke)).view(bool)
    if grid.bodies:
        closed &= grid.hand == 0
    names = len(layers.kind_names)
    blobs = _part_by_kind(find_blobs(closed), layers, names, grid.stroke)
    blobs = _large_enough(blobs, layers, grid)
    phantom, through = find_phantoms(blobs, _vote(blobs, layers, grid)[1], grid)
    wire = np.zeros(closed.shape, bool)
    wire[blobs.y, blobs.x] = through[blobs.own]
    blobs = blobs.kept(~phantom)
    if layers.ink is not None:
        bare, beneath = find_bare(blobs, _vote(blobs, layers, grid)[1], layers.ink, grid)
        wire[beneath[0], beneath[1]] = True
        blobs = blobs.kept(~bare)
    rims = rims_on_wires(blobs, _vote(blobs, layers, grid)[1], grid)
    wire |= rims
    blobs.labels[rims] = 0
    blobs = Blobs(blobs.labels, *np.nonzero(blobs.labels))

    count = len(blobs.areas()) - 1 + len(grid.bodies)
    if grid.bodies:
        given = grid.hand > 0
        blobs.labels[given] = grid.hand[given] + (count - len(grid.bodies))
        blobs = Blobs(blobs.labels, *ink_places(blobs.labels))
    kinds, scores = _vote(blobs, layers, grid, count)
    for place, body in enumerate(grid.bodies, start=count - len(grid.bodies)):
        kinds[place] = body.kind or kinds[place]
        scores[place] = 1.0
    return BodyMap(blobs.labels, _boxes(blobs.labels, count), tuple(kinds), scores, wire)


def _cells(cells: NDArray[np.uint8], blobs: Blobs) -> NDArray[np.uint8]:
    """Return the cell of 4 px that each pixel listed lies in; 0 beyond the last."""
    row, column = blobs.y // 4, blobs.x // 4
    inside = (row < cells.shape[0]) & (column < cells.shape[1])
    found = np.zeros(len(row), np.uint8)
    found[inside] = cells[row[inside], column[inside]]
    return found


def _part_by_kind(blobs: Blobs, layers: Layers, kinds: int, stroke: float) -> Blobs:
    """Part a blob in which two kinds each hold a fair share, in place.

    Pixels of a kind without a fair share go to the nearest that has one.
    """
    labels, kind_of, own = blobs.labels, _cells(layers.kinds, blobs), blobs.own
    count = len(blobs.areas())
    votes = np.bincount(own * np.intp(kinds) + kind_of, minlength=count * kinds).reshape(count, kinds)
    votes[:, 0] = 0
    fair = votes >= np.maximum(_SHARE * votes.sum(axis=1, keepdims=True), 6 * stroke**2)
    mixed = fair.sum(axis=1) >= 2
    mixed[0] = False
    next_label = count
    order = np.argsort(own, kind="stable")
    starts = np.searchsorted(own[order], np.arange(count + 1))
    for blob in np.flatnonzero(mixed):
        pixels = order[starts[blob] : starts[blob + 1]]
        y, x = blobs.y[pixels], blobs.x[pixels]
        local = np.zeros((np.ptp(y) + 1, np.ptp(x) + 1), np.uint8)
        local[y - y.min(), x - x.min()] = kind_of[pixels]
        part = np.zeros(local.shape, bool)
        part[y - y.min(), x - x.min()] = True
        seeds = np.isin(local, np.flatnonzero(fair[blob])) & part
        nearest = distance_transform_edt(~seeds, return_distances=False, return_indices=True)
        local = np.where(part, local[nearest[0], nearest[1]], 0)
        window = labels[y.min() : y.max() + 1, x.min() : x.max() + 1]
        for kind in np.flatnonzero(fair[blob]):
            pieces, piece = cv2.connectedComponents((local == kind).astype(np.uint8), connectivity=8)
            window[piece > 0] = piece[piece > 0] + (next_label - 1)
            next_label += pieces - 1
    return blobs


def _large_enough(blobs: Blobs, layers: Layers, grid: Grid) -> Blobs:
    """Drop specks, and remnants of bodies that one given by hand mostly covers; renumber from 1."""
    keep = blobs.areas() >= 3 * grid.stroke**2
    if grid.bodies:
        before = (layers.classes == Pixel.BODY).astype(np.uint8)
        _, whole, stats, _ = cv2.connectedComponentsWithStats(before, connectivity=8)
        covered = np.bincount(whole[grid.hand > 0], minlength=len(stats))
        mostly = covered > 0.7 * stats[:, cv2.CC_STAT_AREA]
        mostly[0] = False
        keep[np.unique(blobs.labels[mostly[whole]])] = False
    return blobs.kept(keep)


def _vote(blobs: Blobs, layers: Layers, grid: Grid, count: int = 0) -> tuple[list[str], NDArray[np.float64]]:
    """Return kind and score of each body: the kind with most sureness, and that mean sureness over it.

    There are at least `count` bodies; one that shows nowhere has no kind.
    """
    area = np.bincount(blobs.own, minlength=count + 1)[1:]
    count, names = len(area), len(layers.kind_names)
    body = blobs.own - np.intp(1)
    kind = _cells(layers.kinds, blobs)
    sure = _cells(layers.kind_sureness, blobs) / 255.0
    weight = np.bincount(body * names + kind, sure, count * names).reshape(count, names)
    weight[:, 0] = 0
    area = np.maximum(area, 1)
    seen = np.bincount(body, grid.sureness[blobs.y, blobs.x] / 255.0, count) / area
    best = weight.argmax(axis=1)
    strength = weight.max(axis=1) / area
    kinds = [
        layers.kind_names[index] if power > 0 else "other"
        for index, power in zip(best, strength, strict=True)
    ]
    return kinds, np.asarray(np.clip(np.where(strength > 0, strength, 0.2) * seen, 0, 1))


def _boxes(labels: Labels, count: int) -> NDArray[np.float64]:
    """Return x0, y0, x1, y1 (half-open) of each label from 1 to `count`; zeros for one that is absent."""
    boxes = np.zeros((count, 4))
    for place, window in enumerate(find_objects(labels, max_label=count)):
        if window is not None:
            rows, columns = window
            boxes[place] = columns.start, rows.start, columns.stop, rows.stop
    return boxes

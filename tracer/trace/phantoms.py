"""Bodies that the reader saw but nobody drew: blots, figures, and thick places along a wire."""

from __future__ import annotations

import cv2
import numpy as np
from numpy.typing import NDArray
from scipy.ndimage import find_objects

from tracer.reader.layers import Pixel
from tracer.trace.blobs import Blobs, find_blobs
from tracer.trace.grid import Grid, disc

__all__ = ["find_phantoms", "rims_on_wires"]

_THIN = 3.3  # stroke widths; almost every real body is thicker than this
_RIM = 1.0  # stroke widths; half of what a body's bit along a wire may measure across
_FAIRLY_SURE = 0.4  # a body that is thin all over is one from here on
_UNSURE = 0.2  # a thin body less sure than this is dropped


def find_phantoms(
    blobs: Blobs, scores: NDArray[np.float64], grid: Grid
) -> tuple[NDArray[np.bool_], NDArray[np.bool_]]:
    """Tell phantom bodies by how thin and unsure they are.

    Returns
    -------
    phantom : (N + 1,) bool
        By body number.
    through : (N + 1,) bool
        Those of them that a wire enters in two places or more: they are wire.
    """
    count = len(scores) + 1
    thick = np.zeros(count)
    for number, window in enumerate(find_objects(blobs.labels, max_label=count - 1), start=1):
        if window is not None:
            own = np.pad(blobs.labels[window] == number, 1).view(np.uint8)
            thick[number] = cv2.distanceTransform(own, cv2.DIST_L2, cv2.DIST_MASK_PRECISE).max()
    thin = 2.0 * thick < _THIN * grid.stroke
    thin[0] = False
    unsure = thin & np.concatenate([[False], scores < _UNSURE])
    return unsure, unsure & (_wires_in(blobs, unsure, grid) >= 2)


def rims_on_wires(blobs: Blobs, scores: NDArray[np.float64], grid: Grid) -> NDArray[np.bool_]:
    """Find the thin bits of bodies that a wire enters at two ends: the wire runs on beneath them.

    Big lettering beside a wire, or the crook of a bent one, makes the reader see such bits. A body that is
    thin all over is spared if it is fairly sure. Returns (h, w).
    """
    body = (blobs.labels > 0).view(np.uint8)
    solid = cv2.morphologyEx(body, cv2.MORPH_OPEN, disc(_RIM * grid.stroke))
    thick = np.bincount(blobs.own, solid[blobs.y, blobs.x], len(scores) + 1) > 0
    spared = np.flatnonzero(~thick & np.concatenate([[True], scores >= _FAIRLY_SURE]))
    bits = find_blobs((body > solid) & ~np.isin(blobs.labels, spared[1:]))
    bits = bits.kept(bits.areas() >= grid.stroke**2)
    through = _wires_in(bits, np.arange(len(bits.areas())) > 0, grid) >= 2
    rims = np.zeros(body.shape, bool)
    rims[bits.y, bits.x] = through[bits.own]
    return rims


def _wires_in(blobs: Blobs, asked: NDArray[np.bool_], grid: Grid) -> NDArray[np.intp]:
    """Count the places where wire touches each of the bodies asked for."""
    entries = np.zeros(len(asked), np.intp)
    reach = int(np.ceil(0.7 * grid.stroke)) + 1
    chosen = asked[blobs.own]
    ys, xs = blobs.y[chosen], blobs.x[chosen]
    numbers = blobs.labels[ys, xs]
    order = np.argsort(numbers, kind="stable")
    starts = np.flatnonzero(np.diff(numbers[order], prepend=-1))
    for piece in np.split(order, starts[1:]):
        if len(piece) == 0:
            continue
        y0, y1 = max(ys[piece].min() - reach, 0), ys[piece].max() + reach + 1
        x0, x1 = max(xs[piece].min() - reach, 0), xs[piece].max() + reach + 1
        number = int(numbers[piece[0]])
        own = (blobs.labels[y0:y1, x0:x1] == number).astype(np.uint8)
        ring = cv2.dilate(own, disc(0.7 * grid.stroke)) > own
        wire = np.isin(grid.classes[y0:y1, x0:x1], (Pixel.WIRE, Pixel.DOT, Pixel.CROSSING))
        touching = (ring & wire).astype(np.uint8)
        _, _, stats, _ = cv2.connectedComponentsWithStats(touching, connectivity=8)
        # A corner of a wire that only brushes past is no entry.
        entries[number] = int((stats[1:, cv2.CC_STAT_AREA] >= 0.5 * grid.stroke).sum())
    return entries

"""Bodies that stand on bare paper: all the ink that the page shows there is of wires that run on beneath."""

from __future__ import annotations

import cv2
import numpy as np
from numpy.typing import NDArray
from scipy.ndimage import find_objects

from tracer.reader.layers import Pixel
from tracer.trace.blobs import Blobs
from tracer.trace.grid import Grid, disc

__all__ = ["find_bare"]

_SPECK = 0.7  # square strokes; less ink than this is dirt, or a wire's frayed edge
_LINE = 1.8  # stroke widths; wider ink is no single straight wire
_MOST_LINES = 2  # that pass one body; three lines are drawn as a part
_ENDS_AT = 1.5  # stroke widths from the end of such a line to the wire that goes on
_SURE = 0.7  # a body surer than this is one


def find_bare(
    blobs: Blobs, scores: NDArray[np.float64], ink: NDArray[np.bool_], grid: Grid
) -> tuple[NDArray[np.bool_], NDArray[np.intp]]:
    """Tell the bodies that stand on bare paper.

    Inside such a body there is no ink, or at most two straight lines that go on as wire at both their ends: a
    capacitor's plates or a switch's blade do not.

    Returns
    -------
    bare : (N + 1,) bool
        By body number.
    beneath : (2, P) intp
        Rows and columns of the ink of the lines beneath them.
    """
    bare = np.zeros(len(scores) + 1, bool)
    beneath = [np.zeros((2, 0), np.intp)]
    reach = int(np.ceil(_ENDS_AT * grid.stroke)) + 1
    for number, window in enumerate(find_objects(blobs.labels, max_label=len(scores)), start=1):
        if window is None or scores[number - 1] > _SURE:
            continue
        wide = tuple(slice(max(side.start - reach, 0), side.stop + reach) for side in window)
        labels = blobs.labels[wide]
        own = labels == number
        beside = cv2.dilate(own.view(np.uint8), disc(0.7 * grid.stroke)).view(bool)
        if (beside & (labels > 0) & ~own).any():
            continue  # half of a body of two kinds
        lines = _lines_beneath(own & ink[wide], grid.classes[wide] == Pixel.WIRE, grid.stroke)
        if lines is not None:
            bare[number] = True
            beneath.append(np.add(np.nonzero(lines), [[wide[0].start], [wide[1].start]]))
    return bare, np.hstack(beneath)


def _lines_beneath(
    ink: NDArray[np.bool_], wire: NDArray[np.bool_], stroke: float
) -> NDArray[np.bool_] | None:
    """Return the ink of the lines that pass beneath a body; None if its ink is anything else."""
    count, pieces, stats, _ = cv2.connectedComponentsWithStats(ink.view(np.uint8), connectivity=8)
    large = [n for n in range(1, count) if stats[n, cv2.CC_STAT_AREA] >= _SPECK * stroke**2]
    if len(large) > _MOST_LINES or not all(_runs_on(pieces == n, wire, stroke) for n in large):
        return None
    return np.isin(pieces, large)


def _runs_on(piece: NDArray[np.bool_], wire: NDArray[np.bool_], stroke: float) -> bool:
    """Tell whether a piece of ink is a straight line with wire beyond both its ends."""
    ys, xs = np.nonzero(piece)
    places = np.column_stack([xs, ys]).astype(np.float32)
    along = places - places.mean(axis=0)
    way = np.linalg.svd(along, full_matrices=False)[2][0]
    across = along @ np.array([-way[1], way[0]], np.float32)
    if np.ptp(across) + 1 > _LINE * stroke:
        return False
    wire_y, wire_x = np.nonzero(wire)
    beyond = np.column_stack([wire_x, wire_y]) - places.mean(axis=0)
    if len(beyond) == 0:
        return False
    run = along @ way
    ends = [way * run.min(), way * run.max()]
    return all(float(np.hypot(*(beyond - end).T).min()) <= _ENDS_AT * stroke for end in ends)

"""Short stretches of wire that thinning lost: between a dot and a disc or body, and at a disc's far rim."""

from __future__ import annotations

import cv2
import numpy as np
from numpy.typing import NDArray
from scipy.spatial import cKDTree

from tracer.reader.layers import Pixel
from tracer.trace.arms import Arm
from tracer.trace.blobs import Labels
from tracer.trace.discs import aim, odd_arms
from tracer.trace.ends import Ends
from tracer.trace.grid import Grid, Nearby, disc, nearby, pixels_of
from tracer.trace.mask import Inked
from tracer.trace.skeleton import Strokes, line_length
from tracer.trace.touches import straight_pixels

__all__ = ["links_across", "links_to_bodies", "links_to_dots"]

_DOT_TO_DISC = 3.0  # stroke widths between the rims of a dot and a disc that may still be joined
_DOT_TO_BODY = 2.0  # the same, of a dot and a body
_BEYOND = 1.6  # stroke widths beyond a disc's rim within which ink is of the wire that passes there
_TO_LINE = 3.0  # stroke widths from such ink to its centre line
_A_LINE = 3.0  # stroke widths; what is shorter is the stem of a T that runs past the bar

Pixels = NDArray[np.intp]


def links_to_dots(strokes: Strokes, ends: Ends, inked: Inked, dots: Nearby, grid: Grid) -> list[Pixels]:
    """Return pixels, x then y, from a dot's middle to the rim of each disc so near that no line shows.

    The wire runs from one to the other all the same: hardly any paper is bare between them.
    """
    if dots.tree is None or not inked.crossings.any():
        return []
    reach = _DOT_TO_DISC * grid.stroke
    wide = cv2.dilate((inked.crossings > 0).astype(np.uint8), disc(reach)) > 0
    ys, xs = np.nonzero(wide & (inked.dots > 0))
    if len(xs) == 0:
        return []
    rims, middles, linked = nearby(inked.crossings), dots.middles(), _linked(strokes, ends, inked)
    places, owner = np.column_stack([xs, ys]).astype(np.float64), inked.dots[ys, xs]
    links = []
    for dot in np.unique(owner):
        own = places[owner == dot]
        found = rims.find(own, reach + 1.0)
        for blob in np.unique(found.blob[found.blob > 0]):
            index = int(np.argmin(np.where(found.blob == blob, found.distance, np.inf)))
            between = straight_pixels(own[index], found.place[index])
            inky = grid.classes[between[:, 1], between[:, 0]] != Pixel.BACKGROUND
            if (int(dot), int(blob)) not in linked and (inky.mean() > 0.8 or len(between) <= grid.stroke):
                links.append(straight_pixels(middles[dot], found.place[index]))
    return links


def _linked(strokes: Strokes, ends: Ends, inked: Inked) -> set[tuple[int, int]]:
    """Return the pairs of dot and disc that a line joins already."""
    arms = [(number, arm) for number, found in ends.crossings.items() for arm in found]
    if not arms:
        return set()
    far = np.array([strokes.nodes[strokes.ends[arm // 2, 1 - arm % 2]] for _, arm in arms])
    x, y = pixels_of(far, inked.dots.shape)
    return {(int(dot), number) for dot, (number, _) in zip(inked.dots[y, x], arms, strict=True)}


def links_to_bodies(
    skeleton: NDArray[np.bool_], inked: Inked, dots: Nearby, bodies: Nearby, stroke: float
) -> list[Pixels]:
    """Return pixels from the middle of a dot to the rim of a body so near that no line shows between them.

    Only of dots where fewer than three lines meet: nobody sets a dot there, so one lead was lost.
    """
    if dots.tree is None or bodies.tree is None:
        return []
    rim = np.asarray(dots.tree.data, np.float64)
    found = bodies.find(rim, _DOT_TO_BODY * stroke)
    near = np.flatnonzero(found.blob)
    middles = dots.middles()
    links = []
    for dot in np.unique(dots.blob[near]):
        own = near[dots.blob[near] == dot]
        place = found.place[own[np.argmin(found.distance[own])]]
        ways = [
            leaving - middles[dot]
            for leaving in _leaving(skeleton, inked.dots, int(dot), rim[dots.blob == dot])
        ]
        towards = place - middles[dot]
        ahead = any(way @ towards > 0.7 * np.hypot(*way) * np.hypot(*towards) for way in ways)
        if 0 < len(ways) < 3 and not ahead:
            links.append(straight_pixels(middles[dot], place))
    return links


def _leaving(
    skeleton: NDArray[np.bool_], dots: Labels, dot: int, rim: NDArray[np.float64]
) -> NDArray[np.float64]:
    """Return where each line leaves a dot, (N, 2), x then y."""
    x0, y0 = np.maximum(rim.min(axis=0).astype(int) - 3, 0)
    x1, y1 = rim.max(axis=0).astype(int) + 4
    inside = (dots[y0:y1, x0:x1] == dot).astype(np.uint8)
    ring = (cv2.dilate(inside, disc(2.0)) > inside) & skeleton[y0:y1, x0:x1]
    middles = cv2.connectedComponentsWithStats(ring.astype(np.uint8), connectivity=8)[3]
    return np.asarray(np.add(middles[1:], (x0, y0)), np.float64)


def links_across(strokes: Strokes, ends: Ends, inked: Inked, stroke: float) -> list[Pixels]:
    """Return pixels from a disc's rim to the line that meets it there without an end of its own.

    A wire that comes in on one side goes out on the other. Where it bends, or meets another, right at the
    rim, the skeleton has no end there: the arm that found no partner tells where to look.
    """
    at_discs = {number: [ends.arms[arm] for arm in arms] for number, arms in ends.crossings.items()}
    odd = list(odd_arms(aim(at_discs, inked, stroke), stroke))
    long = [line for line in strokes.lines if line_length(line) >= _A_LINE * stroke]
    if not odd or not long:
        return []
    places = np.concatenate(long)
    tree = cKDTree(places)
    links = []
    for number, arm, others in odd:
        found = _beyond(arm, number, inked, stroke)
        if found is None:
            continue
        rim, ink = found
        distance, index = tree.query(ink)
        goal = places[int(index)]
        taken = min((float(np.hypot(*(goal - other.root))) for other in others), default=np.inf)
        if distance <= _TO_LINE * stroke < taken + stroke:
            links.append(straight_pixels(rim, goal))
    return links


def _beyond(
    arm: Arm, number: int, inked: Inked, stroke: float
) -> tuple[NDArray[np.float64], NDArray[np.float64]] | None:
    """Return where an arm, drawn on, leaves its disc, and the first ink just beyond, if there is any."""
    path = arm.at - np.arange(0.0, 16.0 * stroke, 0.5)[:, None] * arm.way
    x, y = pixels_of(path, inked.wire.shape)
    inside = np.flatnonzero(inked.crossings[y, x] == number)
    if len(inside) == 0:
        return None
    last = int(inside[-1])
    after = slice(last + 1, last + 1 + max(int(2 * _BEYOND * stroke), 1))
    if (inked.bodies[y[after], x[after]] > 0).any():
        return None
    hits = np.flatnonzero(inked.wire[y[after], x[after]])
    return (path[last], path[after][hits[0]]) if len(hits) else None

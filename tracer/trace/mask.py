"""Which pixels are conductor ink, which discs are crossings, which blobs are dots and bodies."""

from __future__ import annotations

from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray
from scipy.ndimage import find_objects
from scipy.spatial import cKDTree

from tracer.reader.layers import Pixel
from tracer.trace.bodies import BodyMap
from tracer.trace.grid import Grid, disc

__all__ = ["Inked", "make_inked"]

_SAME_PLACE = 1.6  # stroke widths between the middles of a dot and a disc that are read at one place


@dataclass(frozen=True, slots=True, eq=False)
class Inked:
    """What the tracing draws on; every image is (h, w) on the grid, labels count from 1.

    Attributes
    ----------
    wire : bool
        Conductor ink. Crossing discs and bodies are cut out, so that what passes there ends at their rim.
    dots, crossings, bodies : int32
        Labels of the junction dots, crossing discs and bodies.
    lettering : bool
        Where a break in the ink is not bridged unless it is very short or all covered.
    cut : bool
        Where none is bridged: cuts made by hand.
    remnant : bool
        Furniture and what lies within a stroke of it: often a worn wire.
    disc_middles : (N, 2) float64
        Middle of each crossing disc, x then y, before near ones were taken together.
    """

    wire: NDArray[np.bool_]
    dots: NDArray[np.int32]
    crossings: NDArray[np.int32]
    bodies: NDArray[np.int32]
    lettering: NDArray[np.bool_]
    cut: NDArray[np.bool_]
    remnant: NDArray[np.bool_]
    disc_middles: NDArray[np.float64]


def make_inked(grid: Grid, bodies: BodyMap) -> Inked:
    """Clean the class map of specks, pinholes and thin rims of bodies, and label its blobs.

    Sizes are in stroke widths. Even a bit of ink much smaller than the stroke's square may be a lead
    between a body and a crossing; what leads nowhere is dropped after tracing.
    """
    square = grid.stroke**2
    classes = grid.classes
    dot_image = _without_specks(classes == Pixel.DOT, 0.6 * square)
    # Discs so close that hardly any ink shows between them are one: their arms are paired together.
    discs = _without_specks(classes == Pixel.CROSSING, square)
    spotted = _spotted(discs, dot_image, grid.stroke)
    dot_image, discs = dot_image | spotted, discs & ~spotted
    crossing_image = discs | (_bridged(discs, 2.2 * grid.stroke) & (classes == Pixel.WIRE))
    body_image = bodies.labels > 0

    # What remains of a crossing or dot too small to be one is ordinary ink.
    wire = np.isin(classes, (Pixel.WIRE, Pixel.DOT, Pixel.CROSSING)) & ~crossing_image | bodies.wire
    # The disc's rim is cut a little wider, lest two wires touch round its corner; a dot is left whole.
    wide = cv2.dilate(crossing_image.view(np.uint8), disc(0.35 * grid.stroke)) > 0
    wire &= (~wide | dot_image) & ~body_image
    wire &= ~_slivers(wire, crossing_image | body_image, grid.stroke)
    wire = _without_pinholes(_without_specks(wire, 0.4 * square), square)
    return Inked(
        wire,
        _labels(dot_image & ~body_image),
        _labels(crossing_image & ~body_image),
        bodies.labels,
        classes == Pixel.LETTERING,
        np.zeros(classes.shape, bool),
        cv2.dilate((classes == Pixel.FURNITURE).astype(np.uint8), disc(0.8 * grid.stroke)) > 0,
        _middles(discs, grid.stroke),
    )


def _labels(image: NDArray[np.bool_]) -> NDArray[np.int32]:
    """Label the blobs of an image, corners touching."""
    return np.asarray(cv2.connectedComponents(image.astype(np.uint8), connectivity=8)[1], np.int32)


def _slivers(wire: NDArray[np.bool_], solid: NDArray[np.bool_], stroke: float) -> NDArray[np.bool_]:
    """Find ink one pixel wide along the rim of something solid: a hop's arc, a body's outline."""
    thick = cv2.morphologyEx(wire.astype(np.uint8), cv2.MORPH_OPEN, np.ones((2, 2), np.uint8)) > 0
    rim = cv2.dilate(solid.astype(np.uint8), disc(0.8 * stroke)) > 0
    return np.asarray(wire & rim & ~thick)


def _spotted(discs: NDArray[np.bool_], dots: NDArray[np.bool_], stroke: float) -> NDArray[np.bool_]:
    """Find the discs that share their place with a dot of some size: a blot on an X is a join."""
    count, labels, stats, middles = cv2.connectedComponentsWithStats(discs.astype(np.uint8), connectivity=8)
    _, _, dot_stats, dot_middles = cv2.connectedComponentsWithStats(dots.astype(np.uint8), connectivity=8)
    spotted = np.zeros(count, bool)
    if count > 1 and len(dot_middles) > 1:
        distance, found = cKDTree(middles[1:]).query(dot_middles[1:])
        nearest = np.asarray(found, np.intp)
        area, own = dot_stats[1:, cv2.CC_STAT_AREA], stats[1 + nearest, cv2.CC_STAT_AREA]
        spotted[1 + nearest[(distance < _SAME_PLACE * stroke) & (area > 0.25 * own)]] = True
    return np.asarray(spotted[labels])


def _middles(discs: NDArray[np.bool_], stroke: float) -> NDArray[np.float64]:
    """Return the middle of each disc, (N, 2), those that overlap included: where the rim is furthest."""
    found = [np.zeros((0, 2))]
    for window in find_objects(_labels(discs)):
        blob = np.pad(discs[window], 1).astype(np.uint8)
        depth = cv2.distanceTransform(blob, cv2.DIST_L2, cv2.DIST_MASK_PRECISE)
        peaks = (blob > 0) & (depth >= cv2.dilate(depth, disc(1.2 * stroke)) - 0.1)
        _, _, _, middles = cv2.connectedComponentsWithStats(peaks.astype(np.uint8), connectivity=8)
        found.append(np.add(middles[1:], (window[1].start - 1, window[0].start - 1)))
    return np.vstack(found)


def _bridged(image: NDArray[np.bool_], length: float) -> NDArray[np.bool_]:
    """Fill what lies between two blobs less than `length` px apart, level or upright."""
    size = max(round(length), 2)
    level, upright = (
        cv2.morphologyEx(image.astype(np.uint8), cv2.MORPH_CLOSE, np.ones(shape, np.uint8)) > 0
        for shape in ((1, size), (size, 1))
    )
    return np.asarray(level | upright)


def _without_specks(image: NDArray[np.bool_], area: float) -> NDArray[np.bool_]:
    """Drop blobs smaller than `area` px."""
    _, labels, stats, _ = cv2.connectedComponentsWithStats(image.astype(np.uint8), connectivity=8)
    keep = stats[:, cv2.CC_STAT_AREA] >= area
    keep[0] = False
    return np.asarray(keep[labels])


def _without_pinholes(image: NDArray[np.bool_], area: float) -> NDArray[np.bool_]:
    """Fill holes smaller than `area` px; each would be a ring in the skeleton."""
    _, labels, stats, _ = cv2.connectedComponentsWithStats((~image).astype(np.uint8), connectivity=4)
    fill = stats[:, cv2.CC_STAT_AREA] < area
    fill[0] = False
    return np.asarray(image | fill[labels])

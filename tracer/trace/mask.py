"""Which pixels are conductor ink, which discs are crossings, which blobs are dots and bodies."""

from __future__ import annotations

from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray
from scipy.ndimage import find_objects
from scipy.spatial import cKDTree

from tracer.reader.layers import Pixel
from tracer.trace.blobs import Blobs, Labels, find_blobs, without_specks_and_pinholes
from tracer.trace.bodies import BodyMap
from tracer.trace.grid import Grid, disc

__all__ = ["Inked", "make_inked"]

_CONDUCTING = np.isin(np.arange(256), (Pixel.WIRE, Pixel.DOT, Pixel.CROSSING)).astype(np.uint8)
_SAME_PLACE = 1.6  # stroke widths between the middles of a dot and a disc that are read at one place


@dataclass(frozen=True, slots=True, eq=False)
class Inked:
    """What the tracing draws on; every image is (h, w) on the grid, labels count from 1.

    Attributes
    ----------
    wire : bool
        Conductor ink. Crossing discs and bodies are cut out, so that what passes there ends at their rim.
    dots, crossings, bodies : int32 or uint16
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
    dots: Labels
    crossings: Labels
    bodies: Labels
    lettering: NDArray[np.bool_]
    cut: NDArray[np.bool_]
    remnant: NDArray[np.bool_]
    disc_middles: NDArray[np.float64]


def make_inked(grid: Grid, bodies: BodyMap) -> Inked:
    """Clean the class map of specks, pinholes and thin rims of bodies, and label its blobs.

    Sizes are in stroke widths. Even a bit of ink much smaller than the stroke's square may be a lead
    between a body and a crossing; what leads nowhere is dropped after tracing.
    """
    square, classes = grid.stroke**2, grid.classes
    dots = _large(classes == Pixel.DOT, 0.6 * square)
    discs = _large(classes == Pixel.CROSSING, square)
    discs = _spot(discs, dots, grid.stroke)
    middles = _middles(discs, grid.stroke)
    # Discs so close that hardly any ink shows between them are one: their arms are paired together.
    passing = discs.labels > 0
    if len(discs.y):
        passing |= _bridged(passing, 2.2 * grid.stroke) & (classes == Pixel.WIRE)
    # The disc's rim is cut a little wider, lest two wires touch round its corner; a dot is left whole.
    wide = cv2.dilate(passing.view(np.uint8), disc(0.35 * grid.stroke)).view(bool)
    solid = bodies.labels > 0
    # What remains of a crossing or dot too small to be one is ordinary ink.
    wire = cv2.LUT(classes, _CONDUCTING).view(bool) & ~passing | bodies.wire
    wire &= (~wide | (dots.labels > 0)) & ~solid
    wire &= ~_slivers(wire, passing | solid, grid.stroke)
    wire = without_specks_and_pinholes(wire, 0.4 * square, square)
    dots.labels[solid] = 0
    return Inked(
        wire,
        dots.labels,
        find_blobs(passing & ~solid).labels,
        bodies.labels,
        classes == Pixel.LETTERING,
        np.broadcast_to(np.False_, classes.shape),
        cv2.dilate((classes == Pixel.FURNITURE).view(np.uint8), disc(0.8 * grid.stroke)).view(bool),
        middles,
    )


def _large(image: NDArray[np.bool_], area: float) -> Blobs:
    """Number the blobs of at least `area` px."""
    blobs = find_blobs(image)
    return blobs.kept(blobs.areas() >= area)


def _slivers(wire: NDArray[np.bool_], solid: NDArray[np.bool_], stroke: float) -> NDArray[np.bool_]:
    """Find ink one pixel wide along the rim of something solid: a hop's arc, a body's outline."""
    thick = cv2.morphologyEx(wire.view(np.uint8), cv2.MORPH_OPEN, np.ones((2, 2), np.uint8)).view(bool)
    rim = cv2.dilate(solid.view(np.uint8), disc(0.8 * stroke)).view(bool)
    return np.asarray(wire & rim & ~thick)


def _spot(discs: Blobs, dots: Blobs, stroke: float) -> Blobs:
    """Give the discs that share their place with a dot of some size to it: a blot on an X is a join.

    In place; return the discs that are left.
    """
    areas, dot_areas = discs.areas(), dots.areas()
    spotted = np.zeros(len(areas), np.intp)
    if len(areas) > 1 and len(dot_areas) > 1:
        distance, found = cKDTree(discs.middles()[1:]).query(dots.middles()[1:])
        nearest = 1 + np.asarray(found, np.intp)
        blot = (distance < _SAME_PLACE * stroke) & (dot_areas[1:] > 0.25 * areas[nearest])
        spotted[nearest[blot]] = 1 + np.flatnonzero(blot)
    dot = spotted[discs.own]
    moved = dot > 0
    dots.labels[discs.y[moved], discs.x[moved]] = dot[moved]
    return discs.kept(spotted == 0)


def _middles(discs: Blobs, stroke: float) -> NDArray[np.float64]:
    """Return the middle of each disc, (N, 2), those that overlap included: where the rim is furthest."""
    found = [np.zeros((0, 2))]
    for number, window in enumerate(find_objects(discs.labels), start=1):
        blob = np.pad(discs.labels[window] == number, 1).view(np.uint8)
        depth = cv2.distanceTransform(blob, cv2.DIST_L2, cv2.DIST_MASK_PRECISE)
        peaks = (blob > 0) & (depth >= cv2.dilate(depth, disc(1.2 * stroke)) - 0.1)
        _, _, _, middles = cv2.connectedComponentsWithStats(peaks.astype(np.uint8), connectivity=8)
        found.append(np.add(middles[1:], (window[1].start - 1, window[0].start - 1)))
    return np.vstack(found)


def _bridged(image: NDArray[np.bool_], length: float) -> NDArray[np.bool_]:
    """Fill what lies between two blobs less than `length` px apart, level or upright."""
    size = max(round(length), 2)
    level, upright = (
        cv2.morphologyEx(image.view(np.uint8), cv2.MORPH_CLOSE, np.ones(shape, np.uint8)).view(bool)
        for shape in ((1, size), (size, 1))
    )
    return np.asarray(level | upright)

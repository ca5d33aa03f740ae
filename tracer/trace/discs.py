"""Crossing discs: which arms pass straight through together, and what the odd ones run into."""

from __future__ import annotations

from dataclasses import replace

import cv2
import numpy as np
from numpy.typing import NDArray
from scipy.spatial import cKDTree

from tracer.reader.layers import Pixel
from tracer.trace.arms import Arm, pair_arms
from tracer.trace.ends import Ends
from tracer.trace.grid import Grid, Nearby, disc, nearby, pixels_of
from tracer.trace.mask import Inked
from tracer.trace.meeting import Meeting, Meetings, plain, straightness, sureness_at
from tracer.trace.sheet import JoinKind
from tracer.trace.skeleton import Strokes
from tracer.trace.touches import straight_pixels

__all__ = ["decide_discs", "links_to_dots"]

_DOT_TO_DISC = 1.7  # stroke widths between the rims of a dot and a disc that may still be joined
_SHORT = 1.9  # stroke widths; a shorter arm's own direction says little


def decide_discs(result: Meetings, at_discs: dict[int, list[Arm]], inked: Inked, grid: Grid) -> list[int]:
    """Decide every disc, given the arms at each; return the arms that found neither partner nor body."""
    middles = cKDTree(inked.disc_middles) if len(inked.disc_middles) else None
    free: list[int] = []
    for number, arms in sorted(at_discs.items()):
        if not arms:
            continue
        if middles is not None:
            arms = [_aimed(arm, middles, grid.stroke) for arm in arms]
        left = _decide_disc(result, arms, number, inked, grid)
        odd = [arm for arm in arms if arm.id in left]
        free += [arm.id for arm in odd if not _runs_into_body(result, arm, number, inked, grid)]
    return free


def _aimed(arm: Arm, middles: cKDTree, stroke: float) -> Arm:
    """Point a short arm away from the middle of its disc; longer ones know their own way.

    Short is measured against the arm's own width: the skeleton of a thick stroke runs aside long before the
    next node, so there only the place at the rim is sure.
    """
    if arm.span >= _SHORT * max(stroke, arm.width):
        return arm
    centre = arm.at if arm.width > 1.5 * stroke else arm.centre
    away = centre - middles.data[middles.query(arm.at)[1]]
    distance = float(np.hypot(*away))
    return replace(arm, way=away / distance, centre=centre) if distance > 0 else arm


def links_to_dots(
    strokes: Strokes, ends: Ends, inked: Inked, dots: Nearby, grid: Grid
) -> list[NDArray[np.intp]]:
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


def _decide_disc(result: Meetings, arms: list[Arm], number: int, inked: Inked, grid: Grid) -> list[int]:
    """Pair the arms at one crossing disc; return those that found no partner."""
    middle = np.mean([arm.at for arm in arms], axis=0)
    sure = sureness_at(grid, [middle])
    ids = tuple(arm.id for arm in arms)
    if len(arms) == 2:
        # Whatever the disc is, a line that goes in comes out.
        result.meetings.append(Meeting(JoinKind.GAP, plain(middle), 0.6 * sure, ids))
        return []
    pairing = pair_arms(arms, grid.stroke)
    if not pairing.pairs:
        return list(ids)
    odd = [arm for arm in arms if arm.id in pairing.left]
    if len(arms) == 3 and _body_behind(odd[0], number, inked, grid.stroke) is None:
        result.meetings.append(Meeting(JoinKind.JUNCTION, plain(middle), 0.35, ids))
        return []
    passing = tuple(arm for pair in pairing.pairs for arm in pair)
    score = sure * straightness(pairing)
    result.meetings.append(Meeting(JoinKind.CROSSING, plain(middle), score, passing, pairing.pairs))
    return list(pairing.left)


def _runs_into_body(result: Meetings, arm: Arm, number: int, inked: Inked, grid: Grid) -> bool:
    """Make an arm without a partner the terminal of a body right behind its disc, if there is one."""
    found = _body_behind(arm, number, inked, grid.stroke)
    if found is not None:
        body, edge = found
        result.meetings.append(Meeting(JoinKind.TERMINAL, plain(edge), 0.6, (arm.id,), body=body))
    return found is not None


def _body_behind(
    arm: Arm, number: int, inked: Inked, stroke: float
) -> tuple[int, NDArray[np.float64]] | None:
    """Return the body that an arm runs straight into across its disc, and where it meets its edge."""
    path = arm.at - np.arange(0.0, 12.0 * stroke, 0.5)[:, None] * arm.way
    x, y = pixels_of(path, inked.wire.shape)
    inside = np.flatnonzero(inked.crossings[y, x] == number)
    if len(inside) == 0:
        return None
    beyond = slice(int(inside[-1]) + 1, int(inside[-1]) + 1 + int(5.0 * stroke))
    bodies = inked.bodies[y[beyond], x[beyond]]
    hits = np.flatnonzero(bodies)
    return (int(bodies[hits[0]]), path[beyond][hits[0]]) if len(hits) else None

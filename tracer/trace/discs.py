"""Crossing discs: which arms pass straight through together, and what the odd ones run into."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence, Set
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from tracer.trace.arms import Arm, pair_arms
from tracer.trace.ends import PLAIN_DISC
from tracer.trace.grid import Grid, pixels_of
from tracer.trace.mask import Inked
from tracer.trace.meeting import Meeting, Meetings, plain, straightness, sureness_at
from tracer.trace.sheet import DrawingHabits, JoinKind

__all__ = ["aim", "decide_discs", "odd_arms"]

_WHOLE = 0.7  # of a plain cross's disc; a smaller one with three arms is a T whose stem runs a little past
_SURELY_PASSES = 0.7  # the reader's sureness from which a line that is lost behind a crossing still passes it
_SHORT = 2.4  # stroke widths; a shorter arm's own direction says little


def decide_discs(
    result: Meetings,
    at_discs: Mapping[int, Sequence[Arm]],
    run_past: Set[int],
    awaited: Set[int],
    inked: Inked,
    grid: Grid,
    habits: DrawingHabits,
) -> list[int]:
    """Decide every disc, given the arms at each; return the arms that found neither partner nor body.

    `run_past` are the discs at which a stem ends a little past the bar of its T; `awaited` are third arms
    that a free end beyond the disc faces.
    """
    free: list[int] = []
    area = np.bincount(inked.crossings[inked.crossings > 0])
    for number, arms in aim(at_discs, inked, grid.stroke).items():
        plain_cross = habits.plain_cross_joins and area[number] <= np.pi * (PLAIN_DISC * grid.stroke) ** 2
        if plain_cross and len(arms) > 2:
            middle = np.mean([arm.at for arm in arms], axis=0)
            ids = tuple(arm.id for arm in arms)
            result.meetings.append(Meeting(JoinKind.JUNCTION, plain(middle), 0.4, ids))
            continue
        whole = number not in run_past and area[number] >= _WHOLE * np.pi * (PLAIN_DISC * grid.stroke) ** 2
        left = _decide_disc(result, arms, number, bool(whole), awaited, inked, grid)
        odd = [arm for arm in arms if arm.id in left]
        free += [arm.id for arm in odd if not _runs_into_body(result, arm, number, inked, grid)]
    return free


def aim(at_discs: Mapping[int, Sequence[Arm]], inked: Inked, stroke: float) -> dict[int, list[Arm]]:
    """Return the arms at each disc that has any, the short ones pointed away from its middle."""
    x, y = pixels_of(inked.disc_middles, inked.crossings.shape)
    owner = inked.crossings[y, x]
    aimed = {}
    for number, arms in sorted(at_discs.items()):
        own = inked.disc_middles[owner == number]
        if len(arms):
            aimed[number] = [_aimed(arm, own, stroke) if len(own) else arm for arm in arms]
    return aimed


def odd_arms(at_discs: Mapping[int, Sequence[Arm]], stroke: float) -> Iterator[tuple[int, Arm, list[Arm]]]:
    """Yield each arm without a partner at a disc of one or three arms, and the disc's other arms."""
    for number, arms in at_discs.items():
        if len(arms) in (1, 3):
            left = pair_arms(arms, stroke).left
            for arm in arms:
                if left == (arm.id,):
                    yield number, arm, [other for other in arms if other is not arm]


def _aimed(arm: Arm, middles: NDArray[np.float64], stroke: float) -> Arm:
    """Point a short arm away from the nearest middle of its disc; longer ones know their own way.

    Short is measured against the arm's own width: the skeleton of a thick stroke runs aside long before the
    next node, so there only the place at the rim is sure.
    """
    if arm.span >= _SHORT * max(stroke, arm.width):
        return arm
    centre = arm.at if arm.width > 1.5 * stroke else arm.centre
    away = centre - middles[np.argmin(np.hypot(*(middles - arm.at).T))]
    distance = float(np.hypot(*away))
    return replace(arm, way=away / distance, centre=centre) if distance > 0 else arm


def _decide_disc(
    result: Meetings, arms: list[Arm], number: int, whole: bool, awaited: Set[int], inked: Inked, grid: Grid
) -> list[int]:
    """Pair the arms at one crossing disc, `whole` if it is as large as a cross; return those left over."""
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
    meant = (whole and sure >= _SURELY_PASSES) or any(arm.id in awaited for arm in odd)
    if len(arms) == 3 and not meant and _body_behind(odd[0], number, inked, grid.stroke) is None:
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

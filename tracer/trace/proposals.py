"""Part proposals: the reader's bodies with the terminals where conductors enter them."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np
from numpy.typing import NDArray

from tracer.trace.bodies import BodyMap
from tracer.trace.grid import Grid, to_page
from tracer.trace.sheet import Join, JoinKind, Proposal, Segment, Terminal
from tracer.trace.terminals import name_terminals

__all__ = ["frame_conductors", "propose"]

_LONELY = 0.6  # of bodies less sure than this that no conductor reaches, 2 of 32 were parts on drawn sheets


def propose(
    bodies: BodyMap,
    grid: Grid,
    segments: Sequence[Segment],
    joins: Sequence[Join],
    body_of_join: Mapping[int, int],
    shape: tuple[int, int],
) -> tuple[Proposal, ...]:
    """Make a proposal of every body, but for those that the reader is unsure of and no conductor reaches.

    `body_of_join` gives the body, from 1, that each terminal join lies at. A conductor that is the sheet's
    frame is no terminal. Reference and value are left to lettering and to the person.
    """
    frames = frame_conductors(segments, shape)
    at_body: dict[int, list[tuple[float, float, int]]] = {}
    for join, body in body_of_join.items():
        found = joins[join]
        conductor = segments[found.segments[0]].conductor
        if found.kind is JoinKind.TERMINAL and conductor not in frames:
            at_body.setdefault(body, []).append((found.x, found.y, conductor))
    proposals: list[Proposal] = []
    for body, (kind, score) in enumerate(zip(bodies.kinds, bodies.scores, strict=True), start=1):
        box = _page_box(bodies, body, grid, shape)
        places = at_body.get(body, [])
        if not places and score < _LONELY:
            continue
        named = name_terminals(kind, box, [(x, y) for x, y, _ in places])
        terminals = tuple(
            Terminal(name, float(at[0]), float(at[1]), None if index is None else places[index][2])
            for name, index, at in named
        )
        proposals.append(Proposal(len(proposals), box, kind, float(score), terminals))
    return tuple(proposals)


def frame_conductors(segments: Sequence[Segment], shape: tuple[int, int]) -> set[int]:
    """Return the conductors that frame the page: nearly as large as it, and all along their own outline.

    A rail that runs across the whole page is not one: it does not go down both sides.
    """
    lines: dict[int, list[NDArray[np.float32]]] = {}
    for segment in segments:
        lines.setdefault(segment.conductor, []).append(segment.line)
    frames = set()
    for conductor, parts in lines.items():
        points = np.concatenate(parts)
        low, high = points.min(axis=0), points.max(axis=0)
        if (high - low < 0.8 * np.array([shape[1], shape[0]])).any():
            continue
        from_edge = np.minimum(points - low, high - points).min(axis=1)
        if (from_edge < 0.02 * min(shape)).mean() > 0.9:
            frames.add(conductor)
    return frames


def _page_box(bodies: BodyMap, body: int, grid: Grid, shape: tuple[int, int]) -> tuple[int, int, int, int]:
    """Return a body's box on the page, half-open and inside it; one given by hand keeps its own."""
    hand = body - (len(bodies.kinds) - len(grid.bodies)) - 1
    if hand >= 0:
        return grid.bodies[hand].box
    x0, y0, x1, y1 = bodies.boxes[body - 1] - [0.5, 0.5, 0.5, 0.5]
    corners = to_page(grid, np.array([(x0, y0), (x1, y0), (x1, y1), (x0, y1)]))
    low = np.floor(corners.min(axis=0) + 0.5)
    high = np.ceil(corners.max(axis=0) + 0.5)
    limit = np.array([shape[1], shape[0]])
    low, high = np.clip(low, 0, limit - 1), np.clip(high, 1, limit)
    return int(low[0]), int(low[1]), int(high[0]), int(high[1])

"""Drawing the wires of a sheet with their joins and crossings, and naming the conductors they make."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np

from tracer.training.canvas import Canvas, Warp
from tracer.training.classes import KIND_NAMES
from tracer.training.penwork import Dot, draw_pieces
from tracer.training.strokes import Points
from tracer.training.truth import Conductor, ConductorEnd, CrossingMark, DrawnPart, PartTerminal, SheetTruth
from tracer.training.wiring import Groups, Meeting, Wire, meetings, touching

if TYPE_CHECKING:
    from tracer.training.sheet import SheetStyle

__all__ = ["draw_wires"]


def draw_wires(
    canvas: Canvas,
    wires: list[Wire],
    dots: list[Dot],
    passing: list[tuple[float, float, str]],
    parts: list[DrawnPart],
    rims: dict[tuple[int, str], float],
    warp: Warp,
    style: SheetStyle,
    rng: np.random.Generator,
) -> SheetTruth:
    """Draw `wires` and `dots` on `canvas` and gather the sheet's truth."""
    places = np.array([(x, y) for x, y, *_ in dots], dtype=np.float64).reshape(-1, 2)
    met = meetings(wires, places)
    groups = Groups(len(wires))
    for meeting in met:
        if meeting.joined:
            groups.join(meeting.first[0], meeting.second[0])
    ends = _attach(wires, parts, rims, groups)
    crossings = [meeting for meeting in met if not meeting.joined]
    styles = [_style_of(meeting, passing, style.crossing) for meeting in crossings]
    draw_pieces(canvas, wires, met, list(zip(crossings, styles, strict=True)), dots, style, rng)
    image, classes, kinds = canvas.finish()
    members: dict[int, list[Wire]] = defaultdict(list)
    for number, wire in enumerate(wires):
        members[groups.find(number)].append(wire)
    roots = sorted(members)
    number_of = {root: index + 1 for index, root in enumerate(roots)}
    marks = tuple(
        CrossingMark(
            *_moved(warp, m.x, m.y),
            how,
            (number_of[groups.find(m.first[0])], number_of[groups.find(m.second[0])]),
        )
        for m, how in zip(crossings, styles, strict=True)
    )
    joins = tuple((*_moved(warp, x, y), dotted) for x, y, dotted in _joins(met, dots))
    nodes = np.array([(m.x, m.y) for m in met], dtype=np.float64).reshape(-1, 2)
    tracks = [warp(_track(members[root], style.stroke)) for root in roots]
    conductors = tuple(
        Conductor(
            number_of[root],
            tuple(_move_end(end, warp) for end in ends[root]) if _on_page(track, image.shape) else (),
            warp(_sample(members[root], nodes)),
            track,
        )
        for root, track in zip(roots, tracks, strict=True)
    )
    return SheetTruth(
        image, classes, kinds, KIND_NAMES, style.stroke, conductors,
        tuple(_move_part(part, warp) for part in parts), joins, marks,
    )  # fmt: skip


def _moved(warp: Warp, x: float, y: float) -> tuple[float, float]:
    ((mx, my),) = warp(np.array([(x, y)]))
    return float(mx), float(my)


def _move_end(end: ConductorEnd, warp: Warp) -> ConductorEnd:
    x, y = _moved(warp, end.x, end.y)
    return replace(end, x=x, y=y)


def _attach(
    wires: list[Wire], parts: list[DrawnPart], rims: dict[tuple[int, str], float], groups: Groups
) -> dict[int, list[ConductorEnd]]:
    """Which terminals each group of wires reaches; wires that share a terminal are joined."""
    reached: list[tuple[int, ConductorEnd]] = []
    terminals = [(part, terminal) for part in parts for terminal in part.terminals]
    places = np.array([(terminal.x, terminal.y) for _, terminal in terminals], dtype=np.float64).reshape(
        -1, 2
    )
    for (part, terminal), hits in zip(terminals, touching(wires, places), strict=True):
        for other in hits[1:]:
            groups.join(hits[0], other)
        if hits:
            rim = rims.get((part.number, terminal.name), 0.0)
            x, y = terminal.x + rim * terminal.dx, terminal.y + rim * terminal.dy
            reached.append((hits[0], ConductorEnd(part.number, terminal.name, x, y)))
    ends: dict[int, list[ConductorEnd]] = defaultdict(list)
    for wire, end in reached:
        ends[groups.find(wire)].append(end)
    return ends


def _style_of(meeting: Meeting, passing: list[tuple[float, float, str]], habit: str) -> str:
    for x, y, how in passing:
        if abs(x - meeting.x) < 1.5 and abs(y - meeting.y) < 1.5:
            return how
    return habit


def _joins(met: list[Meeting], dots: list[Dot]) -> list[tuple[float, float, bool]]:
    found = {(round(x, 1), round(y, 1)): (x, y, True) for x, y, *_ in dots}
    for meeting in met:
        inner = any(0.02 < part < 0.98 for _, _, part in (meeting.first, meeting.second))
        key = (round(meeting.x, 1), round(meeting.y, 1))
        if meeting.joined and inner and key not in found:
            found[key] = (meeting.x, meeting.y, False)
    return list(found.values())


def _sample(wires: list[Wire], nodes: Points) -> Points:
    """A few points along `wires`, the middle of each stretch between `nodes` first."""
    points = []
    for wire in wires:
        for start, end in zip(wire.points[:-1], wire.points[1:], strict=True):
            length = float(np.hypot(*(end - start)))
            tries = np.linspace(0.1, 0.9, 9) if length > 20 else np.array([0.5])
            spots = start + np.outer(tries, end - start)
            if len(nodes):
                away = np.hypot(*(spots[:, None, :] - nodes[None]).transpose(2, 0, 1)).min(axis=1)
                spots = spots[np.argsort(-away)]
            points += [spots[0], *spots[1 : 1 + int(length > 200)]]
    return np.array(points, dtype=np.float64).reshape(-1, 2)


def _on_page(track: Points, shape: tuple[int, ...]) -> bool:
    """Whether all of a conductor shows; one that leaves the page may be two for all an eye can tell."""
    return bool((track > 1.0).all() and (track < (shape[1] - 2.0, shape[0] - 2.0)).all())


def _track(wires: list[Wire], step: float) -> Points:
    """Points all along `wires`, at most `step` px apart."""
    pieces = []
    for wire in wires:
        for start, end in zip(wire.points[:-1], wire.points[1:], strict=True):
            count = int(np.hypot(*(end - start)) / step) + 2
            pieces.append(start + np.linspace(0.0, 1.0, count)[:, None] * (end - start))
    return np.concatenate(pieces)


def _move_part(part: DrawnPart, warp: Warp) -> DrawnPart:
    x0, y0, x1, y1 = part.box
    corners = warp(np.array([(x0, y0), (x1, y0), (x1, y1), (x0, y1)]))
    (bx0, by0), (bx1, by1) = corners.min(axis=0), corners.max(axis=0)
    terminals = tuple(PartTerminal(t.name, *_moved(warp, t.x, t.y), t.dx, t.dy) for t in part.terminals)
    return replace(part, box=(float(bx0), float(by0), float(bx1), float(by1)), terminals=terminals)

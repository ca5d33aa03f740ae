"""How a pen draws wires: piece by piece, round corners, past crossings, with dots on the joins."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, TypeAlias

import numpy as np

from tracer.training.canvas import Canvas
from tracer.training.classes import DOT, WIRE
from tracer.training.strokes import Points, arc
from tracer.training.wiring import Meeting, Wire

if TYPE_CHECKING:
    from tracer.training.sheet import SheetStyle

__all__ = ["Dot", "Segment", "draw_pieces"]

Dot: TypeAlias = tuple[float, float, float, str]  # x, y, radius, px; its manner
Segment: TypeAlias = tuple[int, int]  # number of the wire, number of its straight segment


@dataclass(slots=True)
class _Cuts:
    """Where the wires' straight segments are cut.

    `breaks` are (part of the length, half the gap as a part of it); `trims` how much, px, is left off (or,
    below nought, added) at the start and at the end.
    """

    breaks: dict[tuple[int, int], list[tuple[float, float]]] = field(
        default_factory=lambda: defaultdict(list)
    )
    trims: dict[tuple[int, int], list[float]] = field(default_factory=lambda: defaultdict(lambda: [0.0, 0.0]))


def draw_pieces(
    canvas: Canvas,
    wires: list[Wire],
    met: list[Meeting],
    crossings: list[tuple[Meeting, str]],
    dots: list[Dot],
    style: SheetStyle,
    rng: np.random.Generator,
) -> None:
    """Draw `wires` from node to node, leaving gaps and adding hops at `crossings`, then the `dots`.

    Parameters
    ----------
    met : list of Meeting
        Every place where wires meet; those that cross unjoined are in `crossings` too, each with its style.
    """
    room = _room(met, wires, dots, style.stroke)
    cuts = _Cuts()
    for meeting in met:
        if meeting.joined:
            for wire, index, part in (meeting.first, meeting.second):
                cuts.breaks[wire, index].append((part, 0.0))
    for meeting, how in crossings:
        _draw_crossing(canvas, wires, meeting, how, room[meeting], style, cuts, rng)
    if style.freedom > 0.0:
        _draw_corners(canvas, wires, met, style, cuts, rng)
    for number, wire_ in enumerate(wires):
        last = len(wire_.points) - 2
        for index in range(last + 1):
            start, end = wire_.points[index], wire_.points[index + 1]
            long = float(np.hypot(*(end - start)))
            before, after = cuts.trims[number, index]
            here = (before - (wire_.over[0] if index == 0 else 0.0)) / long
            fades = style.worn > 0.0 and long > 14 * style.stroke and rng.random() < style.worn
            worn = _worn(long / style.stroke, rng) if fades else []
            stop = 1.0 - (after - (wire_.over[1] if index == last else 0.0)) / long
            for part, half in [*sorted(cuts.breaks[number, index]), (stop, 0.0)]:
                until = min(part - half, stop)
                if until - here > 1e-6:
                    piece = start + np.outer([here, until], end - start)
                    _draw_piece(canvas, piece, wire_, style, rng, _between(worn, here, until))
                here = max(here, part + half)
    for x, y, radius, manner in dots:
        _draw_dot(canvas, x, y, radius, manner, style, rng)


def _draw_piece(
    canvas: Canvas,
    points: Points,
    wire: Wire,
    style: SheetStyle,
    rng: np.random.Generator,
    worn: list[tuple[float, float, float]],
) -> None:
    """Draw one piece of wire; a free hand sometimes goes over a stretch of it again."""
    way = points[1] - points[0]
    long = float(np.hypot(*way))
    canvas.stroke(points, wire.width, WIRE, wire.ink, worn)
    if wire.plain or long < 8 * style.stroke or style.freedom == 0.0 or rng.random() >= 0.06 * style.freedom:
        return
    first, last = np.sort(rng.uniform(0.0, 1.0, 2))
    aside = np.outer(rng.normal(0.0, 0.35 * style.stroke, 2), np.array([-way[1], way[0]]) / long)
    again = points[0] + np.outer([first, last], way) + np.clip(aside, -0.7 * style.stroke, 0.7 * style.stroke)
    canvas.stroke(again, 0.9 * wire.width, WIRE, wire.ink)


def _worn(long: float, rng: np.random.Generator) -> list[tuple[float, float, float]]:
    """Where the print took a wire of `long` strokes badly: a thin stretch, fallen into dashes and dots."""
    reach = min(long - 4.0, float(rng.uniform(8.0, 90.0)))
    here = float(rng.uniform(2.0, long - reach - 2.0)) if long - reach > 4.0 else 2.0
    end = here + reach
    thin = float(rng.uniform(0.35, 0.9))
    gap, run = float(rng.uniform(0.5, 2.6)), float(rng.uniform(1.2, 9.0))
    found: list[tuple[float, float, float]] = []
    while here < end:
        stop = min(here + run * float(rng.uniform(0.3, 1.8)), end)
        found.append((here / long, stop / long, thin * float(rng.uniform(0.7, 1.2))))
        if stop < end:
            here = min(stop + gap * float(rng.uniform(0.4, 1.6)), end)
            found.append((stop / long, here / long, 0.0))
        else:
            here = end
    return found


def _between(
    worn: list[tuple[float, float, float]], start: float, end: float
) -> list[tuple[float, float, float]]:
    """What of `worn` falls between two parts of the length, in parts of what lies between."""
    return [
        ((max(first, start) - start) / (end - start), (min(last, end) - start) / (end - start), share)
        for first, last, share in worn
        if first < end and last > start
    ]


def _draw_corners(
    canvas: Canvas,
    wires: list[Wire],
    met: list[Meeting],
    style: SheetStyle,
    cuts: _Cuts,
    rng: np.random.Generator,
) -> None:
    """Round some bends that no other wire comes near, and let the strokes of others run past each other."""
    nodes = np.array([(m.x, m.y) for m in met], dtype=np.float64).reshape(-1, 2)
    pen = style.stroke
    for number, wire in enumerate(wires):
        ways = np.diff(wire.points, axis=0)
        lengths = np.hypot(ways[:, 0], ways[:, 1])
        for index in range(1, len(wire.points) - 1):
            corner = wire.points[index]
            if wire.plain or lengths[index - 1 : index + 1].min() < 6 * pen or rng.random() > style.freedom:
                continue
            if len(nodes) and np.hypot(*(nodes - corner).T).min() < 2.8 * pen:
                continue
            if rng.random() < 0.5:
                cuts.trims[number, index - 1][1] = -float(rng.uniform(0.0, 1.0)) * pen
                cuts.trims[number, index][0] = -float(rng.uniform(0.0, 0.7)) * pen
                continue
            reach = float(rng.uniform(0.8, 2.4)) * pen
            cuts.trims[number, index - 1][1] = cuts.trims[number, index][0] = reach
            first = corner - ways[index - 1] / lengths[index - 1] * reach
            last = corner + ways[index] / lengths[index] * reach
            part = np.linspace(0.0, 1.0, 6)[:, None]
            curve = (1 - part) ** 2 * first + 2 * part * (1 - part) * corner + part**2 * last
            canvas.stroke(curve, wire.width, WIRE, wire.ink)


def _draw_crossing(
    canvas: Canvas,
    wires: list[Wire],
    meeting: Meeting,
    how: str,
    room: float,
    style: SheetStyle,
    cuts: _Cuts,
    rng: np.random.Generator,
) -> None:
    """Mark one crossing; a gap is added to `cuts`, a hop is drawn. Flat crossings get a wider disc."""
    ways = []
    for wire, index, _ in (meeting.first, meeting.second):
        way = wires[wire].points[index + 1] - wires[wire].points[index]
        ways.append(way / np.hypot(*way))
    flat = 1.0 / max(abs(float(ways[0][0] * ways[1][1] - ways[0][1] * ways[1][0])), 0.4)
    width = max(wires[meeting.first[0]].width, wires[meeting.second[0]].width)
    half = min(max(style.gap * style.stroke, 1.3 * width * flat), room - 0.6 * width)
    ruled = wires[meeting.first[0]].plain or wires[meeting.second[0]].plain
    if how == "plain" or ruled or half < 1.1 * width * flat:
        for wire, index, part in (meeting.first, meeting.second):
            cuts.breaks[wire, index].append((part, 0.0))
        most = max(0.8 * room, 0.75 * width)
        canvas.mark_crossing(meeting.x, meeting.y, min((1.3 * width + 0.6) * flat, most))
        return
    cuts.breaks[meeting.first[:2]].append((meeting.first[2], 0.0))
    wire, index, part = meeting.second
    start, end = wires[wire].points[index], wires[wire].points[index + 1]
    long = float(np.hypot(*(end - start)))
    if how == "gap" and style.freedom > 0.0:
        part += float(rng.uniform(-0.5, 0.5)) * style.freedom * max(half - 1.2 * width, 0.0) / long
    cuts.breaks[wire, index].append((part, half / long))
    canvas.mark_crossing(meeting.x, meeting.y, half + 0.6 * width)
    if how == "hop":
        lean = float(np.rad2deg(np.arctan2(ways[1][1], ways[1][0])))
        canvas.stroke(
            arc(meeting.x, meeting.y, half, lean + 180, lean + 360).points,
            wires[wire].width,
            WIRE,
            wires[wire].ink,
        )


def _draw_dot(
    canvas: Canvas,
    x: float,
    y: float,
    radius: float,
    manner: str,
    style: SheetStyle,
    rng: np.random.Generator,
) -> None:
    """Mark a join with a disc, or as a free hand does: an open ring, an uneven blot."""
    if style.freedom > 0.0:
        x, y = np.array([x, y]) + np.clip(rng.normal(0.0, 0.25, 2), -0.5, 0.5) * style.freedom * style.stroke
    if manner == "disc" or (manner != "square" and rng.random() < 0.15):
        canvas.dot(x, y, radius)
        return
    if manner == "square":
        canvas.square_dot(x, y, 0.9 * radius)
        return
    angles = np.linspace(0.0, 2 * np.pi, 13)
    uneven = np.exp(rng.normal(0.0, 0.1 if manner == "ring" else 0.2, 12))
    reach = radius * np.append(uneven, uneven[0])
    rim = np.stack([x + reach * np.cos(angles), y + reach * np.sin(angles)], 1)
    if style.freedom > 0.0:
        x, y = np.array([x, y]) + np.clip(rng.normal(0.0, 0.25, 2), -0.5, 0.5) * style.freedom * style.stroke
    if manner == "blot":
        canvas.fill(rim, DOT)
        return
    if rng.random() < 0.4:
        canvas.fill(rim, DOT, paper=True)
    canvas.mark(rim, DOT)
    canvas.stroke(rim, style.stroke * float(rng.uniform(0.7, 1.1)), DOT)


def _room(met: list[Meeting], wires: list[Wire], dots: list[Dot], stroke: float) -> dict[Meeting, float]:
    """How large the disc of each meeting may be, px, so that wire shows between it and whatever is next."""
    ends = np.concatenate([wire.points for wire in wires]) if wires else np.zeros((0, 2))
    joins = np.array([(m.x, m.y) for m in met if m.joined], dtype=np.float64).reshape(-1, 2)
    passing = np.array([(m.x, m.y) for m in met if not m.joined], dtype=np.float64).reshape(-1, 2)
    rims = np.array([dot[:3] for dot in dots], dtype=np.float64).reshape(-1, 3)
    plain = np.concatenate([ends, joins])
    room = {}
    for meeting in met:
        away = np.hypot(plain[:, 0] - meeting.x, plain[:, 1] - meeting.y)
        crossed = np.hypot(passing[:, 0] - meeting.x, passing[:, 1] - meeting.y)
        dotted = np.hypot(rims[:, 0] - meeting.x, rims[:, 1] - meeting.y)
        reaches = np.concatenate(
            [
                0.5 * away[away > 1.0],
                0.5 * (crossed[crossed > 1.0] - 0.9 * stroke),
                (dotted - rims[:, 2])[dotted > 1.0] - 0.7 * stroke,
            ]
        )
        room[meeting] = float(reaches.min()) if reaches.size else 1e3
    return room

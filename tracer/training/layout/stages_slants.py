"""Wires that run aslant from join to join, eyes in line with wires, lettering in the crook of a bend."""

from __future__ import annotations

from itertools import pairwise

import numpy as np

from tracer.training.layout.geometry import distance
from tracer.training.layout.stages_pen import Pen, Place
from tracer.training.layout.stages_plan import Label

__all__ = ["crook_lettering", "line_eyes", "slant_wires"]


def _ends(pen: Pen) -> list[Place]:
    """Places where a wire may start: ends and bends of wires, and spots along them."""
    found: list[Place] = []
    for points, _ in pen.plan.wires:
        found += [place for place in points if not pen.at_terminal(place)]
        for (x0, y0), (x1, y1) in pairwise(points):
            if abs(x1 - x0) + abs(y1 - y0) > 16 * pen.stroke:
                part = float(pen.rng.uniform(0.25, 0.75))
                found.append((x0 + part * (x1 - x0), y0 + part * (y1 - y0)))
    return found


def slant_wires(pen: Pen, count: int) -> None:
    """Whole wires at any slope between places of other wires, some through a part, some ending in a ring."""
    ends = np.array(_ends(pen), dtype=np.float64).reshape(-1, 2)
    if not len(ends):
        return
    for _ in range(6 * count):
        if count <= 0:
            return
        ax, ay = (float(value) for value in ends[int(pen.rng.integers(0, len(ends)))])
        reach = float(pen.rng.uniform(9, 70)) * pen.stroke
        off = np.abs(ends - (ax, ay))
        away = np.hypot(off[:, 0], off[:, 1])
        near = np.flatnonzero((away > 0.5 * reach) & (away < 1.5 * reach) & (off.min(axis=1) > 0.06 * reach))
        if len(near) and pen.chance(0.8):
            x, y = ends[int(near[pen.rng.integers(0, len(near))])]
            b = (float(x), float(y))
        else:
            angle = float(pen.rng.uniform(0, 2 * np.pi))
            if pen.chance(0.5):
                angle = (int(pen.rng.integers(0, 4)) + 0.5) * np.pi / 2
            b = (ax + reach * float(np.cos(angle)), ay + reach * float(np.sin(angle)))
        long = float(np.hypot(b[0] - ax, b[1] - ay))
        kinds = [str(pen.rng.choice(["R", "C", "D"]))] if long > 16 * pen.u and pen.chance(0.4) else []
        if not (_sharp(pen, (ax, ay), b) or _sharp(pen, b, (ax, ay))) and pen.attempt(
            pen.link, (ax, ay), b, *kinds
        ):
            count -= 1


def _sharp(pen: Pen, place: Place, towards: Place) -> bool:
    """Whether a wire from `place` would run off at less than half a right angle to one that is there."""
    rows, at = pen.ground.segments, np.array(place)
    way = (np.array(towards) - at) / max(float(np.hypot(towards[0] - at[0], towards[1] - at[1])), 1e-9)
    for end, far in ((rows[:, :2], rows[:, 2:]), (rows[:, 2:], rows[:, :2])):
        run = end - far
        long = np.maximum(np.hypot(run[:, 0], run[:, 1]), 1e-9)
        along = ((at - far) * run).sum(axis=1) / long
        aside = np.abs((at - far)[:, 0] * run[:, 1] - (at - far)[:, 1] * run[:, 0]) / long
        back = (
            (aside < 0.6) & (along > 0.6) & (along < long + 0.6)
        )  # a piece of wire leads from here to `far`
        if (-(run[back] / long[back, None]) @ way > 0.75).any():
            return True
    return False


def line_eyes(pen: Pen, share: float) -> None:
    """Solder eyes three to five strokes wide, filled or open, in line with wires that go on behind them."""
    crossings = pen.ground.crossings
    for points, _ in pen.plan.wires:
        for (x0, y0), (x1, y1) in pairwise(points):
            long = float(np.hypot(x1 - x0, y1 - y0))
            if long < 16 * pen.stroke or not pen.chance(share):
                continue
            part = float(pen.rng.uniform(0.3, 0.7))
            x, y = x0 + part * (x1 - x0), y0 + part * (y1 - y0)
            room = 6.5 * pen.stroke
            if len(crossings) and np.hypot(*(crossings - (x, y)).T).min() < room:
                continue
            if _lonely(pen, x, y, room):
                manner = str(pen.rng.choice(["disc", "ring", "ring", "blot"]))
                pen.plan.eyes.append((x, y, float(pen.rng.uniform(1.6, 2.6)), manner))


def _lonely(pen: Pen, x: float, y: float, room: float) -> bool:
    """Whether one wire alone, and no body, comes within `room` of a place."""
    boxes, rows = pen.ground.boxes, pen.ground.segments
    if (
        (boxes[:, 0] < x + room)
        & (boxes[:, 2] > x - room)
        & (boxes[:, 1] < y + room)
        & (boxes[:, 3] > y - room)
    ).any():
        return False
    away = distance(np.broadcast_to(np.array([x, y]), (len(rows), 2)), rows[:, :2], rows[:, 2:])
    return int((away < room).sum()) == 1


def crook_lettering(pen: Pen, share: float) -> None:
    """Large lettering in the crook of bends, one to three strokes off both arms."""
    for points, _ in pen.plan.wires:
        for before, (x, y), after in zip(points[:-2], points[1:-1], points[2:], strict=True):
            if not pen.chance(share):
                continue
            sx = np.sign(before[0] + after[0] - 2 * x)
            sy = np.sign(before[1] + after[1] - 2 * y)
            text = str(
                pen.rng.choice(["VR22", "7", "13", "R9", "+5", "1K", "C4", "16", "Q", "VDD", "B", "COM"])
            )
            size = float(pen.rng.uniform(0.9, 1.6))
            off = float(pen.rng.uniform(1.0, 3.0)) * pen.stroke
            half, tall = 0.4 * size * pen.high * len(text), 0.62 * size * pen.high
            gap = 0.35 * size * pen.high
            dx, dy = (off + half) / (half + gap), (off + tall) / (tall + gap)
            pen.plan.labels.append(Label(x, y, text, float(sx) * dx, float(sy) * dy, size, 0.0, True))

"""More hands for capacitors: heavy and hollow plates, cups, trimmers, feed-throughs, cans of several."""

from __future__ import annotations

import numpy as np

from tracer.training.strokes import Stroke, arc, arrow_head, box, line
from tracer.training.symbols.symbol import Inscription, Symbol, Terminal, rectangle, symbol, two_ended

__all__: list[str] = []


@symbol("capacitor.heavy")
def heavy_plates(rng: np.random.Generator) -> Symbol:
    """Plates far heavier or far longer than the wires; at times one black and one thin."""
    gap, height = rng.uniform(0.3, 0.7), rng.uniform(0.9, 2.8)
    thick = float(rng.choice([0.3, 0.5, 0.8]))
    one = box(-gap - thick, -height, -gap, height, fill=1.0)
    pick = rng.random()
    other = (
        box(gap, -height, gap + thick, height, fill=1.0)
        if pick < 0.6
        else line((gap, -height), (gap, height))
    )
    right = gap + thick if pick < 0.6 else gap + 0.15
    ends = (Terminal("1", -gap - thick, 0.0, -1.0, 0.0), Terminal("2", right, 0.0, 1.0, 0.0))
    return Symbol("capacitor", (one, other), (rectangle(-gap - thick, -height, right, height),), ends)


@symbol("capacitor.hollow")
def hollow_plates(rng: np.random.Generator) -> Symbol:
    """An electrolytic of two hollow boxes, or a hollow box and a black one, wide or narrow."""
    gap, height = rng.uniform(0.2, 0.5), rng.uniform(0.9, 2.0)
    thick = rng.uniform(0.4, 1.1)
    black = rng.random()
    first = box(-gap - thick, -height, -gap, height)
    other = box(gap, -height, gap + thick, height, fill=1.0 if black < 0.55 else None)
    edge = gap + thick
    marks = (Inscription(-edge - 0.8, -height * 0.8, "+", 1.1),) if rng.random() < 0.6 else ()
    region = (rectangle(-edge, -height, edge, height),)
    return Symbol("capacitor", (first, other), region, two_ended(edge, ("+", "-")), marks)


@symbol("capacitor.cup")
def cup(rng: np.random.Generator) -> Symbol:
    """A straight plate before a deep or a shallow curve, the curve turned either way."""
    gap, height = rng.uniform(0.3, 0.6), rng.uniform(1.0, 2.2)
    half_angle = float(rng.uniform(25, 65))
    radius = height / np.sin(np.deg2rad(half_angle))
    plate = line((-gap, -height), (-gap, height), width=float(rng.choice([1.0, 1.0, 2.0])))
    hollow = arc(gap + radius, 0.0, radius, 180 - half_angle, 180 + half_angle)
    tail = float(hollow.points[0, 0])
    region = np.array([(-gap, -height), (tail, -height), (gap, 0), (tail, height), (-gap, height)])
    ends = (Terminal("1", -gap, 0.0, -1.0, 0.0), Terminal("2", gap, 0.0, 1.0, 0.0))
    marks = (Inscription(-gap - 0.9, -height * 0.75, "+", 1.0),) if rng.random() < 0.3 else ()
    return Symbol("capacitor", (plate, hollow), (region,), ends, marks)


@symbol("capacitor.trimmer")
def trimmer(rng: np.random.Generator) -> Symbol:
    """Plates crossed by a slanting bar with a T or an arrow; the rotor curved at times."""
    gap, height = rng.uniform(0.35, 0.6), rng.uniform(1.1, 1.8)
    run, rise = rng.uniform(1.2, 1.9), rng.uniform(1.2, 2.2)
    plates = [line((-gap, -height), (-gap, height))]
    if rng.random() < 0.4:
        radius = height * 1.4
        plates.append(arc(gap + radius, 0.0, radius, 180 - 45, 180 + 45))
    else:
        plates.append(line((gap, -height), (gap, height)))
    bar = line((-run, rise), (run, -rise))
    out = np.array([run, -rise]) / np.hypot(run, rise)
    side = np.array([-out[1], out[0]]) * 0.6
    tip = np.array([run, -rise])
    if rng.random() < 0.7:
        end: list[Stroke] = [Stroke(np.stack([tip - side, tip + side]))]
    else:
        end = arrow_head((run, -rise), (run, -rise), 0.8, solid=bool(rng.random() < 0.6))
    foot = -tip
    wide = side * 0.75
    band = np.stack([foot - wide, foot + wide, tip + wide * 1.4, tip - wide * 1.4])
    region = (rectangle(-gap - 0.15, -height, gap + 0.6, height), band)
    ends = (Terminal("1", -gap - 0.15, 0.0, -1.0, 0.0), Terminal("2", gap + 0.6, 0.0, 1.0, 0.0))
    strokes = (*plates, bar, *end, line((gap, 0.0), (gap + 0.6, 0.0)))
    return Symbol("capacitor", strokes, region, ends)


@symbol("capacitor.through")
def feed_through(rng: np.random.Generator) -> Symbol:
    """A wire through a chassis between two earthed arcs or bars."""
    reach, gap = rng.uniform(0.9, 1.5), rng.uniform(0.45, 0.7)
    foot = gap + rng.uniform(0.5, 1.0)
    strokes = [line((-reach, 0.0), (reach, 0.0))]
    if rng.random() < 0.5:
        strokes += [
            line((-reach * 0.8, gap), (reach * 0.8, gap)),
            line((-reach * 0.8, -gap), (reach * 0.8, -gap)),
        ]
    else:
        strokes += [arc(0, gap + 1.2, 1.2, 225, 315), arc(0, -gap - 1.2, 1.2, 45, 135)]
    strokes.append(line((0.0, gap), (0.0, foot)))
    region = (rectangle(-reach, -gap - 0.4, reach, foot),)
    ends = (*two_ended(reach, ("1", "tap1")), Terminal("2", 0.0, foot, 0.0, 1.0))
    return Symbol("capacitor", tuple(strokes), region, ends)


@symbol("capacitor.shared")
def shared_can(rng: np.random.Generator) -> Symbol:
    """Two or three positive plates before one common negative one."""
    count, pitch = int(rng.integers(2, 4)), rng.uniform(2.4, 3.4)
    gap, thick = rng.uniform(0.3, 0.5), rng.uniform(0.3, 0.7)
    half = (count - 1) * pitch / 2 + 1.0
    common = box(-half, gap, half, gap + thick, fill=float(rng.choice([1.0, 0.0])))
    strokes: list[Stroke] = [common]
    terminals = [Terminal("-", 0.0, gap + thick, 0.0, 1.0)]
    region = [rectangle(-half, -gap, half, gap + thick)]
    for index in range(count):
        x = -half + 1.0 + index * pitch
        strokes.append(box(x - 0.85, -gap - thick, x + 0.85, -gap))
        region.append(rectangle(x - 0.85, -gap - thick, x + 0.85, 0.0))
        terminals.append(Terminal(f"tap{index}" if index else "+", x, -gap - thick, 0.0, -1.0))
    return Symbol("capacitor", tuple(strokes), tuple(region), tuple(terminals))

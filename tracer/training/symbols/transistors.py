"""More transistors: unijunctions, pairs, insulated gates, wide ones, bare ones and ones with splayed legs."""

from __future__ import annotations

import numpy as np

from tracer.training.strokes import Stroke, arrow_head, circle, line
from tracer.training.symbols.symbol import Symbol, Terminal, disc, symbol

__all__: list[str] = []


def _case(rng: np.random.Generator, radius: float) -> list[Stroke]:
    return [circle(0, 0, radius, float(rng.choice([1.0, 1.0, 1.0, 2.0])))]


@symbol("transistor.bare")
def bare_transistor(rng: np.random.Generator) -> Symbol:
    """Base bar with steep or flat legs, no ring; emitter arrow at its end, half way or at the bar."""
    high, reach = rng.uniform(0.9, 1.7), rng.uniform(0.9, 1.8)
    fall = rng.uniform(0.2, 0.5) * high
    tail = rng.uniform(0.6, 1.6)
    y1 = high + rng.uniform(0.2, 0.9)
    inner, outer = np.array([0.0, fall]), np.array([reach, y1])
    outward = bool(rng.random() < 0.6)
    part = float(rng.choice([1.0, 0.7, 0.6]))
    tip = inner + (outer - inner) * part if outward else inner + (outer - inner) * 0.08
    way = outer - inner if outward else inner - outer
    strokes = [
        line((0, -high), (0, high), width=float(rng.choice([1.0, 1.8, 2.8]))),
        line((-tail, 0), (0, 0)),
        line((0, -fall), (reach, -y1)),
        line((0, fall), (reach, y1)),
        *arrow_head(
            (float(tip[0]), float(tip[1])),
            (float(way[0]), float(way[1])),
            rng.uniform(0.6, 1.0),
            solid=bool(rng.random() < 0.75),
        ),
    ]
    hull = np.array(
        [
            (-tail, -0.25),
            (0, -high),
            (reach, -y1),
            (reach + 0.2, -y1),
            (reach + 0.2, y1),
            (reach, y1),
            (0, high),
            (-tail, 0.25),
        ]
    )
    ends = (Terminal("e", reach, y1, 0, 1), Terminal("b", -tail, 0, -1, 0), Terminal("c", reach, -y1, 0, -1))
    return Symbol("transistor", tuple(strokes), (hull,), ends)


@symbol("transistor.pair")
def darlington(rng: np.random.Generator) -> Symbol:
    """Two transistors in one ring, the first's emitter on the second's base."""
    radius = rng.uniform(2.4, 3.0)
    x1 = radius * 0.5
    y1 = float(np.sqrt(radius**2 - x1**2))
    strokes = _case(rng, radius)
    strokes += [
        line((-radius, -0.6), (-1.2, -0.6)),
        line((-1.2, -1.4), (-1.2, 0.2)),
        line((-1.2, -0.9), (-0.2, -1.6), (x1, -1.6)),
        line((-1.2, -0.3), (-0.2, 0.6)),
        line((0.0, -0.2), (0.0, 1.4)),
        line((-0.2, 0.6), (0.0, 0.6)),
        line((0.0, 0.3), (x1, -0.5), (x1, -y1)),
        line((0.0, 0.9), (x1, 1.6), (x1, y1)),
        *arrow_head((x1 * 0.9, 1.5), (x1, 0.7), 0.7, solid=True),
        *arrow_head((-0.35, 0.45), (1.0, 0.9), 0.6, solid=True),
    ]
    ends = (Terminal("e", x1, y1, 0, 1), Terminal("b", -radius, -0.6, -1, 0), Terminal("c", x1, -y1, 0, -1))
    return Symbol("transistor", tuple(strokes), (disc(0, 0, radius + 0.05),), ends)


@symbol("transistor.gate")
def gate_transistor(rng: np.random.Generator) -> Symbol:
    """Field-effect kinds: junction, insulated gate with whole or broken channel; ringed or bare."""
    radius = rng.uniform(1.8, 2.4)
    ringed = bool(rng.random() < 0.7)
    x0, x1 = -0.1, radius * 0.5
    y1 = float(np.sqrt(radius**2 - x1**2))
    strokes = _case(rng, radius) if ringed else []
    channel = rng.uniform(0.9, 1.2)
    insulated = bool(rng.random() < 0.5)
    if insulated and rng.random() < 0.6:
        strokes += [
            line((x0, y - 0.28), (x0, y + 0.28), width=1.5) for y in (-channel * 0.8, 0.0, channel * 0.8)
        ]
    else:
        strokes.append(line((x0, -channel), (x0, channel), width=float(rng.choice([1.0, 1.8]))))
    low = channel * 0.75
    strokes += [line((x0, -low), (x1, -low), (x1, -y1)), line((x0, low), (x1, low), (x1, y1))]
    if insulated:
        gate = x0 - 0.45
        strokes += [
            line((gate, -channel * 0.8), (gate, channel * 0.8)),
            line((-radius, channel * 0.8), (gate, channel * 0.8)),
        ]
        strokes += [
            line((x0, 0), (x1, 0), (x1, low)),
            *arrow_head((x0, 0) if rng.random() < 0.5 else (x1 - 0.7, 0), (-1, 0), 0.6, solid=True),
        ]
        y = channel * 0.8
    else:
        y = float(rng.choice([0.0, 0.0, low]))
        strokes.append(line((-radius, y), (x0, y)))
        inward = bool(rng.random() < 0.5)
        strokes += arrow_head(
            (x0, y) if inward else (x0 - 0.75, y), (1, 0) if inward else (-1, 0), 0.6, solid=True
        )
    foot = -float(np.sqrt(radius**2 - y**2)) if ringed else -radius
    if foot > -radius:
        strokes = [s for s in strokes if s.points[0, 0] != -radius or len(s.points) > 2]
        strokes.append(line((foot, y), (x0 - (0.45 if insulated else 0.0), y)))
    ends = (Terminal("e", x1, y1, 0, 1), Terminal("b", foot, y, -1, 0), Terminal("c", x1, -y1, 0, -1))
    region = (
        disc(0, 0, radius)
        if ringed
        else np.array(
            [
                (-radius, y - 0.25),
                (x0 - 0.5, -channel),
                (x1, -y1),
                (x1 + 0.2, -y1),
                (x1 + 0.2, y1),
                (x1, y1),
                (x0 - 0.5, channel + 0.2),
                (-radius, y + 0.25),
            ]
        )
    )
    return Symbol("transistor", tuple(strokes), (region,), ends)


@symbol("transistor.unijunction")
def unijunction(rng: np.random.Generator) -> Symbol:
    """A bar with two bases and a slanting emitter whose arrow meets it."""
    radius = rng.uniform(1.7, 2.3)
    x1 = radius * 0.45
    y1 = float(np.sqrt(radius**2 - x1**2))
    strokes = _case(rng, radius)
    start = (-radius * 0.94, -radius * 0.34)
    strokes += [
        line((0, -1.1), (0, 1.1), width=1.6),
        line((0, -0.8), (x1, -0.8), (x1, -y1)),
        line((0, 0.8), (x1, 0.8), (x1, y1)),
        line(start, (-0.8, start[1]), (-0.05, 0.25)),
        *arrow_head((-0.05, 0.25), (0.75, 0.6), 0.7, solid=True),
    ]
    ends = (Terminal("e", *start, -1, 0), Terminal("b", x1, y1, 0, 1), Terminal("c", x1, -y1, 0, -1))
    return Symbol("transistor", tuple(strokes), (disc(0, 0, radius),), ends)


@symbol("transistor.wide")
def wide_ring(rng: np.random.Generator) -> Symbol:
    """A ring much wider or tighter than the legs; the collector tied to it at times."""
    radius = rng.uniform(1.3, 2.8)
    bar = min(radius * 0.6, 1.2)
    x0 = -radius * rng.uniform(0.05, 0.4)
    x1 = radius * rng.uniform(0.3, 0.6)
    y1 = float(np.sqrt(radius**2 - x1**2))
    knee = y1 * rng.uniform(0.55, 1.0)
    outward = bool(rng.random() < 0.6)
    inner, outer = np.array([x0, bar * 0.4]), np.array([x1, knee])
    tip, way = (outer, outer - inner) if outward else (inner, inner - outer)
    strokes = _case(rng, radius)
    strokes += [
        line((x0, -bar), (x0, bar), width=float(rng.choice([1.0, 2.0, 3.0]))),
        line((-radius, 0), (x0, 0)),
        line((x0, -bar * 0.4), (x1, -knee), (x1, -y1)),
        line((x0, bar * 0.4), (x1, knee), (x1, y1)),
        *arrow_head(
            (float(tip[0]), float(tip[1])),
            (float(way[0]), float(way[1])),
            min(radius * 0.4, 0.9),
            solid=bool(rng.random() < 0.8),
        ),
    ]
    if rng.random() < 0.2:
        strokes.append(circle(x1, -y1, 0.22, fill=1.0))
    ends = (Terminal("e", x1, y1, 0, 1), Terminal("b", -radius, 0, -1, 0), Terminal("c", x1, -y1, 0, -1))
    return Symbol("transistor", tuple(strokes), (disc(0, 0, radius),), ends)


@symbol("transistor.splayed")
def splayed(rng: np.random.Generator) -> Symbol:
    """Legs that go straight on out of the ring, so that the leads start at a slope."""
    radius = rng.uniform(1.5, 2.4)
    lean = np.deg2rad(rng.uniform(40, 62))
    dx, dy = float(np.cos(lean)), float(np.sin(lean))
    x0 = -radius * rng.uniform(0.0, 0.3)
    rise = 0.35
    # Along (x0, rise) + s (dx, dy) to the ring.
    near = x0 * dx + rise * dy
    long = -near + float(np.sqrt(near**2 - x0**2 - rise**2 + radius**2))
    x1, y1 = x0 + long * dx, rise + long * dy
    outward = bool(rng.random() < 0.6)
    part = float(rng.choice([0.95, 0.7]))
    tip = (x0 + part * long * dx, rise + part * long * dy) if outward else (x0 + 0.1 * dx, rise + 0.1 * dy)
    strokes = _case(rng, radius) if rng.random() < 0.75 else []
    bar = min(1.1, radius * 0.6)
    strokes += [
        line((x0, -bar), (x0, bar), width=float(rng.choice([1.0, 1.8, 2.6]))),
        line((-radius, 0), (x0, 0)),
        line((x0, -rise), (x1, -y1)),
        line((x0, rise), (x1, y1)),
        *arrow_head(tip, (dx, dy) if outward else (-dx, -dy), min(0.8, radius * 0.4), solid=True),
    ]
    ends = (Terminal("e", x1, y1, dx, dy), Terminal("b", -radius, 0, -1, 0), Terminal("c", x1, -y1, dx, -dy))
    return Symbol("transistor", tuple(strokes), (disc(0, 0, radius),), ends)

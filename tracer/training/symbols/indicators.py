"""More lamps, neons, fuses and meters."""

from __future__ import annotations

import numpy as np

from tracer.training.strokes import Stroke, arc, arrow_head, box, circle, line
from tracer.training.symbols.symbol import Inscription, Symbol, disc, rectangle, symbol, two_ended

__all__: list[str] = []


@symbol("lamp.loop")
def looped_lamp(rng: np.random.Generator) -> Symbol:
    """A filament of one loop, two bumps or a peak between its leads, in a thin or heavy ring."""
    radius = rng.uniform(1.0, 1.8)
    strokes = [circle(0, 0, radius, float(rng.choice([1.0, 1.0, 1.8])))]
    pick, w = rng.random(), radius * 0.45
    strokes += [line((-radius, 0), (-w, 0)), line((w, 0), (radius, 0))]
    if pick < 0.4:
        turn = np.linspace(np.pi, -np.pi * 2, 26)
        xs = np.linspace(-w, w, 26) + 0.25 * np.cos(turn) * np.sin(np.linspace(0, np.pi, 26))
        strokes.append(Stroke(np.stack([xs, -w * np.abs(np.sin(np.linspace(0, np.pi, 26)))], 1)))
    elif pick < 0.7:
        strokes += [arc(-w / 2, 0, w / 2, 180, 360), arc(w / 2, 0, w / 2, 180, 360)]
    else:
        strokes.append(line((-w, 0), (0, -w), (w, 0)))
    return Symbol("lamp", tuple(strokes), (disc(0, 0, radius),), two_ended(radius))


@symbol("lamp.bare")
def bare_lamp(rng: np.random.Generator) -> Symbol:
    """A small ring with a cross or a letter inside, or half black: a dial or pilot lamp."""
    radius = rng.uniform(0.8, 1.4)
    strokes = [circle(0, 0, radius)]
    inside: tuple[Inscription, ...] = ()
    pick, d = rng.random(), radius * 0.7071
    if pick < 0.5:
        strokes += [line((-d, -d), (d, d)), line((-d, d), (d, -d))]
        if rng.random() < 0.3:
            strokes.append(circle(0, 0, radius * 0.55))
    elif pick < 0.75:
        strokes.append(line((-d, d), (0, -d * 0.8), (d, d)))
    else:
        inside = (Inscription(0, 0, str(rng.choice(["L", "LP", "DL"])), radius * 0.8),)
    return Symbol("lamp", tuple(strokes), (disc(0, 0, radius),), two_ended(radius), inside)


@symbol("neon.plates")
def neon(rng: np.random.Generator) -> Symbol:
    """Two plates, or a plate and a ring, facing in a round envelope with or without its gas dot."""
    radius = rng.uniform(1.1, 1.8)
    gap, tall = rng.uniform(0.2, 0.4), radius * rng.uniform(0.35, 0.6)
    strokes = [circle(0, 0, radius, float(rng.choice([1.0, 1.0, 2.0]))), line((-radius, 0), (-gap, 0))]
    strokes.append(line((-gap, -tall), (-gap, tall), width=float(rng.choice([1.0, 1.8]))))
    if rng.random() < 0.7:
        strokes += [line((gap, -tall), (gap, tall)), line((gap, 0), (radius, 0))]
    else:
        strokes += [circle(gap + 0.3, 0, 0.3, fill=0.0), line((gap + 0.6, 0), (radius, 0))]
    if rng.random() < 0.7:
        strokes.append(circle(0.0, radius * 0.72, 0.15, fill=1.0))
    return Symbol("neon", tuple(strokes), (disc(0, 0, radius),), two_ended(radius))


@symbol("fuse.bow")
def bowed_fuse(rng: np.random.Generator) -> Symbol:
    """One bow or a flat S between dots, rings or nothing."""
    half, tall = rng.uniform(1.2, 2.4), rng.uniform(0.4, 0.9)
    xs = np.linspace(-half, half, 19)
    turns = 1.0 if rng.random() < 0.5 else 2.0
    wave = Stroke(np.stack([xs, -tall * np.sin(np.pi * turns * (xs + half) / (2 * half))], 1))
    strokes = [wave]
    edge = half
    if rng.random() < 0.5:
        fill = float(rng.choice([0.0, 1.0]))
        strokes += [circle(-half - 0.28, 0, 0.28, fill=fill), circle(half + 0.28, 0, 0.28, fill=fill)]
        edge = half + 0.56
    low = tall if turns > 1.5 else 0.3
    return Symbol("fuse", tuple(strokes), (rectangle(-edge, -tall, edge, low),), two_ended(edge))


@symbol("fuse.capped")
def capped_fuse(rng: np.random.Generator) -> Symbol:
    """A slim box with black caps, with a thin line through it, or with round ends."""
    half, tall = rng.uniform(1.5, 2.8), rng.uniform(0.4, 0.8)
    strokes = [box(-half, -tall, half, tall)]
    pick = rng.random()
    if pick < 0.4:
        cap = half * 0.25
        strokes += [
            box(-half, -tall, -half + cap, tall, fill=1.0),
            box(half - cap, -tall, half, tall, fill=1.0),
        ]
    elif pick < 0.8:
        strokes.append(line((-half, 0), (half, 0), width=0.8))
    else:
        strokes += [arc(-half + tall, 0, tall, 90, 270), arc(half - tall, 0, tall, -90, 90)]
    return Symbol("fuse", tuple(strokes), (rectangle(-half, -tall, half, tall),), two_ended(half))


@symbol("meter.scale")
def scaled_meter(rng: np.random.Generator) -> Symbol:
    """A ring or box with an arc and a needle, or with its unit and a bar."""
    half = rng.uniform(1.4, 2.3)
    boxed = bool(rng.random() < 0.35)
    outline = box(-half, -half, half, half) if boxed else circle(0, 0, half)
    strokes = [outline]
    inside: tuple[Inscription, ...] = ()
    if rng.random() < 0.55:
        strokes.append(arc(0, half * 0.55, half * 0.85, 225, 315))
        lean = float(rng.uniform(-0.5, 0.5)) * half
        strokes.append(line((0, half * 0.55), (lean, -half * 0.35)))
        if rng.random() < 0.5:
            strokes += arrow_head((lean, -half * 0.35), (lean, -half), 0.6, solid=True)
    else:
        inside = (Inscription(0, 0, str(rng.choice(["V", "mA", "S", "dB", "µA", "~V", "M"])), half * 0.75),)
    region = rectangle(-half, -half, half, half) if boxed else disc(0, 0, half)
    return Symbol("meter", tuple(strokes), (region,), two_ended(half, ("+", "-")), inside)

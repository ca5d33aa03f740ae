"""Batteries, lamps, meters, speakers."""

from __future__ import annotations

import numpy as np

from tracer.training.strokes import Stroke, arc, arrow_head, box, circle, line, polygon
from tracer.training.symbols.symbol import Inscription, Symbol, Terminal, disc, rectangle, symbol, two_ended

__all__: list[str] = []


@symbol("battery.cells")
def battery(rng: np.random.Generator) -> Symbol:
    """Long thin and short thick plates, one cell or several, dotted between at times."""
    cells = int(rng.choice([1, 2, 3, 4]))
    pitch, long, short = rng.uniform(0.5, 0.7), rng.uniform(1.4, 2.0), rng.uniform(0.6, 0.9)
    half = (2 * cells - 1) * pitch / 2
    strokes: list[Stroke] = []
    for index in range(2 * cells):
        x = -half + index * pitch
        if index % 2 == 0:
            strokes.append(line((x, -long), (x, long)))
        else:
            strokes.append(line((x, -short), (x, short), width=float(rng.choice([1.0, 2.0, 3.0]))))
    marks = (Inscription(-half - 1.0, -long * 0.7, "+", 1.1),) if rng.random() < 0.5 else ()
    region = (rectangle(-half, -long, half, long),)
    return Symbol("battery", tuple(strokes), region, two_ended(half, ("+", "-")), marks)


@symbol("lamp.cross")
def crossed_lamp(rng: np.random.Generator) -> Symbol:
    """A circle with a cross in it."""
    radius = rng.uniform(1.2, 1.8)
    d = radius * 0.7071
    strokes = (circle(0, 0, radius), line((-d, -d), (d, d)), line((-d, d), (d, -d)))
    return Symbol("lamp", strokes, (disc(0, 0, radius),), two_ended(radius))


@symbol("lamp.filament")
def filament_lamp(rng: np.random.Generator) -> Symbol:
    """A circle with a looped filament; with two plates and a dot it is a neon."""
    radius = rng.uniform(1.3, 1.9)
    strokes = [circle(0, 0, radius)]
    kind = "lamp"
    if rng.random() < 0.65:
        strokes += [line((-radius, 0), (-0.45, 0)), line((0.45, 0), (radius, 0)), arc(0, 0, 0.45, 180, 360)]
    else:
        kind = "neon"
        strokes += [line((-radius, 0), (-0.35, 0)), line((0.35, 0), (radius, 0))]
        strokes += [line((x, -0.7), (x, 0.7)) for x in (-0.35, 0.35)]
        strokes.append(circle(0.0, 0.95, 0.14, fill=1.0))
    return Symbol(kind, tuple(strokes), (disc(0, 0, radius),), two_ended(radius))


@symbol("meter.ring")
def meter(rng: np.random.Generator) -> Symbol:
    """A circle with letters or a slanting arrow."""
    radius = rng.uniform(1.5, 2.3)
    strokes = [circle(0, 0, radius)]
    inside: tuple[Inscription, ...] = ()
    if rng.random() < 0.6:
        inside = (Inscription(0, 0, str(rng.choice(["V", "A", "mA", "M", "µA", "VU"])), 1.3),)
    else:
        d = radius * 0.6
        strokes += [line((-d, d), (d, -d)), *arrow_head((d, -d), (1, -1), 0.8, solid=True)]
    return Symbol("meter", tuple(strokes), (disc(0, 0, radius),), two_ended(radius, ("+", "-")), inside)


@symbol("speaker.cone")
def speaker(rng: np.random.Generator) -> Symbol:
    """A small box and a cone, the leads at the box's ends; or at its back."""
    half, deep, cone = rng.uniform(1.1, 1.6), rng.uniform(0.7, 1.0), rng.uniform(1.2, 2.0)
    flare = half + cone * rng.uniform(0.6, 1.0)
    strokes = [box(-half, -deep, half, deep)]
    strokes.append(line((-half, -deep), (-flare, -deep - cone), (flare, -deep - cone), (half, -deep)))
    hull = np.array(
        [
            (-half, deep),
            (-half, -deep),
            (-flare, -deep - cone),
            (flare, -deep - cone),
            (half, -deep),
            (half, deep),
        ]
    )
    return Symbol("speaker", tuple(strokes), (hull,), two_ended(half))


@symbol("speaker.receiver")
def receiver(rng: np.random.Generator) -> Symbol:
    """A circle with a flat diaphragm: earphone or microphone."""
    radius = rng.uniform(1.2, 1.7)
    strokes = (circle(0, 0, radius), line((-radius, -radius), (radius, -radius)))
    region = (disc(0, 0, radius), rectangle(-radius, -radius, radius, 0))
    return Symbol("speaker", strokes, region, two_ended(radius))


@symbol("other.aerial")
def aerial(rng: np.random.Generator) -> Symbol:
    """An aerial: a mast with two arms, or a triangle on its tip."""
    high = rng.uniform(1.6, 2.4)
    wide = rng.uniform(0.9, 1.4)
    if rng.random() < 0.5:
        strokes = (line((0, 0), (0, -high)), line((-wide, -high), (0, -high + 1.2), (wide, -high)))
    else:
        strokes = (line((0, 0), (0, -high)), polygon((-wide, -high), (wide, -high), (0, -high + 1.3)))
    hull = np.array([(-wide, -high), (wide, -high), (0.2, 0), (-0.2, 0)])
    return Symbol("other", strokes, (hull,), (Terminal("1", 0, 0, 0, 1),))

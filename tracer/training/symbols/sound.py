"""More speakers, earphones, microphones, heads, pick-ups; aerials and batteries."""

from __future__ import annotations

import numpy as np

from tracer.training.strokes import Points, Stroke, arc, box, circle, line, polygon
from tracer.training.symbols.symbol import Inscription, Symbol, Terminal, disc, rectangle, symbol, two_ended

__all__: list[str] = []


@symbol("speaker.coil")
def coil_speaker(rng: np.random.Generator) -> Symbol:
    """A cone on a slim magnet or a voice coil, its leads side by side at the back."""
    half, deep = rng.uniform(0.7, 1.1), rng.uniform(0.5, 0.9)
    flare, long = rng.uniform(1.7, 2.6), rng.uniform(1.0, 2.0)
    strokes: list[Stroke] = [box(-deep, -half, deep, half, fill=1.0 if rng.random() < 0.2 else None)]
    strokes.append(polygon((deep, -half), (deep + long, -flare), (deep + long, flare), (deep, half)))
    hull = np.array(
        [
            (-deep, -half),
            (deep, -half),
            (deep + long, -flare),
            (deep + long, flare),
            (deep, half),
            (-deep, half),
        ]
    )
    y = half * 0.6
    ends = (Terminal("1", -deep, -y, -1.0, 0.0), Terminal("2", -deep, y, -1.0, 0.0))
    return Symbol("speaker", tuple(strokes), (hull,), ends)


@symbol("speaker.field")
def field_speaker(rng: np.random.Generator) -> Symbol:
    """A horn-like cone on two leads that run into it: no box, or a bar across its throat."""
    throat, flare, long = rng.uniform(0.5, 0.9), rng.uniform(1.5, 2.4), rng.uniform(1.4, 2.4)
    strokes: list[Stroke] = [polygon((0, -throat), (long, -flare), (long, flare), (0, throat))]
    if rng.random() < 0.6:
        strokes.append(line((long * 0.35, -throat * 1.4), (long * 0.35, throat * 1.4)))
    hull = np.array([(0, -throat), (long, -flare), (long, flare), (0, throat)])
    y = throat * 0.7
    return Symbol(
        "speaker", tuple(strokes), (hull,), (Terminal("1", 0, -y, -1, 0), Terminal("2", 0, y, -1, 0))
    )


@symbol("speaker.phones")
def phones(rng: np.random.Generator) -> Symbol:
    """A pair of headphones: two shells under a bow, or one shell seen from the side."""
    half, radius = rng.uniform(1.4, 2.0), rng.uniform(0.6, 0.9)
    bow = arc(0, 0, half, 180, 360)
    shells = [circle(x, 0, radius, fill=0.0) for x in (-half, half)]
    region = (disc(-half, 0, radius), disc(half, 0, radius), arc(0, 0, half + 0.2, 180, 360).points)
    edge = half + radius
    return Symbol("speaker", (bow, *shells), region, two_ended(edge))


@symbol("other.microphone")
def microphone(rng: np.random.Generator) -> Symbol:
    """A shell with its diaphragm: a ring against a bar, a half ring, or a capsule with plates."""
    radius = rng.uniform(0.9, 1.5)
    pick = rng.random()
    if pick < 0.5:
        strokes: tuple[Stroke, ...] = (circle(0, 0, radius), line((-radius, -radius), (-radius, radius)))
        region: tuple[Points, ...] = (disc(0, 0, radius), rectangle(-radius, -radius, 0, radius))
    elif pick < 0.8:
        strokes = (arc(0, 0, radius, -90, 90), line((0, -radius), (0, radius)))
        region = (rectangle(-0.15, -radius, 0.15, radius), arc(0, 0, radius, -90, 90).points)
    else:
        strokes = (circle(0, 0, radius), line((-0.25, -0.7), (-0.25, 0.7)), line((0.25, -0.7), (0.25, 0.7)),
                   line((0.25, 0), (radius, 0)))  # fmt: skip
        region = (disc(0, 0, radius),)
    if pick < 0.8:
        y = radius * 0.5
        x = float(np.sqrt(radius**2 - y**2))
        return Symbol("other", strokes, region, (Terminal("1", x, -y, 1, 0), Terminal("2", x, y, 1, 0)))
    return Symbol("other", strokes, region, two_ended(radius))


@symbol("other.head")
def tape_head(rng: np.random.Generator) -> Symbol:
    """A head: a horseshoe or a D with a gap, a coil or an arrow in it."""
    radius = rng.uniform(1.2, 1.8)
    strokes: list[Stroke] = [arc(0, 0, radius, -160, 160, float(rng.choice([1.0, 1.8, 3.0])))]
    if rng.random() < 0.6:
        strokes.append(line((radius * 0.2, -radius * 0.5), (radius * 0.2, radius * 0.5)))
    else:
        strokes += [arc(0.1, y, 0.35, -90, 90) for y in (-0.7, 0.0, 0.7)]
    y = radius * 0.6
    x = float(np.sqrt(radius**2 - y**2))
    return Symbol(
        "other",
        tuple(strokes),
        (disc(0, 0, radius),),
        (Terminal("1", x, -y, 1, 0), Terminal("2", x, y, 1, 0)),
    )


@symbol("other.pickup")
def pick_up(rng: np.random.Generator) -> Symbol:
    """A gramophone pick-up: a cartridge box on a stylus, or a crystal between plates in a shell."""
    wide, high = rng.uniform(1.4, 2.2), rng.uniform(0.7, 1.1)
    strokes: list[Stroke] = [box(-wide, -high, wide, high)]
    strokes.append(line((-wide, high), (-wide + 0.5, high + 0.9), (-wide + 1.0, high)))
    if rng.random() < 0.6:
        strokes += [
            line((-wide * 0.4, -0.45), (wide * 0.4, -0.45)),
            line((-wide * 0.4, 0.45), (wide * 0.4, 0.45)),
            box(-wide * 0.3, -0.2, wide * 0.3, 0.2),
        ]
    region = (
        rectangle(-wide, -high, wide, high),
        np.array([(-wide, high), (-wide + 0.5, high + 0.9), (-wide + 1.0, high)]),
    )
    y = high * 0.6
    return Symbol(
        "other", tuple(strokes), region, (Terminal("1", wide, -y, 1, 0), Terminal("2", wide, y, 1, 0))
    )


@symbol("other.dipole")
def dipole(rng: np.random.Generator) -> Symbol:
    """A dipole, a loop or a fan aerial."""
    wide, high = rng.uniform(1.4, 2.2), rng.uniform(1.2, 2.2)
    pick = rng.random()
    if pick < 0.4:
        strokes = (
            line((-0.35, 0), (-0.35, -high), (-wide, -high)),
            line((0.35, 0), (0.35, -high), (wide, -high)),
        )
        region: tuple[Points, ...] = (
            rectangle(-0.35, -high, 0.35, 0),
            rectangle(-wide, -high - 0.1, wide, -high + 0.3),
        )
        return Symbol("other", strokes, region, (Terminal("1", -0.35, 0, 0, 1), Terminal("2", 0.35, 0, 0, 1)))
    if pick < 0.7:
        loop = line(
            (-0.4, 0),
            (-0.4, -0.5),
            (-wide, -0.5),
            (-wide, -high - 0.6),
            (wide, -high - 0.6),
            (wide, -0.5),
            (0.4, -0.5),
            (0.4, 0),
        )
        region = (rectangle(-wide, -high - 0.6, wide, -0.5), rectangle(-0.4, -0.6, 0.4, 0))
        return Symbol("other", (loop,), region, (Terminal("1", -0.4, 0, 0, 1), Terminal("2", 0.4, 0, 0, 1)))
    fan = [line((0, -high * 0.45), (float(x), -high)) for x in np.linspace(-wide * 0.7, wide * 0.7, 3)]
    region = (
        np.array(
            [
                (-0.2, 0),
                (0.2, 0),
                (0.2, -high * 0.4),
                (wide * 0.75, -high),
                (-wide * 0.75, -high),
                (-0.2, -high * 0.4),
            ]
        ),
    )
    return Symbol("other", (line((0, 0), (0, -high)), *fan), region, (Terminal("1", 0, 0, 0, 1),))


@symbol("battery.long")
def long_battery(rng: np.random.Generator) -> Symbol:
    """One or two cells with a dashed or dotted run between them, or a boxed battery."""
    long, short = rng.uniform(1.0, 1.9), rng.uniform(0.4, 0.9)
    gap, run = rng.uniform(0.35, 0.6), rng.uniform(0.8, 2.0)
    heavy = float(rng.choice([1.0, 2.0, 3.0]))
    half = run / 2 + gap
    strokes: list[Stroke] = []
    for left in (-half, run / 2):
        strokes.append(line((left, -long), (left, long)))
        strokes.append(line((left + gap, -short), (left + gap, short), width=heavy))
    count = int(rng.integers(2, 5))
    for x in np.linspace(-run / 2, run / 2, 2 * count + 1)[1::2]:
        strokes.append(line((float(x) - 0.1, 0), (float(x) + 0.1, 0)))
    marks = (Inscription(-half - 0.8, -long * 0.8, "+", 1.0),) if rng.random() < 0.5 else ()
    return Symbol(
        "battery", tuple(strokes), (rectangle(-half, -long, half, long),), two_ended(half, ("+", "-")), marks
    )

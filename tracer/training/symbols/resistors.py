"""More hands for resistors and pots: steep and flat zigzags, square waves, ratings, tees, slanting arrows."""

from __future__ import annotations

from itertools import pairwise

import numpy as np

from tracer.training.strokes import Points, Stroke, arrow_head, box, circle, line, zigzag_line
from tracer.training.symbols.symbol import Inscription, Symbol, Terminal, disc, rectangle, symbol, two_ended

__all__: list[str] = []


def _track(rng: np.random.Generator, half: float, height: float) -> Stroke:
    """Zigzag, box or square wave along y = 0."""
    pick = rng.random()
    if pick < 0.5:
        return zigzag_line(-half, half, height, int(rng.integers(2, 6)))
    if pick < 0.92:
        return box(-half, -height, half, height)
    return _square_wave(half, height, int(rng.integers(2, 5)))


def _square_wave(half: float, height: float, teeth: int) -> Stroke:
    xs = np.linspace(-half, half, 2 * teeth + 1)
    points = [(-half, 0.0)]
    for index, (left, right) in enumerate(pairwise(xs)):
        y = height * (-1) ** (index + 1)
        points += [(float(left), y), (float(right), y)]
    return line(*points, (half, 0.0))


@symbol("resistor.peaks")
def peaked_resistor(rng: np.random.Generator) -> Symbol:
    """A zigzag of two to five peaks, flat or steep, its peaks uneven as a hurried hand draws them."""
    half, height = rng.uniform(1.5, 4.4), rng.uniform(0.45, 1.6)
    teeth = int(rng.integers(2, 6))
    points = zigzag_line(-half, half, height, teeth).points.copy()
    sway = float(rng.choice([0.0, 0.0, 0.08, 0.16]))
    points[1:-1] += rng.normal(0.0, 1.0, points[1:-1].shape) * sway * np.array([half / teeth, height])
    tall = float(np.abs(points[:, 1]).max())
    return Symbol("resistor", (Stroke(points),), (rectangle(-half, -tall, half, tall),), two_ended(half))


@symbol("resistor.squares")
def square_resistor(rng: np.random.Generator) -> Symbol:
    """The square wave of Continental sheets."""
    half, height = rng.uniform(2.0, 3.6), rng.uniform(0.5, 1.1)
    wave = _square_wave(half, height, int(rng.integers(2, 5)))
    return Symbol("resistor", (wave,), (rectangle(-half, -height, half, height),), two_ended(half))


@symbol("resistor.rated")
def rated_resistor(rng: np.random.Generator) -> Symbol:
    """A box that tells its rating: slanting ticks, upright bars, a level bar, a V, a cross."""
    half, height = rng.uniform(2.0, 3.8), rng.uniform(0.6, 1.25)
    width = float(rng.choice([1.0, 1.0, 1.7]))
    strokes = [box(-half, -height, half, height, width)]
    pick = int(rng.integers(0, 5))
    reach = height * 0.65
    if pick == 0:
        for x in np.linspace(-0.6, 0.6, int(rng.integers(1, 4))):
            strokes.append(line((float(x) - 0.3, reach), (float(x) + 0.3, -reach)))
    elif pick == 1:
        for x in np.linspace(-0.5, 0.5, int(rng.integers(1, 4))):
            strokes.append(line((float(x), reach), (float(x), -reach)))
    elif pick == 2:
        strokes.append(line((-half * 0.5, 0.0), (half * 0.5, 0.0)))
    elif pick == 3:
        strokes.append(line((-0.5, -reach), (0.0, reach), (0.5, -reach)))
    else:
        strokes += [line((-reach, -reach), (reach, reach)), line((-reach, reach), (reach, -reach))]
    return Symbol("resistor", tuple(strokes), (rectangle(-half, -height, half, height),), two_ended(half))


@symbol("pot.tapped")
def tapped_resistor(rng: np.random.Generator) -> Symbol:
    """A dropper: a long track with one to three taps."""
    half, height = rng.uniform(3.0, 5.4), rng.uniform(0.6, 1.1)
    track = _track(rng, half, height)
    count = int(rng.integers(1, 4))
    foot = height + rng.uniform(0.2, 0.7)
    strokes, terminals = [track], list(two_ended(half))
    for number in range(1, count + 1):
        x = -half + 2 * half * number / (count + 1)
        strokes.append(line((x, height * 0.3), (x, foot)))
        terminals.append(Terminal(f"tap{number}", x, foot, 0.0, 1.0))
    region = (rectangle(-half, -height, half, foot),)
    return Symbol("resistor", tuple(strokes), region, tuple(terminals))


@symbol("thermistor.light")
def light_resistor(rng: np.random.Generator) -> Symbol:
    """A track that light falls on, in a ring or bare."""
    half, height = rng.uniform(1.6, 2.4), rng.uniform(0.5, 0.8)
    strokes = [_track(rng, half, height)]
    radius = half + rng.uniform(0.1, 0.5)
    region: list[Points] = [rectangle(-half, -height, half, height)]
    edge = half
    if rng.random() < 0.6:
        strokes += [circle(0, 0, radius), line((-radius, 0), (-half, 0)), line((half, 0), (radius, 0))]
        region.append(disc(0, 0, radius))
        edge = radius
    top = -radius if edge == radius else -height
    for shift in (-0.6, 0.3):
        tip = (shift, top * 0.95 - 0.1)
        strokes.append(line((shift - 1.0, top - 1.3), tip))
        strokes += arrow_head(tip, (1.0, 1.2), 0.55, solid=True)
    region.append(rectangle(-1.7, top - 1.3, 0.6, 0.0))
    return Symbol("resistor", tuple(strokes), tuple(region), two_ended(edge))


@symbol("thermistor.ballast")
def ballast(rng: np.random.Generator) -> Symbol:
    """A track inside a round or long glass: a barretter or a thermistor in an envelope."""
    half, height = rng.uniform(1.5, 2.4), rng.uniform(0.5, 0.8)
    radius = half + 0.4
    strokes = (
        _track(rng, half, height),
        circle(0, 0, radius, float(rng.choice([1.0, 1.8]))),
        line((-radius, 0), (-half, 0)),
        line((half, 0), (radius, 0)),
    )
    return Symbol("resistor", strokes, (disc(0, 0, radius),), two_ended(radius))


@symbol("pot.rheostat")
def rheostat(rng: np.random.Generator) -> Symbol:
    """A track crossed by a slanting arrow, flat or steep."""
    half, height = rng.uniform(2.0, 3.6), rng.uniform(0.6, 1.1)
    run, rise = rng.uniform(0.9, 1.9), height + rng.uniform(0.5, 1.3)
    side = float(rng.choice([-1.0, 1.0]))
    strokes = [_track(rng, half, height), line((-run, rise * side), (run, -rise * side))]
    strokes += arrow_head((run, -rise * side), (run, -rise * side), 0.9, solid=bool(rng.random() < 0.7))
    bar = np.array([(-run - 0.3, rise * side), (-run + 0.3, rise * side), (run + 0.4, (0.7 - rise) * side),
                    (run + 0.4, -rise * side), (run - 0.9, -rise * side)])  # fmt: skip
    return Symbol("pot", tuple(strokes), (rectangle(-half, -height, half, height), bar), two_ended(half))


@symbol("pot.tee")
def tee_preset(rng: np.random.Generator) -> Symbol:
    """A preset whose wiper is a T or a plain bar on the track."""
    half, height = rng.uniform(2.0, 3.6), rng.uniform(0.6, 1.1)
    x, foot = rng.uniform(-0.6, 0.6), height + rng.uniform(0.7, 1.6)
    bar = rng.uniform(0.45, 0.8)
    touch = height + (0.12 if rng.random() < 0.6 else 0.0)
    strokes = (
        _track(rng, half, height),
        line((x, foot), (x, touch)),
        line((x - bar, touch), (x + bar, touch)),
    )
    first, last = two_ended(half)
    region = (rectangle(-half, -height, half, touch), rectangle(x - 0.45, 0.0, x + 0.45, foot))
    return Symbol("pot", strokes, region, (first, Terminal("w", x, foot, 0.0, 1.0), last))


@symbol("pot.elbow")
def elbow_pot(rng: np.random.Generator) -> Symbol:
    """A wiper that comes along the track and turns to it: its lead leaves beside an end of the track."""
    half, height = rng.uniform(2.4, 3.6), rng.uniform(0.6, 1.0)
    below, right = float(rng.choice([-1.0, 1.0])), float(rng.choice([-1.0, 1.0]))
    y = below * (height + rng.uniform(0.9, 1.5))
    tip = (0.0, below * height * 1.02)
    strokes = [_track(rng, half, height), line((right * half, y), (0.0, y), tip)]
    strokes += arrow_head(tip, (0.0, -below), rng.uniform(0.6, 0.9), solid=bool(rng.random() < 0.6))
    region = (rectangle(-half, min(-height, y), half, max(height, y)),)
    first, last = two_ended(half)
    return Symbol("pot", tuple(strokes), region, (first, Terminal("w", right * half, y, right, 0.0), last))


@symbol("pot.tied")
def tied_pot(rng: np.random.Generator) -> Symbol:
    """A pot used as a variable resistor: its wiper is led back to one of its own ends."""
    half, height = rng.uniform(2.2, 3.4), rng.uniform(0.6, 1.0)
    y = -height - rng.uniform(0.9, 1.4)
    edge = half + rng.uniform(0.4, 0.9)
    tip = (0.0, -height * 1.02)
    strokes = [_track(rng, half, height), line((half, 0.0), (edge, 0.0), (edge, y), (0.0, y), tip)]
    strokes += arrow_head(tip, (0.0, 1.0), 0.75, solid=bool(rng.random() < 0.6))
    region = (rectangle(-half, -height, half, height), rectangle(-0.4, y, edge, 0.0))
    ends = (Terminal("1", -half, 0.0, -1.0, 0.0), Terminal("2", edge, 0.0, 1.0, 0.0))
    return Symbol("pot", tuple(strokes), region, ends)


@symbol("pot.marked")
def marked_pot(rng: np.random.Generator) -> Symbol:
    """A control with its value inside the track or a ring at the foot of its wiper."""
    half, height = rng.uniform(2.8, 3.8), rng.uniform(0.9, 1.25)
    x, foot = rng.uniform(-0.4, 0.4), height + rng.uniform(1.1, 1.9)
    tip = (x, height * 1.03)
    strokes = [box(-half, -height, half, height), line((x, foot), tip)]
    strokes += arrow_head(tip, (0, -1), rng.uniform(0.6, 1.0), solid=bool(rng.random() < 0.7))
    text = str(rng.choice(["10k", "0,5M", "1M", "50k", "250k", "2k5"]))
    region = (rectangle(-half, -height, half, height), rectangle(x - 0.5, 0, x + 0.5, foot))
    first, last = two_ended(half)
    ends = (first, Terminal("w", x, foot, 0.0, 1.0), last)
    return Symbol("pot", tuple(strokes), region, ends, (Inscription(0.0, 0.0, text, height * 1.1),))


@symbol("thermistor.ringed")
def ringed_thermistor(rng: np.random.Generator) -> Symbol:
    """A box or zigzag with a bent bar, its sign lettered beside the foot."""
    half, height = rng.uniform(2.2, 3.2), rng.uniform(0.7, 1.0)
    reach = height + rng.uniform(0.5, 1.0)
    bar = line((-1.9, reach), (-0.9, reach), (1.1, -reach))
    region = (
        rectangle(-half, -height, half, height),
        np.array([(-2.0, reach), (-0.9, reach), (1.3, -reach), (0.8, -reach), (-1.9, reach - 0.5)]),
    )
    text = str(rng.choice(["t", "-t", "T", "NTC", "U", "VDR"]))
    kind = "varistor" if text in ("U", "VDR") else "thermistor"
    marks = (Inscription(-1.4, reach + 0.8, text, 0.9),) if rng.random() < 0.7 else ()
    return Symbol(kind, (_track(rng, half, height), bar), region, two_ended(half), marks)

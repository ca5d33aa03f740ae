"""More blocks: gates, flat and pointed amplifiers, chips with stub pins, regulators, delay lines."""

from __future__ import annotations

import numpy as np

from tracer.training.strokes import Stroke, arc, box, circle, line, polygon, zigzag_line
from tracer.training.symbols.symbol import Inscription, Symbol, Terminal, disc, rectangle, symbol

__all__: list[str] = []


@symbol("block.gate")
def gate(rng: np.random.Generator) -> Symbol:
    """A gate: round-nosed, pointed, or a triangle; with its ring where it inverts."""
    high, long = rng.uniform(1.1, 1.8), rng.uniform(1.2, 1.9)
    pick = rng.random()
    inputs = 2 if rng.random() < 0.8 else 3
    if pick < 0.45:
        nose = arc(long - high, 0, high, -90, 90).points
        outline = Stroke(np.concatenate([[(-long, -high)], nose, [(-long, high)], [(-long, -high)]]))
    elif pick < 0.75:
        t = np.linspace(0, 1, 9)[:, None]
        over = (1 - t) ** 2 * [-long, -high] + 2 * t * (1 - t) * [long * 0.4, -high] + t**2 * [long, 0]
        under = over[::-1] * [1, -1]
        hollow = (1 - t) ** 2 * [-long, high] + 2 * t * (1 - t) * [-long * 0.6, 0] + t**2 * [-long, -high]
        outline = Stroke(np.concatenate([over, under, hollow]))
    else:
        inputs = 1
        outline = polygon((-long, -high), (long, 0), (-long, high))
    strokes = [outline]
    region = [outline.points]
    edge = long
    if rng.random() < 0.6:
        strokes.append(circle(long + 0.28, 0, 0.28, fill=0.0))
        region.append(disc(long + 0.28, 0, 0.28))
        edge = long + 0.56
    ends = [Terminal("out", edge, 0.0, 1.0, 0.0)]
    dent = long * 0.3 if 0.45 <= pick < 0.75 else 0.0
    for number, y in enumerate(np.linspace(-high * 0.5, high * 0.5, inputs) if inputs > 1 else [0.0], 1):
        x = -long + dent * (1 - (float(y) / high) ** 2)
        ends.append(Terminal(f"in{number}", x, float(y), -1.0, 0.0))
    return Symbol("block", tuple(strokes), tuple(region), tuple(ends))


@symbol("block.amplifier")
def amplifier(rng: np.random.Generator) -> Symbol:
    """A triangle of any size and sharpness, its tip cut at times, signs inside or out, one input or two."""
    high = float(np.exp(rng.uniform(np.log(1.4), np.log(6.5))))
    long = high * rng.uniform(0.75, 1.6)
    cut = high * rng.uniform(0.15, 0.45) if rng.random() < 0.2 else 0.0
    width = float(rng.choice([1.0, 1.0, 1.0, 1.6]))
    outline = polygon((-long, -high), (long, -cut), (long, cut), (-long, high), width=width)
    ends: list[Terminal] = []
    marks: list[Inscription] = []
    size = min(1.3, 0.45 * high)
    if rng.random() < 0.8:
        y = high * rng.uniform(0.35, 0.6)
        top, bottom = ("+", "-") if rng.random() < 0.5 else ("-", "+")
        for name, at in ((top, -y), (bottom, y)):
            ends.append(Terminal(name, -long, at, -1.0, 0.0))
            marks.append(Inscription(-long + 0.8 * size, at, name, size))
    else:
        ends.append(Terminal("in", -long, 0.0, -1.0, 0.0))
    ends.append(Terminal("out", long, 0.0, 1.0, 0.0))
    for name, side in (("v+", -1.0), ("v-", 1.0), ("bal", 1.0)):
        if rng.random() < 0.25:
            x = (-0.5 if name == "bal" else rng.uniform(-0.2, 0.3)) * long
            edge = cut + (high - cut) * (long - x) / (2 * long)
            ends.append(Terminal(name, x, side * edge, 0.0, side))
    if high > 2.2 and rng.random() < 0.6:
        marks.append(
            Inscription(-0.15 * long, 0.0, str(rng.choice(["A1", "IC2", "A3600", "x10", "A", "IC4b"])), 0.9)
        )
    return Symbol("block", (outline,), (outline.points,), tuple(ends), tuple(marks))


@symbol("block.chip")
def chip(rng: np.random.Generator) -> Symbol:
    """A package: a box with a notch or a dot, pins as stubs or bare, numbered inside or out."""
    rows = int(rng.integers(2, 9))
    pitch, wide = rng.uniform(1.5, 2.4), rng.uniform(1.8, 4.0)
    high = rows * pitch / 2 + rng.uniform(0.0, 0.5)
    strokes: list[Stroke] = [box(-wide, -high, wide, high, width=float(rng.choice([1.0, 1.0, 1.8, 2.6])))]
    region = [rectangle(-wide, -high, wide, high)]
    pick = rng.random()
    if pick < 0.4:
        strokes.append(arc(0, -high, 0.55, 0, 180))
    elif pick < 0.6:
        strokes.append(circle(-wide + 0.6, -high + 0.6, 0.22, fill=1.0))
    stub = float(rng.choice([0.0, 0.0, 0.45, 0.7]))
    inner = bool(rng.random() < 0.6)
    ends: list[Terminal] = []
    marks: list[Inscription] = []
    for number in range(1, 2 * rows + 1):
        left = number <= rows
        row = number - 1 if left else 2 * rows - number
        sign, y = (-1.0 if left else 1.0), -high + (high * 2 - rows * pitch) / 2 + (row + 0.5) * pitch
        if stub:
            inner_x, outer_x = sorted((sign * wide, sign * (wide + stub)))
            strokes.append(box(inner_x, y - 0.22, outer_x, y + 0.22))
            region.append(rectangle(inner_x, y - 0.22, outer_x, y + 0.22))
        ends.append(Terminal(str(number), sign * (wide + stub), y, sign, 0.0))
        at = (sign * (wide - 0.7), y) if inner else (sign * (wide + stub + 0.6), y - 0.6)
        marks.append(Inscription(*at, str(number), 0.75))
    if wide > 2.4 and rng.random() < 0.7:
        marks.append(Inscription(0, 0, str(rng.choice(["IC3", "DEMOD", "AF", "MPX", "TDA"]))[:5], 1.0))
    return Symbol("block", tuple(strokes), tuple(region), tuple(ends), tuple(marks))


@symbol("block.regulator")
def regulator(rng: np.random.Generator) -> Symbol:
    """A small box with a lead in, a lead out and one below."""
    wide, high = rng.uniform(1.4, 2.6), rng.uniform(0.9, 1.6)
    outline = box(-wide, -high, wide, high)
    marks = [Inscription(0.0, 0.0, str(rng.choice(["REG", "IC1", "+5V", "F2", "AMP", "X"])), 0.9)]
    y = high * float(rng.choice([0.0, -0.4]))
    ends = (Terminal("in", -wide, y, -1, 0), Terminal("out", wide, y, 1, 0), Terminal("com", 0.0, high, 0, 1))
    return Symbol("block", (outline,), (outline.points,), ends, tuple(marks))


@symbol("block.delay")
def delay_line(rng: np.random.Generator) -> Symbol:
    """A delay line or filter: a long box with a wave, a zigzag or bars inside."""
    wide, high = rng.uniform(2.6, 4.2), rng.uniform(0.9, 1.4)
    strokes: list[Stroke] = [box(-wide, -high, wide, high)]
    pick = rng.random()
    if pick < 0.35:
        strokes.append(zigzag_line(-wide * 0.8, wide * 0.8, high * 0.5, int(rng.integers(4, 9))))
    elif pick < 0.7:
        xs = np.linspace(-wide * 0.7, wide * 0.7, 40)
        for y in (-0.45, 0.0, 0.45)[: int(rng.integers(1, 4))]:
            strokes.append(Stroke(np.stack([xs, y * high + 0.16 * np.sin(xs * 5)], 1)))
    else:
        strokes += [
            line((-wide * 0.85, -high), (-wide * 0.85, high)),
            line((wide * 0.85, -high), (wide * 0.85, high)),
        ]
    ends = [Terminal("in", -wide, 0.0, -1.0, 0.0), Terminal("out", wide, 0.0, 1.0, 0.0)]
    if rng.random() < 0.6 or pick >= 0.7:  # with two leads alone it would be a fuse
        ends.append(Terminal("com", 0.0, high, 0.0, 1.0))
    return Symbol("block", tuple(strokes), (rectangle(-wide, -high, wide, high),), tuple(ends))


@symbol("block.cell")
def gate_box(rng: np.random.Generator) -> Symbol:
    """A gate or counter as a box with its sign inside, inverted ends with a ring or a slanting bar."""
    inputs = int(rng.integers(1, 5))
    pitch, wide = rng.uniform(1.0, 1.6), rng.uniform(1.0, 1.7)
    high = max(inputs * pitch / 2 + 0.3, 1.2)
    sign = str(rng.choice(["&", "1", "=1", ">1", "D", "T", "J", "CTR", "S"]))
    strokes: list[Stroke] = [box(-wide, -high, wide, high)]
    region = [rectangle(-wide, -high, wide, high)]
    ends: list[Terminal] = []
    for number in range(inputs):
        y = (number - (inputs - 1) / 2) * pitch
        x = -wide
        if rng.random() < 0.2:
            strokes.append(circle(-wide - 0.25, y, 0.25, fill=0.0))
            region.append(disc(-wide - 0.25, y, 0.25))
            x = -wide - 0.5
        ends.append(Terminal(f"in{number + 1}", x, y, -1.0, 0.0))
    outs = (-high * 0.45, high * 0.45) if sign in ("D", "T", "J", "CTR") else (0.0,)
    for number, y in enumerate(outs, 1):
        x = wide
        if rng.random() < 0.5:
            strokes.append(circle(wide + 0.25, y, 0.25, fill=0.0))
            region.append(disc(wide + 0.25, y, 0.25))
            x = wide + 0.5
        ends.append(Terminal(f"out{number}", x, y, 1.0, 0.0))
    marks = (Inscription(0.0, -high + 0.8, sign, 0.9),)
    return Symbol("block", tuple(strokes), tuple(region), tuple(ends), marks)

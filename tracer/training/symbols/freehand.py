"""Shapes as a free hand leaves them: boxes that do not close, slash combs, ring ends with half arrows."""

from __future__ import annotations

import numpy as np

from tracer.training.strokes import Points, Stroke, arc, circle, dashes, line, polygon
from tracer.training.symbols.symbol import Inscription, Symbol, Terminal, disc, rectangle, symbol

__all__: list[str] = []

_PINS = ("VDD", "VSS", "COM", "OUT", "A", "B", "C", "I", "0", "1", "2", "3", "4", "7", "D0", "D5", "CK", "R",
         "Q", "EN", "A1", "INH", "Vee", "S", "IN", "L", "+", "-", "E")  # fmt: skip
_TYPES = (
    "4051",
    "4066",
    "IC6",
    "IC12",
    "A277",
    "M58",
    "8 BIT",
    "MUX",
    "LATCH",
    "DAC",
    "CA80",
    "IF-DET",
    "MPX",
    "T7N",
)


def _edges(rng: np.random.Generator, corners: Points, width: float) -> list[Stroke]:
    """Four sides drawn one by one: they meet, stop short of the corner, or run past it."""
    reach = float(rng.choice([0.0, 0.2, 0.36]))
    strokes: list[Stroke] = []
    for start, end in zip(corners, np.roll(corners, -1, axis=0), strict=True):
        way = (end - start) / max(float(np.hypot(*(end - start))), 1e-9)
        before, after = rng.uniform(-reach, reach * 0.6, 2)
        strokes.append(Stroke(np.stack([start + way * before, end + way * after]), width))
    return strokes


def _brace(x0: float, x1: float, y: float, down: float) -> Stroke:
    """A brace along y whose nose points `down`."""
    middle, step = (x0 + x1) / 2, 0.35 * down
    return line((x0, y - step), (x0 + 0.4, y), (middle - 0.4, y), (middle, y + step), (middle + 0.4, y),
                (x1 - 0.4, y), (x1, y - step))  # fmt: skip


@symbol("block.drawn")
def drawn_box(
    rng: np.random.Generator, sides: tuple[int, int, int, int] | None = None, pitch: float | None = None
) -> Symbol:
    """A large box, askew and not closed at its corners, its pins named inside and numbered outside.

    `sides` are its pins left, right, above and below; it may be far wider than they need, and nearly empty.
    """
    if sides is None and rng.random() < 0.35:  # pins on one long side alone
        sides = (0, 0, int(rng.integers(3, 9)), 0)
    sides = sides or tuple(int(n) for n in rng.integers(1, 8, size=4))  # type: ignore[assignment]
    assert sides is not None
    if pitch is None:
        pitch = float(rng.uniform(2.0, 4.5))
    wide = max(sides[2], sides[3], 2) * pitch / 2 + float(rng.choice([0.6, 1.2, 3.0, 6.0, 12.0]))
    high = max(sides[0], sides[1], 1) * pitch / 2 + float(rng.choice([0.8, 1.4, 2.6]))
    skew = float(rng.choice([0.0, 0.15, 0.3]))
    corners = np.array([(-wide, -high), (wide, -high), (wide, high), (-wide, high)])
    corners = corners + rng.uniform(-skew, skew, corners.shape)
    strokes = _edges(rng, corners, float(rng.choice([1.0, 1.0, 1.0, 1.6])))
    terminals: list[Terminal] = []
    marks: list[Inscription] = []
    named, numbered = bool(rng.random() < 0.6), bool(rng.random() < 0.75)
    ends = ((3, 0, -1, 0), (1, 2, 1, 0), (0, 1, 0, -1), (3, 2, 0, 1))  # corners of each side, and its way out
    for count, (one, other, dx, dy) in zip(sides, ends, strict=True):
        length = 2 * (high if dx else wide)
        shift = float(rng.uniform(-0.5, 0.5)) * max(length - count * pitch, 0.0)
        for index in range(count):
            part = 0.5 + ((index - (count - 1) / 2) * pitch + shift) / length
            part = part if not dx or dx > 0 else 1.0 - part
            x, y = corners[one] + part * (corners[other] - corners[one])
            terminals.append(Terminal(str(len(terminals) + 1), float(x), float(y), dx, dy))
            if numbered:
                marks.append(Inscription(x + 0.8 * dx + 0.6 * (dx == 0), y + 0.8 * dy - 0.6 * (dy == 0),
                                         str(int(rng.integers(1, 29))), 0.8))  # fmt: skip
            if named:
                word = str(rng.choice(_PINS))
                marks.append(Inscription(x - dx * (0.5 + 0.35 * len(word)), y - dy * 1.0, word, 0.85))
    pick = rng.random()
    if pick < 0.7:
        marks.append(Inscription(0.0, 0.0, str(rng.choice(_TYPES)), float(rng.uniform(1.0, 1.6))))
    if pick > 0.8 and wide > 4.0:
        strokes.append(polygon((-0.9, 0.8), (0.9, 0.8), (0.0, -0.9)))
        strokes.append(_brace(-0.8 * wide, 0.8 * wide, -0.62 * high, 1.0))
        strokes.append(_brace(-0.8 * wide, 0.8 * wide, 0.62 * high, -1.0))
    return Symbol("block", tuple(strokes), (corners,), tuple(terminals), tuple(marks))


@symbol("chassis.comb")
def slash_comb(rng: np.random.Generator) -> Symbol:
    """A bar with three to six slashes under it, close together, at times on a stalk."""
    wide, deep = rng.uniform(0.8, 2.0), rng.uniform(0.35, 0.8)
    stalk = float(rng.choice([0.0, 0.0, 0.6]))
    count, lean = int(rng.integers(3, 7)), rng.uniform(0.25, 0.7) * float(rng.choice([-1.0, 1.0]))
    strokes: list[Stroke] = [line((0, 0), (0, stalk))] if stalk else []
    strokes.append(line((-wide, stalk), (wide, stalk), width=float(rng.choice([1.0, 1.0, 1.8]))))
    for x in np.linspace(-wide, wide, count):
        strokes.append(line((float(x), stalk), (float(x) - lean, stalk + deep)))
    region = [rectangle(min(-wide, -wide - lean), stalk, max(wide, wide - lean), stalk + deep)]
    if stalk:
        region.append(rectangle(-0.3, 0.0, 0.3, stalk))
    return Symbol("chassis", tuple(strokes), tuple(region), (Terminal("1", 0.0, 0.0, 0.0, -1.0),))


@symbol("label.tongue")
def half_arrow(rng: np.random.Generator) -> Symbol:
    """The end of a plug's wire: a ring with half an arrow head before it, or the half arrow alone."""
    size = float(rng.uniform(0.5, 0.9))
    ring = float(rng.choice([0.0, 0.3, 0.4]))
    side = float(rng.choice([-1.0, 1.0]))
    both = bool(rng.random() < 0.3)
    strokes: list[Stroke] = [line((0, 0), (0, size)), line((side * 0.5 * size, 0.1), (0, size))]
    if both:
        strokes.append(line((-side * 0.5 * size, 0.1), (0, size)))
    region: list[Points] = [np.array([(-0.5 * size, 0.0), (0.5 * size, 0.0), (0.1, size), (-0.1, size)])]
    if ring:
        strokes.append(circle(0, size + ring, ring, fill=float(rng.choice([0.0, 0.0, 1.0]))))
        region.append(disc(0, size + ring, ring))
    return Symbol("label", tuple(strokes), tuple(region), (Terminal("1", 0.0, 0.0, 0.0, -1.0),))


@symbol("label.clip")
def spring_end(rng: np.random.Generator) -> Symbol:
    """A wire's end in a cup, or in a ring with a short tail beyond it."""
    radius = float(rng.uniform(0.3, 0.6))
    if rng.random() < 0.5:
        cup = arc(0, radius, radius, 0 - 180, 0)
        strokes: list[Stroke] = [cup]
        region = [rectangle(-radius, 0.0, radius, radius)]
    else:
        tail = float(rng.uniform(0.5, 1.1) if rng.random() < 0.5 else rng.uniform(1.5, 4.5))
        end = 2 * radius + tail
        strokes = [circle(0, radius, radius, fill=0.0), line((0, 2 * radius), (0, end))]
        if rng.random() < 0.6:
            strokes.append(line((float(rng.choice([-0.35, 0.35])), end - 0.5), (0, end)))
        region = [disc(0, radius, radius), rectangle(-0.25, 2 * radius, 0.25, 2 * radius + tail)]
    return Symbol("label", tuple(strokes), tuple(region), (Terminal("1", 0.0, 0.0, 0.0, -1.0),))


def _spiral(rng: np.random.Generator, half: float, bulge: float, turns: int) -> Points:
    """A winding down x = 0 from -half to half: loops of uneven size that lean to the right."""
    run = np.linspace(0.0, 2 * np.pi * turns + np.pi, 16 * turns + 9)
    size = 1.0 + np.interp(run, np.linspace(0, run[-1], turns + 2), rng.normal(0.0, 0.12, turns + 2))
    down = half / (turns + 0.5) * 1.1
    y = np.linspace(-half + 0.4 * down, half - 0.4 * down, len(run)) - down * 0.9 * np.sin(run) * size
    return np.stack([bulge * (1.0 - np.cos(run)) * size / 2, y.clip(-half, half)], 1)


@symbol("transformer.spiral")
def spiral_transformer(rng: np.random.Generator) -> Symbol:
    """Windings drawn as loose spirals, each lead ending in a blob, beside a core of broken lines."""
    counts = [int(n) for n in rng.choice([1, 1, 2], size=2)]
    half, bulge = rng.uniform(1.8, 2.8), rng.uniform(1.0, 1.8)
    off, lead = rng.uniform(0.6, 1.4) + bulge, rng.uniform(0.8, 2.4)
    pitch = 2 * half + rng.uniform(0.6, 1.4)
    blob = float(rng.choice([0.0, 0.2, 0.32]))
    strokes: list[Stroke] = []
    terminals: list[Terminal] = []
    tall = max(counts) * pitch / 2
    for letter, count, sign in (("L", counts[0], -1.0), ("R", counts[1], 1.0)):
        for number in range(count):
            middle = (number - (count - 1) / 2) * pitch
            coil = _spiral(rng, half, bulge, int(rng.integers(3, 6))) * (-sign, 1.0) + (sign * off, middle)
            edge = sign * (off + lead)
            for index, end in enumerate((coil[0], coil[-1]), 1):
                y = middle + (index - 1.5) * 2 * half * 0.95
                strokes.append(
                    line((edge, y), (sign * (off + 0.3 * lead), y), (float(end[0]), float(end[1])))
                )
                if blob:
                    strokes.append(circle(edge - sign * blob, y, blob, fill=1.0))
                terminals.append(Terminal(f"{letter}{number + 1}.{index}", edge, y, sign, 0.0))
            strokes.append(Stroke(coil))
    for x in np.linspace(-0.25, 0.25, int(rng.integers(1, 4))):
        row = np.array([(x, -tall), (x, tall)])
        strokes += [Stroke(piece) for piece in dashes(row, 1.4, 0.5)] if rng.random() < 0.5 else [Stroke(row)]
    region = (rectangle(-off - lead, -tall, off + lead, tall),)
    return Symbol("transformer", tuple(strokes), region, tuple(terminals))

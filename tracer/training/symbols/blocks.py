"""Op-amps, integrated circuits, modules and other boxes."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from tracer.training.strokes import Stroke, box, circle, line, polygon, zigzag_line
from tracer.training.symbols.symbol import Inscription, Symbol, Terminal, rectangle, symbol

__all__: list[str] = []

_WORDS = (
    "VDD",
    "COM",
    "IN",
    "OUT",
    "CLK",
    "VSS",
    "A",
    "B",
    "C",
    "EN",
    "+",
    "-",
    "0",
    "1",
    "INH",
    "REF",
    "GND",
    "RST",
)
_NAMES = (
    "U051",
    "IF AMP",
    "RG05",
    "TONE",
    "FM",
    "DRIVER",
    "MIXER",
    "AF",
    "T55",
    "REG",
    "OSC",
    "UNIT 3",
    "U069",
    "DET",
)


@symbol("block.triangle")
def amplifier_triangle(rng: np.random.Generator, pins: dict[str, str] | None = None) -> Symbol:
    """An op-amp: ``+``, ``-`` and ``out``, with supply or control leads at times (``v+``, ``v-``)."""
    high = rng.uniform(2.2, 3.4) if rng.random() < 0.55 else rng.uniform(3.4, 6.4)  # freehand ones grow large
    long = high * rng.uniform(0.85, 1.15)
    y = high * rng.uniform(0.42, 0.55)
    top, bottom = ("+", "-") if rng.random() < 0.5 else ("-", "+")
    terminals = [
        Terminal(top, -long, -y, -1, 0),
        Terminal(bottom, -long, y, -1, 0),
        Terminal("out", long, 0, 1, 0),
    ]
    marks = [Inscription(-long + 0.9, -y, top, 1.0), Inscription(-long + 0.9, y, bottom, 1.0)]
    if rng.random() < 0.35:
        x = rng.uniform(-0.5, 0.2) * long
        edge = high * (long - x) / (2 * long)
        terminals += [Terminal("v-", x, edge, 0, 1)]
        if rng.random() < 0.5:
            terminals += [Terminal("v+", x, -edge, 0, -1)]
    if rng.random() < 0.6:
        marks.append(
            Inscription(-0.2 * long, 0.0, str(rng.choice(["AX084", "A3600", "A41", "IC1", "A1", "x10"])), 0.9)
        )
    if pins is None:
        pins = {}
        if rng.random() < 0.7:
            pins = {t.name: str(int(rng.integers(1, 17))) for t in terminals}
    for terminal in terminals:
        if terminal.name in pins:
            x, y0 = terminal.x + 0.8 * terminal.dx, terminal.y + 0.9 * terminal.dy
            sideways = -0.7 if terminal.dy == 0 else 0.0
            marks.append(
                Inscription(x + (0.8 if terminal.dx == 0 else 0.0), y0 + sideways, pins[terminal.name], 0.85)
            )
    outline = polygon((-long, -high), (long, 0), (-long, high))
    return Symbol("block", (outline,), (outline.points,), tuple(terminals), tuple(marks))


@symbol("block.box")
def block_box(
    rng: np.random.Generator,
    sides: tuple[int, int, int, int] | None = None,
    name: str | None = None,
    pins: Sequence[str] | None = None,
    pitch: float | None = None,
) -> Symbol:
    """A box with `sides` = pins on its left, right, top and bottom, each named by its number."""
    sides = sides or tuple(int(n) for n in rng.integers(0, 6, size=4))  # type: ignore[assignment]
    assert sides is not None
    if sum(sides) < 2:
        sides = (1, 1, 0, 1)
    if pitch is None:
        pitch = rng.uniform(1.8, 3.0) if rng.random() < 0.75 else rng.uniform(3.0, 5.0)
    wide = max(sides[2], sides[3], 1.6) * pitch / 2 + rng.uniform(0.8, 1.6)
    high = max(sides[0], sides[1], 1.2) * pitch / 2 + rng.uniform(0.4, 1.2)
    numbers = list(pins) if pins is not None else [str(n) for n in range(1, sum(sides) + 1)]
    terminals: list[Terminal] = []
    marks: list[Inscription] = []
    inner, outer = bool(rng.random() < 0.5), bool(rng.random() < 0.7) or pins is not None
    ring = bool(rng.random() < 0.1)
    strokes: list[Stroke] = [box(-wide, -high, wide, high, width=float(rng.choice([1.0, 1.0, 1.8])))]
    spots = [(-1, 0)] * sides[0] + [(1, 0)] * sides[1] + [(0, -1)] * sides[2] + [(0, 1)] * sides[3]
    offsets = [(i - (count - 1) / 2) * pitch for count in sides for i in range(count)]
    for number, (dx, dy), offset in zip(numbers, spots, offsets, strict=True):
        x, y = (dx * wide, offset) if dx else (offset, dy * high)
        if ring:
            strokes.append(circle(x, y, 0.3, fill=0.0))
        terminals.append(Terminal(number, x + 0.3 * ring * dx, y + 0.3 * ring * dy, dx, dy))
        if outer:
            marks.append(
                Inscription(x + 0.8 * dx + 0.7 * (dx == 0), y + 0.8 * dy - 0.6 * (dy == 0), number, 0.8)
            )
        if inner:
            word = str(rng.choice(_WORDS))
            marks.append(Inscription(x - dx * (0.5 + 0.35 * len(word)), y - dy * 0.9, word, 0.8))
    pick = rng.random()
    if pick < 0.22 and name is None:
        strokes += _inner_drawing(rng, wide, high)
    elif name != "":
        marks.append(Inscription(0.0, 0.0, name or str(rng.choice(_NAMES)), float(rng.uniform(0.9, 1.4))))
    reach = 0.3 * ring
    region = (rectangle(-wide - reach, -high - reach, wide + reach, high + reach),)
    return Symbol("block", tuple(strokes), region, tuple(terminals), tuple(marks))


def _inner_drawing(rng: np.random.Generator, wide: float, high: float) -> list[Stroke]:
    """What some draw inside a block: a small amplifier, a switch, a row of resistors."""
    w, h = 0.55 * wide, 0.5 * high
    pick = rng.random()
    if pick < 0.4:
        size = min(w, h)
        return [
            polygon((-size, -size), (size, 0), (-size, size)),
            line((size, 0), (w + 0.2, 0)),
            line((-w - 0.2, 0), (-size, 0)),
        ]
    if pick < 0.75:
        dotted = [circle(0.2 * w, float(y), 0.14, fill=1.0) for y in np.linspace(-0.9 * h, -0.2 * h, 4)]
        return [
            *(dotted if pick < 0.6 else []),
            line((-w, 0), (-0.2 * w, 0), (0.6 * w, -0.5 * h)),
            circle(0.7 * w, 0, 0.25, fill=1.0),
            line((0.7 * w, 0), (w, 0)),
        ]
    count = max(2, int(wide / 0.9))
    rows = [zigzag_line(-h, h, 0.28, 4) for _ in range(count)]
    upright = np.array([[0.0, -1.0], [1.0, 0.0]])
    shifts = np.linspace(-wide * 0.8, wide * 0.8, count)
    return [row.moved(upright, np.array([x, 0.0]), 1.0) for row, x in zip(rows, shifts, strict=True)]


@symbol("other.ring")
def other_ring(rng: np.random.Generator) -> Symbol:
    """A circle with letters inside: a motor, a generator, a pick-up head."""
    radius = rng.uniform(1.6, 2.2)
    text = str(rng.choice(["MOT", "G", "MOT", "~", "PU", "T"]))
    terminals = (Terminal("1", -radius, 0, -1, 0), Terminal("2", radius, 0, 1, 0))
    outline = circle(0, 0, radius)
    return Symbol("other", (outline,), (outline.points,), terminals, (Inscription(0, 0, text, 1.3),))

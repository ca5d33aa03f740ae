"""Valves: round, tall, twin and half envelopes, with any electrodes."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from tracer.training.strokes import Points, Stroke, arc, circle, dashes, line, rounded_box
from tracer.training.symbols.symbol import Inscription, Symbol, Terminal, disc, symbol

__all__: list[str] = []


@dataclass(frozen=True, slots=True)
class _Envelope:
    half_width: float
    top: float
    bottom: float
    rng: np.random.Generator

    def side(self, y: float) -> float:
        """Half the width of the envelope at height `y`."""
        radius = self.half_width
        over = max(self.top + radius - y, y - (self.bottom - radius), 0.0)
        return float(np.sqrt(max(radius**2 - min(over, radius) ** 2, 0.04)))

    def level(self, x: float, sign: float) -> float:
        """The envelope's y above (sign -1) or below (+1) position `x`."""
        radius = self.half_width
        rise = float(np.sqrt(max(radius**2 - x**2, 0.04)))
        return self.top + radius - rise if sign < 0 else self.bottom - radius + rise


def _grid(rng: np.random.Generator, y: float, reach: float) -> list[Stroke]:
    row = np.array([(-reach, y), (reach, y)])
    pick = rng.random()
    if pick < 0.7:
        return [Stroke(piece, 1.0) for piece in dashes(row, rng.uniform(0.5, 0.9), rng.uniform(0.35, 0.6))]
    if pick < 0.9:
        count = 5
        xs = np.linspace(-reach, reach, 2 * count + 1)
        return [Stroke(np.stack([xs, y + 0.25 * (-1.0) ** np.arange(xs.size)], 1), 1.0)]
    return [line((-reach, y), (reach, y))]


def _pin(rng: np.random.Generator, terminal: Terminal, number: str) -> Inscription:
    x = terminal.x + terminal.dx * 0.9 + (0.8 if terminal.dx == 0 else 0.0) * rng.choice([-1, 1])
    y = terminal.y + terminal.dy * 0.9 + (-0.7 if terminal.dy == 0 else 0.0)
    return Inscription(float(x), float(y), number, float(rng.uniform(0.8, 1.0)))


def _electrodes(grids: int, rng: np.random.Generator) -> list[str]:
    return ["a", *[f"g{index}" for index in range(grids, 0, -1)], "k"]


def _single(
    rng: np.random.Generator,
    shape: _Envelope,
    names: Sequence[str],
    heater: bool,
    pins: dict[str, str],
    grid_side: float,
) -> tuple[list[Stroke], list[Terminal], list[Inscription]]:
    """Electrodes stacked top to bottom between the envelope's ends, each with its lead through the glass."""
    strokes: list[Stroke] = []
    terminals: list[Terminal] = []
    high, low = shape.top + 1.1, shape.bottom - (1.9 if heater else 1.3)
    levels = np.linspace(high, low, len(names))
    reach = shape.half_width * rng.uniform(0.45, 0.62)
    for row, (name, y) in enumerate(zip(names, levels, strict=True)):
        y = float(y)
        if name == "a":
            strokes.append(line((-reach, y), (reach, y), width=rng.choice([1.0, 1.6, 2.2])))
            strokes.append(line((0, y), (0, shape.top)))
            terminals.append(Terminal(name, 0.0, shape.top, 0.0, -1.0))
        elif name.startswith("g"):
            side = grid_side * (-1.0 if name != "g2" else 1.0)
            if name == "g3":
                side = grid_side
            strokes += _grid(rng, y, reach)
            edge = side * shape.side(y)
            strokes.append(line((side * reach * 0.98, y), (edge, y)))
            terminals.append(Terminal(name, edge, y, side, 0.0))
        else:
            x = reach * rng.choice([-1.0, 1.0]) if heater or rng.random() < 0.5 else 0.0
            foot = shape.level(x, 1.0)
            bend = 0.35 if rng.random() < 0.5 else 0.0
            strokes.append(line((-reach, y + bend), (-reach, y), (reach, y), (reach, y + bend)))
            strokes.append(line((x, y), (x, foot)))
            terminals.append(Terminal(name, x, foot, 0.0, 1.0))
        del row
    if heater:
        spread = min(0.55, shape.half_width * 0.3)
        peak = float(levels[-1]) + 0.55
        cathode = terminals[-1].x
        middle = -cathode * 0.35 if cathode else 0.0
        left, right = middle - spread, middle + spread
        strokes.append(
            line((left, shape.level(left, 1)), (left, peak + 0.4), (middle, peak), (right, peak + 0.4),
                 (right, shape.level(right, 1)))
        )  # fmt: skip
        for name, x in (("h1", left), ("h2", right)):
            terminals.append(Terminal(name, x, shape.level(x, 1.0), 0.0, 1.0))
    marks = [_pin(rng, terminal, pins[terminal.name]) for terminal in terminals if terminal.name in pins]
    return strokes, terminals, marks


def _random_pins(rng: np.random.Generator, names: Sequence[str]) -> dict[str, str]:
    if rng.random() < 0.35:
        return {}
    numbers = rng.permutation(np.arange(1, 10))
    return {name: str(numbers[index % 9]) for index, name in enumerate(names)}


def _outline(shape: _Envelope, width: float) -> Stroke:
    radius = shape.half_width
    return rounded_box(-radius, shape.top, radius, shape.bottom, radius, width)


@symbol("valve.envelope")
def envelope_valve(
    rng: np.random.Generator,
    grids: int | None = None,
    heater: bool | None = None,
    heavy: float | None = None,
    pins: dict[str, str] | None = None,
    grid_side: float = 1.0,
) -> Symbol:
    """One system in a round or tall envelope.

    Terminals: ``a``, ``g1``… counted from the cathode, ``k``, ``h1``, ``h2``. `pins` maps them to pin
    numbers written outside; `heavy` is the envelope's width in strokes; `grid_side` 1 puts g1 on the left.
    """
    grids = int(rng.choice([0, 1, 1, 1, 2, 3, 3, 4, 5])) if grids is None else grids
    heater = bool(rng.random() < 0.45) if heater is None else heater
    heavy = float(rng.choice([1.0, 1.0, 1.6, 2.5, 4.0])) if heavy is None else heavy
    half = float(rng.uniform(2.3, 3.2))
    tall = max(2 * half, 2.6 + 1.0 * (grids + 1) + (1.0 if heater else 0.0)) * rng.uniform(1.0, 1.1)
    shape = _Envelope(half, -tall / 2, tall / 2, rng)
    names = _electrodes(grids, rng)
    pins = _random_pins(rng, [*names, "h1", "h2"]) if pins is None else pins
    strokes, terminals, marks = _single(rng, shape, names, heater, pins, grid_side)
    outline = _outline(shape, heavy)
    return Symbol("valve", (outline, *strokes), (outline.points,), tuple(terminals), tuple(marks))


@symbol("valve.half")
def half_envelope(rng: np.random.Generator, heavy: float | None = None) -> Symbol:
    """Half of a twin valve: an envelope left open on one side."""
    half = float(rng.uniform(2.3, 3.0))
    heavy = float(rng.choice([1.0, 1.6, 2.5])) if heavy is None else heavy
    shape = _Envelope(half, -half * 1.15, half * 1.15, rng)
    names = _electrodes(int(rng.choice([1, 1, 3])), rng)
    strokes, terminals, marks = _single(rng, shape, names, False, _random_pins(rng, names), 1.0)
    whole = _outline(shape, heavy).points
    cut = half * rng.uniform(0.3, 0.7) * rng.choice([-1.0, 1.0])
    keep = whole[:, 0] * np.sign(cut) <= abs(cut)
    start = int(np.argmax(~keep))
    rolled, kept = np.roll(whole[:-1], -start, axis=0), np.roll(keep[:-1], -start)
    arcs = Stroke(rolled[kept], heavy)
    return Symbol("valve", (arcs, *strokes), (whole,), tuple(terminals), tuple(marks))


@symbol("valve.twin")
def twin_triode(
    rng: np.random.Generator, heavy: float | None = None, pins: dict[str, str] | None = None
) -> Symbol:
    """Two triodes in one wide envelope: ``a1 g1 k1`` on the left, ``a2 g2 k2`` on the right."""
    heavy = float(rng.choice([1.0, 1.6, 2.5, 3.5])) if heavy is None else heavy
    high, wide = float(rng.uniform(2.4, 2.9)), float(rng.uniform(4.4, 5.6))
    names = ["a1", "g1", "k1", "a2", "g2", "k2"]
    pins = _random_pins(rng, names) if pins is None else pins
    outline = rounded_box(-wide, -high, wide, high, high * 0.98, heavy)
    strokes: list[Stroke] = [outline]
    terminals: list[Terminal] = []
    if rng.random() < 0.4:
        strokes += [Stroke(piece, 1.0) for piece in dashes(np.array([(0.0, -high), (0.0, high)]), 0.8, 0.5)]
    for number, sign in ((1, -1.0), (2, 1.0)):
        x, reach = sign * (wide - high) * 0.85, 1.15
        strokes += [line((x - reach, -1.1), (x + reach, -1.1), width=1.5), line((x, -1.1), (x, -high))]
        strokes += [piece.moved(np.eye(2), np.array([x, 0.0]), 1.0) for piece in _grid(rng, 0.0, reach)]
        strokes += [line((x + sign * reach, 0), (sign * wide, 0)), line((x - reach, 1.1), (x + reach, 1.1))]
        strokes.append(line((x, 1.1), (x, high)))
        terminals += [
            Terminal(f"a{number}", x, -high, 0, -1),
            Terminal(f"g{number}", sign * wide, 0, sign, 0),
        ]
        terminals.append(Terminal(f"k{number}", x, high, 0, 1))
    marks = tuple(_pin(rng, terminal, pins[terminal.name]) for terminal in terminals if terminal.name in pins)
    return Symbol("valve", tuple(strokes), (outline.points,), tuple(terminals), marks)


@symbol("valve.rectifier")
def rectifier_valve(
    rng: np.random.Generator, heavy: float | None = None, pins: dict[str, str] | None = None
) -> Symbol:
    """Two anodes above one directly heated or indirectly heated cathode."""
    heavy = float(rng.choice([1.0, 1.6, 2.5, 4.0])) if heavy is None else heavy
    radius = float(rng.uniform(2.6, 3.2))
    y = -0.7
    side = float(np.sqrt(radius**2 - y**2))
    strokes: list[Stroke] = [circle(0, 0, radius, heavy)]
    terminals: list[Terminal] = []
    for number, sign in ((1, -1.0), (2, 1.0)):
        strokes.append(line((sign * 0.5, y - 0.5), (sign * 0.5, y + 0.5), width=1.5))
        strokes.append(line((sign * 0.5, y), (sign * side, y)))
        terminals.append(Terminal(f"a{number}", sign * side, y, sign, 0.0))
    foot = float(np.sqrt(radius**2 - 0.49))
    if rng.random() < 0.5:
        strokes.append(line((-0.7, foot), (-0.7, 1.0), (0, 0.5), (0.7, 1.0), (0.7, foot)))
        terminals += [Terminal("h1", -0.7, foot, 0, 1), Terminal("h2", 0.7, foot, 0, 1)]
    else:
        strokes += [arc(0, 1.2, 0.9, 180, 360), line((0.9, 1.2), (0.9, float(np.sqrt(radius**2 - 0.81))))]
        terminals.append(Terminal("k", 0.9, float(np.sqrt(radius**2 - 0.81)), 0, 1))
    pins = _random_pins(rng, [t.name for t in terminals]) if pins is None else pins
    marks = tuple(_pin(rng, terminal, pins[terminal.name]) for terminal in terminals if terminal.name in pins)
    return Symbol("valve", tuple(strokes), (disc(0, 0, radius),), tuple(terminals), marks)


@symbol("valve.indicator")
def indicator(rng: np.random.Generator) -> Symbol:
    """A small diode or tuning indicator in a small round envelope."""
    radius = float(rng.uniform(1.7, 2.2))
    region: Points = disc(0, 0, radius)
    strokes = (
        circle(0, 0, radius, float(rng.choice([1.0, 2.0]))),
        line((-0.9, -0.6), (0.9, -0.6)), line((0, -0.6), (0, -radius)),
        arc(0, 1.1, 0.8, 180, 360), line((0.0, 0.3), (0.0, radius)),
    )  # fmt: skip
    return Symbol(
        "valve", strokes, (region,), (Terminal("a", 0, -radius, 0, -1), Terminal("k", 0, radius, 0, 1))
    )

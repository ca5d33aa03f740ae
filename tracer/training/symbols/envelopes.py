"""More valves: heavier glass, pins at the leads, open halves, shared bulbs, tuning eyes, gas dots."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from tracer.training.strokes import Points, Stroke, arc, circle, dashes, line, polygon, rounded_box
from tracer.training.symbols.symbol import Inscription, Symbol, Terminal, disc, symbol

__all__: list[str] = []

_HEAVY = (1.0, 1.0, 1.5, 2.0, 3.0, 4.5)


def _grid(rng: np.random.Generator, y: float, reach: float, hand: int) -> list[Stroke]:
    """A grid as dashes (long, short, dots) or a zigzag."""
    row = np.array([(-reach, y), (reach, y)])
    if hand == 0:
        return [Stroke(piece) for piece in dashes(row, 0.75, 0.45)]
    if hand == 1:
        return [Stroke(piece) for piece in dashes(row, 0.35, 0.35)]
    if hand == 2:
        return [Stroke(piece) for piece in dashes(row, reach * 0.55, reach * 0.18)]
    xs = np.linspace(-reach, reach, 2 * int(rng.integers(3, 6)) + 1)
    return [Stroke(np.stack([xs, y + 0.28 * (-1.0) ** np.arange(xs.size)], 1))]


def _weight(rng: np.random.Generator, half: float) -> float:
    """Of the glass, in strokes; small bulbs are not drawn with the heaviest."""
    return min(float(rng.choice(_HEAVY)), 1.6 * half - 0.8)


def _pins(rng: np.random.Generator, ends: Sequence[Terminal], glass: float) -> tuple[Inscription, ...]:
    """Pin numbers beside the leads outside a `glass` of that weight, or none."""
    away = 0.7 + 0.12 * glass
    if rng.random() < 0.4:
        return ()
    numbers = rng.permutation(np.arange(1, 10))
    marks = []
    for index, end in enumerate(ends):
        if rng.random() < 0.1:
            continue
        x = end.x + end.dx * away + (0.65 * float(rng.choice([-1, 1])) if end.dx == 0 else 0.0)
        y = end.y + end.dy * away + (-0.65 if end.dy == 0 else 0.0)
        marks.append(Inscription(float(x), float(y), str(numbers[index % 9]), float(rng.uniform(0.7, 0.95))))
    return tuple(marks)


def _pins_of(pins: dict[str, str], ends: Sequence[Terminal], glass: float) -> tuple[Inscription, ...]:
    """The given pin numbers beside their leads."""
    away = 0.7 + 0.12 * glass
    return tuple(
        Inscription(
            end.x + end.dx * away + (0.65 if end.dx == 0 else 0.0),
            end.y + end.dy * away - (0.65 if end.dy == 0 else 0.0),
            pins[end.name],
            0.85,
        )
        for end in ends
        if end.name in pins
    )


def _glass(half: float, top: float, bottom: float, y: float) -> float:
    """Half the width at height `y` of a bulb with round ends of radius `half`."""
    over = max(top + half - y, y - (bottom - half), 0.0)
    return float(np.sqrt(max(half**2 - min(over, half) ** 2, 0.04)))


def _end(half: float, top: float, bottom: float, x: float, down: bool) -> float:
    rise = float(np.sqrt(max(half**2 - x**2, 0.04)))
    return bottom - half + rise if down else top + half - rise


def _cathode(rng: np.random.Generator, y: float, reach: float, x: float, foot: float) -> list[Stroke]:
    """A bar with feet, a flat arch, or a dotted arch, and its lead down at `x`."""
    pick = rng.random()
    if pick < 0.4:
        top: Stroke = line((-reach, y + 0.4), (-reach, y), (reach, y), (reach, y + 0.4))
    elif pick < 0.8:
        bend = arc(0, y + reach * 0.9, reach * 1.05, 215, 325).points
        top = Stroke(bend - np.array([0.0, bend[:, 1].min() - y]))
    else:
        top = line((-reach, y), (reach, y))
    level = float(np.interp(x, top.points[:, 0], top.points[:, 1])) if pick >= 0.4 else y
    return [top, line((x, level), (x, foot))]


def _system(
    rng: np.random.Generator, x: float, top: float, bottom: float, half: float, wall: tuple[float, float],
    grids: int, suffix: str, side: float, levels: tuple[float, float],
) -> tuple[list[Stroke], list[Terminal]]:  # fmt: skip
    """Anode, grids and cathode round x, leads to the glass: `wall` is its x left and right of the system."""
    hand = int(rng.integers(0, 4))
    ys = np.linspace(*levels, grids + 2)
    reach = half * rng.uniform(0.45, 0.65)
    strokes: list[Stroke] = []
    ends = [Terminal(f"a{suffix}", x, top, 0.0, -1.0)]
    pick = rng.random()
    y = float(ys[0])
    if pick < 0.7:
        strokes.append(line((x - reach, y), (x + reach, y), width=float(rng.choice([1.0, 1.8, 2.6]))))
    else:
        strokes.append(line((x - reach, y + 0.5), (x - reach, y), (x + reach, y), (x + reach, y + 0.5)))
    strokes.append(line((x, y), (x, top)))
    for index in range(grids):
        y = float(ys[index + 1])
        number = grids - index
        way = side if number % 2 else -side
        strokes += [s.moved(np.eye(2), np.array([x, 0.0]), 1.0) for s in _grid(rng, y, reach, hand)]
        edge = wall[0] if way < 0 else wall[1]
        strokes.append(line((x + way * reach, y), (edge, y)))
        ends.append(Terminal(f"g{number}{suffix and '.' + suffix}", edge, y, way, 0.0))
    at = float(rng.choice([-1.0, 1.0])) * reach * 0.6 if rng.random() < 0.5 else 0.0
    foot = bottom
    drawn = _cathode(rng, float(ys[-1]), reach, at, foot)
    strokes += [s.moved(np.eye(2), np.array([x, 0.0]), 1.0) for s in drawn]
    ends.append(Terminal(f"k{suffix}", x + at, foot, 0.0, 1.0))
    return strokes, ends


def _to_glass(
    strokes: list[Stroke], ends: list[Terminal], half: float, top: float, bottom: float
) -> tuple[list[Stroke], list[Terminal]]:
    """Bring leads that end on the box of the bulb to its curved glass."""
    moved: list[Terminal] = []
    for end in ends:
        if end.dy == 0.0:
            x, y = end.dx * _glass(half, top, bottom, end.y), end.y
        else:
            x, y = end.x, _end(half, top, bottom, end.x, end.dy > 0)
        old = np.array([end.x, end.y])
        for stroke in strokes:
            if np.allclose(stroke.points[-1], old):
                stroke.points[-1] = (x, y)
        moved.append(Terminal(end.name, x, y, end.dx, end.dy))
    return strokes, moved


def _heater(
    strokes: list[Stroke], ends: list[Terminal], y: float, half: float, top: float, bottom: float
) -> None:
    """A peak under the cathode on two legs."""
    spread = min(0.6, half * 0.28)
    middle = -ends[-1].x * 0.5
    legs = [
        (middle - spread, _end(half, top, bottom, middle - spread, True)),
        (middle + spread, _end(half, top, bottom, middle + spread, True)),
    ]
    strokes.append(line(legs[0], (legs[0][0], y + 0.6), (middle, y), (legs[1][0], y + 0.6), legs[1]))
    ends += [Terminal("h1", *legs[0], 0.0, 1.0), Terminal("h2", *legs[1], 0.0, 1.0)]


@symbol("valve.glass")
def glass_valve(
    rng: np.random.Generator,
    grids: int | None = None,
    heater: bool | None = None,
    pins: dict[str, str] | None = None,
    grid_side: float = 1.0,
) -> Symbol:
    """Diode to heptode in round, oval or tall glass of any weight, with gas dot and heater at times.

    Options and terminals are those of ``valve.envelope``.
    """
    grids = int(rng.choice([0, 0, 1, 1, 1, 2, 3, 3, 4, 5])) if grids is None else grids
    heated = bool(rng.random() < 0.35) if heater is None else heater
    half = float(rng.uniform(1.8, 3.2))
    tall = max(2 * half, (2.2 + 0.85 * (grids + 1) + heated) * rng.uniform(1.0, 1.25))
    top, bottom = -tall / 2, tall / 2
    levels = (top + 0.9, bottom - (1.9 if heated else 1.1))
    strokes, ends = _system(rng, 0.0, top, bottom, half, (-half, half), grids, "", -grid_side, levels)
    strokes, ends = _to_glass(strokes, ends, half, top, bottom)
    if heated:
        _heater(strokes, ends, levels[1] + 0.4, half, top, bottom)
    glass = _weight(rng, half)
    outline = rounded_box(-half, top, half, bottom, half, glass)
    if rng.random() < 0.1:
        strokes.append(circle(half * 0.6, bottom - half * 0.75, 0.2, fill=1.0))
    marks = _pins(rng, ends, glass) if pins is None else _pins_of(pins, ends, glass)
    return Symbol("valve", (outline, *strokes), (outline.points,), tuple(ends), marks)


@symbol("valve.open")
def open_half(rng: np.random.Generator) -> Symbol:
    """One half of a shared bulb: an arc left open, or dashed, on one side."""
    grids = int(rng.choice([0, 1, 1, 1, 2, 3]))
    half = float(rng.uniform(1.9, 2.8))
    top, bottom = -half * 1.1, half * 1.1
    strokes, ends = _system(
        rng,
        0.0,
        top,
        bottom,
        half,
        (-half, half),
        grids,
        "",
        float(rng.choice([-1.0, 1.0])),
        (top + 0.8, bottom - 1.0),
    )
    strokes, ends = _to_glass(strokes, ends, half, top, bottom)
    whole = rounded_box(-half, top, half, bottom, half).points
    glass, side = _weight(rng, half), float(rng.choice([-1.0, 1.0]))
    cut = half * rng.uniform(0.05, 0.6)
    lost = whole[:-1, 0] * side > cut
    start = int(np.argmax(lost))
    rolled, gone = np.roll(whole[:-1], -start, axis=0), np.roll(lost, -start)
    bulb = [Stroke(rolled[~gone], glass)]
    if rng.random() < 0.4:
        bulb += [Stroke(piece, glass) for piece in dashes(rolled[gone], 0.5, 0.45)]
    return Symbol("valve", (*bulb, *strokes), (whole,), tuple(ends), _pins(rng, ends, glass))


@symbol("valve.shared")
def shared_bulb(rng: np.random.Generator) -> Symbol:
    """Two systems side by side in one wide bulb: twin triode, triode-pentode, double diode-triode."""
    half, wide = float(rng.uniform(2.4, 3.0)), float(rng.uniform(4.6, 5.8))
    grids = [int(n) for n in rng.choice([1, 1, 1, 3, 0], size=2)]
    top, bottom = -half, half
    if max(grids) == 3:
        top, bottom = -half * 1.2, half * 1.2
    radius = min(half, bottom) * 0.95
    glass = _weight(rng, half)
    outline = rounded_box(-wide, top, wide, bottom, radius, glass)
    strokes: list[Stroke] = [outline]
    ends: list[Terminal] = []
    x = (wide - radius) * 0.95
    for number, (count, sign) in enumerate(zip(grids, (-1.0, 1.0), strict=True), 1):
        drawn, here = _system(
            rng,
            sign * x,
            top,
            bottom,
            2.0,
            (-wide, wide),
            min(count, 1),
            str(number),
            sign,
            (top + 0.9, bottom - 1.1),
        )
        for stroke in drawn:
            stroke.points[:, 0] = stroke.points[:, 0].clip(-wide, wide)
        strokes += drawn
        ends += here
    if rng.random() < 0.4:
        strokes += [Stroke(piece) for piece in dashes(np.array([(0.0, top), (0.0, bottom)]), 0.7, 0.5)]
    return Symbol("valve", tuple(strokes), (outline.points,), tuple(ends), _pins(rng, ends, glass))


@symbol("valve.stacked")
def stacked(rng: np.random.Generator) -> Symbol:
    """Small diode plates beside or under a triode in one bulb, sharing its cathode."""
    half = float(rng.uniform(2.4, 3.2))
    top, bottom = -half * 1.15, half * 1.15
    strokes, ends = _system(
        rng, 0.0, top, bottom, half, (-half, half), 1, "", -1.0, (top + 0.9, bottom - 1.6)
    )
    strokes, ends = _to_glass(strokes, ends, half, top, bottom)
    plates = int(rng.integers(1, 3))
    for number, sign in list(enumerate((1.0, -1.0), 1))[:plates]:
        y = bottom - 1.2
        edge = sign * _glass(half, top, bottom, y)
        x = sign * half * 0.5
        strokes += [line((x, y - 0.45), (x, y + 0.45), width=1.6), line((x, y), (edge, y))]
        ends.append(Terminal(f"d{number}", edge, y, sign, 0.0))
    glass = _weight(rng, half)
    outline = rounded_box(-half, top, half, bottom, half, glass)
    return Symbol("valve", (outline, *strokes), (outline.points,), tuple(ends), _pins(rng, ends, glass))


@symbol("valve.eye")
def tuning_eye(rng: np.random.Generator) -> Symbol:
    """A tuning indicator: a triode under its target, the shadow a wedge or a fan."""
    half = float(rng.uniform(2.4, 3.0))
    top, bottom = -half * 1.25, half * 1.25
    strokes, ends = _system(
        rng, 0.0, top, bottom, half, (-half, half), 1, "", -1.0, (top + 2.1, bottom - 1.1)
    )
    strokes, ends = _to_glass(strokes, ends, half, top, bottom)
    y = top + 1.1
    edge = _glass(half, top, bottom, y)
    black = 1.0 if rng.random() < 0.4 else None
    strokes.append(polygon((half * 0.25, y), (half * 0.65, y - 0.6), (half * 0.65, y + 0.6), fill=black))
    strokes.append(line((half * 0.65, y), (edge, y)))
    ends.append(Terminal("target", edge, y, 1.0, 0.0))
    glass = _weight(rng, half)
    outline = rounded_box(-half, top, half, bottom, half, glass)
    return Symbol("valve", (outline, *strokes), (outline.points,), tuple(ends), _pins(rng, ends, glass))


@symbol("valve.gas")
def gas_valve(rng: np.random.Generator) -> Symbol:
    """A stabiliser or thyratron: plate over a small cathode ring, bar or cup, a black dot for its gas."""
    radius = float(rng.uniform(1.5, 2.4))
    glass = _weight(rng, radius)
    strokes = [circle(0, 0, radius, glass)]
    w = radius * 0.5
    strokes += [
        line((-w, -radius * 0.35), (w, -radius * 0.35), width=1.6),
        line((0, -radius * 0.35), (0, -radius)),
    ]
    pick = rng.random()
    if pick < 0.4:
        strokes += [circle(0, radius * 0.4, 0.3), line((0, radius * 0.4 + 0.3), (0, radius))]
    elif pick < 0.7:
        strokes += [line((-w, radius * 0.3), (w, radius * 0.3)), line((0, radius * 0.3), (0, radius))]
    else:
        strokes += [arc(0, radius * 0.3, w, 180, 360), line((0, radius * 0.3 - w), (0, radius))]
    strokes.append(circle(radius * 0.6, radius * 0.25, 0.17, fill=1.0))
    ends = (Terminal("a", 0, -radius, 0, -1), Terminal("k", 0, radius, 0, 1))
    return Symbol("valve", tuple(strokes), (disc(0, 0, radius),), ends, _pins(rng, ends, glass))


@symbol("valve.direct")
def directly_heated(rng: np.random.Generator) -> Symbol:
    """A battery valve or rectifier: a filament as a peak or a bow for cathode, one anode or two."""
    half = float(rng.uniform(1.9, 2.8))
    anodes, grids = int(rng.choice([1, 1, 2])), int(rng.choice([0, 1, 1, 3]))
    grids = 0 if anodes == 2 else grids
    tall = max(2 * half, 3.0 + 0.8 * (grids + 1))
    top, bottom = -tall / 2, tall / 2
    strokes: list[Stroke] = []
    ends: list[Terminal] = []
    reach = half * 0.55
    for number in range(anodes):
        x = 0.0 if anodes == 1 else (-0.5 if number == 0 else 0.5) * half
        w = reach if anodes == 1 else half * 0.28
        y = top + (1.0 if anodes == 1 else 1.5)
        strokes.append(line((x - w, y), (x + w, y), width=float(rng.choice([1.0, 1.8]))))
        edge = _end(half, top, bottom, x, False)
        strokes.append(line((x, y), (x, edge)))
        ends.append(Terminal("a" if anodes == 1 else f"a{number + 1}", x, edge, 0, -1))
    hand = int(rng.integers(0, 4))
    for index in range(grids):
        y = top + 1.0 + (index + 1) * 0.95
        way = -1.0 if (grids - index) % 2 else 1.0
        strokes += _grid(rng, y, reach, hand)
        edge = way * _glass(half, top, bottom, y)
        strokes.append(line((way * reach, y), (edge, y)))
        ends.append(Terminal(f"g{grids - index}", edge, y, way, 0))
    spread = half * rng.uniform(0.2, 0.4)
    foot = _end(half, top, bottom, spread, True)
    peak = bottom - rng.uniform(1.5, 1.9)
    if rng.random() < 0.6:
        strokes.append(
            line((-spread, foot), (-spread, peak + 0.5), (0, peak), (spread, peak + 0.5), (spread, foot))
        )
    else:
        bow: Points = arc(0, peak + spread, spread, 180, 360).points
        strokes.append(Stroke(np.concatenate([[(-spread, foot)], bow, [(spread, foot)]])))
    ends += [Terminal("h1", -spread, foot, 0, 1), Terminal("h2", spread, foot, 0, 1)]
    glass = _weight(rng, half)
    outline = rounded_box(-half, top, half, bottom, half, glass)
    return Symbol("valve", (outline, *strokes), (outline.points,), tuple(ends), _pins(rng, ends, glass))


@symbol("valve.bare")
def bare_valve(rng: np.random.Generator) -> Symbol:
    """Electrodes without their glass, as where a valve's systems are drawn apart."""
    grids = int(rng.choice([1, 1, 1, 2, 3]))
    half = float(rng.uniform(1.5, 2.3))
    tall = 1.7 + 0.85 * (grids + 1)
    top, bottom = -tall / 2, tall / 2
    levels = (top + 0.5, bottom - 0.7)
    strokes, ends = _system(
        rng, 0.0, top, bottom, half, (-half, half), grids, "", 1.0 if rng.random() < 0.2 else -1.0, levels
    )
    region: Points = np.array([(-half, top), (half, top), (half, bottom), (-half, bottom)])
    return Symbol("valve", tuple(strokes), (region,), tuple(ends), _pins(rng, ends, 1.0))


@symbol("valve.beam")
def beam_tetrode(rng: np.random.Generator) -> Symbol:
    """A beam tetrode: two grids and the bent plates beside them, tied to the cathode."""
    half = float(rng.uniform(2.4, 3.2))
    top, bottom = -half * 1.2, half * 1.2
    levels = (top + 0.9, bottom - 1.3)
    strokes, ends = _system(rng, 0.0, top, bottom, half, (-half, half), 2, "", -1.0, levels)
    strokes, ends = _to_glass(strokes, ends, half, top, bottom)
    x, y = half * 0.82, levels[0] + (levels[1] - levels[0]) / 6
    for sign in (-1.0, 1.0):
        strokes.append(
            line(
                (sign * (x - 0.4), y - 0.5),
                (sign * x, y - 0.25),
                (sign * x, y + 0.25),
                (sign * (x - 0.4), y + 0.5),
            )
        )
    glass = _weight(rng, half)
    outline = rounded_box(-half, top, half, bottom, half, glass)
    return Symbol("valve", (outline, *strokes), (outline.points,), tuple(ends), _pins(rng, ends, glass))

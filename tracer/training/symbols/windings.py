"""Coils and transformers."""

from __future__ import annotations

import numpy as np

from tracer.training.strokes import Stroke, arrow_head, box, bumps, circle, dashes, line, loops
from tracer.training.symbols.symbol import Inscription, Symbol, Terminal, rectangle, symbol, two_ended

__all__: list[str] = []


def _coil(rng: np.random.Generator, half: float, height: float, count: int) -> Stroke:
    """One winding along y = 0 in one of four hands."""
    pick = rng.random()
    if pick < 0.4:
        return bumps(-half, half, count, squash=rng.uniform(0.8, 1.3))
    if pick < 0.75:
        run = loops(
            -half * 0.85, half * 0.85, count, height * rng.uniform(1.6, 3.4), lap=rng.uniform(0.6, 1.3)
        )
        sway = np.cumsum(rng.normal(0.0, rng.choice([0.0, 0.012]), run.points.shape), axis=0)
        points = np.concatenate([[[-half, 0.0]], run.points + sway - sway.mean(axis=0), [[half, 0.0]]])
        return Stroke(points, run.width)
    if pick < 0.9:
        return Stroke(box(-half, -height * 0.7, half, height * 0.7).points, 1.0, 1.0)
    wave = np.linspace(0, 2 * np.pi * count, 12 * count)
    return Stroke(np.stack([np.linspace(-half, half, wave.size), -height * np.sin(wave)], 1), 1.0)


def _hull(coil: Stroke, half: float) -> tuple[float, float]:
    return float(min(coil.points[:, 1].min(), -0.3)), float(max(coil.points[:, 1].max(), 0.3))


@symbol("coil.plain")
def plain_coil(rng: np.random.Generator) -> Symbol:
    """A coil, air-cored, or with the lines of a core beside it."""
    half, height = rng.uniform(2.2, 4.2), rng.uniform(0.6, 1.0)
    coil = _coil(rng, half, height, int(rng.integers(3, 7)))
    top, bottom = _hull(coil, half)
    strokes = [coil]
    for index in range(int(rng.choice([0, 0, 1, 2, 3]))):
        top -= 0.5
        core = line((-half * 0.9, top), (half * 0.9, top))
        if index == 0 and rng.random() < 0.3:
            strokes += [Stroke(piece, 1.0) for piece in dashes(core.points, 0.8, 0.5)]
        else:
            strokes.append(core)
    return Symbol("coil", tuple(strokes), (rectangle(-half, top, half, bottom),), two_ended(half))


@symbol("coil.tapped")
def tapped_coil(rng: np.random.Generator) -> Symbol:
    """A coil with one or two taps on the side away from its core."""
    half, height = rng.uniform(2.8, 4.8), rng.uniform(0.6, 0.9)
    coil = _coil(rng, half, height, int(rng.integers(4, 8)))
    top, bottom = _hull(coil, half)
    foot = bottom + rng.uniform(0.4, 1.0)
    strokes, terminals = [coil], list(two_ended(half))
    for number, x in enumerate(np.linspace(-half, half, int(rng.integers(3, 5)))[1:-1], 1):
        strokes.append(line((float(x), 0.0), (float(x), foot)))
        terminals.append(Terminal(f"tap{number}", float(x), foot, 0.0, 1.0))
    return Symbol("coil", tuple(strokes), (rectangle(-half, top, half, foot),), tuple(terminals))


@symbol("coil.variable")
def variable_coil(rng: np.random.Generator) -> Symbol:
    """A coil crossed by an arrow, or with an arrow along it for its movable core."""
    half, height = rng.uniform(2.2, 3.6), rng.uniform(0.6, 0.9)
    coil = _coil(rng, half, height, int(rng.integers(3, 6)))
    top, bottom = _hull(coil, half)
    if rng.random() < 0.5:
        reach = max(half * 0.7, 1.5)
        tip = (reach, top - 0.9)
        strokes = [line((-reach, bottom + 0.9), tip), *arrow_head(tip, (reach, top - 0.9), 0.9, solid=True)]
        region = np.array(
            [
                (-half, top),
                (reach - 0.6, top - 0.9),
                (reach, top - 0.9),
                (half, top),
                (half, bottom),
                (-reach + 0.4, bottom + 0.9),
                (-reach, bottom + 0.9),
                (-half, bottom),
            ]
        )
        return Symbol("coil", (coil, *strokes), (region,), two_ended(half))
    level = top - 0.6
    strokes = [line((-half * 0.8, level), (half * 0.8, level))]
    strokes += arrow_head((half * 0.9, level), (1, 0), 0.8, solid=bool(rng.random() < 0.5))
    return Symbol("coil", (coil, *strokes), (rectangle(-half, level - 0.35, half, bottom),), two_ended(half))


@symbol("transformer.pair")
def transformer_pair(
    rng: np.random.Generator,
    left: tuple[int, ...] | None = None,
    right: tuple[int, ...] | None = None,
    spread: float = 1.0,
) -> Symbol:
    """Windings left and right of a core.

    `left` and `right` give each winding's number of leads, top to bottom: 2 plain, 3 or more with taps.
    Terminals are named ``L1.1``, ``L1.2``… and ``R1.1``…, top to bottom. `spread` stretches the windings.
    """
    left = left or tuple(int(n) for n in rng.choice([2, 2, 2, 3, 4], size=int(rng.integers(1, 3))))
    right = right or tuple(int(n) for n in rng.choice([2, 2, 3], size=int(rng.integers(1, 4))))
    core_lines = int(rng.choice([0, 1, 2, 2, 3]))
    off = 1.2 + 0.3 * core_lines + rng.uniform(0.0, 0.9)
    reach = off + rng.uniform(1.4, 2.6)
    strokes: list[Stroke] = []
    terminals: list[Terminal] = []
    need = [sum(2.4 * (n - 1) + 2.0 for n in side) for side in (left, right)]
    total = max(*need, 5.0) * spread
    form, dense, height = rng.integers(0, 1 << 31), rng.uniform(1.1, 2.6), rng.uniform(0.5, 0.9)
    for letter, side, sign in (("L", left, -1.0), ("R", right, 1.0)):
        each = total / sum(max(n - 1, 1) for n in side)
        y = -total / 2
        for number, leads in enumerate(side, 1):
            room = each * max(leads - 1, 1)
            half = room / 2 - 0.5
            hand = np.random.default_rng(form)
            coil = _coil(hand, half, height, max(2, int(half * dense)))
            flip = np.array([[0.0, -sign], [1.0, 0.0]])  # along y, bulging to the core
            strokes.append(coil.moved(flip, np.array([sign * off, y + room / 2]), 1.0))
            for lead, at in enumerate(np.linspace(-half, half, leads), 1):
                at_y = float(y + room / 2 + at)
                strokes.append(line((sign * off, at_y), (sign * reach, at_y)))
                terminals.append(Terminal(f"{letter}{number}.{lead}", sign * reach, at_y, sign, 0.0))
            y += room
    for index in range(core_lines):
        x = (index - (core_lines - 1) / 2) * 0.5
        strokes.append(line((x, -total / 2), (x, total / 2), width=rng.choice([1.0, 1.5])))
    region = [rectangle(-reach, -total / 2 - 0.1, reach, total / 2 + 0.1)]
    if rng.random() < 0.2:
        strokes.append(box(-reach, -total / 2 - 0.8, reach, total / 2 + 0.8))
        region = [rectangle(-reach, -total / 2 - 0.8, reach, total / 2 + 0.8)]
    return Symbol("transformer", tuple(strokes), tuple(region), tuple(terminals))


@symbol("transformer.can")
def intermediate_transformer(rng: np.random.Generator) -> Symbol:
    """Two tuned windings in a dashed screening can: each coil with its capacitor across it."""
    half = rng.uniform(2.2, 3.0)
    off, reach = 1.0, rng.uniform(3.6, 4.6)
    strokes: list[Stroke] = []
    terminals: list[Terminal] = []
    form = rng.integers(0, 1 << 31)
    plate = rng.uniform(0.7, 1.0)
    for letter, sign in (("L", -1.0), ("R", 1.0)):
        coil = _coil(np.random.default_rng(form), half, 0.6, 4)
        strokes.append(coil.moved(np.array([[0.0, -sign], [1.0, 0.0]]), np.array([sign * off, 0.0]), 1.0))
        x = sign * (off + 1.5)
        strokes += [line((x, -half), (x, -0.3)), line((x, 0.3), (x, half))]
        strokes += [line((x - plate, -0.3), (x + plate, -0.3)), line((x - plate, 0.3), (x + plate, 0.3))]
        for number, y in ((1, -half), (2, half)):
            strokes.append(line((sign * off, y), (sign * reach, y)))
            strokes.append(circle(x, y, 0.22, fill=1.0))
            terminals.append(Terminal(f"{letter}1.{number}", sign * reach, y, sign, 0.0))
    can = box(-reach, -half - 1.0, reach, half + 1.0).points
    dashed = rng.random() < 0.7
    strokes += [Stroke(piece, 1.0) for piece in dashes(can, 1.0, 0.6)] if dashed else [Stroke(can, 1.0)]
    region = (rectangle(-reach, -half - 1.0, reach, half + 1.0),)
    return Symbol("transformer", tuple(strokes), region, tuple(terminals))


@symbol("relay coil.box")
def relay_coil(rng: np.random.Generator) -> Symbol:
    """A box with a slanting bar or its letters inside."""
    half, height = rng.uniform(1.2, 1.8), rng.uniform(1.6, 2.4)
    strokes = [box(-half, -height, half, height)]
    inside: tuple[Inscription, ...] = ()
    if rng.random() < 0.5:
        strokes.append(line((-half, height * 0.5), (half, -height * 0.5)))
    else:
        inside = (Inscription(0.0, 0.0, str(rng.choice(["RL", "A", "RLA"])), 1.0),)
    return Symbol(
        "relay coil", tuple(strokes), (rectangle(-half, -height, half, height),), two_ended(half), inside
    )

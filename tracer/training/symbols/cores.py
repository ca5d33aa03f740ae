"""More hands for windings: solid bars, slugs, rods, cans, many taps, four windings, autotransformers."""

from __future__ import annotations

import numpy as np

from tracer.training.strokes import Stroke, arrow_head, box, bumps, circle, dashes, line, loops
from tracer.training.symbols.symbol import Symbol, Terminal, rectangle, symbol, two_ended

__all__: list[str] = []

_ROUND = ("bumps", "bumps", "deep", "loops", "loops", "tight", "solid")
_HANDS = (*_ROUND, "zigzag")  # a zigzag is a winding only beside its core


def _winding(rng: np.random.Generator, hand: str, half: float, turns: int) -> Stroke:
    """One winding along y = 0 from -half to half; its bulge, if it has one, is upwards."""
    if hand == "bumps":
        return bumps(-half, half, turns, squash=rng.uniform(0.6, 1.1))
    if hand == "deep":
        return bumps(-half, half, turns, squash=rng.uniform(1.2, 2.0))
    if hand == "solid":
        return box(-half, -0.55, half, 0.55, fill=1.0)
    if hand == "zigzag":
        xs = np.linspace(-half, half, 2 * turns + 1)
        return Stroke(np.stack([xs, -0.9 * (np.arange(xs.size) % 2)], 1))
    lap, height = (1.3, 2.2) if hand == "loops" else (0.8, rng.uniform(1.2, 2.6))
    run = loops(-half * 0.9, half * 0.9, turns, height, lap=lap)
    points = np.concatenate([[[-half, 0.0]], run.points, [[half, 0.0]]])
    points[:, 0] = points[:, 0].clip(-half, half)
    return Stroke(points)


def _extent(coil: Stroke) -> tuple[float, float]:
    return float(min(coil.points[:, 1].min(), -0.3)), float(max(coil.points[:, 1].max(), 0.3))


def _core(rng: np.random.Generator, half: float, y: float, step: float) -> tuple[list[Stroke], float]:
    """Up to three lines beside a winding, whole, heavy or dashed; where the last lies."""
    strokes: list[Stroke] = []
    dashed = rng.random() < 0.35
    heavy = float(rng.choice([1.0, 1.0, 1.8]))
    for _ in range(int(rng.integers(1, 4))):
        y += step
        row = line((-half * 0.95, y), (half * 0.95, y), width=heavy)
        strokes += [Stroke(piece, heavy) for piece in dashes(row.points, 0.7, 0.45)] if dashed else [row]
    return strokes, y


@symbol("coil.solid")
def solid_coil(rng: np.random.Generator) -> Symbol:
    """The black bar of Continental sheets, bare or with its core."""
    half, height = rng.uniform(1.6, 3.4), rng.uniform(0.4, 0.8)
    strokes = [box(-half, -height, half, height, fill=1.0)]
    top = -height
    if rng.random() < 0.4:
        core, top = _core(rng, half, top, -0.5)
        strokes += core
    return Symbol("coil", tuple(strokes), (rectangle(-half, top, half, height),), two_ended(half))


@symbol("coil.cored")
def cored_coil(rng: np.random.Generator) -> Symbol:
    """Any winding with a core of one to three lines, whole or dashed."""
    half = rng.uniform(1.8, 4.4)
    coil = _winding(rng, str(rng.choice(_HANDS)), half, int(rng.integers(3, 8)))
    top, bottom = _extent(coil)
    core, top = _core(rng, half, top, -float(rng.uniform(0.4, 0.6)))
    region = (rectangle(-half, top, half, bottom),)
    return Symbol("coil", (coil, *core), region, two_ended(half))


@symbol("coil.slug")
def slug_coil(rng: np.random.Generator) -> Symbol:
    """A winding with a movable slug: dashes or a bar beside it that end in an arrow."""
    half = rng.uniform(1.8, 3.2)
    coil = _winding(rng, str(rng.choice(_HANDS)), half, int(rng.integers(3, 7)))
    top, bottom = _extent(coil)
    y, reach = top - 0.6, half * rng.uniform(0.9, 1.2)
    row = line((-half * 0.8, y), (reach, y))
    strokes = [coil]
    strokes += [Stroke(piece) for piece in dashes(row.points, 0.7, 0.45)] if rng.random() < 0.6 else [row]
    strokes += arrow_head((reach + 0.5, y), (1.0, 0.0), 0.8, solid=bool(rng.random() < 0.6))
    if rng.random() < 0.3:
        strokes += arrow_head((-half * 0.8 - 0.5, y), (-1.0, 0.0), 0.8, solid=True)
    region = (rectangle(-half, top, half, bottom), rectangle(-half * 0.8 - 0.5, y - 0.4, reach + 0.5, 0.0))
    edge_left, edge_right = max(half, half * 0.8 + 0.5), max(half, reach + 0.5)
    strokes += [line((-edge_left, 0.0), (-half, 0.0)), line((half, 0.0), (edge_right, 0.0))]
    ends = (Terminal("1", -edge_left, 0.0, -1.0, 0.0), Terminal("2", edge_right, 0.0, 1.0, 0.0))
    return Symbol("coil", tuple(strokes), (*region, rectangle(-edge_left, -0.3, edge_right, 0.3)), ends)


@symbol("coil.taps")
def many_taps(rng: np.random.Generator) -> Symbol:
    """A winding with one to six taps, with or without a core."""
    count = int(rng.integers(1, 7))
    half = max(2.4, 0.75 * (count + 1)) * rng.uniform(1.0, 1.35)
    coil = _winding(rng, str(rng.choice(_ROUND)), half, max(4, count + 2))
    top, bottom = _extent(coil)
    foot = bottom + rng.uniform(0.3, 1.0)
    strokes, terminals = [coil], list(two_ended(half))
    for number in range(1, count + 1):
        x = -half + 2 * half * number / (count + 1)
        strokes.append(line((x, 0.0), (x, foot)))
        terminals.append(Terminal(f"tap{number}", x, foot, 0.0, 1.0))
    if rng.random() < 0.4:
        core, top = _core(rng, half, top, -0.5)
        strokes += core
    return Symbol("coil", tuple(strokes), (rectangle(-half, top, half, foot),), tuple(terminals))


@symbol("coil.rod")
def rod_aerial(rng: np.random.Generator) -> Symbol:
    """A winding on a long rod: a ferrite aerial."""
    half, wind = rng.uniform(2.8, 4.2), rng.uniform(1.6, 2.4)
    coil = _winding(rng, "bumps", wind, int(rng.integers(4, 8)))
    top, bottom = _extent(coil)
    rod = box(-half, top - 0.9, half, top - 0.2, fill=1.0 if rng.random() < 0.3 else None)
    region = (rectangle(-half, top - 0.9, half, top), rectangle(-wind, top, wind, 0.3))
    ends = (Terminal("1", -wind, 0.15, 0.0, 1.0), Terminal("2", wind, 0.15, 0.0, 1.0))
    del bottom
    return Symbol("coil", (coil, rod), region, ends)


@symbol("coil.canned")
def canned_coil(rng: np.random.Generator) -> Symbol:
    """A winding in a dashed or whole screening can, its leads passing through."""
    half = rng.uniform(1.6, 2.6)
    coil = _winding(rng, str(rng.choice(_ROUND)), half, int(rng.integers(3, 6)))
    top, bottom = _extent(coil)
    edge = half + rng.uniform(0.5, 1.0)
    can = box(-edge, top - 0.9, edge, bottom + 0.9).points
    dashed = rng.random() < 0.7
    strokes = [coil, line((-edge, 0), (-half, 0)), line((half, 0), (edge, 0))]
    strokes += [Stroke(piece) for piece in dashes(can, 0.9, 0.55)] if dashed else [Stroke(can)]
    region = (rectangle(-edge, top - 0.9, edge, bottom + 0.9),)
    return Symbol("coil", tuple(strokes), region, two_ended(edge))


def _side(
    rng: np.random.Generator, letter: str, leads: list[int], hand: str, span: float, off: float, reach: float
) -> tuple[list[Stroke], list[Terminal]]:
    """Windings one above the other along x = ±off, leads going outwards."""
    sign = -1.0 if letter == "L" else 1.0
    strokes: list[Stroke] = []
    terminals: list[Terminal] = []
    flip = np.array([[0.0, -sign], [1.0, 0.0]])  # bulging to the core
    parts = [max(count - 1, 1) + 0.6 for count in leads]
    y = -span / 2
    form = int(rng.integers(0, 1 << 31))
    for number, (count, part) in enumerate(zip(leads, parts, strict=True), 1):
        room = span * part / sum(parts)
        half = room / 2 - 0.35
        coil = _winding(np.random.default_rng(form), hand, half, max(2, round(half * 1.4)))
        strokes.append(coil.moved(flip, np.array([sign * off, y + room / 2]), 1.0))
        for lead, at in enumerate(np.linspace(-half, half, count), 1):
            at_y = float(y + room / 2 + at)
            strokes.append(line((sign * off, at_y), (sign * reach, at_y)))
            terminals.append(Terminal(f"{letter}{number}.{lead}", sign * reach, at_y, sign, 0.0))
        y += room
    return strokes, terminals


@symbol("transformer.mains")
def mains_transformer(rng: np.random.Generator) -> Symbol:
    """A tapped primary facing one to four secondaries, the core of lines, dashes or one heavy bar."""
    left = [int(rng.choice([2, 3, 4, 5, 6]))] if rng.random() < 0.8 else [2, 2]
    right = [int(n) for n in rng.choice([2, 2, 3, 3, 4], size=int(rng.integers(1, 5)))]
    hand = str(rng.choice(_HANDS))
    span = max(sum(1.9 * (n - 1) + 1.2 for n in side) for side in (left, right)) * rng.uniform(1.0, 1.3)
    span = max(span, 5.0)
    deep = {"deep": 1.6, "loops": 1.0, "tight": 1.2}.get(hand, 0.9)
    off = deep + rng.uniform(0.6, 1.4)
    reach = off + rng.uniform(0.8, 2.6)
    strokes: list[Stroke] = []
    terminals: list[Terminal] = []
    for letter, leads in (("L", left), ("R", right)):
        drawn, ends = _side(rng, letter, leads, hand, span, off, reach)
        strokes += drawn
        terminals += ends
    pick = rng.random()
    if pick < 0.75:
        count = int(rng.integers(1, 4))
        for index in range(count):
            x = (index - (count - 1) / 2) * 0.42
            row = line((x, -span / 2), (x, span / 2))
            strokes += [Stroke(p) for p in dashes(row.points, 0.9, 0.5)] if pick > 0.6 else [row]
    elif pick < 0.85:
        strokes.append(box(-0.25, -span / 2, 0.25, span / 2, fill=float(rng.choice([1.0, 0.0]))))
    region = (rectangle(-reach, -span / 2, reach, span / 2),)
    return Symbol("transformer", tuple(strokes), region, tuple(terminals))


@symbol("transformer.auto")
def autotransformer(rng: np.random.Generator) -> Symbol:
    """One long tapped winding beside its core, leads to both sides."""
    count = int(rng.integers(3, 7))
    span = 2.0 * count * rng.uniform(0.9, 1.3)
    off, reach = 0.0, rng.uniform(1.2, 2.2)
    hand = str(rng.choice(["bumps", "deep", "loops", "zigzag"]))
    drawn, ends = _side(rng, "R", [count], hand, span, off, reach)
    core, edge = _core(rng, span / 2, -1.9, -0.45)
    turn = np.array([[0.0, 1.0], [1.0, 0.0]])
    strokes = [*drawn, *[each.moved(turn, np.zeros(2), 1.0) for each in core]]
    region = (rectangle(edge - 0.1, -span / 2, reach, span / 2),)
    return Symbol("transformer", tuple(strokes), region, tuple(ends))


@symbol("transformer.slugs")
def slugged_transformer(rng: np.random.Generator) -> Symbol:
    """Two windings with an arrow along each for its slug, in a can or bare; tapped at times."""
    leads = [int(rng.choice([2, 2, 3])) for _ in range(2)]
    span = rng.uniform(4.4, 6.4)
    hand = str(rng.choice(["bumps", "loops", "tight", "zigzag", "solid"]))
    off, reach = rng.uniform(1.5, 2.0), rng.uniform(3.0, 4.2)
    strokes: list[Stroke] = []
    terminals: list[Terminal] = []
    for letter, count, sign in (("L", leads[0], -1.0), ("R", leads[1], 1.0)):
        drawn, ends = _side(rng, letter, [count], hand, span, off, reach)
        strokes += drawn
        terminals += ends
        x = sign * (0.35 if hand != "tight" else 0.2)
        row = line((x, span / 2 * 0.8), (x, -span / 2))
        strokes += [Stroke(p) for p in dashes(row.points, 0.8, 0.5)] if rng.random() < 0.7 else [row]
        strokes += arrow_head((x, -span / 2 - 0.3), (0, -1), 0.7, solid=True)
    top = -span / 2 - 0.4
    if rng.random() < 0.6:
        can = box(-reach, top - 0.5, reach, span / 2 + 0.5).points
        strokes += [Stroke(p) for p in dashes(can, 1.0, 0.6)] if rng.random() < 0.8 else [Stroke(can)]
        region = (rectangle(-reach, top - 0.5, reach, span / 2 + 0.5),)
    else:
        region = (rectangle(-reach, top, reach, span / 2),)
    if rng.random() < 0.3:
        strokes += [circle(sign * off, -span / 2 + 0.2, 0.18, fill=1.0) for sign in (-0.55, 0.55)]
    return Symbol("transformer", tuple(strokes), region, tuple(terminals))


@symbol("relay coil.bar")
def barred_relay(rng: np.random.Generator) -> Symbol:
    """A flat box whose leads leave above and below, its winding's ohms inside."""
    half, height = rng.uniform(1.6, 2.6), rng.uniform(0.8, 1.2)
    strokes = [box(-half, -height, half, height)]
    if rng.random() < 0.5:
        strokes.append(line((-half, height), (-half * 0.3, -height)))
    ends = (Terminal("1", 0.0, -height, 0.0, -1.0), Terminal("2", 0.0, height, 0.0, 1.0))
    return Symbol("relay coil", tuple(strokes), (rectangle(-half, -height, half, height),), ends)

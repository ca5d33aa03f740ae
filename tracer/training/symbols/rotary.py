"""More contacts: rotary wafers as rings and as spokes, slide and push-button rows, keys, bare springs."""

from __future__ import annotations

import numpy as np

from tracer.training.strokes import Points, Stroke, arc, arrow_head, box, circle, line
from tracer.training.symbols.symbol import Inscription, Symbol, Terminal, disc, rectangle, symbol, two_ended

__all__: list[str] = []


def _round(x: float, y: float, rng: np.random.Generator, ring: float, fill: float) -> Stroke:
    del rng
    return circle(x, y, ring, fill=fill)


@symbol("contact.spoke")
def spoke_wafer(rng: np.random.Generator) -> Symbol:
    """Three to twelve contacts on an arc and a spoke from the middle to one of them."""
    ways = int(rng.integers(3, 13))
    step = np.deg2rad(min(30.0, 150.0 / max(ways - 1, 1)) if ways < 10 else 300.0 / ways)
    ring = rng.uniform(0.24, 0.4)
    radius = max(2.2, 1.25 / (2 * np.sin(step / 2)))
    fill = float(rng.choice([0.0, 0.0, 1.0]))
    angles = (np.arange(ways) - (ways - 1) / 2) * step
    strokes: list[Stroke] = [circle(0, 0, ring, fill=fill)]
    region: list[Points] = [disc(0, 0, ring)]
    terminals: list[Terminal] = []
    outer = radius + ring
    for number, angle in enumerate(angles, 1):
        dx, dy = float(np.cos(angle)), float(np.sin(angle))
        strokes.append(circle(radius * dx, radius * dy, ring, fill=fill))
        terminals.append(Terminal(str(number), outer * dx, outer * dy, dx, dy))
    hub = -ring
    wide = ways >= 10
    if wide:
        region = [disc(0, 0, outer)]
    else:
        fan = [(0.0, 0.0), *[(outer * np.cos(a), outer * np.sin(a)) for a in
                             np.linspace(angles[0] - 0.15, angles[-1] + 0.15, 24)]]  # fmt: skip
        region.append(np.array(fan))
        terminals.append(Terminal("common", hub, 0.0, -1.0, 0.0))
    pick = angles[int(rng.integers(0, ways))]
    tip = (float((radius - ring) * np.cos(pick)), float((radius - ring) * np.sin(pick)))
    strokes.append(line((0, 0), tip, width=float(rng.choice([1.0, 1.0, 1.8]))))
    if rng.random() < 0.6:
        strokes += arrow_head(tip, tip, 0.7, solid=bool(rng.random() < 0.6))
    return Symbol("contact", tuple(strokes), tuple(region), tuple(terminals))


@symbol("contact.ring")
def ring_wafer(rng: np.random.Generator) -> Symbol:
    """A wafer seen from the spindle: lugs round it, a rotor ring with gaps and a tongue."""
    lugs = int(rng.choice([6, 8, 10, 12, 12]))
    outer = max(2.6, 0.42 * lugs) * rng.uniform(0.95, 1.15)
    rotor = outer * rng.uniform(0.55, 0.72)
    thick = rotor * rng.uniform(0.12, 0.25)
    strokes: list[Stroke] = []
    start = float(rng.uniform(0, 360))
    spans = (
        [(start, start + 330)] if rng.random() < 0.5 else [(start, start + 150), (start + 180, start + 330)]
    )
    black = 1.0 if rng.random() < 0.35 else None
    for low, high in spans:
        edge = arc(0, 0, rotor, low, high).points
        inner = arc(0, 0, rotor - thick, high, low).points
        strokes.append(Stroke(np.concatenate([edge, inner, edge[:1]]), 1.0, black))
    tongue = np.deg2rad(float(rng.uniform(0, 360)))
    tip = np.array([np.cos(tongue), np.sin(tongue)])
    strokes.append(Stroke(np.stack([tip * rotor * 0.98, tip * outer * 0.95]), 2.5))
    terminals: list[Terminal] = []
    for number in range(lugs):
        angle = 2 * np.pi * number / lugs
        dx, dy = float(np.cos(angle)), float(np.sin(angle))
        inside = rotor * 0.9 if rng.random() < 0.25 else outer * 0.82
        strokes.append(line((inside * dx, inside * dy), (outer * dx, outer * dy)))
        if rng.random() < 0.5:
            strokes.append(circle(inside * dx, inside * dy, 0.2, fill=float(rng.choice([0.0, 1.0]))))
        terminals.append(Terminal(str(number + 1), outer * dx, outer * dy, dx, dy))
    if rng.random() < 0.3:
        strokes.append(circle(0, 0, rotor * 0.3))
    return Symbol("contact", tuple(strokes), (disc(0, 0, outer),), tuple(terminals))


@symbol("contact.bars")
def slide_bars(rng: np.random.Generator) -> Symbol:
    """Two rows of contacts with black or hollow sliders between them: a slide switch."""
    count, pitch = int(rng.integers(2, 7)), rng.uniform(1.5, 2.4)
    high, ring = rng.uniform(0.9, 1.5), rng.uniform(0.22, 0.36)
    left = -(count - 1) * pitch / 2
    fill = float(rng.choice([0.0, 1.0]))
    strokes: list[Stroke] = []
    terminals: list[Terminal] = []
    for index in range(count):
        x = left + index * pitch
        for name, side in (("a", -1.0), ("b", 1.0)):
            strokes.append(circle(x, side * high, ring, fill=fill))
            terminals.append(Terminal(f"{name}{index + 1}", x, side * (high + ring), 0.0, side))
    for index in range(0, count - 1, 2):
        x0, x1 = left + index * pitch - 0.4, left + (index + 1) * pitch + 0.4
        black = 1.0 if rng.random() < 0.5 else None
        strokes.append(box(x0, -high * 0.45, x1, high * 0.45, fill=black))
    edge = -left + max(ring, 0.4)
    region = [rectangle(-edge, -high - ring, edge, high + ring)]
    if rng.random() < 0.3:
        strokes.append(box(-edge - 0.5, -high - ring, edge + 0.5, high + ring))
        region = [rectangle(-edge - 0.5, -high - ring, edge + 0.5, high + ring)]
    return Symbol("contact", tuple(strokes), tuple(region), tuple(terminals))


@symbol("contact.button")
def button_row(rng: np.random.Generator) -> Symbol:
    """A push-button's change-over rows: three springs each, the moving one bridged to a neighbour."""
    rows, pitch = int(rng.integers(1, 4)), rng.uniform(1.9, 2.8)
    ring, step = rng.uniform(0.24, 0.36), rng.uniform(1.3, 1.9)
    fill = float(rng.choice([0.0, 1.0]))
    top = -(rows - 1) * pitch / 2
    strokes: list[Stroke] = []
    terminals: list[Terminal] = []
    for row in range(rows):
        y = top + row * pitch
        strokes += [circle(x, y, ring, fill=fill) for x in (-step, 0.0, step)]
        side = float(rng.choice([-1.0, 1.0]))
        strokes.append(
            line((0.0, y - ring), (0.0, y - 0.55), (side * step, y - 0.55), (side * step, y - ring))
        )
        suffix = str(row + 1) if rows > 1 else ""
        terminals.append(Terminal(f"make{suffix}", -step - ring, y, -1.0, 0.0))
        terminals.append(Terminal(f"break{suffix}", step + ring, y, 1.0, 0.0))
    terminals.append(Terminal("common", 0.0, -top + ring, 0.0, 1.0))
    region = (rectangle(-step - ring, top - 0.6, step + ring, -top + ring),)
    return Symbol("contact", tuple(strokes), region, tuple(terminals))


@symbol("contact.bare")
def bare_contact(rng: np.random.Generator) -> Symbol:
    """A blade without rings, lifted from a dot, a stop or nothing, as on freehand and DIN sheets."""
    half, lift = rng.uniform(1.0, 2.2), rng.uniform(0.5, 1.3)
    strokes = [line((-half, 0.0), (half * rng.uniform(0.6, 1.0), -lift))]
    pick = rng.random()
    if pick < 0.35:
        strokes.append(circle(-half, 0, 0.22, fill=1.0))
        strokes.append(circle(half, 0, 0.22, fill=1.0))
    elif pick < 0.6:
        strokes.append(line((half, 0.0), (half, -0.5)))
    elif pick < 0.8:
        strokes += arrow_head((half * 0.75, -lift * 0.9), (2 * half, -lift), 0.6, solid=True)
    region = (rectangle(-half, -lift - 0.1, half, 0.2),)
    return Symbol("contact", tuple(strokes), region, two_ended(half, ("common", "make")))


@symbol("contact.closed")
def closed_push(rng: np.random.Generator) -> Symbol:
    """A push that breaks: its bridge lies on the contacts from below; or a key with a knob."""
    half, ring = rng.uniform(1.0, 1.6), rng.uniform(0.26, 0.4)
    fill = float(rng.choice([0.0, 1.0]))
    strokes = [circle(-half, 0, ring, fill=fill), circle(half, 0, ring, fill=fill)]
    under = ring + 0.05
    strokes += [line((-half, under), (half, under)), line((0, under), (0, -rng.uniform(0.9, 1.6)))]
    top = float(strokes[-1].points[1, 1])
    if rng.random() < 0.6:
        strokes.append(line((-0.5, top), (0.5, top)))
    edge = half + ring
    region = (rectangle(-edge, -ring, edge, under), rectangle(-0.5, top, 0.5, 0.0))
    return Symbol("contact", tuple(strokes), region, two_ended(edge, ("common", "break")))


@symbol("contact.throws")
def many_throws(rng: np.random.Generator) -> Symbol:
    """A blade with two to five throws, each with its number, contacts as dots, rings or bare ends."""
    ways, pitch = int(rng.integers(2, 6)), rng.uniform(1.2, 1.9)
    reach, ring = rng.uniform(1.6, 2.6), float(rng.choice([0.0, 0.25, 0.35]))
    fill = float(rng.choice([0.0, 1.0]))
    top = -(ways - 1) * pitch / 2
    strokes: list[Stroke] = [circle(-reach, 0, ring, fill=fill)] if ring else []
    terminals = [Terminal("common", -reach - ring, 0.0, -1.0, 0.0)]
    for way in range(ways):
        y = top + way * pitch
        strokes.append(circle(reach, y, ring, fill=fill) if ring else line((reach - 0.6, y), (reach, y)))
        terminals.append(Terminal(str(way + 1), reach + ring, y, 1.0, 0.0))
    at = top + int(rng.integers(0, ways)) * pitch
    short = ring if ring else 0.6
    strokes.append(line((-reach, 0.0), (reach - short, at * 0.95), width=float(rng.choice([1.0, 1.0, 1.7]))))
    tall = max(-top + ring, 0.4)
    region = (rectangle(-reach - ring, -tall, reach + ring, tall),)
    marks: tuple[Inscription, ...] = ()
    if rng.random() < 0.4:
        marks = tuple(
            Inscription(reach + ring + 0.5, top + way * pitch - 0.6, str(way + 1), 0.75)
            for way in range(ways)
        )
    return Symbol("contact", tuple(strokes), region, tuple(terminals), marks)


@symbol("contact.bridge")
def loose_bridge(rng: np.random.Generator) -> Symbol:
    """A bar over or under two rings, no button drawn; open or lying on them."""
    half, ring = rng.uniform(0.9, 1.8), rng.uniform(0.26, 0.42)
    side = float(rng.choice([-1.0, 1.0]))
    gap = ring + (rng.uniform(0.2, 0.7) if rng.random() < 0.8 else 0.05)
    fill = float(rng.choice([0.0, 0.0, 1.0]))
    reach = half * rng.uniform(0.95, 1.35)
    strokes = (
        circle(-half, 0, ring, fill=fill),
        circle(half, 0, ring, fill=fill),
        line((-reach, side * gap), (reach, side * gap), width=float(rng.choice([1.0, 1.0, 1.8]))),
    )
    edge = half + ring
    wide = max(edge, reach)
    region = (
        rectangle(-edge, -ring, edge, ring),
        rectangle(-wide, min(0.0, side * gap), wide, max(0.0, side * gap)),
    )
    if reach > edge:
        region = (
            rectangle(-edge, -ring, edge, ring),
            rectangle(-edge, min(0.0, side * gap), edge, max(0.0, side * gap)),
        )
    return Symbol("contact", strokes, region, two_ended(edge, ("common", "make")))

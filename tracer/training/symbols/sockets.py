"""More jacks, plugs and sockets: break contacts, concentric rings, round valve and speaker plugs, strips."""

from __future__ import annotations

import numpy as np

from tracer.training.strokes import Stroke, arc, arrow_head, box, circle, line, polygon
from tracer.training.symbols.symbol import Inscription, Symbol, Terminal, disc, rectangle, symbol

__all__: list[str] = []


@symbol("jack.springs")
def break_jack(rng: np.random.Generator) -> Symbol:
    """A sleeve ring or bar and one to three bent springs, each with its break contact at times."""
    springs = int(rng.choice([1, 1, 2, 3]))
    wide, pitch = rng.uniform(2.4, 3.4), rng.uniform(1.5, 2.0)
    top = -springs * pitch / 2 - 0.6
    strokes: list[Stroke] = []
    terminals = [Terminal("sleeve", wide, top, 1.0, 0.0)]
    if rng.random() < 0.5:
        strokes.append(box(-wide, top, -wide + 0.6, -top, fill=float(rng.choice([0.0, 1.0]))))
        strokes.append(line((-wide + 0.6, top), (wide, top)))
    else:
        strokes += [
            circle(-wide + 0.7, top + 0.9, 0.7),
            line((-wide + 0.7, top + 0.2), (-wide + 0.7, top), (wide, top)),
        ]
    low, y = -top, top
    open_ = bool(rng.random() < 0.5)
    for name in ("tip", "ring", "extra")[:springs]:
        y += pitch
        nose = (-0.3, y - 0.45), (-0.8, y)
        strokes.append(line((wide, y), (0.3, y), *nose))
        terminals.append(Terminal(name, wide, y, 1.0, 0.0))
        if rng.random() < 0.5:
            y += pitch * 0.75
            strokes.append(line((0.9, y), (wide, y)))
            strokes += arrow_head((0.9, y - pitch * 0.72), (0.0, -1.0), 0.6, solid=not open_)
            strokes.append(line((0.9, y), (0.9, y - pitch * 0.7)))
            terminals.append(Terminal("break" if name == "tip" else f"break {name}", wide, y, 1.0, 0.0))
        low = max(low, y)
    region = (rectangle(-wide, top, wide, low + 0.1),)
    return Symbol("jack", tuple(strokes), region, tuple(terminals))


@symbol("jack.phono")
def phono(rng: np.random.Generator) -> Symbol:
    """Two rings, one in the other, or a dot in a ring; the leads to the side and below."""
    radius = rng.uniform(0.8, 1.5)
    inner = radius * rng.uniform(0.25, 0.5)
    strokes = [circle(0, 0, radius, float(rng.choice([1.0, 1.0, 2.0])))]
    strokes.append(circle(0, 0, inner, fill=1.0 if rng.random() < 0.5 else None))
    strokes.append(line((inner, 0), (radius, 0)))
    ends = (Terminal("tip", radius, 0.0, 1.0, 0.0), Terminal("sleeve", 0.0, radius, 0.0, 1.0))
    return Symbol("jack", tuple(strokes), (disc(0, 0, radius),), ends)


@symbol("jack.nose")
def plug_side(rng: np.random.Generator) -> Symbol:
    """The plug that goes into a jack: a long pointed tip beside its sleeve; or a bullet in a cup."""
    long, high = rng.uniform(2.0, 3.0), rng.uniform(0.6, 0.9)
    tip = polygon((-long, 0), (-long + 0.8, -high), (0.4, -high), (0.4, high), (-long + 0.8, high),
                  fill=1.0 if rng.random() < 0.3 else None)  # fmt: skip
    sleeve = box(0.7, -high - 0.3, long, high + 0.3)
    strokes = [tip, sleeve]
    ends = (Terminal("tip", 0.0, high, 0.0, 1.0), Terminal("sleeve", long, 0.0, 1.0, 0.0))
    region = (rectangle(-long, -high, 0.7, high), rectangle(0.4, -high - 0.3, long, high + 0.3))
    return Symbol("jack", tuple(strokes), region, ends)


@symbol("plug.round")
def round_plug(rng: np.random.Generator) -> Symbol:
    """A big circle with pins on a circle inside it, their leads going outwards."""
    count = int(rng.choice([4, 5, 6, 7, 8, 9]))
    radius = max(2.4, 0.5 * count) * rng.uniform(0.95, 1.2)
    strokes: list[Stroke] = [circle(0, 0, radius, float(rng.choice([1.0, 1.0, 2.0])))]
    terminals: list[Terminal] = []
    marks: list[Inscription] = []
    fill = float(rng.choice([0.0, 1.0]))
    lettered = bool(rng.random() < 0.6)
    for number in range(1, count + 1):
        angle = np.deg2rad(90 + 360 * (number - 0.5) / count)
        dx, dy = float(np.cos(angle)), float(np.sin(angle))
        strokes.append(circle(0.68 * radius * dx, 0.68 * radius * dy, 0.27, fill=fill))
        strokes.append(line((0.78 * radius * dx, 0.78 * radius * dy), (radius * dx, radius * dy)))
        terminals.append(Terminal(str(number), radius * dx, radius * dy, dx, dy))
        if lettered:
            marks.append(Inscription(0.42 * radius * dx, 0.42 * radius * dy, str(number), 0.75))
    if rng.random() < 0.5:
        strokes.append(arc(0, radius, 0.35, 180, 360))
    return Symbol("plug", tuple(strokes), (disc(0, 0, radius),), tuple(terminals), tuple(marks))


@symbol("plug.strip")
def strip(rng: np.random.Generator) -> Symbol:
    """A terminal strip: numbered cells, with a ring in each at times; leads from one or both sides."""
    ways, pitch = int(rng.integers(2, 9)), rng.uniform(1.7, 2.4)
    high = rng.uniform(0.7, 1.1)
    left = -ways * pitch / 2
    strokes: list[Stroke] = [box(left, -high, -left, high)]
    strokes += [line((left + n * pitch, -high), (left + n * pitch, high)) for n in range(1, ways)]
    ringed = bool(rng.random() < 0.4)
    terminals: list[Terminal] = []
    marks: list[Inscription] = []
    both = bool(rng.random() < 0.4)
    for way in range(ways):
        x = left + (way + 0.5) * pitch
        terminals.append(Terminal(str(way + 1), x, high, 0.0, 1.0))
        if both:
            terminals.append(Terminal(f"{way + 1}b", x, -high, 0.0, -1.0))
        if ringed:
            strokes.append(circle(x, 0, 0.36, fill=float(rng.choice([0.0, 0.0, 1.0]))))
        else:
            marks.append(Inscription(x, 0.0, str(way + 1), 0.95))
    return Symbol(
        "plug", tuple(strokes), (rectangle(left, -high, -left, high),), tuple(terminals), tuple(marks)
    )


@symbol("plug.edge")
def edge_connector(rng: np.random.Generator) -> Symbol:
    """A column of arrow tails and cups, of male over female chevrons, or of half rings, in no box."""
    ways, pitch = int(rng.integers(2, 8)), rng.uniform(1.4, 2.0)
    top = -(ways - 1) * pitch / 2
    hand = int(rng.integers(0, 3))
    strokes: list[Stroke] = []
    terminals: list[Terminal] = []
    for way in range(ways):
        y = top + way * pitch
        if hand == 0:
            strokes += [arc(0.55, y, 0.55, 90, 270), line((-0.9, y), (0.0, y))]
            strokes += arrow_head((0.0, y), (1, 0), 0.6, solid=True)
        elif hand == 1:
            strokes += [
                line((-0.8, y - 0.45), (-0.2, y), (-0.8, y + 0.45)),
                line((-0.3, y - 0.45), (0.3, y), (-0.3, y + 0.45)),
            ]
            strokes.append(line((0.3, y), (0.55, y)))
        else:
            strokes += [circle(0.2, y, 0.35, fill=0.0), circle(-0.5, y, 0.35, fill=1.0)]
        edge = 0.55
        left = -0.9 if hand != 1 else -0.8
        terminals.append(Terminal(str(way + 1), edge, y, 1.0, 0.0))
        terminals.append(Terminal(f"{way + 1}b", left, y, -1.0, 0.0))
        if hand == 1:
            strokes.append(line((-0.8, y), (-0.2, y)))
    region = (rectangle(-0.9 if hand != 1 else -0.8, top - 0.6, 0.55, -top + 0.6),)
    return Symbol("plug", tuple(strokes), region, tuple(terminals))


@symbol("plug.inlet")
def inlet(rng: np.random.Generator) -> Symbol:
    """A mains inlet or outlet: two or three rings or slots in a circle or a box."""
    earth = bool(rng.random() < 0.6)
    names = ("live", "neutral", "earth")[: 3 if earth else 2]
    half = rng.uniform(1.6, 2.2)
    ys = np.linspace(-0.62 * half, 0.62 * half, len(names))
    slot = bool(rng.random() < 0.5)
    strokes: list[Stroke] = [box(-half, -half, half, half)]
    terminals: list[Terminal] = []
    for name, at in zip(names, ys, strict=True):
        y = float(at)
        strokes.append(
            box(-half * 0.6, y - 0.2, 0.0, y + 0.2, fill=1.0) if slot else circle(-0.3, y, 0.36, fill=0.0)
        )
        strokes.append(line((0.0 if slot else 0.06, y), (half, y)))
        terminals.append(Terminal(name, half, y, 1.0, 0.0))
    return Symbol("plug", tuple(strokes), (rectangle(-half, -half, half, half),), tuple(terminals))


@symbol("plug.cable")
def cable_end(rng: np.random.Generator) -> Symbol:
    """The end of a cable drawn as a tube, or of a ribbon, its two to five leads coming out."""
    ways, pitch = int(rng.integers(2, 6)), rng.uniform(0.7, 1.2)
    long = rng.uniform(2.0, 5.0)
    high = ways * pitch / 2 + 0.2
    round_end = min(0.8, high * 0.5)
    strokes: list[Stroke] = [line((-long, -high), (0, -high)), line((-long, high), (0, high))]
    oval = circle(0, 0, 1.0)
    strokes.append(Stroke(oval.points * np.array([round_end, high])))
    cut = np.linspace(-1, 1, 9)
    strokes.append(Stroke(np.stack([-long + 0.3 * np.sin(cut * np.pi), cut * high], 1)))
    terminals: list[Terminal] = []
    for way in range(ways):
        y = (way - (ways - 1) / 2) * pitch
        edge = float(round_end * np.sqrt(max(1 - (y / high) ** 2, 0.0)))
        strokes.append(line((0.0, y), (edge, y)))
        terminals.append(Terminal(str(way + 1), edge, y, 1.0, 0.0))
    region = (rectangle(-long - 0.3, -high, 0, high), oval.points * np.array([round_end, high]))
    return Symbol("plug", tuple(strokes), region, tuple(terminals))

"""Resistors, pots, capacitors, fuses, thermistors."""

from __future__ import annotations

import numpy as np

from tracer.training.strokes import Stroke, arc, arrow_head, box, circle, line, zigzag_line
from tracer.training.symbols.symbol import Inscription, Symbol, Terminal, rectangle, symbol, two_ended

__all__: list[str] = []


@symbol("resistor.zigzag")
def zigzag_resistor(rng: np.random.Generator) -> Symbol:
    """The zigzag of American and older British sheets."""
    half, height = rng.uniform(2.4, 4.0), rng.uniform(0.7, 1.25)
    teeth = int(rng.integers(3, 6))
    return Symbol(
        "resistor",
        (zigzag_line(-half, half, height, teeth),),
        (rectangle(-half, -height, half, height),),
        two_ended(half),
    )


@symbol("resistor.box")
def box_resistor(rng: np.random.Generator, value: str | None = None) -> Symbol:
    """The box of German and later British sheets; sometimes the value or wattage ticks inside."""
    half, height = rng.uniform(2.2, 3.8), rng.uniform(0.7, 1.2)
    strokes = [box(-half, -height, half, height)]
    inside: tuple[Inscription, ...] = ()
    pick = rng.random()
    if value is not None or pick < 0.25:
        half, height = max(half, 3.2), max(height, 1.1)
        strokes = [box(-half, -height, half, height)]
        text = value or str(rng.choice(["1k", "47", "10k", "2M2", "0,1M", "330", "5k6", "1M"]))
        inside = (Inscription(0.0, 0.0, text, height * 1.15),)
    elif pick < 0.45:
        for index in range(int(rng.integers(1, 4))):
            x = -0.4 + 0.55 * index
            strokes.append(line((x - 0.2, height * 0.6), (x + 0.2, -height * 0.6)))
    region = (rectangle(-half, -height, half, height),)
    return Symbol("resistor", tuple(strokes), region, two_ended(half), inside)


@symbol("pot.arrow")
def arrow_pot(rng: np.random.Generator, zigzag: bool | None = None, below: bool | None = None) -> Symbol:
    """A track with the wiper's arrow from one side; the wiper leaves away from the track."""
    half, height = rng.uniform(2.4, 3.8), rng.uniform(0.7, 1.2)
    zigzag = bool(rng.random() < 0.5) if zigzag is None else zigzag
    below = bool(rng.random() < 0.5) if below is None else below
    track = zigzag_line(-half, half, height, 4) if zigzag else box(-half, -height, half, height)
    side = 1.0 if below else -1.0
    x, reach = rng.uniform(-0.5, 0.5), rng.uniform(0.9, 1.8)
    edge = side * (height + reach)
    tip = (x, side * height * (0.9 if zigzag else 1.05))
    head = arrow_head(tip, (0, -side), rng.uniform(0.6, 1.0), solid=bool(rng.random() < 0.6))
    strokes = (track, line((x, edge), tip), *head)
    region = (
        rectangle(-half, -height, half, height),
        rectangle(x - 0.6, min(edge, 0), x + 0.6, max(edge, 0)),
    )
    first, last = two_ended(half)
    return Symbol("pot", strokes, region, (first, Terminal("w", x, edge, 0.0, side), last))


@symbol("pot.preset")
def preset_pot(rng: np.random.Generator) -> Symbol:
    """A track crossed by a slanting bar with a short foot: a preset used as a variable resistor."""
    half, height = rng.uniform(2.6, 3.8), rng.uniform(0.7, 1.1)
    track = zigzag_line(-half, half, height, 4) if rng.random() < 0.5 else box(-half, -height, half, height)
    reach = height + rng.uniform(0.7, 1.2)
    bar = line((-1.3, reach), (1.3, -reach))
    if rng.random() < 0.5:
        top: list[Stroke] = arrow_head((1.3, -reach), (2.6, -2 * reach), 0.9, solid=True)
    else:
        top = [line((0.9, -reach - 0.3), (1.7, -reach + 0.3))]
    region = (
        rectangle(-half, -height, half, height),
        np.array([(-1.6, reach), (-0.9, reach), (1.8, -reach), (1.2, -reach - 0.3), (0.8, -reach)]),
    )
    return Symbol("pot", (track, bar, *top), region, two_ended(half, ("1", "2")))


@symbol("capacitor.plates")
def plate_capacitor(rng: np.random.Generator) -> Symbol:
    """Two straight plates."""
    gap, height = rng.uniform(0.3, 0.75), rng.uniform(1.2, 2.2)
    heavy = rng.choice([1.0, 1.0, 1.6, 2.4])
    strokes = (
        line((-gap, -height), (-gap, height), width=heavy),
        line((gap, -height), (gap, height), width=heavy),
    )
    half = gap + 0.15 * heavy
    return Symbol("capacitor", strokes, (rectangle(-half, -height, half, height),), two_ended(half))


@symbol("capacitor.curved")
def curved_capacitor(rng: np.random.Generator) -> Symbol:
    """One straight and one curved plate."""
    gap, height = rng.uniform(0.35, 0.6), rng.uniform(1.2, 2.0)
    radius = height * 1.3
    bend = arc(gap + radius, 0.0, radius, 180 - 48, 180 + 48)
    strokes = (line((-gap, -height), (-gap, height)), bend)
    tail = float(bend.points[0, 0])
    marks = (Inscription(-gap - 1.1, -height * 0.7, "+", 1.1),) if rng.random() < 0.4 else ()
    left = -gap - 0.15
    region = np.array([(left, -height), (tail, -height), (gap, 0), (tail, height), (left, height)])
    ends = (Terminal("1", left, 0.0, -1.0, 0.0), Terminal("2", gap, 0.0, 1.0, 0.0))
    return Symbol("capacitor", strokes, (region,), ends, marks)


@symbol("capacitor.electrolytic")
def electrolytic(rng: np.random.Generator) -> Symbol:
    """A hollow box for the positive plate and a bar or black box for the negative one."""
    gap, height = rng.uniform(0.25, 0.55), rng.uniform(1.3, 2.2)
    thick = rng.uniform(0.45, 0.9)
    hollow = box(-gap - thick, -height, -gap, height)
    style = rng.random()
    if style < 0.4:
        other = line((gap, -height), (gap, height))
        right = gap + 0.15
    elif style < 0.8:
        other = box(gap, -height, gap + thick, height, fill=1.0)
        right = gap + thick
    else:
        other = box(gap, -height, gap + thick, height)
        right = gap + thick
    marks = (Inscription(-gap - thick - 0.9, -height * 0.75, "+", 1.1),) if rng.random() < 0.6 else ()
    first = Terminal("+", -gap - thick, 0.0, -1.0, 0.0)
    last = Terminal("-", right, 0.0, 1.0, 0.0)
    region = (rectangle(-gap - thick, -height, right, height),)
    return Symbol("capacitor", (hollow, other), region, (first, last), marks)


@symbol("capacitor.trough")
def trough_electrolytic(rng: np.random.Generator) -> Symbol:
    """A bar inside a three-sided trough."""
    height = rng.uniform(1.4, 2.0)
    trough = line((-0.2, -height), (0.9, -height), (0.9, height), (-0.2, height))
    bar = line((0.1, -height * 0.6), (0.1, height * 0.6), width=rng.choice([1.0, 2.0]))
    region = (rectangle(-0.2, -height, 0.9, height),)
    ends = (Terminal("+", -0.2, 0.0, -1.0, 0.0), Terminal("-", 0.9, 0.0, 1.0, 0.0))
    return Symbol("capacitor", (trough, bar, line((-0.2, 0), (0.1, 0))), region, ends)


@symbol("capacitor.variable")
def variable_capacitor(rng: np.random.Generator) -> Symbol:
    """Plates crossed by an arrow (tuning) or by a bar with a foot (trimmer)."""
    gap, height = rng.uniform(0.35, 0.6), rng.uniform(1.4, 2.0)
    reach = rng.uniform(1.3, 1.9)
    bar = line((-reach, height), (reach, -height))
    if rng.random() < 0.6:
        end = arrow_head((reach, -height), (reach, -height), 0.9, solid=bool(rng.random() < 0.5))
    else:
        end = [line((reach - 0.5, -height - 0.3), (reach + 0.3, -height + 0.5))]
    plates = (line((-gap, -height), (-gap, height)), line((gap, -height), (gap, height)))
    region = (
        rectangle(-gap - 0.15, -height, gap + 0.15, height),
        np.array([(-reach - 0.1, height), (-reach + 0.5, height), (reach + 0.3, -height + 0.5),
                  (reach + 0.1, -height - 0.3), (reach - 0.5, -height - 0.3)]),
    )  # fmt: skip
    return Symbol("capacitor", (*plates, bar, *end), region, two_ended(gap + 0.15))


@symbol("fuse.wave")
def wave_fuse(rng: np.random.Generator) -> Symbol:
    """A wave between two small circles, or bare."""
    half = rng.uniform(1.8, 2.8)
    wave = Stroke(np.stack([np.linspace(-half, half, 17), -0.8 * np.sin(np.linspace(-np.pi, np.pi, 17))], 1))
    strokes = [wave]
    edge = half
    if rng.random() < 0.5:
        strokes += [circle(-half - 0.35, 0, 0.35), circle(half + 0.35, 0, 0.35)]
        edge = half + 0.7
    return Symbol("fuse", tuple(strokes), (rectangle(-edge, -0.8, edge, 0.8),), two_ended(edge))


@symbol("fuse.box")
def box_fuse(rng: np.random.Generator) -> Symbol:
    """A box with the wire through it or with capped ends."""
    half, height = rng.uniform(2.0, 3.0), rng.uniform(0.6, 0.95)
    strokes = [box(-half, -height, half, height)]
    if rng.random() < 0.6:
        strokes.append(line((-half, 0), (half, 0)))
    else:
        strokes += [
            line((-half + 0.7, -height), (-half + 0.7, height)),
            line((half - 0.7, -height), (half - 0.7, height)),
        ]
    return Symbol("fuse", tuple(strokes), (rectangle(-half, -height, half, height),), two_ended(half))


@symbol("thermistor.box")
def thermistor(rng: np.random.Generator) -> Symbol:
    """A box crossed by a bent bar; lettered inside or out it may be a varistor."""
    half, height = rng.uniform(2.4, 3.2), rng.uniform(0.8, 1.1)
    reach = height + 0.7
    bar = line((-2.0, reach), (-1.1, reach), (1.2, -reach))
    kind = "thermistor" if rng.random() < 0.7 else "varistor"
    region = (
        rectangle(-half, -height, half, height),
        np.array([(-2.0, reach), (-1.1, reach), (1.2, -reach), (0.8, -reach), (-1.9, height)]),
    )
    return Symbol(kind, (box(-half, -height, half, height), bar), region, two_ended(half))

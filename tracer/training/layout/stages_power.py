"""Power supplies: mains side, rectifiers, smoothing, regulators, heater chains (common practice)."""

from __future__ import annotations

from collections.abc import Callable
from typing import Final

from tracer.training.layout.stages_meet import Blocked
from tracer.training.layout.stages_pen import Pen, Place, Put
from tracer.training.layout.stages_row import supply

__all__ = ["heater_chain", "power_supply"]

_UP: Final = (0.0, -1.0)
_DOWN: Final = (0.0, 1.0)
_LEFT: Final = (-1.0, 0.0)
_RIGHT: Final = (1.0, 0.0)
_RAILS: Final = ("+5V", "HT1", "HT+", "+12V", "+250V", "(+5)", "+15", "280V", "TO V1", "12V", "-5v", "GROUND")


def power_supply(pen: Pen, top: float) -> float:
    """Supplies side by side, as many as the page holds; gives the lowest y."""
    left, right = pen.limits(top, top + 30 * pen.u)
    x, bottom = left + pen.span(4, 7), top
    tries = 0
    while x < right - 45 * pen.u and tries < 4:
        tries += 1
        found: list[tuple[float, float]] = []

        def draw(x: float = x, found: list[tuple[float, float]] = found) -> None:
            found.append(_one_supply(pen, x, top, right))

        if pen.attempt(draw):
            x, low = found[-1]
            x += pen.span(4, 7)
            bottom = max(bottom, low)
    return bottom + pen.span(3, 5)


def _one_supply(pen: Pen, x: float, top: float, right: float) -> tuple[float, float]:
    rng, u = pen.rng, pen.u
    left = ((2,), (2,), (3,), (4,), (2, 2))[int(rng.integers(0, 5))]
    seconds = ((2,), (3,), (2, 2), (3, 2))[int(rng.integers(0, 4))]
    hand = int(rng.integers(0, 3))
    if rng.random() < (0.4 if pen.drawing.style.hand.wobble > 0 else 0.1):
        name, made = pen.manner.build("transformer.spiral", rng, hand=hand)
    else:
        name, made = pen.manner.build(
            "transformer.pair", rng, left=left, right=seconds, spread=1.35, hand=hand
        )
    size = max(1.0, 5.2 * pen.stroke / (2.4 * u))
    x0, y0, *_ = made.extent
    reach = pen.length("F", "S") * 2 + 14 * pen.stroke + 3 * u
    coil = pen.put(
        name, x + reach - x0 * u * size, top + pen.span(5, 7) - y0 * u * size, made=made, scale=size
    )
    _mains(pen, x, coil)
    lows = [lead for lead in coil.leads if lead.name.startswith("R1")]
    ends = (lows[0].x, lows[0].y), (lows[-1].x, lows[-1].y)
    ground = max(coil.box[3], ends[1][1]) + pen.span(5, 8)
    centre = (lows[1].x, lows[1].y) if len(lows) == 3 else None
    style = int(rng.integers(0, 4))
    make: Callable[..., Place] = (_bridge, _bridge, _two_diodes, _rectifier_valve)[style]
    if centre is None and style > 1:
        make = _bridge
    plus = make(pen, ends, centre, ground)
    end = _smoothing(pen, plus, ground, right)
    for lead in coil.leads:
        if lead.name.startswith("R2"):
            tip = (lead.x + pen.span(2, 5), lead.y)
            pen.attempt(pen.wire, (lead.x, lead.y), tip)
            pen.loose(tip, _RIGHT)
    return end, ground + 4 * u


def _mains(pen: Pen, x: float, coil: Put) -> None:
    """Fuse and switch in the live lead, taps on rings."""
    leads = [lead for lead in coil.leads if lead.name.startswith("L")]
    first, last = leads[0], leads[-1]
    names = ("L", "LIVE", "AC") if pen.chance(0.8) else ("~",)
    kinds = [["F", "S"], ["F"], ["S"], ["S", "F"]][int(pen.rng.integers(0, 4))]
    pen.link((x, first.y), (first.x, first.y), *kinds)
    pen.sign("label.circle", (x, first.y), _LEFT, text=str(pen.rng.choice(names)))
    pen.link((x, last.y), (last.x, last.y), *(["F"] if pen.chance(0.2) else []))
    pen.sign("label.circle", (x, last.y), _LEFT, text=str(pen.rng.choice(["N", "NEUTRAL", "AC", "~"])))
    for number, lead in enumerate(leads[1:-1]):
        tip = (lead.x - pen.span(1.6, 5), lead.y)
        volts = ("110", "200", "220", "240", "120", "0")[(number + len(leads)) % 6]
        pen.attempt(pen.sign, "label.circle", (lead.x, lead.y), _LEFT, lead=lead.x - tip[0], text=volts)


def _bridge(pen: Pen, ends: tuple[Place, Place], centre: Place | None, ground: float) -> Place:
    """Four diodes on a diamond; gives the positive corner."""
    u = pen.u
    name, made = pen.manner.build("bridge.diamond" if pen.chance(0.85) else "bridge.box", pen.rng,
                                  hand=int(pen.rng.integers(0, 3)))  # fmt: skip
    reach = made.terminals[0].y * -u
    (sx, sy), (tx, ty) = ends
    size = max(1.0, 9.0 * pen.stroke / reach)
    part = pen.put(name, sx + reach * size + pen.span(6, 8), (sy + ty) / 2, made=made, scale=size)
    (ax, ay), (bx, by) = part.at("ac1"), part.at("ac2")
    over, under = min(sy, ay - 2.2 * u), max(ty, by + 2.2 * u)
    step = sx + pen.span(2.0, 2.4)
    pen.wire((sx, sy), (step, sy), (step, over), (ax, over), (ax, ay))
    pen.wire((tx, ty), (step, ty), (step, under), (bx, under), (bx, by))
    mx, my = part.at("-")
    side = mx - pen.span(1.8, 2.2)
    down = max(ground, under + 4 * u)
    pen.wire((mx, my), (side, my), (side, down))
    if down > ground:
        raise Blocked
    if centre is not None and pen.chance(0.5):
        pen.attempt(pen.sign, "earth", centre, _RIGHT, lead=u)
    pen.wire((side, ground), (part.at("+")[0] + 2 * u, ground))
    return part.at("+")


def _two_diodes(pen: Pen, ends: tuple[Place, Place], centre: Place | None, ground: float) -> Place:
    """A diode in each outer lead, the middle one to the common line."""
    assert centre is not None
    kind = "rectifier.metal" if pen.chance(0.4) else "D"
    x = ends[0][0] + pen.length(kind) + pen.span(6, 8)
    for sx, sy in ends:
        pen.link((sx, sy), (x, sy), kind)
    middle = (x, (ends[0][1] + ends[1][1]) / 2)
    pen.wire((x, ends[0][1]), middle)
    pen.wire((x, ends[1][1]), middle)
    side = centre[0] + pen.span(1.7, 2.2)
    pen.wire(centre, (side, centre[1]), (side, ground))
    pen.wire((side, ground), (x + 2 * pen.u, ground))
    return middle


def _rectifier_valve(pen: Pen, ends: tuple[Place, Place], centre: Place | None, ground: float) -> Place:
    """A double diode upright, one anode reached over its top; gives the cathode's corner."""
    assert centre is not None
    u, size = pen.u, pen.manner.valve
    _, made = pen.manner.build("valve.rectifier", pen.rng, pins={})
    x0 = made.extent[0]
    (sx, sy), (tx, ty) = ends
    x = sx + pen.span(5, 6) - x0 * u * size
    part = pen.put("valve.rectifier", x, (sy + ty) / 2, made=made, scale=size)
    pen.pins(part, most=9)
    (ax, ay), (bx, by) = part.at("a1"), part.at("a2")
    over = min(sy, part.box[1] - 2 * u)
    far = part.box[2] + 2.2 * u
    pen.wire((sx, sy), (sx + 2 * u, sy), (sx + 2 * u, over), (far, over), (far, by), (bx, by))
    pen.wire((tx, ty), (sx + 3.8 * u, ty), (sx + 3.8 * u, ay), (ax, ay))
    side = centre[0] + 1.9 * u
    pen.attempt(pen.sign, "earth", centre, _RIGHT, lead=0.9 * u)
    name = "k" if "k" in part.terminals else "h1"
    kx, ky = part.at(name)
    corner = (kx, ky + pen.span(2, 2.6))
    pen.wire((kx, ky), corner)
    out = (far + 2.5 * u, corner[1])
    pen.wire(corner, out)
    pen.wire((side + 4 * u, ground), (out[0], ground))
    return out


def _smoothing(pen: Pen, start: Place, ground: float, right: float) -> float:
    """Reservoir, chokes or resistors or a regulator, each with its electrolytic to the common line."""
    here, low = start, (start[0] + 2 * pen.u, ground)
    level = start[1]
    steps = int(pen.rng.integers(2, 5))
    after = (here[0] + 2 * pen.u + pen.column / 2, level)
    pen.wire(here, after)
    here = after
    for index in range(steps):
        pen.link(here, (here[0], ground), "E", lean=0.35)
        if pen.chance(0.2):
            aside = (here[0] + pen.column, level)
            pen.wire(here, aside)
            pen.link(aside, (aside[0], ground), "R", lean=0.35)
            here = aside
        there = (here[0] + pen.step + pen.u, level)
        if there[0] > right - 6 * pen.u or index == steps - 1:
            break
        if pen.chance(0.35):
            pen.attempt(_regulator, pen, here, there, ground) or pen.link(here, there)  # fmt: skip
        else:
            pen.link(here, there, str(pen.rng.choice(["R", "L", "R", "F"])))
        here = there
    pen.wire(low, (here[0], ground))
    end = (here[0] + 3 * pen.u, level)
    pen.wire(here, end)
    kind = "label.arrow" if pen.chance(0.6) else "label.circle"
    pen.attempt(pen.sign, kind, end, _RIGHT, text=str(pen.rng.choice(_RAILS)))
    pen.attempt(supply, pen, ((low[0] + here[0]) / 2, ground), _DOWN)
    return end[0] + 4 * pen.u


def _regulator(pen: Pen, here: Place, there: Place, ground: float) -> None:
    """A three-legged regulator on the common line."""
    name, made = pen.manner.build("block.box", pen.rng, sides=(1, 1, 0, 1), name="REG", pitch=2.0,
                                  hand=int(pen.rng.integers(0, 3)))  # fmt: skip
    part = pen.put(name, (here[0] + there[0]) / 2, here[1], made=made)
    one, other, foot = part.leads
    pen.wire(here, (one.x, one.y))
    pen.wire((other.x, other.y), there)
    pen.wire((foot.x, foot.y), (foot.x, ground))


def heater_chain(pen: Pen, top: float) -> float:
    """Heaters in a row, one after the other, with a dropper and lamps between."""
    u = pen.u
    left, right = pen.limits(top, top + 14 * u)
    x, level = left + pen.span(5, 8), top + pen.span(4, 6)
    right -= 8 * u
    name, made = pen.manner.build("valve.heater", pen.rng)
    size = max(1.1, 4.6 * pen.stroke / (u * 2 * made.terminals[1].x))
    base = level + made.terminals[0].y * u * size + pen.span(2.4, 3.4)
    here: Place = (x, base)
    pen.attempt(pen.sign, "label.circle", (x, base), _LEFT, text="A")
    while here[0] < right - 10 * u:
        gap = pen.span(2, 5)

        def one(after: list[Place], here: Place = here, gap: float = gap) -> None:
            part = pen.put(
                name, here[0] + gap + made.terminals[1].x * u * size + 2 * u, level, made=made, scale=size
            )
            (ax, ay), (bx, by) = part.at("h1"), part.at("h2")
            pen.wire(here, (ax, base), (ax, ay))
            pen.wire((bx, by), (bx, base))
            after.append((bx, base))

        after: list[Place] = []
        if not pen.attempt(one, after=after):
            break
        here = after[0]
        if pen.chance(0.25):
            there = (here[0] + pen.step, base)
            if pen.attempt(pen.link, here, there, "R" if pen.chance(0.6) else "lamp"):
                here = there
        if pen.chance(0.3):
            node = (here[0] + 2 * u, base)
            if pen.attempt(supply, pen, here, _DOWN, "C", via=node):
                here = node
    pen.attempt(supply, pen, here, _DOWN, via=(here[0] + 2 * u, base))
    return base + pen.span(10, 13)

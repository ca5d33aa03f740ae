"""Grids of dots, rows of jacks, selector keys, as patch panels have them (common practice)."""

from __future__ import annotations

from typing import Final

from tracer.training.layout.stages_meet import Blocked
from tracer.training.layout.stages_pen import Pen, Place, Put
from tracer.training.layout.stages_row import supply

__all__ = ["blob_rows", "dot_grid", "jack_row", "key_row"]

_UP: Final = (0.0, -1.0)
_DOWN: Final = (0.0, 1.0)
_RIGHT: Final = (1.0, 0.0)
_LEFT: Final = (-1.0, 0.0)
_NAMES: Final = (
    "OSC 1",
    "OSC 2",
    "NOISE",
    "ENV",
    "LFO",
    "S/H",
    "VCF",
    "MIX",
    "KBD",
    "AUX",
    "L",
    "R",
    "TAPE",
    "FM",
)


def dot_grid(pen: Pen, top: float) -> float:
    """Level lines crossed by upright ones, joined here and there by a dot; gives the lowest y."""
    left, right = pen.limits(top, top + 40 * pen.u)
    rows, columns = int(pen.rng.integers(3, 11)), int(pen.rng.integers(4, 13))
    pitch = max(pen.span(2.4, 4.5), (2 * max(4.2, pen.reach + 2.7) + 0.4) * pen.stroke)
    x0, y0 = left + pen.span(8, 12), top + pen.span(5, 8)
    columns = min(columns, int((right - x0 - 8 * pen.u) / pitch))
    if columns < 3:
        return top + 4 * pen.u
    xs = [x0 + (index + 1) * pitch for index in range(columns)]
    ys = [y0 + (index + 1) * pitch for index in range(rows)]
    bottom = ys[-1] + pen.span(4, 7)
    share = float(pen.rng.uniform(0.05, 0.3))
    joined = {(x, y) for x in xs for y in ys if pen.chance(share)}
    for number, y in enumerate(ys):
        end = (x0 - pen.span(2, 4), y)
        if pen.attempt(pen.wire, end, (xs[-1] + pitch * (1 if pen.chance(0.5) else 2), y)):
            if pen.chance(0.7):
                pen.attempt(pen.sign, "label.circle", end, _LEFT, text=f"{number + 1}")
            else:
                pen.loose(end, _LEFT)
    for x in xs:
        pen.attempt(_upright, pen, x, y0 - pen.span(0.5, 2), bottom, sorted(y for at, y in joined if at == x))
    return bottom + pen.span(8, 12)


def _upright(pen: Pen, x: float, start: float, end: float, joins: list[float]) -> None:
    """One upright line of a grid, in pieces that end on the level lines it joins."""
    here = start
    for y in joins:
        pen.wire((x, here), (x, y))
        here = y
    pen.wire((x, here), (x, end))
    if pen.chance(0.4):
        pen.attempt(supply, pen, (x, end), _DOWN, "R" if pen.chance(0.6) else "D")
    else:
        pen.loose((x, end), _DOWN)


def jack_row(pen: Pen, top: float) -> float:
    """Jacks side by side, sleeves on one line, break contacts fed from the one before; gives the lowest y."""
    left, right = pen.limits(top, top + 20 * pen.u)
    x, y = left + pen.span(7, 10), top + pen.span(6, 8)
    names = ("jack.spring", "jack.springs", "jack.spring", "jack.coaxial", "jack.phono")
    name, made = pen.manner.build(str(pen.rng.choice(names)), pen.rng, hand=int(pen.rng.integers(0, 5)))
    closest = min(
        (abs(a.y - b.y) for a in made.terminals for b in made.terminals if a.name < b.name), default=2.0
    )
    size = max(1.0, 4.8 * pen.stroke / (pen.u * max(closest, 0.4)))
    if size > 2.4:
        return top + 4 * pen.u
    wide = (made.extent[2] - made.extent[0]) * pen.u * size
    lows: list[float] = [y]
    before: Place | None = None
    while x < right - wide - 8 * pen.u:
        found: list[tuple[float, float, Place | None]] = []

        def draw(x: float = x, before: Place | None = before,
                 found: list[tuple[float, float, Place | None]] = found) -> None:  # fmt: skip
            found[:] = [
                _jack(pen, pen.put(name, x - made.extent[0] * pen.u * size, y, made=made, scale=size), before)
            ]

        if pen.attempt(draw):
            x, low, before = found[0]
            lows.append(low)
        else:
            x, before = x + 5 * pen.u, None
    return max(lows) + pen.span(6, 9)


def _jack(pen: Pen, part: Put, before: Place | None) -> tuple[float, float, Place | None]:
    """Wire one jack; gives where the next may stand, its lowest y, and what feeds the next break contact."""
    feed: Place | None = None
    lane = part.box[2] + pen.span(1.8, 2.4)
    step = max(4.6 * pen.stroke, 1.2 * pen.u)
    for lead in sorted(part.leads, key=lambda each: each.y):
        at, way = (lead.x, lead.y), (lead.dx, lead.dy)
        if lead.name == "sleeve":
            if way[1] > 0.5:
                pen.attempt(supply, pen, at, _DOWN)
            else:
                up = (lane + 2 * step, lead.y)
                if pen.attempt(pen.wire, at, up):
                    pen.attempt(pen.sign, "earth", up, _DOWN, lead=4.0 * pen.stroke)
            continue
        if lead.name.startswith("break") and before is not None and pen.chance(0.7):
            below = (lane + 0.0, part.box[3] + pen.span(2, 4))
            if pen.attempt(pen.wire, at, (below[0], at[1]), below, (before[0], below[1]), before):
                continue
        tip = (lane + step * (1 if lead.name == "tip" else 2), lead.y)
        kinds = ["R"] if pen.chance(0.2) else []
        if kinds:
            tip = (tip[0] + pen.step, tip[1])
        if pen.attempt(pen.link, at, tip, *kinds):
            pen.loose(tip, _RIGHT)
            feed = tip if lead.name == "tip" else feed
    pen.label(part.box[0], part.box[1] - 0.5 * pen.high, str(pen.rng.choice(_NAMES)), 0.3, -1.0)
    return lane + pen.span(9, 14), part.box[3], feed


def key_row(pen: Pen, top: float) -> float:
    """Change-over keys in a row, linked by a dashed line or each its own, chained or each led away."""
    left, right = pen.limits(top, top + 26 * pen.u)
    x, y = left + pen.span(6, 9), top + pen.span(9, 12)
    name, made = pen.manner.build("contact.change", pen.rng, hand=int(pen.rng.integers(0, 3)))
    gap = min(abs(a.y - b.y) for a in made.terminals for b in made.terminals if a.name < b.name)
    size = max(1.0, 5.0 * pen.stroke / (pen.u * 2 * gap))
    pitch = max((made.extent[3] - made.extent[1]) * pen.u * size + 4.4 * pen.stroke, 2.5 * pen.high)
    count = min(int(pen.rng.integers(3, 10)), int((right - x - 4 * pen.u) / pitch))
    if count < 3:
        return top + 4 * pen.u
    kept: list[Put] = []
    for index in range(count):

        def draw(at: float = x + index * pitch) -> None:
            kept.append(pen.put(name, at, y, made=made, turn=90.0, scale=size, mirror=False))

        if not pen.attempt(draw):
            break
    if len(kept) > 2 and pen.chance(0.5):
        pen.dashed((kept[0].x - pen.span(2, 4), y), (kept[-1].x + pen.span(1, 3), y))
    tops = [(put.at("common")[0], put.at("common")[1] - pen.span(0, 0) - 2.2 * pen.u) for put in kept]
    for put, tip in zip(kept, tops, strict=True):
        pen.attempt(pen.wire, put.at("common"), tip)
    if tops and pen.chance(0.5):
        pen.attempt(pen.wire, *tops[:: len(tops) - 1]) if len(tops) > 1 else None
        pen.loose(tops[-1], _RIGHT)
    else:
        for tip in tops:
            pen.loose(tip, _UP)
    _throws(pen, kept)
    return y + 14 * pen.u


def _throws(pen: Pen, kept: list[Put]) -> None:
    """Below each key: one throw to a line common to all, the other through a part or led away."""
    if not kept:
        return
    line = kept[0].box[3] + pen.span(2.4, 3.2)
    shared = str(pen.rng.choice(["make", "break"]))
    ends: list[Place] = []
    for put in kept:
        for lead in put.leads[1:]:
            at = (lead.x, lead.y)
            if lead.name == shared and pen.attempt(pen.wire, at, (at[0], line)):
                ends.append((at[0], line))
                continue
            kinds = [["R"], ["C"], ["R"], []][int(pen.rng.integers(0, 4))]
            low = (at[0], line + (sum(pen.length(kind) for kind in kinds) + 10 * pen.stroke))
            if pen.attempt(pen.link, at, low, *kinds):
                pen.loose(low, _DOWN)
    if len(ends) > 1:
        try:
            pen.wire(ends[0], ends[-1])
        except Blocked:
            return


def blob_rows(pen: Pen, top: float) -> float:
    """Level wires close together, blobs on them in columns, nothing between the blobs of a column."""
    left, right = pen.limits(top, top + 20 * pen.u)
    rows, columns = int(pen.rng.integers(3, 9)), int(pen.rng.integers(2, 9))
    pitch = float(pen.rng.uniform(4.4, 7.0)) * pen.stroke
    radius = float(pen.rng.uniform(1.2, max(1.3, 0.5 * pitch / pen.stroke - 0.7)))
    x0, y0 = left + pen.span(7, 10), top + pen.span(4, 6)
    across = max(pen.span(3, 7), 8 * pen.stroke)
    x1 = min(x0 + (columns + 1) * across, right - 7 * pen.u)
    ys = [y0 + index * pitch for index in range(rows)]
    manner = str(pen.rng.choice(["disc", "blot", "disc", "ring"]))
    laid = []
    for y in ys:
        end = (x1 + pen.span(0, 3), y)
        if pen.attempt(pen.wire, (x0 - pen.span(0, 2), y), end):
            laid.append(y)
            pen.loose(end, _RIGHT)
    at = x0 + across
    while laid and at < x1 - 2 * pen.u:
        pen.plan.eyes += [(at, y, radius, manner) for y in laid if pen.chance(0.85)]
        tip = laid[-1] + float(pen.rng.uniform(2.6, 4.5) + radius) * pen.stroke
        low = tip + pen.span(5, 8)
        if pen.chance(0.6) and pen.attempt(
            pen.sign, "label.arrow", (at, low), _UP, lead=low - tip - 1.5 * pen.u
        ):
            pen.loose((at, low), _DOWN)
        at += across * float(pen.rng.uniform(0.8, 1.3))
    return ys[-1] + pen.span(9, 13)

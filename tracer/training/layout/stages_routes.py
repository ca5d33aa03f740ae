"""Long wires from stage to stage, signs on what stays open, and small circuits in the gaps."""

from __future__ import annotations

from itertools import pairwise
from typing import Final

import numpy as np

from tracer.training.layout.stages_oddments import oddment
from tracer.training.layout.stages_opamps import limiter, op_amp, pass_filter
from tracer.training.layout.stages_pen import Pen, Place
from tracer.training.layout.stages_row import Row, supply
from tracer.training.layout.stages_solid import common_emitter, long_tailed_pair
from tracer.training.layout.stages_valves import tone_network, voltage_amplifier
from tracer.training.truth import PartTerminal

__all__ = ["fill_gaps", "long_wires", "settle_loose"]

_ELSEWHERE: Final = (
    "TO V3", "A", "B2", "IC32/7", "F1 (IC30/1)", "Q", "VCA", "OUT", "TO SK4", "X", "Y", "CV IN", "AGC",
    "SEE 2", "FILTER IN", "PL2/4", "GATE", "K", "TO TONE", "E",
)  # fmt: skip


def settle_loose(pen: Pen) -> None:
    """Lead each open end to another one or to a wire, or sign it."""
    waiting = [pen.plan.loose[index] for index in pen.rng.permutation(len(pen.plan.loose))]
    pen.plan.loose = []
    while waiting:
        lead = waiting.pop()
        others = waiting[-3:]
        if pen.chance(0.75) and any(_meet(pen, lead, other, waiting) for other in others):
            continue
        if pen.chance(0.6) and _onto_wire(pen, lead):
            continue
        _sign(pen, lead)


def _meet(pen: Pen, lead: PartTerminal, other: PartTerminal, waiting: list[PartTerminal]) -> bool:
    for path in _paths(pen, (lead.x, lead.y), (lead.dx, lead.dy), (other.x, other.y), (other.dx, other.dy)):
        if pen.attempt(pen.wire, *path):
            waiting.remove(other)
            return True
    return False


def _paths(pen: Pen, a: Place, a_way: Place, b: Place, b_way: Place) -> list[list[Place]]:
    """Ways from `a`, leaving along `a_way`, to `b`, arriving against `b_way`, with three stretches or so."""
    found = []
    for _ in range(3):
        p = (a[0] + a_way[0] * pen.span(2, 9), a[1] + a_way[1] * pen.span(2, 9))
        q = (b[0] + b_way[0] * pen.span(2, 9), b[1] + b_way[1] * pen.span(2, 9))
        if abs(a_way[0]) > 0.5:
            corner = (p[0], q[1]) if abs(b_way[0]) > 0.5 or pen.chance(0.5) else (q[0], p[1])
        else:
            corner = (q[0], p[1]) if abs(b_way[1]) > 0.5 or pen.chance(0.5) else (p[0], q[1])
        found.append([a, p, corner, q, b])
    return found


def _segment(pen: Pen) -> tuple[Place, bool] | None:
    """A random place on a wire of some length, and whether the wire is level."""
    rows = pen.ground.segments
    length = np.hypot(rows[:, 2] - rows[:, 0], rows[:, 3] - rows[:, 1])
    straight = np.minimum(np.abs(rows[:, 2] - rows[:, 0]), np.abs(rows[:, 3] - rows[:, 1])) < 0.01
    good = np.flatnonzero((length > 12 * pen.stroke) & straight)
    if not len(good):
        return None
    row = rows[int(pen.rng.choice(good))]
    part = float(pen.rng.uniform(0.2, 0.8))
    at = (float(row[0] + part * (row[2] - row[0])), float(row[1] + part * (row[3] - row[1])))
    return at, bool(abs(row[3] - row[1]) < 0.01)


def _onto_wire(pen: Pen, lead: PartTerminal) -> bool:
    for _ in range(10):
        found = _segment(pen)
        if found is None:
            return False
        (x, y), level = found
        a = (lead.x, lead.y)
        if level == (abs(lead.dx) > 0.5):
            path = [a, (x, a[1]), (x, y)] if level else [a, (a[0], y), (x, y)]
        else:
            tip = (a[0] + lead.dx * pen.span(2, 8), a[1] + lead.dy * pen.span(2, 8))
            path = [a, tip, (x, tip[1]), (x, y)] if level else [a, tip, (tip[0], y), (x, y)]
        ahead = (path[1][0] - a[0]) * lead.dx + (path[1][1] - a[1]) * lead.dy
        if ahead > 0 and pen.attempt(pen.wire, *path):
            return True
    return False


def _sign(pen: Pen, lead: PartTerminal) -> None:
    way, pick = (lead.dx, lead.dy), pen.rng.random()
    text = str(pen.rng.choice(_ELSEWHERE))
    if pick < 0.35:
        pen.attempt(pen.sign, "label.arrow", (lead.x, lead.y), way, lead=pen.span(1, 4), text=text)
    elif pick < 0.65:
        pen.attempt(pen.sign, "label.circle", (lead.x, lead.y), way, lead=pen.span(0.5, 3), text=text)
    elif pick < 0.75:
        pen.attempt(pen.sign, "label.flag", (lead.x, lead.y), way, lead=pen.span(1, 3))
    else:
        pen.label(lead.x, lead.y, text, *way, sure=True)


def long_wires(pen: Pen, count: int) -> None:
    """Wires from one place to a far one, round two bends, passing what lies between."""
    for _ in range(count * 5):
        one, other = _segment(pen), _segment(pen)
        if one is None or other is None or count <= 0:
            return
        (ax, ay), level = one
        (bx, by), their_level = other
        if abs(ax - bx) + abs(ay - by) < 20 * pen.u:
            continue
        if level and their_level:
            middle = float(pen.rng.uniform(min(ay, by) - 6 * pen.u, max(ay, by) + 6 * pen.u))
            path = [(ax, ay), (ax, middle), (bx, middle), (bx, by)]
        elif level:
            path = [(ax, ay), (ax, by), (bx, by)]
        elif their_level:
            path = [(ax, ay), (bx, ay), (bx, by)]
        else:
            middle = float(pen.rng.uniform(min(ax, bx) - 6 * pen.u, max(ax, bx) + 6 * pen.u))
            path = [(ax, ay), (middle, ay), (middle, by), (bx, by)]
        drawn = pen.attempt(_through_part, pen, path) if pen.chance(0.4) else pen.attempt(pen.wire, *path)
        if drawn:
            count -= 1


def _through_part(pen: Pen, path: list[Place]) -> None:
    """Run a wire whose longest stretch passes through a resistor or the like."""
    lengths = [abs(b[0] - a[0]) + abs(b[1] - a[1]) for a, b in pairwise(path)]
    longest = int(np.argmax(lengths))
    for index, (a, b) in enumerate(pairwise(path)):
        kinds = [str(pen.rng.choice(["R", "R", "R", "C", "D"]))] if index == longest else []
        pen.link(a, b, *kinds, lean=float(pen.rng.uniform(0.1, 0.9)))


def fill_gaps(pen: Pen, tries: int) -> None:
    """Small circuits of their own wherever there is room."""
    motifs = (
        pass_filter, pass_filter, op_amp, op_amp, limiter, common_emitter, long_tailed_pair, oddment, oddment,
        _fragment, _fragment, voltage_amplifier, voltage_amplifier, tone_network,
    )  # fmt: skip
    if pen.drawing.width < 40 * pen.u:
        return
    for _ in range(tries):
        x = float(pen.rng.uniform(pen.manner.margin, pen.drawing.width - 20 * pen.u))
        y = float(pen.rng.uniform(pen.manner.margin, pen.drawing.height))
        near = 5 * pen.u
        if pen.ground.hit(x - near, y - near, x + 4 * near, y + near):
            continue
        row = Row(y, y, y, y, y, x, pen.drawing.width, x, [], rails=False)
        pen.attempt(motifs[int(pen.rng.integers(0, len(motifs)))], pen, row, x, None)


def _fragment(pen: Pen, row: Row, x: float, port: Place | None) -> tuple[float, Place | None]:
    """A supply's decoupling: sign, resistor, capacitor, arrow."""
    at, node = (x, row.low), (x + pen.step, row.low)
    pen.sign("label.circle", at, (-1.0, 0.0), text=str(pen.rng.choice(_ELSEWHERE)))
    pen.link(at, node, "R" if pen.chance(0.7) else "D")
    for index in range(int(pen.rng.integers(1, 3))):
        here = (node[0] + index * pen.column, node[1])
        if index:
            pen.wire((here[0] - pen.column, here[1]), here)
        supply(pen, here, (0.0, 1.0), "E" if pen.chance(0.6) else "R")
        node = here if index else node
    end = (node[0] + pen.span(2, 4), node[1])
    pen.wire(node, end)
    pen.sign("label.arrow", end, (1.0, 0.0), text=str(pen.rng.choice(_ELSEWHERE)))
    return end[0], None

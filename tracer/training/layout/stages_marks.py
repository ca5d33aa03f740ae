"""What stands beside the wires: ringed numbers, boxed voltages, test flags, wave sketches."""

from __future__ import annotations

from typing import Final

import numpy as np

from tracer.training.layout.stages_pen import Pen, Place
from tracer.training.strokes import arc, dashes

__all__ = ["add_marks"]

_TESTS: Final = ("TP1", "TP4", "TP12", "A", "B", "MP3", "X7", "T2", "ALIGN", "F", "H", "CH A")
_SEEN: Final = ("2Vpp", "0.5V", "20mS", "1 kHz", "38kHz", "8V P-P", "10.7", "5mV", "")
_NOTES: Final = (
    "1. ALL", "VOLTAGES", "MEASURED", "WITH", "20K/V", "METER", "NO SIGNAL", "RESISTORS", "0.25W", "5 %",
    "UNLESS", "MARKED", "CAPACITORS", "IN pF", "SWITCHES", "SHOWN", "IN", "POSITION", "FM", "2.", "PIN",
    "VIEW", "FROM", "BELOW",
)  # fmt: skip
_COLOURS: Final = (
    "RED",
    "BLK",
    "GRN",
    "BLU",
    "WHT",
    "YEL",
    "GR/Y",
    "R",
    "W",
    "BRN",
    "SCR",
    "5",
    "12",
    "a",
    "3b",
)


def add_marks(pen: Pen) -> None:
    """As many marks of each kind as this sheet's manner has; nothing of it joins anything."""
    rng = pen.rng
    scale = pen.drawing.width * pen.drawing.height / 1e6
    kinds = (
        (_ring, 9),
        (_boxed, 6),
        (_flag, 5),
        (_wave, 3),
        (_note_at_wire, 14),
        (_on_wire, 6),
        (_callout, 5),
    )
    for draw, most in kinds:
        if rng.random() < 0.4:
            for _ in range(int(rng.uniform(0.2, 1.0) * most * scale + 0.5)):
                draw(pen)
    if rng.random() < 0.2:
        _chain_line(pen)
    if rng.random() < 0.25:
        _notes_column(pen)
    if rng.random() < 0.3:
        _plus_signs(pen, float(rng.uniform(0.3, 1.0)))


def _spot(pen: Pen, least: float = 8.0) -> tuple[Place, Place] | None:
    """A place on some wire and the unit vector along it."""
    rows = pen.ground.segments
    length = np.hypot(rows[:, 2] - rows[:, 0], rows[:, 3] - rows[:, 1])
    good = np.flatnonzero(length > least * pen.stroke)
    if not len(good):
        return None
    index = int(pen.rng.choice(good))
    x0, y0, x1, y1 = (float(value) for value in rows[index])
    part = float(pen.rng.uniform(0.15, 0.85))
    long = float(length[index])
    return (x0 + part * (x1 - x0), y0 + part * (y1 - y0)), ((x1 - x0) / long, (y1 - y0) / long)


def _free(pen: Pen, x: float, y: float, half: float, tall: float, near: float = 0.5) -> bool:
    """Whether a box stands clear of wires, bodies and the marks before it, and takes it if so."""
    near *= pen.stroke
    x0, y0, x1, y1 = x - half - near, y - tall - near, x + half + near, y + tall + near
    if not pen.ground.inside(x0, y0, x1, y1) or pen.ground.hit(x0, y0, x1, y1):
        return False
    if any(a < x1 and c > x0 and b < y1 and d > y0 for a, b, c, d in (*pen.bare, *pen.marked)):
        return False
    pen.marked.append((x - half, y - tall, x + half, y + tall))
    return True


def _circle(pen: Pen, x: float, y: float, radius: float, squash: float = 1.0) -> None:
    points = arc(x, y, radius, 0, 360, squash=squash).points
    pen.drawing.furniture([(float(a), float(b)) for a, b in points], dash=None)


def _beside(pen: Pen, half: float, tall: float, low: float, high: float) -> tuple[Place, Place] | None:
    """A free place `low` to `high` strokes off a wire for a box, and the foot on the wire."""
    for _ in range(5):
        found = _spot(pen)
        if found is None:
            return None
        (x, y), (ux, uy) = found
        side = float(pen.rng.choice([-1.0, 1.0]))
        reach = abs(uy) * half + abs(ux) * tall + float(pen.rng.uniform(low, high)) * pen.stroke
        middle = (x - uy * side * reach, y + ux * side * reach)
        if _free(pen, *middle, half, tall, near=min(low, 0.5) - 0.2):
            return middle, (x, y)
    return None


def _ring(pen: Pen) -> None:
    """A number in a ring, touching a wire, close to it, or at the end of a short leader."""
    high = 0.75 * pen.high
    text = str(int(pen.rng.integers(1, 40))) if pen.chance(0.8) else str(pen.rng.choice(["A", "B", "C", "K"]))
    radius = high * (0.8 + 0.22 * (len(text) - 1))
    led = pen.chance(0.4)
    found = _beside(pen, radius, radius, *((3.0, 9.0) if led else (0.8, 2.5)))
    if found is None:
        return
    (x, y), foot = found
    _circle(pen, x, y, radius)
    pen.drawing.text(x, y, text, height=high)
    if led:
        way = np.array(foot) - (x, y)
        way /= max(float(np.hypot(*way)), 1e-9)
        start = (x + way[0] * radius, y + way[1] * radius)
        pen.drawing.furniture([start, foot], dash=None, arrow=pen.chance(0.3))


def _boxed(pen: Pen) -> None:
    """A voltage in a box or a lozenge beside its wire, with or without a leader."""
    high = 0.8 * pen.high
    text = str(
        pen.rng.choice(["1.2V", "8.6", "-17", "0V", "240", "12.1V", "0.65", "24V", "(3.2)", "95", "FM 7V"])
    )
    half, tall = 0.42 * high * len(text) + 0.3 * high, 0.85 * high
    led = pen.chance(0.4)
    found = _beside(pen, half, tall, *((3.0, 8.0) if led else (1.2, 3.0)))
    if found is None:
        return
    (x, y), foot = found
    pick = pen.rng.random()
    if pick < 0.5:
        path = [(x - half, y - tall), (x + half, y - tall), (x + half, y + tall), (x - half, y + tall)]
    elif pick < 0.75:
        path = [(x - half, y), (x - half + tall, y - tall), (x + half - tall, y - tall), (x + half, y),
                (x + half - tall, y + tall), (x - half + tall, y + tall)]  # fmt: skip
    else:
        path = []
        _circle(pen, x, y, half * 1.1, squash=tall * 1.1 / half)
    if path:
        pen.drawing.furniture([*path, path[0]], dash=None)
    pen.drawing.text(x, y, text, height=high)
    if led:
        edge = (x + np.clip(foot[0] - x, -half, half), y + np.clip(foot[1] - y, -tall, tall))
        pen.drawing.furniture([(float(edge[0]), float(edge[1])), foot], dash=None)


def _flag(pen: Pen) -> None:
    """A test point: a slanting stick on the wire with a pennant, a ball or a name at its end."""
    high = 0.8 * pen.high
    text = str(pen.rng.choice(_TESTS))
    half, tall = 0.4 * high * len(text), 0.65 * high
    found = _beside(pen, half, tall, 4.0, 9.0)
    if found is None:
        return
    (x, y), foot = found
    edge = (x + float(np.clip(foot[0] - x, -half, half)), y + float(np.clip(foot[1] - y, -tall, tall)))
    pick = pen.rng.random()
    if pick < 0.7:
        pen.drawing.furniture([edge, foot], dash=None, arrow=True)
    else:
        pen.drawing.furniture([edge, foot], dash=None)
        if pick < 0.9:
            _circle(pen, *foot, 1.6 * pen.stroke)
    pen.drawing.text(x, y, text, height=high)
    if pen.chance(0.4):
        pen.drawing.overline(x - half, x + half, y + 1.1 * tall)


def _wave(pen: Pen) -> None:
    """A small sketch of what an oscilloscope shows, with its volts, at times in a ring or a box."""
    rng, drawing = pen.rng, pen.drawing
    wide, tall = 4.0 * pen.high, 1.2 * pen.high
    for _ in range(6):
        x, y = float(rng.uniform(0, drawing.width)), float(rng.uniform(0, drawing.height))
        if _free(pen, x, y, 0.65 * wide, 2.2 * tall, near=2.0):
            break
    else:
        return
    run = np.linspace(0.0, 1.0, 97)
    turns = float(rng.integers(2, 5))
    phase = (run * turns) % 1.0
    shape = int(rng.integers(0, 4))
    if shape == 0:
        level = np.sin(2 * np.pi * run * turns)
    elif shape == 1:
        level = 2 * phase - 1
    elif shape == 2:
        level = np.where(phase < 0.5, -1.0, 1.0)
    else:
        level = 2 * np.exp(-4 * phase) - 1
    path = np.stack([x + (run - 0.5) * wide, y - level * tall * 0.9], 1)
    drawing.furniture([(float(a), float(b)) for a, b in path], dash=None, width=float(rng.choice([0.7, 1.0])))
    if rng.random() < 0.4:
        drawing.furniture([(x - 0.6 * wide, y), (x + 0.6 * wide, y)], dash=(3.0, 2.5), width=0.7)
    drawing.text(x, y + 1.75 * tall, str(rng.choice(_SEEN)), height=0.75 * pen.high)


def _note_at_wire(pen: Pen) -> None:
    """A voltage, a pin or a letter close beside a wire, hardly clear of it."""
    high = float(pen.rng.uniform(0.65, 0.9)) * pen.high
    number = float(pen.rng.choice([pen.rng.uniform(0, 3), pen.rng.uniform(3, 40), pen.rng.uniform(40, 300)]))
    text = f"{number:.1f}" if number < 30 else f"{number:.0f}"
    text = str(pen.rng.choice([text, f"{text}V", f"-{text}", f"({text})", f"{text}~"]))
    half, tall = 0.4 * high * len(text), 0.6 * high
    found = _beside(pen, half, tall, 0.3, 1.6)
    if found is not None:
        pen.drawing.text(*found[0], text, height=high)


def _on_wire(pen: Pen) -> None:
    """A colour or a number lettered right on a wire, or across two."""
    found = _spot(pen, 14.0)
    if found is None:
        return
    (x, y), (ux, uy) = found
    text, high = str(pen.rng.choice(_COLOURS)), 0.7 * pen.high
    off = float(pen.rng.uniform(-0.5, 0.5)) * high
    pen.drawing.text(x - uy * off, y + ux * off, text, height=high, angle=0.0 if abs(ux) > 0.5 else -90.0)


def _plus_signs(pen: Pen, share: float) -> None:
    """Large plus signs in the corner between a capacitor and its lead."""
    for put in pen.plan.puts:
        if put.made.kind != "capacitor" or not pen.chance(share):
            continue
        lead = put.leads[0] if pen.chance(0.7) else put.leads[-1]
        high = float(pen.rng.uniform(0.7, 1.3)) * pen.high
        aside = float(pen.rng.choice([-1.0, 1.0])) * (
            0.5 * high + float(pen.rng.uniform(0.9, 2.5)) * pen.stroke
        )
        ahead = 0.45 * high + float(pen.rng.uniform(0.5, 1.5)) * pen.stroke
        x, y = lead.x + lead.dx * ahead - lead.dy * aside, lead.y + lead.dy * ahead + lead.dx * aside
        if _free(pen, x, y, 0.35 * high, 0.35 * high, near=0.3):
            pen.drawing.text(x, y, "+", height=high)


def _notes_column(pen: Pen) -> None:
    """A paragraph of small lettering, its lines one under the other."""
    rng, drawing = pen.rng, pen.drawing
    high = float(rng.uniform(0.6, 0.85)) * pen.high
    lines, letters = int(rng.integers(3, 9)), int(rng.integers(14, 30))
    half, tall = 0.4 * high * letters, 0.75 * high * lines
    for _ in range(8):
        x, y = float(rng.uniform(0, drawing.width)), float(rng.uniform(0, drawing.height))
        if not _free(pen, x, y, half, tall, near=1.5):
            continue
        for index in range(lines):
            words = " ".join(str(word) for word in rng.choice(_NOTES, 6))
            line = words[: letters - int(rng.integers(0, 9))].strip()
            middle = x - half + 0.4 * high * len(line)
            drawing.text(middle, y - tall + (index + 0.5) * 1.5 * high, line, height=high)
        return


def _callout(pen: Pen) -> None:
    """A name with a bent or curved leader whose arrow points at a wire or a part."""
    rng = pen.rng
    found = _spot(pen)
    if found is None:
        return
    foot = found[0]
    angle = float(rng.uniform(0, 2 * np.pi))
    reach = float(rng.uniform(8, 24)) * pen.stroke
    text = str(
        rng.choice(["CONNECTOR", "SEE NOTE 3", "LINK", "RIBBON", "ON PANEL", "PCB 2", "SW3b", "BLUE", "?"])
    )
    half, tall = 0.4 * pen.high * len(text), 0.6 * pen.high
    far = (foot[0] + np.cos(angle) * reach, foot[1] + np.sin(angle) * reach)
    middle = (far[0] + np.cos(angle) * (half + pen.stroke), far[1] + np.sin(angle) * (tall + pen.stroke))
    if not _free(pen, float(middle[0]), float(middle[1]), half, tall):
        return
    bow = float(rng.normal(0, 0.15)) * reach
    part = np.linspace(0, 1, 9)
    stop = float(rng.choice([1.0, 1.0, 0.85]))
    line = np.array(far) + part[:, None] * stop * (np.array(foot) - far)
    line += np.sin(np.pi * part)[:, None] * bow * np.array([-np.sin(angle), np.cos(angle)])
    pen.drawing.furniture([(float(a), float(b)) for a, b in line], dash=None, arrow=True)
    pen.drawing.text(float(middle[0]), float(middle[1]), text)


def _chain_line(pen: Pen) -> None:
    """The edge of a board: long dashes with dots between, straight or round a corner, over everything."""
    rng, drawing = pen.rng, pen.drawing
    x0, x1 = np.sort(rng.uniform(0.02, 0.98, 2)) * drawing.width
    y0, y1 = np.sort(rng.uniform(0.02, 0.98, 2)) * drawing.height
    corners = np.array([(x0, y0), (x1, y0), (x1, y1), (x0, y1), (x0, y0)])[: int(rng.integers(2, 6))]
    if np.hypot(*np.diff(corners, axis=0).T).min() < 30 * pen.stroke:
        return
    long, dot, gap = float(rng.uniform(6, 16)), float(rng.uniform(0.4, 2.5)), float(rng.uniform(1.8, 4.0))
    width = float(rng.choice([1.0, 1.0, 0.7, 1.5]))
    for on, off, shift in ((long, dot + 2 * gap, 0.0), (dot, long + 2 * gap, long + gap)):
        for piece in dashes(corners, on * pen.stroke, off * pen.stroke):
            if len(piece) > 2:
                continue  # bent round a corner
            way = piece[-1] - piece[0]
            moved = piece + way / max(float(np.hypot(*way)), 1e-9) * shift * pen.stroke
            drawing.furniture([(float(a), float(b)) for a, b in moved], dash=None, width=width)

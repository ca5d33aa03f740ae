"""What surrounds an orderly circuit: frame, title, tables, notes, dividing lines, leaders, pencil."""

from __future__ import annotations

from typing import Final

import numpy as np

from tracer.training.layout.stages_pen import Pen

__all__ = ["add_notes", "draw_corners", "reserve_corners"]

_WORDS: Final = (
    "VOICE PROCESSOR", "FILTERS AND VCA", "CONTROL BOARD", "POWER UNIT", "SHEET 2", "ISSUE B", "DRG. No. 114",
    "ALL RESISTORS IN OHMS", "UNLESS MARKED", "SEE NOTE", "VALVE", "ANODE", "SCREEN", "CATHODE", "VOLTAGES",
    "RANGE", "L.W.", "M.W.", "S.W.", "TUNING", "VOLUME", "BASS", "TREBLE", "MOUNTED ON PANEL", "(LEFT BLANK)",
    "± 10%",
    "470 kc/s", "BACK VIEW", "MAINS", "OUTPUT", "INPUT", "DATE", "DRAWN", "CHECKED", "1.4 Mc/s", "OBSOLETE?",
    "WIRING SHOWN FOR 240V", "TO CHASSIS", "RIBBON", "BATTERY", "MONITOR", "TIE TO PIN 7",
    "C = .01 UNLESS SHOWN",
)  # fmt: skip


def _words(pen: Pen, most: int) -> str:
    fitting = [word for word in _WORDS if len(word) <= most] or ["A"]
    return str(pen.rng.choice(fitting))


def reserve_corners(pen: Pen) -> list[tuple[int, int]]:
    """Keep up to two corners bare for a title (0, 0) or for a table of (rows, columns); see `Pen.bare`."""
    rng, high = pen.rng, pen.high
    wide, tall = pen.drawing.width, pen.drawing.height
    found = []
    for at_right, at_bottom in rng.permutation([(0, 0), (0, 1), (1, 0), (1, 1)])[
        : int(rng.choice([0, 0, 1, 1, 2]))
    ]:
        if rng.random() < 0.5:
            rows, columns = int(rng.integers(2, 7)), int(rng.integers(2, 5))
            w, h = columns * high * float(rng.uniform(4, 7)), rows * high * float(rng.uniform(1.7, 2.3))
        else:
            rows = columns = 0
            w, h = high * float(rng.uniform(12, 20)), high * float(rng.uniform(3, 6.5))
        if w > 0.45 * wide or h > 0.3 * tall:
            continue
        edge = pen.manner.margin + 6 * pen.stroke
        x0 = wide - edge - w if at_right else edge
        y0 = tall - edge - h if at_bottom else edge
        if pen.attempt(pen.ground.add_body, (x0, y0, x0 + w, y0 + h), 4.0):
            pen.bare.append((x0, y0, x0 + w, y0 + h))
            found.append((rows, columns))
    return found


def draw_corners(pen: Pen, corners: list[tuple[int, int]]) -> None:
    """Rule and letter the chosen corners, and the frame of the page."""
    rng, drawing, high = pen.rng, pen.drawing, pen.high
    for (rows, columns), (x0, y0, x1, y1) in zip(corners, pen.bare, strict=True):
        if not rows:
            lines = max(1, int((y1 - y0) / high / 1.8))
            for index in range(lines):
                y = y0 + (index + 0.5) * (y1 - y0) / lines
                drawing.text((x0 + x1) / 2, y, _words(pen, int((x1 - x0) / high / 0.95)), height=1.1 * high)
            pick = rng.random()
            if pick < 0.5:
                drawing.frame(x0, y0, x1, y1, float(rng.choice([1.0, 1.6])))
            elif pick < 0.8:
                drawing.rule([(x0, y1), (x1, y1), (x1, y0)])
            continue
        drawing.frame(x0, y0, x1, y1)
        row, column = (y1 - y0) / rows, (x1 - x0) / columns
        for index in range(1, rows):
            drawing.rule([(x0, y0 + index * row), (x1, y0 + index * row)])
        for index in range(1, columns):
            drawing.rule([(x0 + index * column, y0), (x0 + index * column, y1)])
        for down in range(rows):
            for across in range(columns):
                text = str(rng.integers(1, 290)) if down and across else _words(pen, int(column / high / 0.9))
                if rng.random() < 0.85:
                    drawing.text(
                        x0 + (across + 0.5) * column, y0 + (down + 0.5) * row, text, height=0.85 * high
                    )
    edge = pen.manner.margin - 6 * pen.stroke
    if edge > 2 and rng.random() < 0.5:
        drawing.frame(edge, edge, drawing.width - edge, drawing.height - edge, float(rng.choice([1.0, 2.0])))


def add_notes(pen: Pen) -> None:
    """Words in free places and along wires; dividing lines, leaders and pencil."""
    rng, drawing = pen.rng, pen.drawing
    for _ in range(int(rng.integers(0, 14))):
        x, y = float(rng.uniform(20, drawing.width - 20)), float(rng.uniform(20, drawing.height - 20))
        size = float(rng.choice([0.8, 1.0, 1.0, 1.4]))
        pen.label(x, y, _words(pen, 40), size=size, angle=-90.0 if rng.random() < 0.15 else 0.0)
    for x0, y0, x1, y1 in pen.ground.segments:
        if abs(y1 - y0) < 0.1 and abs(x1 - x0) > 90 and rng.random() < 0.08:
            pen.label((x0 + x1) / 2, y0, _words(pen, 14), 0.0, float(rng.choice([-1.0, 1.0])), size=0.85)
    for _ in range(int(rng.choice([0, 0, 1, 2]))):
        at = float(rng.uniform(0.2, 0.8))
        level = rng.random() < 0.5
        low, high = sorted(rng.uniform(0.0, 1.0, 2))
        path = [(low * drawing.width, at * drawing.height), (high * drawing.width, at * drawing.height)]
        if not level:
            path = [(at * drawing.width, low * drawing.height), (at * drawing.width, high * drawing.height)]
        drawing.furniture(path, dash=(float(rng.uniform(4, 14)), float(rng.uniform(3, 7))))
    for _ in range(int(rng.choice([0, 0, 0, 1, 2]))):
        x, y = float(rng.uniform(0, 0.8)) * drawing.width, float(rng.uniform(0, 0.8)) * drawing.height
        w, h = pen.span(10, 40), pen.span(8, 30)
        pen.dashed((x, y), (x + w, y), (x + w, y + h), (x, y + h), (x, y))
    for put in pen.plan.puts:
        if put.reference and rng.random() < 0.025:
            x0, y0, x1, y1 = put.box
            way = rng.choice([-1.0, 1.0], 2)
            start = (
                (x0 + x1) / 2 + way[0] * ((x1 - x0) / 2 + pen.u),
                (y0 + y1) / 2 + way[1] * ((y1 - y0) / 2 + pen.u),
            )
            end = (start[0] + way[0] * pen.span(1, 3), start[1] + way[1] * pen.span(1, 3))
            drawing.furniture([end, start], dash=None, arrow=bool(rng.random() < 0.85))
    if rng.random() < 0.15:
        for _ in range(int(rng.integers(1, 3))):
            start_at = rng.uniform(0, [drawing.width, drawing.height])
            path = [
                (float(a), float(b))
                for a, b in start_at + np.cumsum(rng.normal(0, 12, (int(rng.integers(4, 12)), 2)), axis=0)
            ]
            drawing.furniture(
                path, dash=None, ink=int(rng.integers(60, 190)), width=float(rng.uniform(0.6, 1.4))
            )

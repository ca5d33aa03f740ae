"""What surrounds a circuit on its page: frames, tables, title blocks, notes, screens, leaders, pencil."""

from __future__ import annotations

import numpy as np

from tracer.training.layout.board import Board
from tracer.training.truth import DrawnPart

__all__ = ["add_furniture", "add_notes", "add_page"]

_WORDS = (  # parted by bars
    "VALVE|VOLTAGES|MEASURED|WITH|RANGE|SWITCH|WAVE|CHANGE|ALL|RESISTORS|IN|OHMS|UNLESS|MARKED|"
    "OUTPUT|FILTER|SEE|NOTE|INPUT|TONE|MAINS|SHEET|DRG. No.|ISSUE|DATE|TUNING|Medium|Long|Short|"
    "to chassis|Bass|Treble|250V|100mA|1.4 Mc/s|470 kc/s|R1-R12|(SEE TEXT)|VOLUME|BACK VIEW|A/D|"
    "± 10%|H.T.|L.T.|I.F."
)


def _words(rng: np.random.Generator, count: int) -> str:
    return " ".join(str(word) for word in rng.choice(_WORDS.split("|"), size=count))


def add_page(board: Board) -> None:
    """A frame, a title block and a table, before the circuit is drawn."""
    rng, drawing = board.rng, board.drawing
    width, height = drawing.width, drawing.height
    if rng.random() < 0.35:
        margin = float(rng.uniform(8, 22))
        board.frame(margin, margin, width - margin, height - margin, float(rng.choice([1.0, 1.5, 2.5])))
        board.margin = margin + 5 * board.cell
    if rng.random() < 0.5:
        _table(board)
    if rng.random() < 0.3:
        _table(board)
    if rng.random() < 0.35:
        _title(board)


def _table(board: Board) -> None:
    rng, drawing = board.rng, board.drawing
    high = drawing.style.text_height
    rows, columns = int(rng.integers(1, 7)), int(rng.integers(1, 5))
    row, column = high * float(rng.uniform(1.6, 2.4)), high * float(rng.uniform(3.5, 9))
    wide, tall = columns * column, rows * row
    if wide > drawing.width * 0.7 or tall > drawing.height * 0.7:
        return
    x = float(rng.uniform(25, drawing.width - wide - 25))
    y = float(
        rng.choice([30.0, drawing.height - tall - 30, rng.uniform(25, max(26, drawing.height - tall - 25))])
    )
    if not board.free(x - 6, y - 6, x + wide + 6, y + tall + 6):
        return
    board.take(x - 6, y - 6, x + wide + 6, y + tall + 6)
    board.frame(x, y, x + wide, y + tall)
    for index in range(1, rows):
        board.rule([(x, y + index * row), (x + wide, y + index * row)])
    for index in range(1, columns):
        board.rule([(x + index * column, y), (x + index * column, y + tall)])
    for down in range(rows):
        for across in range(columns):
            if rng.random() < 0.85:
                text = _words(rng, 1)[: int(column / high / 0.75)]
                drawing.text(x + (across + 0.5) * column, y + (down + 0.5) * row, text)


def _title(board: Board) -> None:
    """A few words in a frame, whole or of two sides only, or underlined."""
    rng, drawing = board.rng, board.drawing
    high = drawing.style.text_height * float(rng.uniform(1.0, 1.8))
    lines = [_words(rng, int(rng.integers(1, 3))) for _ in range(int(rng.integers(1, 4)))]
    wide, tall = 0.8 * high * max(len(line) for line in lines) + 2 * high, 1.7 * high * len(lines) + high
    if wide > drawing.width - 60:
        return
    x, y = (
        float(rng.uniform(25, drawing.width - wide - 25)),
        float(rng.uniform(25, max(26, drawing.height - tall - 25))),
    )
    if not board.free(x, y, x + wide, y + tall):
        return
    board.take(x, y, x + wide, y + tall)
    for index, line in enumerate(lines):
        drawing.text(x + wide / 2, y + high + 1.7 * high * index, line, height=high)
    pick = rng.random()
    if pick < 0.4:
        board.frame(x, y, x + wide, y + tall, float(rng.choice([1.0, 1.0, 2.0])))
    elif pick < 0.7:
        board.rule([(x, y + tall), (x + wide, y + tall), (x + wide, y)])
    elif pick < 0.85:
        board.rule([(x, y + tall), (x + wide, y + tall)])


def add_notes(board: Board) -> None:
    """Lines of lettering where there is room, some turned, some along wires, some touching them."""
    rng, drawing = board.rng, board.drawing
    for _ in range(int(rng.integers(3, 16))):
        high = drawing.style.text_height * float(rng.choice([0.8, 1.0, 1.0, 1.3, 2.0]))
        text = _words(rng, int(rng.integers(1, 4)))
        half, tall = 0.38 * high * len(text), 0.75 * high
        turned = bool(rng.random() < 0.25)
        if turned:
            half, tall = tall, half
        for _ in range(8):
            x, y = float(rng.uniform(10, drawing.width - 10)), float(rng.uniform(10, drawing.height - 10))
            if board.free(x - half, y - tall, x + half, y + tall) or rng.random() < 0.02:
                board.take(x - half, y - tall, x + half, y + tall)
                drawing.text(x, y, text, height=high, angle=float(rng.choice([90, -90])) if turned else 0.0)
                if rng.random() < 0.08 and not turned:
                    drawing.overline(x - half * 0.9, x + half * 0.9, y - tall * 0.95)
                break
    for (x0, y0), (x1, y1) in board.stretches:
        if rng.random() < 0.06 and abs(x1 - x0) + abs(y1 - y0) > 60:
            away = drawing.style.text_height * float(rng.uniform(0.55, 0.9)) * float(rng.choice([-1, 1]))
            text = _words(rng, 1)
            if abs(y1 - y0) < 1e-6:
                drawing.text((x0 + x1) / 2, y0 + away, text, height=0.8 * drawing.style.text_height)
            else:
                drawing.text(
                    x0 + away, (y0 + y1) / 2, text, height=0.8 * drawing.style.text_height, angle=-90.0
                )


def _leader(board: Board, part: DrawnPart) -> None:
    """One or two ticks from lettering towards a body, touching it or stopping short."""
    rng, unit = board.rng, board.drawing.style.unit
    x0, y0, x1, y1 = part.box
    middle, centre = (x0 + x1) / 2, (y0 + y1) / 2
    angle = float(rng.uniform(0, 2 * np.pi))
    way = np.array([np.cos(angle), np.sin(angle)])
    edge = min((x1 - x0) / 2 / max(abs(way[0]), 1e-6), (y1 - y0) / 2 / max(abs(way[1]), 1e-6))
    near = edge + unit * float(rng.uniform(-0.3, 0.8))
    far = near + unit * float(rng.uniform(1.0, 3.5))
    start, end = ((middle + way[0] * reach, centre + way[1] * reach) for reach in (far, near))
    board.drawing.furniture([start, end], dash=None, arrow=bool(rng.random() < 0.7))


def add_furniture(board: Board) -> None:
    """Dashed screens, dividing lines, leaders with arrows, pencil."""
    rng, drawing = board.rng, board.drawing
    width, height = drawing.width, drawing.height
    for _ in range(int(rng.integers(0, 4))):
        x0, x1 = sorted(rng.uniform(10, width - 10, size=2))
        y0, y1 = sorted(rng.uniform(10, height - 10, size=2))
        if x1 - x0 < 60 or y1 - y0 < 60:
            continue
        dash = (
            float(rng.choice([rng.uniform(1.0, 6.0), rng.uniform(5.0, 13.0)])),
            float(rng.uniform(1.2, 6.0)),
        )
        path = [(x0, y0), (x1, y0), (x1, y1), (x0, y1), (x0, y0)]
        pick = rng.random()
        if pick < 0.3:
            path = path[:2]
        elif pick < 0.55:
            path = [path[0], path[3]]
        drawing.furniture(path, dash=dash, width=float(rng.choice([1.0, 1.0, 0.7])))
    for _ in range(int(rng.integers(0, 4))):
        x, y = float(rng.uniform(60, width - 60)), float(rng.uniform(60, height - 60))
        way = rng.normal(0, 60, size=2)
        if np.hypot(*way) > 25:
            middle = (x + way[0] * 0.5 + rng.normal(0, 6), y + way[1] * 0.5 + rng.normal(0, 6))
            drawing.furniture([(x, y), middle, (x + way[0], y + way[1])], dash=None, arrow=True)
    for part in drawing.parts():
        if rng.random() < 0.04:
            _leader(board, part)
    if rng.random() < 0.3:
        for _ in range(int(rng.integers(1, 5))):
            start = rng.uniform(0, [width, height])
            path_ = start + np.cumsum(rng.normal(0, 14, size=(int(rng.integers(4, 14)), 2)), axis=0)
            drawing.furniture(
                [(float(a), float(b)) for a, b in path_], dash=None, ink=int(rng.integers(60, 190)),
                width=float(rng.uniform(0.6, 1.6)),
            )  # fmt: skip

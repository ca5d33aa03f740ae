"""Where the lettering goes on a sheet of another hand: beside its part, where it hides least."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from another_brush import Placed
from another_ink import Fill, Stroke
from another_letters import lettered, width_of
from another_pen import Pen
from numpy.typing import NDArray

__all__ = ["letter_all"]

Box = tuple[float, float, float, float]

_GAP = 1.3
_LINE = 1.45  # heights of a capital from line to line
_SPACE = "\N{NO-BREAK SPACE}"


@dataclass(frozen=True, slots=True)
class _Line:
    text: str
    x: float
    y: float
    upright: bool = False


def letter_all(pen: Pen, seed: int) -> list[Stroke | Fill]:
    """Letter every part, pin and note; return the shapes."""
    manner = pen.manner
    taken = [part.box for part in pen.parts]
    taken += [(min(a[0], b[0]), min(a[1], b[1]), max(a[0], b[0]), max(a[1], b[1])) for a, b in pen.wires]
    weights = [4.0] * len(pen.parts) + [2.0] * len(pen.wires)
    lines = [_Line(*text) for text in pen.texts]
    for text, x, y in pen.notes:
        small = manner.high * 0.8
        lines.append(_Line(text, x - width_of(text, small, manner.letters) / 2, y))
    for line in lines:
        long = width_of(line.text, manner.high, manner.letters)
        wide, high = (manner.high, -long) if line.upright else (long, manner.high)
        top = line.y - manner.high / 2 if not line.upright else line.y
        left = line.x - manner.high / 2 if line.upright else line.x
        taken.append((left, min(top, top + high), left + wide, max(top, top + high)))
        weights.append(3.0)
    pins = len(pen.texts)
    for part in pen.parts:
        rows = [each.replace(_SPACE, " ") for each in (part.reference, part.value, part.more) if each]
        if rows:
            best = _best(part, rows, pen, np.array(taken), np.array(weights))
            lines += best
            long = max(width_of(row.text, manner.high, manner.letters) for row in best)
            x0 = min(row.x for row in best)
            taken.append((x0, best[0].y - manner.high / 2, x0 + long, best[-1].y + manner.high / 2))
            weights.append(5.0)
    shapes: list[Stroke | Fill] = []
    for number, line in enumerate(lines):
        pin = pins <= number < pins + len(pen.notes)
        high = manner.high * (0.8 if pin else 1.0)
        thin = min(manner.pen, manner.high * 0.16)
        shapes += lettered(
            line.text, line.x, line.y, high, manner.letters, seed + number, thin, upright=line.upright
        )
    return shapes


def _best(
    part: Placed, rows: list[str], pen: Pen, taken: NDArray[np.float64], weights: NDArray[np.float64]
) -> list[_Line]:
    """Choose the place that covers least, the usual ones first."""
    found: list[tuple[float, list[_Line]]] = []
    for order, lines in enumerate(_places(part, rows, pen)):
        long = [width_of(line.text, pen.manner.high, pen.manner.letters) for line in lines]
        half = pen.manner.high / 2
        cost = 0.35 * order
        for line, wide in zip(lines, long, strict=True):
            box = (line.x - 0.3, line.y - half - 0.2, line.x + wide + 0.3, line.y + half + 0.2)
            cost += float((weights * _overlaps(box, taken)).sum())
        found.append((cost, lines))
    return min(found, key=lambda pair: pair[0])[1]


def _overlaps(box: Box, others: NDArray[np.float64]) -> NDArray[np.float64]:
    """Return how far a box covers each of others, mm, the lesser of wide and high counting little."""
    wide = np.minimum(box[2], others[:, 2]) - np.maximum(box[0], others[:, 0])
    high = np.minimum(box[3], others[:, 3]) - np.maximum(box[1], others[:, 1])
    hit = (wide >= 0) & (high >= 0)
    return np.where(hit, np.maximum(wide, 0) + np.maximum(high, 0), 0.0)


def _places(part: Placed, rows: list[str], pen: Pen) -> Iterator[list[_Line]]:
    high = pen.manner.high
    x0, y0, x1, y1 = part.box
    middle = ((x0 + x1) / 2, (y0 + y1) / 2)
    long = [width_of(row, high, pen.manner.letters) for row in rows]
    widest, step = max(long), _LINE * high
    tall = step * (len(rows) - 1)

    def stack(x: float, top: float, towards: str) -> list[_Line]:
        part_of = {"l": 0.0, "m": 0.5, "r": 1.0}[towards]
        return [
            _Line(row, x + part_of * (widest - wide), top + step * number)
            for number, (row, wide) in enumerate(zip(rows, long, strict=True))
        ]

    sides = {
        "r": [stack(x1 + _GAP, middle[1] - tall / 2 + shift, "l") for shift in (0, -2.4, 2.4)],
        "l": [stack(x0 - _GAP - widest, middle[1] - tall / 2 + shift, "r") for shift in (0, -2.4, 2.4)],
        "u": [
            stack(middle[0] - widest / 2 + shift, y0 - _GAP - high / 2 - tall, "m") for shift in (0, -3, 3)
        ],
        "d": [stack(middle[0] - widest / 2 + shift, y1 + _GAP + high / 2, "m") for shift in (0, -3, 3)],
    }
    if part.side == "in":
        yield stack(middle[0] - widest / 2, middle[1] - tall / 2, "m")
        return
    level = x1 - x0 > y1 - y0
    order = ["u", "d", "r", "l"] if level else ["r", "l", "u", "d"]
    if part.side:
        order = [part.side, *(side for side in order if side != part.side)]
    for number in range(3):
        for side in order:
            yield sides[side][number]
    one = " ".join(rows)
    wide = width_of(one, high, pen.manner.letters)
    yield [_Line(one, middle[0] - wide / 2, y0 - _GAP - high / 2)]
    yield [_Line(one, middle[0] - wide / 2, y1 + _GAP + high / 2)]
    if len(rows) == 2 and level:
        top, low = stack(middle[0] - widest / 2, y0 - _GAP - high / 2, "m"), y1 + _GAP + high / 2
        yield [top[0], _Line(rows[1], middle[0] - long[1] / 2, low)]

"""A sheet drawn from a description in JSON: symbols at places, wires as routes, dots, lettering.

Places are in grid units of ``page.unit`` px. A route is words: ``SK1.tip`` goes to (or starts at) that
terminal, ``@22,V1.g1`` starts at a place, ``x=40`` and ``y=R1.2`` run level or upright to a coordinate or to
that of a terminal, and ``*`` sets a junction dot where the route stands.
"""

from __future__ import annotations

import json
from dataclasses import dataclass
from pathlib import Path
from typing import Any, TypeAlias

import numpy as np

from tracer.training import symbols
from tracer.training.canvas import Hand
from tracer.training.lettering import Lettering
from tracer.training.sheet import SheetDrawing, SheetStyle
from tracer.training.truth import DrawnPart, SheetTruth

__all__ = ["DescribedPart", "DescribedSheet", "draw_described"]

Terminals: TypeAlias = dict[str, tuple[float, float]]


@dataclass(frozen=True, slots=True)
class DescribedPart:
    """A drawn part with what its description adds: `names` maps the symbol's terminals to the part's own."""

    drawn: DrawnPart
    reference: str
    names: tuple[tuple[str, str], ...]


@dataclass(frozen=True, slots=True, eq=False)
class DescribedSheet:
    """The drawn sheet, its truth and its parts in the description's order."""

    truth: SheetTruth
    parts: tuple[DescribedPart, ...]


def draw_described(path: Path) -> DescribedSheet:
    """Draw the sheet that the JSON file at `path` describes.

    Raises
    ------
    ValueError
        A route does not reach the terminal it names, or runs slanting.
    """
    description: dict[str, Any] = json.loads(path.read_text(encoding="utf-8"))
    page, unit = description["page"], float(description["page"]["unit"])
    style = SheetStyle(
        stroke=page["stroke"],
        unit=page["symbol_unit"],
        text_height=page["text_height"],
        dot_radius=page["dot_radius"],
        crossing=page["crossing"],
        hand=Hand(**page.get("hand", {})),
        lettering=Lettering(**page.get("lettering", {})),
    )
    sheet = SheetDrawing(page["width"], page["height"], style, page["seed"])
    parts: list[DescribedPart] = []
    terminals: Terminals = {}
    for row in description["symbols"]:
        part = _place(sheet, row, terminals, unit, description["hands"])
        parts.append(part)
        terminals.update({f"{part.reference}.{name}": part.drawn.terminal(own) for own, name in part.names})
    for route in description["wires"]:
        _run(sheet, route, terminals, unit)
    for x, y, text, *rest in description["texts"]:
        sheet.text(x * unit, y * unit, text, height=rest[0] if rest else None)
    for x0, y0, x1, y1 in description["frames"]:
        sheet.frame(x0 * unit, y0 * unit, x1 * unit, y1 * unit)
    for points in description["dashed"]:
        sheet.furniture([(x * unit, y * unit) for x, y in points])
    truth = sheet.finish()
    moved = {part.number: part for part in truth.parts}
    return DescribedSheet(
        truth, tuple(DescribedPart(moved[p.drawn.number], p.reference, p.names) for p in parts)
    )


def _coordinate(word: str | float, axis: int, terminals: Terminals, unit: float) -> float:
    """A grid coordinate, or that of a terminal placed before, px."""
    return terminals[word][axis] if isinstance(word, str) and word in terminals else float(word) * unit


def _place(
    sheet: SheetDrawing, row: dict[str, Any], terminals: Terminals, unit: float, hands: dict[str, int]
) -> DescribedPart:
    """Place one symbol, always in the hand that the sheet gives it, so that alike parts look alike."""
    name = row["symbol"]
    hand = np.random.default_rng(hands.get(name, 1))
    made = symbols.build(name, hand, **row.get("options", {}))
    drawn = sheet.place_symbol(
        made,
        name,
        _coordinate(row["x"], 0, terminals, unit) + row.get("dx", 0) * unit,
        _coordinate(row["y"], 1, terminals, unit) + row.get("dy", 0) * unit,
        turn=row.get("turn", 0),
        mirror=row.get("mirror", False),
        scale=row.get("scale", 1.0),
        reference=row.get("shown", row["reference"]),
        value=row.get("value", ""),
        text=row.get("text", "right"),
    )
    given = row.get("names", {})
    names = tuple(
        (t.name, given.get(t.name, t.name)) for t in drawn.terminals if given.get(t.name, "") is not None
    )
    return DescribedPart(drawn, row["reference"], names)


def _run(sheet: SheetDrawing, route: str, terminals: Terminals, unit: float) -> None:
    points: list[tuple[float, float]] = []
    for word in route.split():
        if word == "*":
            sheet.dot(*points[-1])
        elif word.startswith("@"):
            x, y = word[1:].split(",")
            points.append((_coordinate(x, 0, terminals, unit), _coordinate(y, 1, terminals, unit)))
        elif word.startswith("x="):
            points.append((_coordinate(word[2:], 0, terminals, unit), points[-1][1]))
        elif word.startswith("y="):
            points.append((points[-1][0], _coordinate(word[2:], 1, terminals, unit)))
        else:
            points.append(_reach(terminals, word, points, route))
    kept = [points[0]]
    for point in points[1:]:
        if max(abs(point[0] - kept[-1][0]), abs(point[1] - kept[-1][1])) > 0.5:
            kept.append(point)
    sheet.wire(kept)


def _reach(
    terminals: Terminals, word: str, points: list[tuple[float, float]], route: str
) -> tuple[float, float]:
    if word not in terminals:
        raise ValueError(f"no terminal {word}, in the route {route!r}")
    x, y = terminals[word]
    if points and min(abs(points[-1][0] - x), abs(points[-1][1] - y)) > 0.5:
        raise ValueError(f"the route {route!r} reaches {word} slanting: from {points[-1]} to {(x, y)}")
    return x, y

"""Which wires of a walked-over sheet make one conductor, and where two conductors cross."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass

import numpy as np
from another_pen import Pen, Place

__all__ = ["Crossing", "cross_places", "grouped", "joined_at"]

_ON = 0.02  # mm; nearer than this lies on it


@dataclass(frozen=True, slots=True)
class Crossing:
    """Two wires that pass at a place, by their numbers; `over` is the more level one."""

    x: float
    y: float
    over: int
    under: int


def _off(place: Place, wire: tuple[Place, Place]) -> float:
    start, end = np.array(wire[0]), np.array(wire[1])
    way = end - start
    part = np.clip(np.dot(np.array(place) - start, way) / np.dot(way, way), 0, 1)
    return float(np.hypot(*(start + part * way - place)))


def grouped(pen: Pen) -> list[list[int]]:
    """Group the numbers of the wires into conductors: ends, dots and terminals on a wire join it."""
    group = list(range(len(pen.wires)))

    def root(item: int) -> int:
        while group[item] != item:
            item = group[item]
        return item

    for place in joined_at(pen):
        touching = [number for number, wire in enumerate(pen.wires) if _off(place, wire) < _ON]
        for other in touching[1:]:
            group[root(other)] = root(touching[0])
    found: dict[int, list[int]] = defaultdict(list)
    for number in range(len(pen.wires)):
        found[root(number)].append(number)
    return list(found.values())


def joined_at(pen: Pen) -> set[Place]:
    """Every place where wires are joined if they touch it."""
    ends = {end for wire in pen.wires for end in wire}
    terminals = {(x, y) for part in pen.parts for x, y, _, _ in part.terminals.values()}
    return ends | terminals | set(pen.dots)


def cross_places(pen: Pen) -> list[Crossing]:
    """Every place where two wires pass over each other and are not joined."""
    joins = np.array(sorted(joined_at(pen)) or [(1e9, 1e9)])
    found = []
    for one, (a, b) in enumerate(pen.wires):
        for other in range(one + 1, len(pen.wires)):
            c, d = pen.wires[other]
            first, second = np.subtract(b, a), np.subtract(d, c)
            cross = float(first[0] * second[1] - first[1] * second[0])
            if abs(cross) < 1e-9:
                continue
            apart = np.subtract(c, a)
            along = float(apart[0] * second[1] - apart[1] * second[0]) / cross
            across = float(apart[0] * first[1] - apart[1] * first[0]) / cross
            if not (-1e-9 <= along <= 1 + 1e-9 and -1e-9 <= across <= 1 + 1e-9):
                continue
            x, y = a[0] + along * first[0], a[1] + along * first[1]
            if np.hypot(*(joins - [x, y]).T).min() < _ON:
                continue
            level = abs(first[1]) * np.hypot(*second) <= abs(second[1]) * np.hypot(*first)
            found.append(Crossing(float(x), float(y), *((one, other) if level else (other, one))))
    return found

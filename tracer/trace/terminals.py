"""Names for the terminals of a proposed part, from where its conductors come in."""

from __future__ import annotations

import json
from collections.abc import Sequence
from functools import cache

import numpy as np
from numpy.typing import NDArray

from tracer.resources import shared

__all__ = ["name_terminals", "terminal_names"]

Place = tuple[float, float]


@cache
def terminal_names(kind: str) -> tuple[str, ...] | None:
    """Return the fixed terminal names of a kind, or None if its terminals are counted (valves, blocks).

    Examples
    --------
    >>> terminal_names("diode"), terminal_names("valve")
    (('a', 'k'), None)
    """
    listed = json.loads(shared("kinds.json").read_text(encoding="utf-8"))["kinds"]
    for entry in listed:
        if entry["kind"] == kind and isinstance(entry["terminals"], list):
            return tuple(entry["terminals"])
    return None


@cache
def _optional_names(kind: str) -> tuple[str, ...]:
    """Return the terminals that a part of this kind may be without."""
    listed = json.loads(shared("kinds.json").read_text(encoding="utf-8"))["kinds"]
    return next((tuple(entry.get("optional_terminals", ())) for entry in listed if entry["kind"] == kind), ())


def name_terminals(
    kind: str, box: Sequence[float], places: Sequence[Place]
) -> list[tuple[str, int | None, Place]]:
    """Name the places where conductors enter a body.

    Two-terminal kinds take the two places that lie furthest apart, left or top first: which end is the
    cathode or the plus cannot be known from place alone, a person confirms it. A pot's wiper is the place
    off the line of the other two. Kinds without fixed names are counted clockwise from the top left corner.

    Returns
    -------
    list of (name, index into `places` or None, place)
        None for a terminal that no conductor was found for; its place is then a guess on the body's edge.

    Examples
    --------
    >>> name_terminals("resistor", (10, 0, 30, 8), [(31, 4), (9, 4)])
    [('1', 1, (9, 4)), ('2', 0, (31, 4))]
    """
    names = terminal_names(kind)
    if names is None:
        order = _clockwise(box, places)
        return [(str(number), index, places[index]) for number, index in enumerate(order, start=1)]
    if len(names) == 1:
        return [(names[0], 0, places[0])] if places else [(names[0], None, _top(box))]
    if len(names) == 2:
        return _two(names, box, places)
    if kind == "pot" and len(places) >= 3:
        return _pot(names, box, places)
    order = _clockwise(box, places)[: len(names)]
    named: list[tuple[str, int | None, Place]] = [
        (name, index, places[index]) for name, index in zip(names, order, strict=False)
    ]
    missing = [name for name in names[len(named) :] if len(named) < 2 or name not in _optional_names(kind)]
    return named + [(name, None, _middle(box)) for name in missing]


def _two(
    names: Sequence[str], box: Sequence[float], places: Sequence[Place]
) -> list[tuple[str, int | None, Place]]:
    """Name the ends of a two-terminal part."""
    if len(places) >= 2:
        first, second = _furthest(places)
        first, second = sorted((first, second), key=lambda index: _left_or_top(places[index], box))
        return [(names[0], first, places[first]), (names[1], second, places[second])]
    ends = [_middle_of_side(box, side) for side in _long_axis(box)]
    if not places:
        return [(name, None, end) for name, end in zip(names, ends, strict=True)]
    near = min((0, 1), key=lambda side: np.hypot(places[0][0] - ends[side][0], places[0][1] - ends[side][1]))
    found: list[tuple[str, int | None, Place]] = [
        (name, None, end) for name, end in zip(names, ends, strict=True)
    ]
    found[near] = (names[near], 0, places[0])
    return found


def _pot(
    names: Sequence[str], box: Sequence[float], places: Sequence[Place]
) -> list[tuple[str, int | None, Place]]:
    """Name a pot's track ends, which lie furthest apart, and its wiper, the place furthest off their line."""
    first, second = _furthest(places)
    first, second = sorted((first, second), key=lambda index: _left_or_top(places[index], box))
    a, b = np.array(places[first]), np.array(places[second])
    others = [index for index in range(len(places)) if index not in (first, second)]
    wiper = max(others, key=lambda index: abs(float(_cross(b - a, np.array(places[index]) - a))))
    return [
        (names[0], first, places[first]),
        (names[1], wiper, places[wiper]),
        (names[2], second, places[second]),
    ]


def _furthest(places: Sequence[Place]) -> tuple[int, int]:
    """Return the indices of the two places furthest apart."""
    points = np.array(places)
    distance = np.hypot(*(points[:, None] - points[None]).transpose(2, 0, 1))
    first, second = np.unravel_index(int(distance.argmax()), distance.shape)
    return int(first), int(second)


def _clockwise(box: Sequence[float], places: Sequence[Place]) -> list[int]:
    """Order places clockwise round a box, starting at its top left corner."""
    x, y = (box[0] + box[2]) / 2, (box[1] + box[3]) / 2
    wide, high = max(box[2] - box[0], 1), max(box[3] - box[1], 1)
    # With y down, the angle grows clockwise; the corner at the top left is -135 degrees.
    angles = [np.degrees(np.arctan2((py - y) / high, (px - x) / wide)) for px, py in places]
    return sorted(range(len(places)), key=lambda index: (angles[index] + 135.0) % 360.0)


def _left_or_top(place: Place, box: Sequence[float]) -> float:
    """Rank places along the body's long way, left or top first."""
    return place[0] + place[1] * 1.001 if _is_square(box) else (place[0] if _is_wide(box) else place[1])


def _is_wide(box: Sequence[float]) -> bool:
    return box[2] - box[0] >= box[3] - box[1]


def _is_square(box: Sequence[float]) -> bool:
    wide, high = box[2] - box[0], box[3] - box[1]
    return bool(0.8 < wide / max(high, 1) < 1.25)


def _long_axis(box: Sequence[float]) -> tuple[str, str]:
    return ("left", "right") if _is_wide(box) else ("top", "bottom")


def _middle_of_side(box: Sequence[float], side: str) -> Place:
    x, y = _middle(box)
    return {"left": (box[0], y), "right": (box[2] - 1, y), "top": (x, box[1]), "bottom": (x, box[3] - 1)}[
        side
    ]


def _top(box: Sequence[float]) -> Place:
    return _middle_of_side(box, "top")


def _middle(box: Sequence[float]) -> Place:
    return (box[0] + box[2] - 1) / 2, (box[1] + box[3] - 1) / 2


def _cross(first: NDArray[np.float64], second: NDArray[np.float64]) -> float:
    return float(first[0] * second[1] - first[1] * second[0])

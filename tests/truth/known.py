"""Sheets whose every conductor is known, turned into what the tracing takes and is scored on."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from types import MappingProxyType

import numpy as np

from tracer.reader.layers import Layers
from tracer.training.truth import SheetTruth

__all__ = ["points_of", "true_layers"]

Box = tuple[float, float, float, float]

_UNKNOWN = 255
_OFF = 2.0  # stroke widths


def true_layers(truth: SheetTruth) -> Layers:
    """The layers that a reader without any fault would give for a drawn sheet."""
    classes = np.where(truth.classes == _UNKNOWN, 0, truth.classes).astype(np.uint8)
    sure = np.full_like(classes, 255)
    kinds = np.where(truth.kinds == _UNKNOWN, 0, truth.kinds).astype(np.uint8)
    to_page = np.array([[1.0, 0.0, 0.0], [0.0, 1.0, 0.0]])
    return Layers(
        classes, sure, kinds, np.full_like(kinds, 255), truth.kind_names, to_page, truth.stroke, "truth"
    )


def points_of(
    truth: SheetTruth, *, along: bool = False, read_as: Mapping[int, Box] = MappingProxyType({})
) -> dict[int, Sequence[tuple[float, float]]]:
    """Points on each conductor, page px, if it reaches any part.

    They are its terminals; with `along`, places on its leads two strokes away from the bodies, and spots on
    its wires, whatever it reaches. `read_as` are the boxes that were found for the parts, by number: a place
    within the box of a part that the conductor reaches is not asked about, as a body that is read a little
    too large is no fault of the flood.
    """
    if not along:
        return {c.number: [(end.x, end.y) for end in c.ends] for c in truth.conductors if c.ends}
    ways = {(part.number, each.name): (each.dx, each.dy) for part in truth.parts for each in part.terminals}
    off = _OFF * truth.stroke
    found: dict[int, Sequence[tuple[float, float]]] = {}
    for conductor in truth.conductors:
        own = [read_as[end.part] for end in conductor.ends if end.part in read_as]
        spots = [(float(x), float(y)) for x, y in conductor.points]
        spots = [spot for spot in spots if not any(_within(box, spot) for box in own)]
        leads, outside = [], []
        for end in conductor.ends:
            dx, dy = ways[end.part, end.terminal]
            leads.append((end.x + off * dx, end.y + off * dy))
            if end.part not in read_as or not _within(read_as[end.part], leads[-1]):
                outside.append(leads[-1])
        if leads or spots:
            found[conductor.number] = (outside + spots) or leads
    return found


def _within(box: Box, place: tuple[float, float]) -> bool:
    return box[0] <= place[0] <= box[2] and box[1] <= place[1] <= box[3]

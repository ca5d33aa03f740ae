"""Sheets whose every conductor is known, turned into what the tracing takes and is scored on."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from tracer.reader.layers import Layers
from tracer.training.truth import SheetTruth

__all__ = ["points_of", "true_layers"]

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


def points_of(truth: SheetTruth, *, along: bool = False) -> dict[int, Sequence[tuple[float, float]]]:
    """Points on each conductor, page px, if it reaches any part.

    They are its terminals; with `along`, places on its leads two strokes away from the bodies, and spots on
    its wires, whatever it reaches: a body that is read a little too large is no fault of the flood.
    """
    if not along:
        return {c.number: [(end.x, end.y) for end in c.ends] for c in truth.conductors if c.ends}
    ways = {(part.number, each.name): (each.dx, each.dy) for part in truth.parts for each in part.terminals}
    off = _OFF * truth.stroke
    return {
        conductor.number: [
            *(
                (end.x + off * ways[end.part, end.terminal][0], end.y + off * ways[end.part, end.terminal][1])
                for end in conductor.ends
            ),
            *((float(x), float(y)) for x, y in conductor.points),
        ]
        for conductor in truth.conductors
        if conductor.ends or len(conductor.points)
    }

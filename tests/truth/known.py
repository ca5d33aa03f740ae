"""Sheets whose every conductor is known, turned into what the tracing takes and is scored on."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from tracer.reader.layers import Layers
from tracer.training.truth import SheetTruth

__all__ = ["points_of", "true_layers"]

_UNKNOWN = 255


def true_layers(truth: SheetTruth) -> Layers:
    """The layers that a reader without any fault would give for a drawn sheet."""
    classes = np.where(truth.classes == _UNKNOWN, 0, truth.classes).astype(np.uint8)
    sure = np.full_like(classes, 255)
    kinds = np.where(truth.kinds == _UNKNOWN, 0, truth.kinds).astype(np.uint8)
    to_page = np.array([[1.0, 0.0, 0.0], [0.0, 1.0, 0.0]])
    return Layers(
        classes, sure, kinds, np.full_like(kinds, 255), truth.kind_names, to_page, truth.stroke, "truth"
    )


def points_of(truth: SheetTruth) -> dict[int, Sequence[tuple[float, float]]]:
    """The part terminals of each conductor that reaches any, page px."""
    return {
        conductor.number: [(end.x, end.y) for end in conductor.ends]
        for conductor in truth.conductors
        if conductor.ends
    }

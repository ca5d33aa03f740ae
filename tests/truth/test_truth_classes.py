"""The tracing alone: a reader without any fault, sheets whose conductors are known by construction.

What is left are places where even the true class map shows no ink between two terminals, or where two
conductors of a random sheet touch.
"""

from __future__ import annotations

from known import points_of, true_layers
from scoring import describe, score_points, total

from tracer.trace.trace import trace
from tracer.training.layout import draw_sheet

SEEDS = range(8100, 8106)


def test_true_class_maps_flood_clean() -> None:
    scores = []
    for seed in SEEDS:
        truth = draw_sheet(seed)
        scores.append(score_points(trace(true_layers(truth), truth.image.shape), points_of(truth)))
    print("\n" + describe("true class maps", scores))
    conductors, clean, split, *_ = total(scores)
    assert conductors > 200
    assert clean / conductors >= 0.92
    assert split / conductors <= 0.02

"""Page in, conductors out: with the installed reader, on sheets known by construction.

``pytest tests/truth -s`` prints how many conductors a flood lights up exactly, level by level, and on sheets
that schemdraw drew. The thresholds are floors against a fall, not goals.
"""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from independent import SHEETS, Independent
from known import points_of
from numpy.typing import NDArray
from scoring import Score, describe, score_points, total

from tracer.errors import TracerError
from tracer.reader.read import read
from tracer.reader.weights import Weights, load_weights
from tracer.scan.page import Page
from tracer.trace.sheet import TracedSheet
from tracer.trace.trace import trace
from tracer.training.layout import draw_sheet
from tracer.training.spoil import spoil

FLOORS = {0: 0.84, 1: 0.82, 2: 0.78, 3: 0.4}
SEEDS = range(8200, 8205)


@pytest.fixture(scope="module")
def weights() -> Weights:
    try:
        return load_weights()
    except TracerError as error:
        pytest.skip(f"no reader installed: {error}")


def follow(image: NDArray[np.uint8], weights: Weights) -> TracedSheet:
    """Read and trace a picture."""
    page = Page(image, Path("drawn.png"), 1, None, "drawn")
    return trace(read(page, weights=weights), image.shape[:2])  # type: ignore[arg-type]


@pytest.mark.parametrize("level", sorted(FLOORS))
def test_drawn_and_spoilt_sheets_flood_clean(level: int, weights: Weights) -> None:
    scores: list[Score] = []
    for seed in SEEDS:
        truth = spoil(draw_sheet(seed), level, seed)
        scores.append(score_points(follow(truth.image, weights), points_of(truth)))
    print("\n" + describe(f"drawn, level {level}", scores))
    conductors, clean, *_ = total(scores)
    assert clean / conductors >= FLOORS[level]


def test_sheets_of_an_independent_drawer_flood_clean(weights: Weights) -> None:
    scores: list[Score] = []
    for name, draw in SHEETS.items():
        for dpi in (150, 300):
            drawing = Independent()
            draw(drawing)
            sheet = drawing.finish(dpi)
            scores.append(score_points(follow(sheet.image, weights), sheet.points))
            print("\n" + describe(f"{name}, {dpi} dpi", scores[-1:]), end="")
    print("\n" + describe("independent drawer", scores))
    conductors, clean, *_ = total(scores)
    assert clean / conductors >= 0.75

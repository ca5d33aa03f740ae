"""The held-out sheets say only what an eye would read from them."""

from __future__ import annotations

import pytest
from clearance import complaints
from held_out import LAYOUTS, draw_held_out
from held_out_pen import MANNERS

from tracer.training.truth import SheetTruth


@pytest.mark.parametrize("manner", range(len(MANNERS)))
@pytest.mark.parametrize("name", LAYOUTS)
def test_nothing_on_a_held_out_sheet_comes_too_close(name: str, manner: int) -> None:
    pen = draw_held_out(name, manner)
    truth: SheetTruth = pen.finish()
    assert len(truth.conductors) >= 6
    assert list(complaints(pen, truth)) == []

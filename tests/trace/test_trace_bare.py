"""Bodies that the reader saw where the page is bare: the wire runs on; real parts stay."""

from __future__ import annotations

from dataclasses import replace

import cv2
import numpy as np
import pytest
from drawn_map import Drawn

from tracer.reader.layers import Pixel
from tracer.trace.trace import trace


@pytest.mark.parametrize(("ink_known", "conductors", "parts"), [(True, 1, 0), (False, 2, 1)])
def test_a_wire_runs_on_beneath_a_body_that_stands_on_bare_paper(
    ink_known: bool, conductors: int, parts: int
) -> None:
    drawn = Drawn(80, 160)
    drawn.wire((10, 40), (150, 40))
    ink = drawn.classes == Pixel.WIRE
    drawn.box(70, 30, 100, 60, "block")
    layers = replace(drawn.layers(), sureness=np.full(drawn.classes.shape, 160, np.uint8))
    sheet = trace(replace(layers, ink=ink if ink_known else None), drawn.shape)
    assert (sheet.conductors, len(sheet.proposals)) == (conductors, parts)


@pytest.mark.parametrize("shape", ["plates", "box", "blade"])
def test_a_part_that_is_drawn_stays_one(shape: str) -> None:
    drawn = Drawn(80, 160)
    drawn.wire((10, 40), (70, 40))
    drawn.wire((100, 40), (150, 40))
    ink = (drawn.classes == Pixel.WIRE).view(np.uint8)
    if shape == "plates":
        ink[30:51, 70:73] = ink[30:51, 97:100] = 1
    elif shape == "box":
        cv2.rectangle(ink, (71, 31), (98, 50), 1, 3)
    else:
        cv2.line(ink, (70, 40), (95, 32), 1, 3)
    drawn.box(70, 29, 100, 52, "capacitor")
    layers = replace(drawn.layers(), sureness=np.full(drawn.classes.shape, 160, np.uint8))
    sheet = trace(replace(layers, ink=ink.view(bool)), drawn.shape)
    assert (sheet.conductors, len(sheet.proposals)) == (2, 1)

"""Class maps with the faults that a reader makes: what the tracing forgives, and what it must not."""

from __future__ import annotations

import cv2
import pytest
from drawn_map import Drawn

from tracer.reader.layers import Pixel
from tracer.trace.flood import FloodIndex
from tracer.trace.sheet import TracedSheet
from tracer.trace.trace import trace


def traced(drawn: Drawn) -> TracedSheet:
    return trace(drawn.layers(), drawn.shape)


def at(sheet: TracedSheet, drawn: Drawn, x: float, y: float) -> int | None:
    """The conductor at a grid place."""
    offset = (drawn.scale - 1) / 2
    return FloodIndex(sheet).conductor_at(x * drawn.scale + offset, y * drawn.scale + offset)


def test_the_stem_between_a_dot_and_the_first_of_stacked_hops_is_kept() -> None:
    drawn = Drawn(140, 160, stroke=2)
    drawn.area(79, 60, 82, 130, Pixel.WIRE)
    for top in (54, 70, 85):
        drawn.area(10, top, 150, top + 3, Pixel.WIRE)
    dot = [(78, 82), (77, 84), (76, 85), (76, 84), (76, 84), (76, 85), (77, 84), (78, 83)]
    for row, (first, last) in enumerate(dot, start=52):
        drawn.area(first, row, last, row + 1, Pixel.DOT)
    drawn.disc(80, 72, 7)
    drawn.disc(80, 87, 7)
    sheet = traced(drawn)
    assert sheet.conductors == 3
    assert at(sheet, drawn, 80, 110) == at(sheet, drawn, 20, 55)


def test_a_slanting_wire_read_as_furniture_up_to_its_dot_still_reaches_it() -> None:
    drawn = Drawn(120, 160)
    cv2.line(drawn.classes, (60, 80), (120, 20), int(Pixel.FURNITURE), 3)
    drawn.wire((20, 120), (62, 78))
    drawn.wire((80, 20), (150, 20))
    drawn.dot(120, 20, 5)
    assert traced(drawn).conductors == 1


def test_furniture_that_starts_at_a_wire_s_side_makes_no_join() -> None:
    drawn = Drawn(120, 160)
    drawn.area(30, 58, 130, 61, Pixel.FURNITURE)  # a screen's edge between two wires
    drawn.wire((30, 10), (30, 110))
    drawn.wire((130, 10), (130, 110))
    drawn.dot(130, 60, 5)
    assert traced(drawn).conductors == 2


@pytest.mark.parametrize(("read_as", "conductors"), [(Pixel.FURNITURE, 1), (Pixel.BACKGROUND, 2)])
def test_a_long_lead_that_is_but_a_stub_at_its_body_is_followed_where_ink_shows(
    read_as: Pixel, conductors: int
) -> None:
    drawn = Drawn(60, 200)
    drawn.wire((10, 30), (190, 30))
    drawn.box(150, 20, 162, 40, "capacitor")
    drawn.paper(162, 0, 200, 60)
    drawn.paper(70, 0, 144, 60)
    drawn.area(70, 29, 144, 32, read_as)
    assert traced(drawn).conductors == conductors


@pytest.mark.parametrize(("pitch", "conductors"), [(14, 4), (26, 5)])
def test_a_thin_wire_worn_away_between_the_wires_that_it_passes_is_one(pitch: int, conductors: int) -> None:
    drawn = Drawn(160, 160)
    for row in range(3):
        drawn.wire((10, 60 + row * pitch), (150, 60 + row * pitch))
    drawn.wire((80, 10), (80, 46))
    drawn.wire((80, 74 + 2 * pitch), (80, 150))
    assert traced(drawn).conductors == conductors


def test_a_wire_that_shows_on_one_side_of_a_small_disc_passes_where_an_end_faces_it() -> None:
    drawn = Drawn(140, 160)
    drawn.wire((10, 60), (150, 60))
    drawn.wire((80, 10), (80, 58))
    drawn.disc(80, 60, 3)
    drawn.wire((80, 74), (80, 130))
    sheet = traced(drawn)
    assert sheet.conductors == 2
    assert at(sheet, drawn, 80, 20) == at(sheet, drawn, 80, 110)


def test_a_wire_with_the_rim_of_a_body_on_it_runs_on() -> None:
    drawn = Drawn(120, 160)
    drawn.wire((20, 60), (140, 60))
    drawn.box(40, 20, 70, 50, "block")
    drawn.box(52, 50, 56, 64, "block")  # it hangs down over the wire
    sheet = traced(drawn)
    assert sheet.conductors == 1
    assert at(sheet, drawn, 30, 60) == at(sheet, drawn, 120, 60)


def test_a_thin_part_that_the_reader_is_sure_of_is_no_rim() -> None:
    drawn = Drawn(120, 160)
    drawn.wire((20, 60), (60, 60))
    drawn.wire((80, 60), (140, 60))
    drawn.box(60, 58, 80, 63, "resistor")
    assert traced(drawn).conductors == 2

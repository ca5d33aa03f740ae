"""What pages add to their circuits: worn lines, square dots, eyes, edge bars, marks beside wires, gangs."""

import cv2
import numpy as np
import pytest

from tracer.training.canvas import Canvas, Hand
from tracer.training.classes import BACKGROUND, DOT, FURNITURE, LETTERING, WIRE
from tracer.training.layout import draw_sheet
from tracer.training.layout.stages_clash import Ground
from tracer.training.layout.stages_grid import blob_rows, dot_grid
from tracer.training.layout.stages_hifi import ladder_filter, two_channels
from tracer.training.layout.stages_letter import ink
from tracer.training.layout.stages_manner import random_manner
from tracer.training.layout.stages_marks import add_marks
from tracer.training.layout.stages_meet import Blocked
from tracer.training.layout.stages_pen import Pen
from tracer.training.layout.stages_row import Row
from tracer.training.layout.stages_slants import line_eyes, slant_wires
from tracer.training.sheet import SheetDrawing, SheetStyle
from tracer.training.truth import SheetTruth


def pen_on(size: int = 700, seed: int = 2) -> Pen:
    drawing = SheetDrawing(size, size, SheetStyle(stroke=3.0, unit=7.0), seed=seed)
    rng = np.random.default_rng(seed)
    return Pen(drawing, random_manner(rng, freehand=False), rng)


def test_what_the_print_lost_is_still_wire_in_the_truth() -> None:
    canvas = Canvas(200, 60, lambda points: points, Hand(), np.random.default_rng(1))
    canvas.stroke(np.array([(10.0, 30.0), (190.0, 30.0)]), 3.0, WIRE, worn=[(0.4, 0.5, 0.0), (0.5, 0.6, 0.4)])
    image, classes, _ = canvas.finish()
    assert (classes[30, 12:188] == WIRE).all()
    assert image[30, 20:78].max() < 60
    assert image[30, 86:96].min() > 200  # lost
    assert (image[26:35, 105] < 128).sum() < (image[26:35, 60] < 128).sum()  # thin


@pytest.mark.parametrize("freedom", [0.0, 1.0])
def test_worn_wires_keep_their_truth(freedom: float) -> None:
    def drawn(worn: float) -> SheetTruth:
        hand = Hand(wobble=freedom)
        sheet = SheetDrawing(600, 200, SheetStyle(worn=worn, freedom=freedom, hand=hand), seed=4)
        for y in (40, 80, 120, 160):
            sheet.wire([(20, y), (580, y)])
        sheet.wire([(300, 20), (300, 120)])
        return sheet.finish()

    whole, worn = drawn(0.0), drawn(1.0)
    assert (worn.image < 128).sum() < 0.97 * (whole.image < 128).sum()
    assert len(worn.conductors) == len(whole.conductors) == 4
    pieces, _ = cv2.connectedComponents((worn.classes == WIRE).astype(np.uint8), connectivity=8)
    clean, _ = cv2.connectedComponents((whole.classes == WIRE).astype(np.uint8), connectivity=8)
    assert pieces == clean


def test_a_square_dot_has_corners() -> None:
    sheet = SheetDrawing(200, 200, SheetStyle(dot_radius=3.0, dot_manner="square"), seed=3)
    sheet.wire([(20, 100), (180, 100)])
    sheet.wire([(100, 20), (100, 100)])
    sheet.dot(100, 100)
    truth = sheet.finish()
    assert (truth.classes[93:108, 93:108] == DOT).all()
    assert (truth.image[93:108, 93:108] < 60).all()
    assert len(truth.conductors) == 1


def test_an_eye_in_line_with_a_wire_cuts_nothing() -> None:
    pen = pen_on()
    pen.wire((60.0, 100.0), (600.0, 100.0))
    line_eyes(pen, 1.0)
    ((x, y, radius, _),) = pen.plan.eyes
    assert (y, 1.5 < radius < 2.7) == (100.0, True)
    ink(pen)
    truth = pen.drawing.finish()
    assert truth.classes[100, round(x)] == DOT
    (only,) = truth.conductors
    assert only.track[:, 0].min() < 61
    assert only.track[:, 0].max() > 599


def test_nothing_lies_between_the_blobs_of_a_column() -> None:
    pen = pen_on()
    blob_rows(pen, 60.0)
    assert len(pen.plan.eyes) > 2
    levels = sorted({y for _, y, *_ in pen.plan.eyes})
    ink(pen)
    truth = pen.drawing.finish()
    numbers = {
        each.number for each in truth.conductors for y in levels if np.isclose(each.track[:, 1], y).any()
    }
    assert len(numbers) >= len(levels)


def test_a_dot_grid_joins_only_where_it_is_dotted() -> None:
    pen = pen_on(seed=5)
    dot_grid(pen, 40.0)
    ink(pen)
    truth = pen.drawing.finish()
    assert len(truth.crossings) > 10
    joined = {(round(x), round(y)) for x, y, _ in truth.joins}
    assert not joined & {(round(mark.x), round(mark.y)) for mark in truth.crossings}


def test_slants_join_what_they_touch_and_spare_the_terminals() -> None:
    pen = pen_on()
    pen.link((60.0, 100.0), (600.0, 100.0), "R", "C")
    pen.wire((60.0, 100.0), (60.0, 500.0), (600.0, 500.0))
    before = len(pen.plan.wires)
    slant_wires(pen, 6)
    new = pen.plan.wires[before:]
    assert new
    held = {put.at(lead.name) for put in pen.plan.puts[:2] for lead in put.leads}
    assert not held & {points[0] for points, _ in new}
    assert all(min(abs(p[0][0] - p[-1][0]), abs(p[0][1] - p[-1][1])) > 2 for p, _ in new[:1])


def test_marks_are_furniture_and_lettering_alone() -> None:
    for seed in range(6):
        pen = pen_on(seed=seed)
        pen.wire((60.0, 200.0), (640.0, 200.0))
        pen.wire((60.0, 400.0), (640.0, 400.0))
        add_marks(pen)
        bare = pen.drawing.finish()
        assert set(np.unique(bare.classes)) <= {BACKGROUND, FURNITURE, LETTERING}
        assert not bare.conductors


def test_two_channels_are_drawn_alike_and_ganged() -> None:
    pen = pen_on(1400, seed=3)
    two_channels(pen, 60.0)
    kinds = [put.made.kind for put in pen.plan.puts]
    middle = np.median([put.y for put in pen.plan.puts])
    upper = [kind for kind, put in zip(kinds, pen.plan.puts, strict=True) if put.y < middle]
    assert upper.count("transistor") > 0
    assert kinds.count("transistor") >= 2 * upper.count("transistor") - 1
    upright = [p for p in pen.plan.dashed if max(y for _, y in p) - min(y for _, y in p) > 20 * pen.u]
    assert upright  # from one channel's control to the other's


def test_a_ladder_has_a_capacitor_on_every_rung() -> None:
    pen = pen_on()
    row = Row(60, 150, 400, 500, 620, 40, 660, 40, [])
    ladder_filter(pen, row, 60.0, None)
    kinds = [put.made.kind for put in pen.plan.puts]
    assert kinds.count("transistor") == 2 * kinds.count("capacitor") > 2


def test_crossings_keep_apart_and_signs_off_passing_wires() -> None:
    ground = Ground(400, 400, 10, 3.0)
    ground.add_wire(np.array([(50.0, 200.0), (350.0, 200.0)]), (None, None))
    ground.add_wire(np.array([(200.0, 50.0), (200.0, 350.0)]), (None, None))
    with pytest.raises(Blocked):
        ground.add_wire(np.array([(100.0, 97.0), (305.0, 302.0)]), (None, None))
    assert ground.across((120.0, 200.0), (0.0, 1.0))  # passes
    assert ground.across((50.0, 200.0), (0.0, 1.0))  # ends, but comes from the side
    assert not ground.across((200.0, 350.0), (0.0, 1.0))
    assert not ground.across((20.0, 20.0), (0.0, 1.0))


def test_bars_along_the_edge_mean_nothing() -> None:
    found = 0
    for seed in range(300, 330):
        sheet = draw_sheet(seed, 320, 320, stroke=3.0)
        rims = [sheet.image[:3], sheet.image[-3:], sheet.image[:, :3], sheet.image[:, -3:]]
        meant = [sheet.classes[:3], sheet.classes[-3:], sheet.classes[:, :3], sheet.classes[:, -3:]]
        for rim, classes in zip(rims, meant, strict=True):
            found += bool(((rim < 60) & (classes == BACKGROUND)).mean() > 0.4)
    assert 0 < found < 30

"""Parts at a slope lie along their sides, their leads reach the corners, the truth traces as drawn."""

import numpy as np
import pytest

from tests.truth.known import true_layers
from tests.truth.scoring import score_points, total
from tracer.trace.trace import trace
from tracer.training.layout.board import Board, Habits
from tracer.training.layout.diamonds import Side, place_diamond, place_sides, slopes
from tracer.training.layout.ends import settle_ends
from tracer.training.sheet import SheetDrawing, SheetStyle


def board(seed: int, size: int = 900) -> Board:
    habits = Habits(
        dots=1.0, resistor="resistor.box", capacitor="capacitor.plates", coil="coil.plain",
        chassis="chassis.bars", contact="contact.blade", diode="diode.triangle", clearance=3.0, pen=1.0,
        faint=0.0,
    )  # fmt: skip
    drawing = SheetDrawing(size, size, SheetStyle(stroke=3.0, unit=9.0, text_height=14.0), seed)
    return Board(drawing, habits, np.random.default_rng(seed))


@pytest.mark.parametrize("angle", [0, 30, 45, 60, 90, 135, 225])
def test_a_part_lies_along_its_side(angle: float) -> None:
    sheet = board(1)
    way = np.array([np.cos(np.deg2rad(angle)), np.sin(np.deg2rad(angle))])
    corners = [tuple(np.array([450.0, 450.0]) + side * 90 * way) for side in (-1, 1)]
    (part,) = place_sides(sheet, corners, [Side(0, 1, "diode.triangle")])
    for terminal in part.terminals:
        away = np.array([terminal.x, terminal.y]) - 450.0
        assert abs(away @ np.array([-way[1], way[0]])) < 1e-6
    anode, cathode = (np.array(part.terminal(name)) for name in ("a", "k"))
    assert (cathode - anode) @ way > 0
    (one, other) = sheet.drawing.finish().conductors
    assert {one.ends[0].terminal, other.ends[0].terminal} == {"a", "k"}


def test_a_part_too_long_for_its_side_is_bare_wire() -> None:
    sheet = board(1)
    assert place_sides(sheet, [(300, 300), (330, 330)], [Side(0, 1, "resistor.box")]) == []
    assert len(sheet.drawing.finish().conductors) == 1


def test_a_diamond_has_a_conductor_for_each_corner() -> None:
    sheet = board(6)
    while len(list(sheet.drawing.parts())) < 4:
        place_diamond(sheet)
    truth = sheet.drawing.finish()
    arms = [part for part in truth.parts if abs(abs(part.terminals[0].dx) - 0.7) < 0.35]
    assert len(arms) >= 4
    reached = [{end.part for end in conductor.ends} for conductor in truth.conductors]
    assert sum(len(parts) >= 2 for parts in reached) >= 3


def test_the_true_class_map_traces_as_drawn() -> None:
    scores = []
    for seed in range(20, 26):
        sheet = board(seed)
        for _ in range(25):
            slopes(sheet)
        settle_ends(sheet)
        settle_ends(sheet, last=True)
        truth = sheet.drawing.finish()
        points = {each.number: [(float(x), float(y)) for x, y in each.points] for each in truth.conductors}
        scores.append(score_points(trace(true_layers(truth), truth.image.shape), points))
    conductors, clean, split, merged, _ = total(scores)
    assert conductors > 100
    assert merged == 0
    assert split <= 2
    assert clean >= 0.9 * conductors  # leads of four strokes between a corner and a body are hard to find

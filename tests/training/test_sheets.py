"""Drawn sheets: the truth agrees with the picture, moves with it, and is the same for the same seed."""

import subprocess
import sys
from collections import defaultdict
from dataclasses import replace

import cv2
import numpy as np
import pytest

from tracer.training.canvas import Hand
from tracer.training.classes import BODY, CROSSING, DOT, KIND_CELL, KIND_NAMES, LETTERING, WIRE
from tracer.training.layout import draw_sheet
from tracer.training.layout.ways import Contact, Ways
from tracer.training.legible import legible
from tracer.training.moving import Skew
from tracer.training.sheet import SheetDrawing, SheetStyle
from tracer.training.spoil import LEVELS, spoil
from tracer.training.truth import SheetTruth


@pytest.fixture(scope="module")
def sheets() -> list[SheetTruth]:
    return [draw_sheet(seed, 640, 640, stroke=3.0, flat=seed % 2 == 0) for seed in range(200, 208)]


def grid_of_parts() -> SheetDrawing:
    """Two resistors in a row with a third wire that joins one gap and passes the other."""
    sheet = SheetDrawing(400, 300, SheetStyle(stroke=3.0, unit=8.0), seed=2)
    left = sheet.place("resistor.box", 100, 100, reference="R1", text="above")
    right = sheet.place("resistor.zigzag", 280, 100, reference="R2", text="above")
    sheet.wire([left.terminal("2"), right.terminal("1")])
    sheet.wire([(190, 100), (190, 200), (340, 200)])
    sheet.dot(190, 100)
    sheet.wire([(250, 150), (250, 250)])
    return sheet


def test_a_dot_joins_and_a_crossing_does_not() -> None:
    truth = grid_of_parts().finish()
    assert [sorted((end.part, end.terminal) for end in each.ends) for each in truth.conductors] == [
        [(1, "2"), (2, "1")],
        [],
    ] or [sorted((end.part, end.terminal) for end in each.ends) for each in truth.conductors] == [
        [],
        [(1, "2"), (2, "1")],
    ]
    (crossing,) = truth.crossings
    assert (crossing.x, crossing.y) == pytest.approx((250, 200))
    assert (190, 100, True) in truth.joins
    assert truth.classes[100, 190] == DOT
    assert truth.classes[200, 250] == CROSSING
    assert truth.classes[100, 220] == WIRE
    assert truth.classes[100, 100] == BODY
    assert KIND_NAMES[truth.kinds[100 // KIND_CELL, 100 // KIND_CELL]] == "resistor"
    assert (truth.classes[60:90, 80:120] == LETTERING).any()


@pytest.mark.parametrize("style", ["plain", "hop", "gap"])
def test_crossing_disc_keeps_the_two_wires_apart(style: str) -> None:
    sheet = SheetDrawing(200, 200, SheetStyle(crossing=style), seed=1)
    sheet.wire([(20, 100), (180, 100)])
    sheet.wire([(100, 20), (100, 180)])
    truth = sheet.finish()
    wire = np.isin(truth.classes, (WIRE, DOT)).astype(np.uint8)
    count, _ = cv2.connectedComponents(wire, connectivity=8)
    assert count - 1 == 4
    ink = (truth.image < 128).astype(np.uint8)
    pieces, _ = cv2.connectedComponents(ink, connectivity=8)
    assert pieces - 1 == (3 if style == "gap" else 1)


def test_wire_pixels_belong_to_one_conductor(sheets: list[SheetTruth]) -> None:
    """Flood the class map without its crossings: hardly any piece may lie on two conductors."""
    pieces = shared = 0
    for sheet in sheets:
        wire = np.isin(sheet.classes, (WIRE, DOT)).astype(np.uint8)
        _, label = cv2.connectedComponents(wire, connectivity=8)
        owners: dict[int, set[int]] = defaultdict(set)
        for conductor in sheet.conductors:
            for x, y in conductor.points:
                column, row = round(float(x)), round(float(y))
                if 0 <= column < 640 and 0 <= row < 640 and label[row, column]:
                    owners[int(label[row, column])].add(conductor.number)
        pieces += len(owners)
        shared += sum(len(numbers) > 1 for numbers in owners.values())
    assert pieces > 100
    assert shared <= 0.03 * pieces  # leads of neighbouring pins may touch, as they do on paper


def test_points_of_conductors_lie_on_their_wires(sheets: list[SheetTruth]) -> None:
    hits = total = 0
    for sheet in sheets:
        near = cv2.dilate(np.isin(sheet.classes, (WIRE, DOT, CROSSING)).astype(np.uint8), np.ones((5, 5)))
        for conductor in sheet.conductors:
            for x, y in conductor.points:
                if 2 < x < 637 and 2 < y < 637:
                    total += 1
                    hits += int(near[round(float(y)), round(float(x))])
    assert total > 200
    assert hits > 0.97 * total


def test_terminals_touch_their_body(sheets: list[SheetTruth]) -> None:
    for sheet in sheets:
        body = cv2.dilate((sheet.classes == BODY).astype(np.uint8), np.ones((5, 5)))
        for part in sheet.parts:
            for terminal in part.terminals:
                if 2 < terminal.x < 637 and 2 < terminal.y < 637:
                    assert body[round(terminal.y), round(terminal.x)], (part.symbol, terminal)


def test_ink_and_truth_agree(sheets: list[SheetTruth]) -> None:
    for sheet in sheets:
        inner = (slice(30, -30), slice(30, -30))  # a bar along the picture's edge means nothing
        ink = sheet.image[inner] < 130  # paler pixels are edges, half paper
        assert (sheet.classes[inner][ink] != 0).mean() > 0.98


@pytest.mark.parametrize("level", range(len(LEVELS)))
def test_spoiling_moves_the_truth_with_the_picture(level: int) -> None:
    clean = draw_sheet(204, 512, 512, stroke=3.5, flat=True)
    spoilt = spoil(clean, level, seed=3)
    again = spoil(clean, level, seed=3)
    assert np.array_equal(spoilt.image, again.image)
    assert np.array_equal(spoilt.classes, again.classes)
    on_wire = cv2.dilate(np.isin(spoilt.classes, (WIRE, DOT, CROSSING)).astype(np.uint8), np.ones((5, 5)))
    places = np.concatenate([each.points for each in spoilt.conductors])
    inside = places[((places > 6) & (places < 505)).all(axis=1)]
    assert np.mean([on_wire[round(float(y)), round(float(x))] for x, y in inside]) > 0.96
    dark = spoilt.image[spoilt.classes == WIRE].mean()
    bare = spoilt.image[spoilt.classes == 0].mean()
    assert dark < bare - 60


def test_worse_levels_are_worse() -> None:
    clean = draw_sheet(204, 512, 512, stroke=3.5, flat=True)
    wrong = []
    for level in range(1, len(LEVELS)):
        spoilt = spoil(clean, level, seed=3)
        wrong.append(float(((spoilt.image < 128) != (spoilt.classes != 0))[spoilt.classes != BODY].mean()))
    assert wrong == sorted(wrong)


def test_skew_and_its_inverse() -> None:
    skew = Skew(800, 600, 0.02, 0.01, 0.004)
    places = np.random.default_rng(0).uniform(0, 600, (50, 2))
    assert np.allclose(skew.back(skew.move(places)), places, atol=1e-3)


def test_an_unknown_level_is_refused() -> None:
    with pytest.raises(ValueError, match="level 7"):
        spoil(draw_sheet(1, 128, 128), 7, 0)


def test_ink_that_has_gone_takes_its_truth_along() -> None:
    clean = grid_of_parts().finish()
    bare = clean.image.copy()
    bare[:, 120:185] = 255  # most of the wire between the resistors
    bare[60:140, 250:320] = 255  # and the right one
    left = legible(clean, replace(clean, image=bare))
    assert [part.reference for part in left.parts] == ["R1"]
    assert {len(each.ends) for each in clean.conductors} == {0, 2}
    assert {len(each.ends) for each in left.conductors} == {0}
    same = legible(clean, clean)
    assert [each.ends for each in same.conductors] == [each.ends for each in clean.conductors]
    nicked = clean.image.copy()
    nicked[:, 150:160] = 255  # a break that an eye bridges
    assert len(legible(clean, replace(clean, image=nicked)).conductors) == len(clean.conductors)


def test_wires_keep_so_far_apart_that_an_eye_can_tell_them() -> None:
    ways = Ways(stroke=3.0, wobble=0.0, dot=1.6)
    ways.add_wire([(50, 100), (250, 100)], 3.0)
    assert ways.contacts([(150, 40), (150, 160)], 3.0) == [Contact(150, 100, True, width=3.0)]
    assert ways.contacts([(150, 40), (150, 100)], 3.0) == [Contact(150, 100, False, inner=True)]
    assert ways.contacts([(250, 100), (250, 160)], 3.0) == [Contact(250, 100, False)]
    assert ways.contacts([(150, 40), (150, 80)], 3.0) == []
    assert ways.contacts([(150, 40), (150, 96)], 3.0) is None  # stops just short
    assert ways.contacts([(150, 40), (150, 106)], 3.0) is None  # runs on just past
    assert ways.contacts([(242, 40), (242, 160)], 3.0) is None  # crosses too near the end
    assert ways.contacts([(60, 105), (200, 105)], 3.0) is None  # too near beside it
    assert ways.contacts([(200, 100), (300, 100)], 3.0) is None  # on top of it
    assert ways.contacts([(265, 100), (300, 100)], 3.0) is None  # seems to go on from it
    ways.add_body(
        np.array([(140, 60), (160, 60), (160, 80), (140, 80)], dtype=np.float64), [(150, 60, 0, -1)]
    )
    assert ways.contacts([(163, 40), (163, 160)], 3.0) is None  # grazes the body
    assert ways.contacts([(150, 60), (150, 30)], 3.0) == []  # leaves its terminal
    ways.add_rule([(20, 20), (280, 20)], 3.0)
    assert ways.contacts([(100, 10), (100, 60)], 3.0) is None  # a ruled line joins nothing


@pytest.mark.parametrize("manner", ["disc", "ring", "blot"])
def test_every_manner_of_dot_joins(manner: str) -> None:
    sheet = SheetDrawing(200, 200, SheetStyle(dot_radius=2.2, dot_manner=manner), seed=3)
    sheet.wire([(20, 100), (180, 100)])
    sheet.wire([(100, 20), (100, 180)])
    sheet.dot(100, 100)
    truth = sheet.finish()
    assert len(truth.conductors) == 1
    assert not truth.crossings
    assert (truth.classes[97:104, 97:104] == DOT).all()
    assert (truth.image[98:103, 90:111] < 128).any()


def test_a_stem_that_runs_on_past_the_bar_still_joins() -> None:
    sheet = SheetDrawing(200, 200, SheetStyle(stroke=3.0), seed=3)
    sheet.wire([(20, 100), (180, 100)])
    sheet.wire([(100, 20), (100, 100)], over=(0.0, 5.0))
    truth = sheet.finish()
    assert len(truth.conductors) == 1
    assert truth.classes[105, 100] == WIRE
    assert truth.image[105, 100] < 128


@pytest.mark.parametrize("seed", range(6))
def test_a_free_hand_breaks_no_wire_at_a_bend(seed: int) -> None:
    """Corners rounded or run past, strokes gone over twice: one piece of ink for each wire all the same."""
    hand = Hand(wobble=1.0, pressure=0.1)
    sheet = SheetDrawing(400, 300, SheetStyle(stroke=3.0, hand=hand, freedom=1.0), seed=seed)
    sheet.wire([(30, 30), (200, 30), (200, 140), (370, 140)])
    sheet.wire([(30, 200), (120, 200), (120, 270), (370, 270), (370, 200)])
    truth = sheet.finish()
    wire = np.isin(truth.classes, (WIRE, DOT, CROSSING)).astype(np.uint8)
    pieces, label = cv2.connectedComponents(wire, connectivity=8)
    assert pieces - 1 == 2
    assert label[30, 33] == label[140, 366] != label[200, 33] == label[203, 370]
    straight = SheetDrawing(400, 300, SheetStyle(stroke=3.0, hand=hand), seed=seed)
    straight.wire([(30, 30), (200, 30), (200, 140), (370, 140)])
    straight.wire([(30, 200), (120, 200), (120, 270), (370, 270), (370, 200)])
    assert not np.array_equal(straight.finish().image, truth.image)


def test_same_seed_same_sheet() -> None:
    one, other = draw_sheet(31, 300, 260), draw_sheet(31, 300, 260)
    assert one.image.shape == (260, 300)
    assert np.array_equal(one.image, other.image)
    assert np.array_equal(one.classes, other.classes)
    assert not np.array_equal(one.image, draw_sheet(32, 300, 260).image)


def test_the_generator_needs_neither_torch_nor_other_rooms() -> None:
    code = (
        "import sys, tracer.training.layout, tracer.training.spoil, tracer.training.sheet;"
        "loaded = set(sys.modules);"
        "print([m for m in ('torch', 'cv2', 'scipy', 'onnxruntime') if m in loaded],"
        " [m for m in loaded if m.startswith('tracer.') and not m.startswith('tracer.training')])"
    )
    told = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert told.stdout.strip() == "[] []"

"""Each trouble keeps picture and truth together, and tells nothing of what it has wiped out."""

import cv2
import numpy as np
import pytest

from tracer.training.classes import BODY, CROSSING, DOT, FURNITURE, KIND_CELL, WIRE
from tracer.training.sheet import SheetDrawing, SheetStyle
from tracer.training.troubles import TROUBLES, trouble
from tracer.training.truth import SheetTruth


@pytest.fixture(scope="module")
def clean() -> SheetTruth:
    """Rows of parts on wires, crossed by uprights; one thin wire in four."""
    drawing = SheetDrawing(512, 512, SheetStyle(stroke=3.5, unit=8.0), seed=4)
    for row, name in enumerate(("resistor.box", "capacitor.plates", "coil.plain", "diode.triangle")):
        y = 60.0 + 120 * row
        parts = [drawing.place(name, x, y, reference=f"X{row}", text="above") for x in (90.0, 340.0)]
        width = 0.55 if row == 3 else 1.0
        drawing.wire([(20, y), parts[0].terminal(parts[0].terminals[0].name)], width)
        drawing.wire([(parts[0].terminals[1].x, y), (parts[1].terminals[0].x, y)], width)
        drawing.wire([(parts[1].terminals[1].x, y), (490, y)], width)
    drawing.wire([(160, 20), (160, 490)])
    drawing.wire([(430, 20), (430, 490)])
    drawing.dot(430, 180)
    return drawing.finish()


@pytest.mark.parametrize("name", TROUBLES)
def test_truth_stays_with_the_picture(clean: SheetTruth, name: str) -> None:
    spoilt, again = trouble(clean, name, 3), trouble(clean, name, 3)
    assert np.array_equal(spoilt.image, again.image)
    assert not np.array_equal(spoilt.image, clean.image)
    assert spoilt.conductors
    assert spoilt.parts
    on_wire = cv2.dilate(np.isin(spoilt.classes, (WIRE, DOT, CROSSING)).astype(np.uint8), np.ones((5, 5)))
    places = np.concatenate([each.points for each in spoilt.conductors])
    inside = places[((places > 6) & (places < 505)).all(axis=1)]
    assert np.mean([on_wire[round(float(y)), round(float(x))] for x, y in inside]) > 0.96
    assert spoilt.image[spoilt.classes == WIRE].mean() < spoilt.image[spoilt.classes == 0].mean() - 60
    bodies = cv2.dilate((spoilt.classes == BODY).astype(np.uint8), np.ones((5, 5)))
    for part in spoilt.parts:
        for end in part.terminals:
            if 6 < end.x < 505 and 6 < end.y < 505:
                assert bodies[round(end.y), round(end.x)], (name, part.symbol)


@pytest.mark.parametrize("name", ["one bit", "fax", "fat", "thin"])
def test_two_greys_only(clean: SheetTruth, name: str) -> None:
    assert len(np.unique(trouble(clean, name, 1).image)) == 2


def test_a_thin_copy_tells_of_fewer_conductors_than_a_fat_one(clean: SheetTruth) -> None:
    count = {name: len(trouble(clean, name, 2).conductors) for name in ("fat", "thin")}
    assert count["thin"] < count["fat"] == len(clean.conductors)


def test_scribbles_on_bare_paper_are_furniture(clean: SheetTruth) -> None:
    spoilt = trouble(clean, "scribbles", 5)
    fresh = spoilt.classes != clean.classes
    assert fresh.sum() > 200
    assert (spoilt.classes[fresh] == FURNITURE).all()
    assert (spoilt.image[fresh] < 160).all()


def test_beyond_a_seam_all_is_moved_alike(clean: SheetTruth) -> None:
    spoilt = trouble(clean, "seam", 7)
    before, after = ({part.number: part for part in sheet.parts} for sheet in (clean, spoilt))
    steps = {round(after[number].box[1] - before[number].box[1]) for number in after}
    assert len(steps) == 2
    (step,) = steps - {0}
    assert abs(step) % KIND_CELL == 0


def test_a_wire_over_a_seam_is_not_asked_about() -> None:
    drawing = SheetDrawing(400, 200, SheetStyle(stroke=3.0), seed=1)
    drawing.wire([(20, 60), (380, 60)])
    drawing.wire([(20, 100), (100, 100)])
    drawing.wire([(60, 20), (60, 140)])
    (kept, other) = trouble(drawing.finish(), "seam", 1).conductors
    assert max(kept.points[:, 0].max(), other.points[:, 0].max()) < 120


def test_an_unknown_trouble_is_refused(clean: SheetTruth) -> None:
    with pytest.raises(ValueError, match="coffee"):
        trouble(clean, "coffee", 0)

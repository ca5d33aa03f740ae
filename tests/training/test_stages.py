"""Orderly sheets: every layout draws, is dense, and its true class map traces as drawn."""

import numpy as np
import pytest

from tests.truth.known import points_of, true_layers
from tests.truth.scoring import score_points, total
from tracer.trace.trace import trace
from tracer.training.layout import draw_sheet
from tracer.training.layout.stages import LAYOUTS, choose_layout
from tracer.training.layout.stages_clash import Ground
from tracer.training.layout.stages_letter import ink
from tracer.training.layout.stages_manner import random_manner
from tracer.training.layout.stages_meet import Blocked
from tracer.training.layout.stages_pen import Pen
from tracer.training.sheet import SheetDrawing, SheetStyle
from tracer.training.truth import SheetTruth


@pytest.fixture(scope="module", params=sorted(LAYOUTS))
def sheets(request: pytest.FixtureRequest) -> list[SheetTruth]:
    return [draw_sheet(seed, 900, 900, layout=request.param) for seed in range(40, 44)]


def test_the_true_class_map_traces_as_drawn(sheets: list[SheetTruth]) -> None:
    scores = [score_points(trace(true_layers(t), t.image.shape), points_of(t)) for t in sheets]
    conductors, clean, *_ = total(scores)
    assert conductors > 60
    assert clean >= 0.985 * conductors


def test_parts_stand_close_and_apart(sheets: list[SheetTruth]) -> None:
    assert sum(len(t.parts) for t in sheets) > 150
    for truth in sheets:
        boxes = np.array([part.box for part in truth.parts if part.kind not in ("label", "chassis")])
        for index, (x0, y0, x1, y1) in enumerate(boxes[:-1]):
            rest = boxes[index + 1 :]
            across = np.minimum(rest[:, 2], x1) - np.maximum(rest[:, 0], x0)
            down = np.minimum(rest[:, 3], y1) - np.maximum(rest[:, 1], y0)
            # The page leans and waves, which widens the boxes by a few px.
            assert (np.minimum(across, down) < 0.06 * max(x1 - x0, y1 - y0) + 3).all()


def test_same_seed_same_sheet() -> None:
    for layout in LAYOUTS:
        one, other = (draw_sheet(9, 400, 400, layout=layout) for _ in range(2))
        assert np.array_equal(one.image, other.image)
        assert np.array_equal(one.classes, other.classes)


def ground() -> Ground:
    made = Ground(400, 400, 10, 3.0)
    made.add_wire(np.array([(50.0, 100.0), (350.0, 100.0)]), (None, None))
    return made


@pytest.mark.parametrize(
    ("points", "why"),
    [
        ([(200.0, 60.0), (200.0, 94.0)], "stops just short of a wire"),
        ([(200.0, 60.0), (200.0, 106.0)], "overshoots a wire by a little"),
        ([(100.0, 108.0), (300.0, 108.0)], "runs close beside a wire"),
        ([(200.0, 100.0), (380.0, 100.0)], "runs on top of a wire"),
        ([(200.0, 60.0), (200.0, 100.0), (240.0, 140.0)], "bends on a wire"),
        ([(356.0, 60.0), (356.0, 140.0)], "passes the end of a wire"),
        ([(200.0, 60.0), (200.0, 395.0)], "leaves the page"),
    ],
)
def test_no_wire_lies_where_its_joins_could_not_be_told(points: list[tuple[float, float]], why: str) -> None:
    made = ground()
    with pytest.raises(Blocked):
        made.add_wire(np.array(points), (None, None))
    assert len(made.segments) == 1, why


def test_ends_join_and_wires_cross() -> None:
    made = ground()
    (touch,) = made.add_wire(np.array([(120.0, 40.0), (120.0, 100.0)]), (None, None))
    assert (touch.x, touch.y, touch.wire) == (120.0, 100.0, 0)
    assert made.add_wire(np.array([(250.0, 40.0), (250.0, 200.0)]), (None, None)) == []
    mark = made.mark()
    made.add_body((80.0, 150.0, 110.0, 180.0))
    with pytest.raises(Blocked):
        made.add_wire(np.array([(95.0, 140.0), (95.0, 300.0)]), (None, None))
    made.back(mark)
    made.add_wire(np.array([(95.0, 140.0), (95.0, 300.0)]), (None, None))


def test_orderly_and_strewn_sheets_are_drawn_about_as_often() -> None:
    rng = np.random.default_rng(4)
    chosen = [choose_layout(rng) for _ in range(400)]
    assert 160 < chosen.count("motifs") < 240
    assert set(chosen) == {"motifs", *LAYOUTS}


def pen_with_a_pair() -> Pen:
    drawing = SheetDrawing(400, 400, SheetStyle(stroke=3.0, unit=7.0), seed=1)
    rng = np.random.default_rng(2)
    pen = Pen(drawing, random_manner(rng, freehand=False), rng)
    pen.link((60.0, 100.0), (260.0, 100.0), "R", "C")
    pen.link((60.0, 100.0), (60.0, 220.0), "R")
    return pen


@pytest.mark.parametrize("turned", ["as planned", "flipped", "transposed"])
def test_a_turned_plan_keeps_what_joins_what(turned: str) -> None:
    pen = pen_with_a_pair()
    if turned == "flipped":
        pen.flip()
    elif turned == "transposed":
        pen.transpose()
    ink(pen)
    truth = pen.drawing.finish()
    joined = {frozenset((end.part, end.terminal) for end in each.ends) for each in truth.conductors}
    r1, c, r2 = truth.parts
    assert joined == {
        frozenset({(r1.number, "1"), (r2.number, "1")}),
        frozenset({(r1.number, "2"), (c.number, c.terminals[0].name)}),
        frozenset({(c.number, c.terminals[1].name)}),
        frozenset({(r2.number, "2")}),
    }


def test_what_is_blocked_leaves_no_trace() -> None:
    pen = pen_with_a_pair()
    before = pen.plan.sizes(), len(pen.ground.segments), len(pen.ground.boxes)
    assert not pen.attempt(pen.link, (100.0, 40.0), (100.0, 390.0), "R", "C", "R")  # runs through a resistor
    assert (pen.plan.sizes(), len(pen.ground.segments), len(pen.ground.boxes)) == before


def test_alike_parts_look_alike_on_one_sheet() -> None:
    truth = draw_sheet(12, 900, 900, layout="solid", flat=True)
    sizes = {tuple(sorted(np.round([p.box[2] - p.box[0], p.box[3] - p.box[1]])))
             for p in truth.parts if p.symbol == "capacitor.plates"}  # fmt: skip
    assert len(sizes) < 4

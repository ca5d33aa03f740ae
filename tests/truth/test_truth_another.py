"""The sheets of another hand say only what an eye would read from them, and the tracing agrees."""

from __future__ import annotations

from collections import Counter

import numpy as np
import pytest
from another_check import complaints
from another_letters import lettered
from another_nets import cross_places, grouped
from another_sheet import finish
from another_sheets import SHEETS, draw_another, walked
from known import points_of, true_layers
from scoring import score_points

from tracer.trace.trace import trace


@pytest.mark.parametrize("name", SHEETS)
def test_nothing_comes_too_close_and_each_sheet_holds_enough(name: str) -> None:
    pen = walked(name)
    assert list(complaints(pen)) == []
    assert len(grouped(pen)) >= 24
    references = Counter(part.reference for part in pen.parts if part.reference and part.kind != "label")
    assert [each for each, count in references.items() if count > 1] == []
    assert pen.manner.dot or pen.manner.crossing == "hop", "without dots, what passes must hop"


@pytest.mark.parametrize("name", SHEETS)
def test_a_reader_without_fault_floods_them_clean(name: str) -> None:
    truth = finish(walked(name), 500 + list(SHEETS).index(name))
    score = score_points(trace(true_layers(truth), truth.image.shape), points_of(truth, along=True))
    assert score.conductors == len(truth.conductors)
    assert score.conductors - score.clean <= 2
    for conductor in truth.conductors:
        places = np.round(np.array([(end.x, end.y) for end in conductor.ends])).astype(int).reshape(-1, 2)
        for x, y in places:
            assert truth.image[max(y - 4, 0) : y + 5, max(x - 4, 0) : x + 5].min() < 128, (name, x, y)


def test_known_places_stay_on_the_ink_when_a_sheet_ages() -> None:
    for level in (1, 2, 3):
        truth = draw_another("push-pull amplifier", level)
        reach = 3
        places = np.concatenate([each.points for each in truth.conductors if len(each.points)])
        dark = [
            truth.image[
                round(y) - reach : round(y) + reach + 1, round(x) - reach : round(x) + reach + 1
            ].min()
            for x, y in places
        ]
        assert np.mean(np.array(dark) < 140) > 0.97


def test_the_same_sheet_is_the_same_pixels() -> None:
    one, other = draw_another("if strip", 3), draw_another("if strip", 3)
    assert np.array_equal(one.image, other.image)
    assert one.conductors[0].ends == other.conductors[0].ends


def test_two_wires_that_pass_are_two_conductors_and_a_dot_makes_them_one() -> None:
    pen = walked("if strip")
    before, passes = len(grouped(pen)), cross_places(pen)
    pen.dots.append((passes[0].x, passes[0].y))
    assert len(grouped(pen)) == before - 1
    assert len(cross_places(pen)) == len(passes) - 1


def test_lettering_stays_within_the_width_that_it_was_given_room_for() -> None:
    from another_ink import Stroke
    from another_letters import width_of

    shapes = lettered("R104", 10.0, 20.0, 2.2, "stencil", 1, 0.3)
    every = np.concatenate([shape.points for shape in shapes if isinstance(shape, Stroke)])
    assert every[:, 0].min() >= 10.0 - 0.1
    assert every[:, 0].max() <= 10.0 + width_of("R104", 2.2, "stencil") + 0.1
    assert abs(np.ptp(every[:, 1]) - 2.2) < 0.05

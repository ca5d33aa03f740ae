"""The tinted sheet, looked at by its pixels."""

from __future__ import annotations

from itertools import combinations

import numpy as np
import pytest
from hypothesis import given, strategies
from hypothesis.extra.numpy import arrays
from invented import bench
from numpy.typing import NDArray
from shapely import LineString

from tracer.circuit.elements import Circuit
from tracer.circuit.results import Proof, Tint
from tracer.job.records import Mark, MarkKind
from tracer.report.dashes import dashes
from tracer.report.drawn_marks import MARK_LETTERS, marks_in_words
from tracer.report.palette import TINT_WORDS, tint_styles
from tracer.report.tinted import tinted_sheet

GREY = np.full((600, 800), 255, np.uint8)


def proof(**tints: Tint) -> Proof:
    return Proof(tuple(tints.items()), (), (), (), (), Circuit(()))


def drawn(tint: Tint) -> NDArray[np.uint8]:
    """Tint the wire from R1 towards the branch at (400, 100) alone."""
    laid = bench()
    (wire,) = [r for r, places in laid.places.items() if places[0].segments == (1,)]
    return tinted_sheet(GREY, 1, laid, proof(**{wire: tint}), with_legend=False)


def tinted_places(image: NDArray[np.uint8]) -> NDArray[np.bool_]:
    return np.asarray((image != 255).any(axis=2))


def test_the_tint_covers_its_wire_and_no_other() -> None:
    image = drawn(Tint.CARRIED)
    assert image.shape == (600, 800, 3)
    assert tuple(image[100, 330]) == tint_styles()[Tint.CARRIED].colour
    ys, xs = np.nonzero(tinted_places(image))
    width = tint_styles()[Tint.CARRIED].width * 3
    assert xs.min() >= 260 - width
    assert xs.max() <= 400 + width
    assert ys.min() >= 100 - width
    assert ys.max() <= 100 + width


@pytest.mark.parametrize("tint", Tint)
def test_a_dashed_tint_has_gaps_and_an_unbroken_one_none(tint: Tint) -> None:
    # A pixel counts as marked where it is nearer to the tint than to white: edges are smoothed.
    paleness = drawn(tint)[95:106, 280:380].min(axis=2)
    along = (paleness < (255 + min(tint_styles()[tint].colour)) / 2).any(axis=0)
    dash = tint_styles()[tint].dash
    if dash:
        share = sum(dash[0::2]) / sum(dash)
        assert along.mean() == pytest.approx(share, abs=0.15)
    else:
        assert along.all()


def test_ink_stays_dark_under_a_tint() -> None:
    laid = bench()
    grey = GREY.copy()
    grey[100, :] = 0
    image = tinted_sheet(grey, 1, laid, proof(**{"W1.1": Tint.CARRIED}), with_legend=False)
    assert image[100, 130].max() < image[97, 130].max()


def test_a_part_s_body_is_washed_and_outlined() -> None:
    image = tinted_sheet(GREY, 1, bench(), proof(V1=Tint.BAD), with_legend=False)
    inside = image[330, 600].astype(int)
    colour = np.array(tint_styles()[Tint.BAD].colour)
    assert (inside >= colour).all()
    assert (inside < 255).any()
    outside = tinted_places(image)
    outside[280:380, 550:650] = False
    assert not outside.any()


def test_a_tint_off_the_page_does_no_harm() -> None:
    small = np.full((50, 50), 255, np.uint8)
    tinted_sheet(small, 1, bench(), proof(V1=Tint.BAD, R1=Tint.CARRIED), with_legend=True)


def test_the_legend_lies_below_and_leaves_the_sheet_whole() -> None:
    bare = tinted_sheet(GREY, 1, bench(), proof(R1=Tint.SUSPECT), with_legend=False)
    whole = tinted_sheet(GREY, 1, bench(), proof(R1=Tint.SUSPECT), title="A set")
    assert np.array_equal(whole[:600], bare)
    below = whole[600:].reshape(-1, 3)
    assert (below == tint_styles()[Tint.SUSPECT].colour).all(axis=1).any()
    assert not (below == tint_styles()[Tint.BAD].colour).all(axis=1).any()


def test_tints_differ_without_colour_and_without_pattern() -> None:
    styles = tint_styles()
    assert set(styles) == set(Tint) == set(TINT_WORDS)
    for one, other in combinations(styles.values(), 2):
        assert (one.dash, one.core) != (other.dash, other.core)
        assert one.colour != other.colour


# Machado, Oliveira and Fernandes, "A Physiologically-based Model for Simulation of Color Vision Deficiency",
# IEEE TVCG 15 (6), 2009: severity 1.0, on linear RGB (matrices from memory).
MACHADO = {
    "protan": [
        [0.152286, 1.052583, -0.204868],
        [0.114503, 0.786281, 0.099216],
        [-0.003882, -0.048116, 1.051998],
    ],
    "deutan": [
        [0.367322, 0.860646, -0.227968],
        [0.280085, 0.672501, 0.047413],
        [-0.011820, 0.042940, 0.968881],
    ],
}


@pytest.mark.parametrize("eye", MACHADO)
def test_the_colours_stay_apart_for_the_colour_blind(eye: str) -> None:
    def seen(colour: tuple[int, int, int]) -> NDArray[np.float64]:
        part = np.array(colour) / 255
        linear = np.where(part <= 0.04045, part / 12.92, ((part + 0.055) / 1.055) ** 2.4)
        dim = np.clip(np.array(MACHADO[eye]) @ linear, 0, 1)
        return np.asarray(np.where(dim <= 0.0031308, dim * 12.92, 1.055 * dim ** (1 / 2.4) - 0.055))

    # Carried and pinned are both good news; what must never look alike is proved and doubted.
    proved = [Tint.CARRIED, Tint.PINNED]
    doubted = [Tint.SUSPECT, Tint.BAD, Tint.ONE_OF_TWO]
    styles = tint_styles()
    for good in proved:
        for bad in doubted:
            assert np.abs(seen(styles[good].colour) - seen(styles[bad].colour)).max() > 0.15, (good, bad)


@given(
    line=arrays(np.float32, (5, 2), elements=strategies.floats(0, 100, width=16)),
    pattern=strategies.lists(strategies.floats(0.5, 20), min_size=2, max_size=6).filter(
        lambda p: len(p) % 2 == 0
    ),
)
def test_marks_lie_on_the_line_and_have_the_pattern_s_length(
    line: NDArray[np.float32], pattern: list[float]
) -> None:
    whole = LineString(line.astype(float))
    marks = dashes(line, pattern)
    if whole.length < 0.5:
        return
    drawn_length = sum(LineString(mark.astype(float)).length for mark in marks)
    period, marked = sum(pattern), sum(pattern[0::2])
    assert drawn_length <= marked * (whole.length / period + 1) + 1e-2
    assert drawn_length <= whole.length + 1e-2
    for mark in marks:
        assert whole.buffer(0.01).covers(LineString(mark.astype(float)).interpolate(0.5, normalized=True))


def test_a_mark_is_a_ringed_letter_with_its_meaning_in_the_legend() -> None:
    marks = [Mark(1, 500.0, 500.0, MarkKind.REPLACED, "2020-01-01T00:00:00+00:00")]
    image = tinted_sheet(GREY, 1, bench(), proof(), marks=marks, with_legend=False)
    ys, xs = np.nonzero(tinted_places(image))
    assert xs.mean() == pytest.approx(500, abs=2)
    assert ys.mean() == pytest.approx(500, abs=2)
    assert np.ptp(xs) < 50
    assert "R replaced" in marks_in_words(marks)
    assert "seen by eye" not in marks_in_words(marks)
    assert set(MARK_LETTERS) == set(MarkKind)
    assert len(set(MARK_LETTERS.values())) == len(MarkKind)
    plain = tinted_sheet(GREY, 1, bench(), proof())
    assert len(tinted_sheet(GREY, 1, bench(), proof(), marks=marks)) > len(plain)

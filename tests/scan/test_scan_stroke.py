"""The usual stroke, held against the width that the sheet was drawn with."""

from __future__ import annotations

import cv2
import numpy as np
import pytest
from drawn_for_scan import ink_of_sheet, photographed
from numpy.typing import NDArray

from tracer.scan.level import level
from tracer.scan.stroke import DEFAULT_STROKE, usual_stroke


def printed(ink: NDArray[np.bool_]) -> NDArray[np.uint8]:
    return np.where(ink, 0, 255).astype(np.uint8)


def with_thick_things(ink: NDArray[np.bool_], pen: int) -> NDArray[np.bool_]:
    """Add what must not count: a frame, bottle shapes in a heavy line and a solid block."""
    height, width = ink.shape
    page = printed(ink)
    thick = 3 * pen + 3
    cv2.rectangle(page, (15, 15), (width - 16, height - 16), 0, thick)
    for centre in ((300, 300), (800, 250), (500, 650)):
        cv2.ellipse(page, centre, (90, 120), 0, 0, 360, 0, thick)
    page[700:840, 900:1100] = 0
    return page == 0


@pytest.mark.parametrize("pen", [1, 2, 3, 4, 5, 7, 10])
def test_drawn_width_is_found(pen: int) -> None:
    assert usual_stroke(printed(ink_of_sheet(pen))).width == pytest.approx(pen, abs=0.25)


@pytest.mark.parametrize("pen", [1, 2, 3, 4, 5])
def test_thick_frames_envelopes_and_blocks_do_not_count(pen: int) -> None:
    ink = with_thick_things(ink_of_sheet(pen), pen)
    assert usual_stroke(printed(ink)).width == pytest.approx(pen, abs=0.25)


@pytest.mark.parametrize("pen", [2, 3, 4, 5])
@pytest.mark.parametrize("degrees", [-3.0, 0.4, 2.0])
def test_turned_sheet_with_soft_edges(pen: int, degrees: float) -> None:
    page = printed(with_thick_things(ink_of_sheet(pen), pen))
    turn = cv2.getRotationMatrix2D((600, 450), degrees, 1.0)
    turned = np.asarray(cv2.warpAffine(page, turn, (1200, 900), borderValue=255), dtype=np.uint8)
    assert usual_stroke(turned).width == pytest.approx(pen, rel=0.12)


@pytest.mark.parametrize("pen", [2, 3, 5])
def test_levelled_grey_sheet(pen: int) -> None:
    levelled = level(photographed(ink_of_sheet(pen)))
    assert usual_stroke(levelled).width == pytest.approx(pen, rel=0.15)


def test_two_thirds_of_a_pixel_counts_for_its_part() -> None:
    big = printed(ink_of_sheet(5, 1200, 1500))
    small = cv2.resize(big, None, fx=1 / 3, fy=1 / 3, interpolation=cv2.INTER_AREA)
    assert usual_stroke(np.asarray(small, dtype=np.uint8)).width == pytest.approx(5 / 3, rel=0.12)


@pytest.mark.parametrize("shape", [(1, 1), (3, 500), (400, 600)])
def test_page_without_lines_has_the_default(shape: tuple[int, int]) -> None:
    for tone in (0, 255):
        stroke = usual_stroke(np.full(shape, tone, np.uint8))
        assert (stroke.width, stroke.runs) == (DEFAULT_STROKE, 0)


def test_specks_are_no_lines() -> None:
    specks = np.where(np.random.default_rng(3).random((900, 900)) < 0.01, 0, 255).astype(np.uint8)
    assert usual_stroke(specks).runs == 0

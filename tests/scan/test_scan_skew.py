"""Skew and straightening, held against known turns and scikit-image's Radon transform."""

from __future__ import annotations

import cv2
import numpy as np
import pytest
from drawn_for_scan import ink_of_sheet
from numpy.typing import NDArray
from skimage.transform import radon

from tracer.scan.skew import measure_skew
from tracer.scan.straighten import rescale, turn_back
from tracer.scan.transform import apply, chain, identity, inverse, scaling, turning


def turned_sheet(degrees: float, pen: int = 3) -> NDArray[np.uint8]:
    """Turn a drawn sheet clockwise on the screen (OpenCV counts the other way)."""
    page = np.where(ink_of_sheet(pen), 0, 255).astype(np.uint8)
    turn = cv2.getRotationMatrix2D((600, 450), -degrees, 1.0)
    return np.asarray(cv2.warpAffine(page, turn, (1200, 900), borderValue=255), dtype=np.uint8)


@pytest.mark.parametrize("pen", [1, 3])
@pytest.mark.parametrize("degrees", [-6.0, -2.5, -0.3, 0.0, 0.7, 3.1, 7.0])
def test_known_turn_is_found(degrees: float, pen: int) -> None:
    skew = measure_skew(turned_sheet(degrees, pen))
    assert skew.degrees == pytest.approx(degrees, abs=0.08)
    assert skew.confidence > 0.5


@pytest.mark.parametrize("degrees", [-4.0, 1.5])
def test_agrees_with_the_radon_transform(degrees: float) -> None:
    page = turned_sheet(degrees)
    angles = np.arange(82.0, 98.01, 0.25)  # about the projection onto the upright axis
    shadows = radon(255.0 - page[::2, ::2], theta=angles, circle=False)
    sharpest = angles[int((np.diff(shadows, axis=0) ** 2).sum(axis=0).argmax())]
    assert measure_skew(page).degrees == pytest.approx(90.0 - sharpest, abs=0.25)


def test_nothing_to_go_by() -> None:
    assert measure_skew(np.full((300, 400), 255, np.uint8)).confidence == 0.0
    specks = np.where(np.random.default_rng(3).random((900, 900)) < 0.02, 0, 255).astype(np.uint8)
    assert measure_skew(specks).confidence < 0.3


def test_lines_drawn_at_two_slopes_leave_no_confidence() -> None:
    both = np.minimum(turned_sheet(3.0), turned_sheet(-2.0))
    assert measure_skew(both).confidence < 0.4


@pytest.mark.parametrize("degrees", [-5.0, 2.0])
def test_turned_back_sheet_lies_straight(degrees: float) -> None:
    upright, _ = turn_back(turned_sheet(degrees), degrees)
    assert measure_skew(upright).degrees == pytest.approx(0.0, abs=0.08)


@pytest.mark.parametrize("scale", [0.37, 1.0, 2.4])
def test_a_point_on_the_grid_leads_back_to_its_place_on_the_page(scale: float) -> None:
    page = np.full((300, 420), 255, np.uint8)
    page[100:115, 200:215] = 0  # centred on (207, 107)
    scaled, first = rescale(page, scale)
    grid, second = turn_back(scaled, 3.0)
    darkness = 255.0 - grid
    y, x = (float((axis * darkness).sum() / darkness.sum()) for axis in np.indices(grid.shape))
    back = inverse(chain(first, second))
    assert apply(back, [(x, y)])[0] == pytest.approx((207, 107), abs=0.1)


def test_turning_keeps_every_corner_on_the_sheet() -> None:
    page = np.zeros((200, 300), np.uint8)
    grid, there = turn_back(page, 4.0)
    corners = apply(there, [(0, 0), (299, 0), (0, 199), (299, 199)])
    assert (corners >= -0.5).all()
    assert (corners <= (grid.shape[1] - 0.5, grid.shape[0] - 0.5)).all()


def test_maps_compose_and_invert() -> None:
    there = chain(scaling(2.0, 0.5), turning(25.0, (3.0, 4.0), (10.0, -2.0)))
    points = np.random.default_rng(0).uniform(-50, 50, (20, 2))
    assert np.allclose(apply(inverse(there), apply(there, points)), points)
    assert np.allclose(chain(), identity())
    assert np.allclose(apply(turning(90.0, (0, 0), (0, 0)), [(1.0, 0.0)]), [(0.0, 1.0)])

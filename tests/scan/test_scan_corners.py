"""Corners of photographed sheets: found, laid flat, and mapped back to the picture's own pixels."""

from dataclasses import astuple

import cv2
import numpy as np
import pytest
from numpy.typing import NDArray

from tracer.errors import BadConfirmation
from tracer.resources import asset
from tracer.scan.corners import Corners, lay_flat, parse_corners, propose_corners
from tracer.scan.open import open_page
from tracer.scan.transform import apply, chain, inverse, scale_at, scaling

TRUE = Corners((212.0, 130.0), (1490.0, 205.0), (1432.0, 1080.0), (120.0, 1010.0))


def _photograph(sheet: NDArray[np.uint8], corners: Corners, table: int = 70) -> NDArray[np.uint8]:
    """A picture of `sheet` lying on a grained table, under light that falls off to one side."""
    height, width = sheet.shape
    flat = np.array([(0, 0), (width - 1, 0), (width - 1, height - 1), (0, height - 1)], np.float32)
    there = cv2.getPerspectiveTransform(flat, np.array(astuple(corners), np.float32))
    paper = (sheet.astype(np.float32) * 0.8 + 30).astype(np.uint8)
    ground = np.random.default_rng(3).normal(table, 9, (1200, 1640)).clip(0, 255).astype(np.uint8)
    size = (1640, 1200)
    picture = cv2.warpPerspective(paper, there, size, flags=cv2.INTER_AREA, borderValue=0)
    covered = cv2.warpPerspective(np.full_like(sheet, 255), there, size)
    light = np.linspace(0.75, 1.0, 1640)[None]
    return (np.where(covered > 127, picture, ground) * light).astype(np.uint8)


@pytest.fixture(scope="module")
def sheet() -> NDArray[np.uint8]:
    page = open_page(asset("demo/sheet.png")).grey
    return np.asarray(cv2.resize(page, (1300, 900), interpolation=cv2.INTER_AREA))


def test_corners_of_a_photographed_sheet_are_found(sheet: NDArray[np.uint8]) -> None:
    found = propose_corners(_photograph(sheet, TRUE))
    assert found is not None
    assert np.abs(np.array(astuple(found)) - np.array(astuple(TRUE))).max() < 4.0


def test_laid_flat_it_is_the_sheet_again(sheet: NDArray[np.uint8]) -> None:
    flat, there = lay_flat(_photograph(sheet, TRUE), TRUE)
    again = cv2.resize(flat, (sheet.shape[1], sheet.shape[0]), interpolation=cv2.INTER_AREA)
    alike = np.corrcoef(again.ravel().astype(float), sheet.ravel().astype(float))[0, 1]
    assert alike > 0.8
    height, width = flat.shape
    placed = apply(there, [(0, 0), (width - 1, 0), (width - 1, height - 1), (0, height - 1)])
    assert np.allclose(placed, np.array(astuple(TRUE)), atol=1e-3)


@pytest.mark.parametrize("table", [225, 255])
def test_a_sheet_on_something_as_bright_is_left_alone(sheet: NDArray[np.uint8], table: int) -> None:
    assert propose_corners(_photograph(sheet, TRUE, table)) is None


def test_scans_are_left_alone(sheet: NDArray[np.uint8]) -> None:
    edged = sheet.copy()
    edged[:, :40] = edged[-25:] = 10  # the black edges of a scan that overran its page
    assert propose_corners(sheet) is None
    assert propose_corners(edged) is None
    assert propose_corners(np.where(sheet < 128, 0, 255).astype(np.uint8)) is None


def test_projective_maps_chain_and_turn_back() -> None:
    _, there = lay_flat(np.full((1200, 1640), 255, np.uint8), TRUE)
    both = chain(scaling(0.5, 0.5), there)
    points = [(10.0, 20.0), (300.0, 200.0)]
    assert np.allclose(apply(inverse(both), apply(both, points)), points)
    step = apply(both, [(300.0, 200.0), (301.0, 200.0), (300.0, 201.0)])
    area = abs(np.linalg.det(step[1:] - step[0]))
    assert scale_at(both, 300.0, 200.0) == pytest.approx(np.sqrt(area), rel=0.01)


@pytest.mark.parametrize(
    "typed", ["", "1,2 3,4", "a,b c,d e,f g,h", "10,12 25,310 470,300 480,30", "0,0 1,0 1,9999 0,9999"]
)
def test_corners_that_are_none_are_refused(typed: str) -> None:
    with pytest.raises(BadConfirmation):
        parse_corners(typed, (400, 500))


def test_no_corners_when_told_so() -> None:
    assert parse_corners("none", (400, 500)) is None

"""Levelling, held against the drawn truth and against scikit-image's local threshold after Sauvola (2000)."""

from __future__ import annotations

import numpy as np
import pytest
from drawn_for_scan import ink_of_sheet, photographed
from numpy.typing import NDArray
from skimage.filters import threshold_sauvola

from tracer.scan.level import is_two_toned, level


def overlap(one: NDArray[np.bool_], other: NDArray[np.bool_]) -> float:
    """Give the Dice coefficient."""
    return 2 * float((one & other).sum()) / float(one.sum() + other.sum())


@pytest.mark.parametrize("noise", [2.0, 6.0, 12.0])
def test_uneven_light_is_levelled(noise: float) -> None:
    ink = ink_of_sheet(3)
    flat = level(photographed(ink, noise=noise))
    assert overlap(flat < 128, ink) > 0.99
    assert np.median(flat[~ink]) == 255
    assert np.median(flat[ink]) < 60


def test_agrees_with_sauvola_on_an_uneven_page() -> None:
    ink = ink_of_sheet(3)
    grey = photographed(ink, noise=3.0)
    by_sauvola = grey < threshold_sauvola(grey, window_size=51, k=0.2)
    ours = level(grey) < 128
    assert overlap(ours, by_sauvola) > 0.95
    assert overlap(ours, ink) >= overlap(by_sauvola, ink)


def test_faint_print_becomes_dark() -> None:
    ink = ink_of_sheet(3)
    flat = level(photographed(ink, noise=2.0, ink_share=0.75))
    assert overlap(flat < 128, ink) > 0.99


def test_clean_two_toned_page_is_left_alone() -> None:
    page = np.where(ink_of_sheet(2), 0, 255).astype(np.uint8)
    assert is_two_toned(page)
    assert level(page) is page


def test_light_drawing_on_dark_paper_is_turned_over() -> None:
    ink = ink_of_sheet(3)
    assert np.array_equal(level(np.where(ink, 255, 0).astype(np.uint8)) < 128, ink)
    assert overlap(level(255 - photographed(ink, noise=3.0)) < 128, ink) > 0.99


@pytest.mark.parametrize("tone", [0, 40, 128, 200, 255])
def test_blank_page_comes_back_white(tone: int) -> None:
    noise = np.random.default_rng(1).normal(tone, 4, (500, 700))
    assert (level(np.clip(noise, 0, 255).astype(np.uint8)) > 200).mean() > 0.999
    assert (level(np.full((300, 200), tone, np.uint8)) == 255).all()


def test_solid_black_stays_black_and_does_not_darken_its_surroundings() -> None:
    ink = ink_of_sheet(3)
    ink[300:520, 400:700] = True
    flat = level(photographed(ink, noise=3.0))
    assert flat[320:500, 420:680].mean() < 40
    assert overlap(flat < 128, ink) > 0.99


@pytest.mark.parametrize("shape", [(0, 0), (1, 1), (2, 3), (1, 400), (400, 1), (33, 17), (50, 4)])
def test_any_size_goes_through(shape: tuple[int, int]) -> None:
    page = np.random.default_rng(2).integers(0, 256, shape, dtype=np.uint8)
    flat = level(page)
    assert flat.shape == shape
    assert flat.dtype == np.uint8


def test_the_page_given_is_not_changed() -> None:
    grey = photographed(ink_of_sheet(2))
    before = grey.copy()
    level(grey)
    assert np.array_equal(grey, before)


def test_a_large_page_is_levelled_as_a_small_one_is() -> None:
    grey = photographed(ink_of_sheet(3))
    height, width = grey.shape
    large = level(np.tile(grey, (4, 4)))
    assert large.size > 17e6
    middle = large[height : 2 * height, width : 2 * width]
    ink = middle < 128
    assert overlap(ink, level(grey) < 128) > 0.97
    assert np.median(middle[~ink]) > 245


def test_a_table_darker_than_half_the_picture_does_not_bleach_the_sheet() -> None:
    picture = np.full((600, 800), 60, np.uint8)
    picture[40:560, 260:780] = 232
    picture[300:303, 300:700] = 30
    flat = level(picture)
    assert flat[301, 400:600].max() < 60
    assert flat[100, 400:600].min() > 240

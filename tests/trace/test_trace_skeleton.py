"""Centre lines: what thinning must not lose."""

import cv2
import numpy as np
import pytest
from numpy.typing import NDArray

from tracer.trace.skeleton import thin


def _blobs(mask: NDArray[np.bool_]) -> int:
    return cv2.connectedComponents(mask.astype(np.uint8))[0]


@pytest.mark.parametrize("mirrored", [False, True])
def test_a_sloping_line_an_even_number_of_pixels_wide_is_not_eaten(mirrored: bool) -> None:
    mask = np.zeros((120, 160), np.bool_)
    steps = np.arange(70)
    for shift in (0, 1):
        mask[20 + steps, 30 + steps + shift] = True
    mask[90:92, 20:140] = True
    mask[30:43, 110:123] = True  # a square dot
    turned = mask[:, ::-1] if mirrored else mask
    kept = thin(turned)
    assert kept[22:88].any(axis=1).all()
    assert not (kept & ~turned).any()
    assert _blobs(kept) == _blobs(turned)


def test_the_rest_of_a_line_eaten_half_way_is_put_back() -> None:
    sloping = [(4 + step, 7 + step) for step in range(48)]
    knob = [(52, 56), (53, 56), (55, 57), (56, 58), (56, 58), (57, 57)]  # the method stops at this
    mask = np.zeros((76, 80), np.bool_)
    for row, (first, last) in enumerate([(3, 5), (3, 6), *sloping, *knob], start=10):
        mask[row, first + 10 : last + 11] = True
    kept = thin(mask)
    assert kept[12:64].any(axis=1).all()
    assert not (kept & ~mask).any()
    assert _blobs(kept) == 2

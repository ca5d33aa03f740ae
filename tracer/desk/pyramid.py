"""A page halved again and again, so that any zoom reads about as many pixels as the screen has."""

from __future__ import annotations

import cv2
import numpy as np
from numpy.typing import NDArray

__all__ = ["halvings"]

SMALLEST_SIDE = 768


def halvings(grey: NDArray[np.uint8]) -> tuple[NDArray[np.uint8], ...]:
    """Return the page and its halvings, each half the size of the one before.

    Parameters
    ----------
    grey : (H, W) uint8
        The page.

    Returns
    -------
    tuple of (h, w) uint8
        Level 0 is `grey` itself; the last level's longer side is at most 768 px. An odd last row or
        column counts as a whole one, so level k covers ``ceil(W / 2**k)`` pixels.

    Examples
    --------
    >>> [level.shape for level in halvings(np.zeros((1000, 3001), np.uint8))]
    [(1000, 3001), (500, 1501), (250, 751)]
    """
    levels = [grey]
    while max(levels[-1].shape) > SMALLEST_SIDE:
        last = levels[-1]
        high, wide = last.shape
        if high % 2 or wide % 2:
            last = np.pad(last, ((0, high % 2), (0, wide % 2)), mode="edge")
        half = cv2.resize(last, (last.shape[1] // 2, last.shape[0] // 2), interpolation=cv2.INTER_AREA)
        levels.append(np.asarray(half, dtype=np.uint8))
    return tuple(levels)

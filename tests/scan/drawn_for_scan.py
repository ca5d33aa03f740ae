"""Sheets drawn for the tests of this room by plain numpy, so that every width and tone is known."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

__all__ = ["ink_of_sheet", "photographed"]


def ink_of_sheet(pen: int, height: int = 900, width: int = 1200, seed: int = 0) -> NDArray[np.bool_]:
    """Draw level and upright wires of exactly `pen` px and some small marks, (H, W) bool, True for ink."""
    dice = np.random.default_rng(seed)
    ink = np.zeros((height, width), bool)
    for _ in range(40):
        top, left = dice.integers(40, height - 60), dice.integers(40, width - 60)
        length = int(dice.integers(80, 400))
        ink[top : top + pen, left : min(left + length, width - 40)] = True
        top, left = dice.integers(40, height - 60), dice.integers(40, width - 60)
        ink[top : min(top + length, height - 40), left : left + pen] = True
    for _ in range(150):
        top, left = dice.integers(40, height - 60), dice.integers(40, width - 60)
        ink[top : top + 5, left : left + 4] = True
    return ink


def photographed(
    ink: NDArray[np.bool_], noise: float = 5.0, ink_share: float = 0.25, seed: int = 0
) -> NDArray[np.uint8]:
    """Lay ink on paper whose light falls off to the right and in a band across, with sensor noise."""
    height, width = ink.shape
    y, x = np.mgrid[:height, :width]
    light = 235 - 110 * (x / width) - 25 * np.sin(3 * y / height)
    seen = np.where(ink, light * ink_share, light)
    seen = seen + np.random.default_rng(seed).normal(0, noise, seen.shape)
    return np.clip(seen, 0, 255).astype(np.uint8)

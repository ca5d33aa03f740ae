"""Large pages for timing: drawn sheets laid side by side like tiles, so that making them costs little."""

from __future__ import annotations

from functools import cache
from typing import Final

import numpy as np
from numpy.typing import NDArray

from tracer.training.layout import draw_sheet
from tracer.training.spoil import spoil

__all__ = ["A3", "A3_WIDE", "LARGEST", "drawn_page"]

A3: Final = (4961, 3508)
"""An A3 sheet lying down at 300 dpi (ISO 216: 420 mm × 297 mm), px."""
A3_WIDE: Final = A3[0] * A3[1] / 1e6
LARGEST: Final = (10_000, 7_000)
"""70 megapixels."""

_TILE = 1024
_KINDS = 4


@cache
def _tiles(stroke: float) -> tuple[NDArray[np.uint8], ...]:
    sheets = (draw_sheet(9100 + number, _TILE, _TILE, stroke=stroke) for number in range(_KINDS))
    return tuple(spoil(sheet, 1, 9100).image for sheet in sheets)


def drawn_page(size: tuple[int, int], stroke: float) -> NDArray[np.uint8]:
    """Return a page (H, W) uint8 of office-scanned sheets with strokes of `stroke` px."""
    tiles, (width, height) = _tiles(stroke), size
    page = np.full((height, width), 240, np.uint8)
    for row in range(-(-height // _TILE)):
        for column in range(-(-width // _TILE)):
            place = page[row * _TILE : (row + 1) * _TILE, column * _TILE : (column + 1) * _TILE]
            tile = tiles[(3 * row + column) % _KINDS]
            place[:] = tile[: place.shape[0], : place.shape[1]]
    return page

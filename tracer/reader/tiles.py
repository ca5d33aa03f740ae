"""Running the network over a page piece by piece, so that neither page nor network needs much memory."""

from __future__ import annotations

from collections.abc import Iterator
from concurrent.futures import FIRST_COMPLETED, Future, ThreadPoolExecutor, wait
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from tracer.progress import Progress, checkpoint
from tracer.reader.sessions import THREADS
from tracer.reader.weights import Weights

__all__ = ["CORE", "MARGIN", "Planes", "Tile", "read_grid", "tiles_of"]

CORE: Final = 1152
"""Longest side of the part of a tile whose answer is kept, px; a multiple of 32."""

MARGIN: Final = 64
"""Context given on every side, px; a multiple of 32, so that the network's own grid stays in step."""

_STEP: Final = 32  # the network halves its input five times
_CELL: Final = 4  # px of the grid to one cell of the kinds
_FAINTEST_INK: Final = 200  # a tile with nothing darker is not read, nor is the page's white edge
_LEAST_CORE: Final = 512  # px; smaller tiles would be more margin than page
_STAGE: Final = "reading the page"
_SURE: Final = 255


@dataclass(frozen=True, slots=True)
class Tile:
    """One piece of a grid: rows `top` to `bottom` and columns `left` to `right` are kept (half-open)."""

    top: int
    bottom: int
    left: int
    right: int


@dataclass(frozen=True, slots=True, eq=False)
class Planes:
    """The network's answer for a whole grid; shapes as in `tracer.reader.layers.Layers`."""

    classes: NDArray[np.uint8]
    sureness: NDArray[np.uint8]
    kinds: NDArray[np.uint8]
    kind_sureness: NDArray[np.uint8]


def tiles_of(height: int, width: int, core: int = CORE) -> Iterator[Tile]:
    """Cut a grid into tiles of about one size, row by row.

    Examples
    --------
    >>> [(tile.left, tile.right) for tile in tiles_of(10, 140, 128)]
    [(0, 96), (96, 140)]
    """
    down, across = (
        _round_up(-(-length // max(-(-length // core), 1))) or _STEP for length in (height, width)
    )
    for top in range(0, height, down):
        for left in range(0, width, across):
            yield Tile(top, min(top + down, height), left, min(left + across, width))


def read_grid(
    grid: NDArray[np.uint8],
    weights: Weights,
    progress: Progress,
    core: int | None = None,
    margin: int = MARGIN,
) -> Planes:
    """Run the network over a grid, two tiles at a time where there are two processors.

    Parameters
    ----------
    grid : (H, W) uint8
        Ink dark on white, at the network's stroke.
    weights : Weights
    progress : Progress
        Told, and asked whether to stop, before each tile.
    core, margin : int
        Sides as `CORE` and `MARGIN`, multiples of 32; unless given, a small page is cut in two as well.

    Raises
    ------
    Cancelled
    """
    height, width = grid.shape
    cells = (-(-height // _CELL), -(-width // _CELL))
    planes = Planes(
        np.zeros((height, width), np.uint8),
        np.full((height, width), _SURE, np.uint8),
        np.zeros(cells, np.uint8),
        np.full(cells, _SURE, np.uint8),
    )
    box = _inked(grid)
    high, wide = box.bottom - box.top, box.right - box.left
    core = core or min(CORE, max(_LEAST_CORE, _round_up(-(-max(high, wide) // THREADS))))
    tiles = [
        Tile(box.top + tile.top, box.top + tile.bottom, box.left + tile.left, box.left + tile.right)
        for tile in tiles_of(high, wide, core)
    ]
    with ThreadPoolExecutor(THREADS) as pool:
        running: set[Future[None]] = set()
        for done, tile in enumerate(tiles):
            checkpoint(progress, _STAGE, done / len(tiles))
            running.add(pool.submit(_read_tile, grid, tile, weights, margin, planes))
            if len(running) == THREADS:
                ended, running = wait(running, return_when=FIRST_COMPLETED)
                for tile_read in ended:
                    tile_read.result()
        for tile_read in running:
            tile_read.result()
    weights.give_back()
    progress.advance(_STAGE, 1.0)
    return planes


def _inked(grid: NDArray[np.uint8]) -> Tile:
    """Find the part of a grid that holds all its ink, on the network's own steps; it may be empty."""
    bounds: list[tuple[int, int]] = []
    for across in (1, 0):
        places = np.flatnonzero(grid.min(axis=across, initial=_SURE) <= _FAINTEST_INK)
        if not places.size:
            return Tile(0, 0, 0, 0)
        first, last = int(places[0]), int(places[-1])
        bounds.append((first // _STEP * _STEP, min(_round_up(last + 1), grid.shape[1 - across])))
    (top, bottom), (left, right) = bounds
    return Tile(top, bottom, left, right)


def _read_tile(grid: NDArray[np.uint8], tile: Tile, weights: Weights, margin: int, planes: Planes) -> None:
    """Read one tile with its margin and keep the answer for its core; bare paper is left as it is."""
    height, width = grid.shape
    top, left = max(tile.top - margin, 0), max(tile.left - margin, 0)
    bottom, right = min(tile.bottom + margin, height), min(tile.right + margin, width)
    piece = grid[top:bottom, left:right]
    if piece.min() > _FAINTEST_INK:
        return
    padded = np.ones((1, 1, _round_up(bottom - top), _round_up(right - left)), np.float32)
    np.divide(piece, np.float32(255), out=padded[0, 0, : bottom - top, : right - left])
    classes, sureness, kinds, kind_sureness = weights.runner.run(
        ["classes", "sureness", "kinds", "kind_sureness"], {weights.input_name: padded}
    )
    kept = (slice(tile.top, tile.bottom), slice(tile.left, tile.right))
    inside = (slice(tile.top - top, tile.bottom - top), slice(tile.left - left, tile.right - left))
    planes.classes[kept] = classes[0][inside]
    planes.sureness[kept] = sureness[0][inside]
    kept_cells = (_cells(kept[0]), _cells(kept[1]))
    inside_cells = (_cells(inside[0]), _cells(inside[1]))
    planes.kinds[kept_cells] = kinds[0][inside_cells]
    planes.kind_sureness[kept_cells] = kind_sureness[0][inside_cells]


def _cells(pixels: slice) -> slice:
    return slice(pixels.start // _CELL, -(-pixels.stop // _CELL))


def _round_up(length: int) -> int:
    return -(-length // _STEP) * _STEP

"""The page cut into tiles for the screen: paper-coloured, dressed once, kept while they are in use."""

from __future__ import annotations

import time
from collections import OrderedDict
from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray
from PyQt6.QtCore import QRectF
from PyQt6.QtGui import QColor, QImage, QPainter, QPixmap

__all__ = ["TILE", "Dress", "Tiles", "paper_table"]

TILE = 512
KEPT = 320

Dress = Callable[[QPainter, QRectF, float], bool]
"""Draws under the printed ink of a tile: a painter in page px, the page rectangle of the tile, and screen px
per page px; returns whether it drew anything."""


def paper_table(ink: QColor, paper: QColor) -> list[int]:
    """Return the 256 colours from `ink` (grey 0) to `paper` (grey 255) as Qt reads them."""
    share = np.linspace(0.0, 1.0, 256)[:, None]
    ends = np.array([[ink.red(), ink.green(), ink.blue()], [paper.red(), paper.green(), paper.blue()]], float)
    mixed = np.rint(ends[0] * (1 - share) + ends[1] * share).astype(np.uint32)
    packed = 0xFF000000 + (mixed[:, 0] << 16) + (mixed[:, 1] << 8) + mixed[:, 2]
    return [int(colour) for colour in packed]


class Tiles:
    """Tiles of one page, made when first asked for; the least lately used go first.

    Parameters
    ----------
    levels : tuple of (h, w) uint8
        As `pyramid.halvings` returns them.
    table : list of int
        256 colours, see `paper_table`.
    dress : callable or None
        Draws the tint and whatever else belongs to the paper onto each new tile, as strong as `strength`.
    """

    def __init__(
        self, levels: tuple[NDArray[np.uint8], ...], table: list[int], dress: Dress | None = None
    ) -> None:
        self.levels = levels
        self._table = table
        self._dress = dress
        self.strength = 1.0
        self._kept: OrderedDict[tuple[int, int, int], QPixmap] = OrderedDict()
        self._bare: dict[tuple[int, int, int], QPixmap] = {}
        self._costs: dict[int, float] = {}

    def restyle(self, table: list[int]) -> None:
        """Use other paper colours from now on."""
        self._table = table
        self._kept.clear()
        self._bare.clear()

    def forget(self, box: tuple[float, float, float, float] | None = None) -> None:
        """Drop the tiles that touch `box` (page px), or all of them, so that they are dressed anew."""
        if box is None:
            self._kept.clear()
            return
        for level, column, row in list(self._kept):
            side = TILE << level
            x, y = column * side, row * side
            if x < box[2] and box[0] < x + side and y < box[3] and box[1] < y + side:
                del self._kept[(level, column, row)]

    def tile(self, level: int, column: int, row: int) -> QPixmap:
        """Return the tile at `column`, `row` of `level`."""
        key = (level, column, row)
        kept = self._kept.get(key)
        if kept is not None:
            self._kept.move_to_end(key)
            return kept
        begun = time.perf_counter()
        made = self._make(level, column, row)
        cost = time.perf_counter() - begun
        self._costs[level] = (self._costs.get(level, cost) + cost) / 2
        self._kept[key] = made
        while len(self._kept) > KEPT:
            self._kept.popitem(last=False)
        return made

    def is_ready(self, level: int, column: int, row: int) -> bool:
        """Whether a tile is there already."""
        return (level, column, row) in self._kept

    def cost(self, level: int) -> float:
        """Return about how long a tile of `level` takes to make, s; 0 while nothing is known.

        Of a level of which none was made yet it is taken from the nearest other: a tile that covers four
        times as much paper has up to four times as much to dress.
        """
        if not self._costs:
            return 0.0
        near = min(self._costs, key=lambda known: abs(known - level))
        return self._costs[near] * 3.0 ** (level - near)

    def stand_in(self, level: int, column: int, row: int) -> tuple[QPixmap, QRectF, float, float]:
        """Return a coarser picture of a tile, the part of it to draw, and the tile's own width and height.

        The nearest coarser level that is there serves; where none is, the coarsest without its dress, which
        is made in no time.
        """
        high, wide = self.levels[level].shape
        wide, high = min(TILE, wide - column * TILE), min(TILE, high - row * TILE)
        last = len(self.levels) - 1
        ready = (
            up
            for up in range(level + 1, last + 1)
            if self.is_ready(up, column >> up - level, row >> up - level)
        )
        coarse = next(ready, None)
        step = (last if coarse is None else coarse) - level
        key = (level + step, column >> step, row >> step)
        if coarse is None and key not in self._bare:
            self._bare[key] = QPixmap.fromImage(self._cut(*key))
        pixmap = self._bare[key] if coarse is None else self.tile(*key)
        share = 1.0 / (1 << step)
        x = (column - ((column >> step) << step)) * TILE * share
        y = (row - ((row >> step) << step)) * TILE * share
        return pixmap, QRectF(x, y, wide * share, high * share), float(wide), float(high)

    def _cut(self, level: int, column: int, row: int) -> QImage:
        """Return a tile in the colours of the paper, not dressed."""
        source = self.levels[level][row * TILE : (row + 1) * TILE, column * TILE : (column + 1) * TILE]
        part = np.ascontiguousarray(source)
        high, wide = part.shape
        image = QImage(part.tobytes(), wide, high, wide, QImage.Format.Format_Indexed8)
        image.setColorTable(self._table)
        return image.convertToFormat(QImage.Format.Format_RGB32)

    def _make(self, level: int, column: int, row: int) -> QPixmap:
        dressed = self._cut(level, column, row)
        if self._dress is not None:
            self._lay_under(dressed, level, column, row)
        return QPixmap.fromImage(dressed)

    def _lay_under(self, page: QImage, level: int, column: int, row: int) -> None:
        """Mix what `dress` draws with the page so that printed ink stays on top, as on real paper."""
        assert self._dress is not None
        night = self._table[0] & 0xFF > self._table[255] & 0xFF
        layer = QImage(page.size(), QImage.Format.Format_RGB32)
        layer.fill(0xFF000000 if night else 0xFFFFFFFF)
        scale = 1.0 / (1 << level)
        painter = QPainter(layer)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.translate(-column * TILE, -row * TILE)
        painter.scale(scale, scale)
        # Page places are pixel centres; the painter's are pixel corners.
        painter.translate(0.5, 0.5)
        side = TILE / scale
        area = QRectF(column * side, row * side, page.width() / scale, page.height() / scale)
        drew = self._dress(painter, area, scale)
        painter.end()
        if drew:
            mix = QPainter(page)
            mode = QPainter.CompositionMode
            mix.setCompositionMode(mode.CompositionMode_Screen if night else mode.CompositionMode_Multiply)
            mix.setOpacity(self.strength)
            mix.drawImage(0, 0, layer)
            mix.end()

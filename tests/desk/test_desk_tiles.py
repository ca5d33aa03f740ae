"""Tiles while the page is moved: what is dear to draw waits, and the frame is drawn from what is there."""

from __future__ import annotations

import time
from collections.abc import Callable

import numpy as np
import pytest
from PyQt6.QtCore import QRectF
from PyQt6.QtGui import QColor, QPainter
from pytestqt.qtbot import QtBot

from tracer.desk.colours import DAY
from tracer.desk.pyramid import halvings
from tracer.desk.sheet_view import DEAR_S, SheetView
from tracer.desk.tiles import Tiles, paper_table
from tracer.desk.viewpoint import Viewpoint

TINT = QColor("red")


class Dress:
    """Fills with one colour, as slowly as a sheet with many tinted wires."""

    def __init__(self, seconds: float = 0.0) -> None:
        self.seconds, self.scales = seconds, list[float]()

    def __call__(self, painter: QPainter, area: QRectF, scale: float) -> bool:
        self.scales.append(scale)
        until = time.perf_counter() + self.seconds
        while time.perf_counter() < until:
            pass
        painter.fillRect(area, TINT)
        return True


@pytest.fixture
def make_view(qtbot: QtBot) -> Callable[[Dress], SheetView]:
    """A view on a bare page of 3000 × 2000 px that `Dress` draws on."""

    def make(dress: Dress) -> SheetView:
        view = SheetView(DAY)
        qtbot.addWidget(view)
        view.resize(600, 400)
        view.show_page(halvings(np.full((2000, 3000), 255, np.uint8)), dress)
        view.show()
        return view

    return make


def colour(view: SheetView) -> QColor:
    return view.grab().toImage().pixelColor(view.width() // 2, view.height() // 2)


def test_a_stand_in_is_the_nearest_coarser_tile_or_else_the_page_without_its_dress(qtbot: QtBot) -> None:
    dress = Dress()
    levels = halvings(np.full((2000, 3000), 255, np.uint8))
    tiles = Tiles(levels, paper_table(DAY.ink, DAY.paper), dress)
    bare, part, wide, high = tiles.stand_in(0, 2, 1)
    assert dress.scales == [], "the coarsest tile is not dressed for it"
    assert bare.toImage().pixelColor(9, 9) == DAY.paper
    assert (part, wide, high) == (QRectF(256, 128, 128, 128), 512, 512)
    tiles.tile(1, 1, 0)
    dressed, part, _, _ = tiles.stand_in(0, 2, 1)
    assert dressed is tiles.tile(1, 1, 0)
    assert part == QRectF(0, 256, 256, 256)


def test_what_a_tile_takes_is_guessed_from_the_levels_that_were_made(qtbot: QtBot) -> None:
    tiles = Tiles(halvings(np.zeros((2000, 3000), np.uint8)), paper_table(DAY.ink, DAY.paper), Dress(0.02))
    assert tiles.cost(1) == 0.0
    tiles.tile(1, 0, 0)
    assert tiles.cost(1) >= 0.02
    assert tiles.cost(0) == pytest.approx(tiles.cost(1) / 3)
    assert tiles.cost(2) == pytest.approx(tiles.cost(1) * 3)


def test_dear_tiles_wait_until_the_page_rests(make_view: Callable[[Dress], SheetView], qtbot: QtBot) -> None:
    dress = Dress(3 * DEAR_S)
    view = make_view(dress)
    view.look_from(Viewpoint(1400, 1000, 1.0))
    colour(view)
    qtbot.waitUntil(lambda: not view._moving)
    tinted = colour(view)
    assert tinted != DAY.paper
    view.redress()
    dress.scales.clear()
    for step in range(5):
        view.look_from(Viewpoint(1500 + 40 * step, 1000, 1.0))
        seen = colour(view)
    assert dress.scales == [], "no frame of the move waits for one"
    assert seen == DAY.paper
    qtbot.waitUntil(lambda: not view._moving)
    assert colour(view) == tinted
    assert dress.scales

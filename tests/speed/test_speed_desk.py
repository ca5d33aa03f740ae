"""How long a frame takes while a 70-megapixel page is moved; figures only, no limits.

``pytest tests/speed --benchmark-enable --benchmark-only`` prints them.
"""

from __future__ import annotations

import os
from collections.abc import Iterator
from itertools import count
from time import perf_counter, thread_time

import cv2
import numpy as np
import pytest
from numpy.typing import NDArray
from PyQt6.QtCore import QRectF
from PyQt6.QtGui import QImage, QPainter
from pytest_benchmark.fixture import BenchmarkFixture
from pytestqt.qtbot import QtBot

from tracer.circuit.results import Tint
from tracer.desk.colours import DAY
from tracer.desk.lighting import path_along
from tracer.desk.pyramid import halvings
from tracer.desk.sheet_paint import paint_markers
from tracer.desk.sheet_view import SheetView
from tracer.desk.tinting import TintedPiece, paint_tint
from tracer.desk.viewpoint import Viewpoint, pan

WIDE, HIGH = 10_000, 7_000
WIRES = 1_500


@pytest.fixture(scope="session")
def qapp_args() -> list[str]:
    """Begin the application with Qt's own plugins; OpenCV names others on import."""
    for name in ("QT_QPA_PLATFORM_PLUGIN_PATH", "QT_PLUGIN_PATH"):
        os.environ.pop(name, None)
    return ["desk"]


@pytest.fixture(scope="module")
def lines() -> list[NDArray[np.float32]]:
    rng = np.random.default_rng(7)
    drawn = []
    for _ in range(WIRES):
        x, y = rng.uniform(0, WIDE), rng.uniform(0, HIGH)
        across = rng.random() < 0.5
        long = rng.uniform(100, 2_500)
        steps = np.arange(0, long, 2.0)
        line = np.stack(
            [x + steps, np.full_like(steps, y)] if across else [np.full_like(steps, x), y + steps]
        )
        drawn.append(line.T.astype(np.float32))
    return drawn


@pytest.fixture(scope="module")
def page(lines: list[NDArray[np.float32]]) -> NDArray[np.uint8]:
    grey = np.full((HIGH, WIDE), 245, np.uint8)
    for line in lines:
        cv2.line(grey, tuple(map(int, line[0])), tuple(map(int, line[-1])), 20, 6)
    return grey


@pytest.fixture
def view(qtbot: QtBot, page: NDArray[np.uint8], lines: list[NDArray[np.float32]]) -> Iterator[SheetView]:
    pieces = []
    for number, line in enumerate(lines):
        path = path_along([line], 2.0)
        tint = (Tint.CARRIED, Tint.PINNED, Tint.SUSPECT)[number % 3]
        pieces.append(
            TintedPiece(str(number), tint, path, path.boundingRect().adjusted(-30, -30, 30, 30), False)
        )

    def dress(painter: QPainter, rect: QRectF, scale: float) -> bool:
        touched = [piece for piece in pieces if piece.bounds.intersects(rect)]
        paint_tint(painter, touched, DAY, 6.0, scale)
        return bool(touched)

    made = SheetView(DAY)
    made.resize(1_600, 1_000)
    made.show_page(halvings(page), dress)
    yield made
    made.close()
    made.deleteLater()


def frame(view: SheetView, canvas: QImage) -> None:
    painter = QPainter(canvas)
    view.render(painter)
    painter.end()


def test_halving_the_page(benchmark: BenchmarkFixture, page: NDArray[np.uint8]) -> None:
    levels = benchmark(halvings, page)
    assert levels[0] is page


@pytest.mark.parametrize("scale", [0.12, 0.3, 0.5, 1.0, 2.7])
def test_frame_while_panning(benchmark: BenchmarkFixture, view: SheetView, scale: float) -> None:
    """Tiles in view are there; each frame moves the page by 23 px."""
    canvas = QImage(1_600, 1_000, QImage.Format.Format_RGB32)
    steps = count()
    view.look_from(Viewpoint(WIDE / 2, HIGH / 2, scale))
    frame(view, canvas)

    def move() -> None:
        way = 23 if next(steps) % 40 < 20 else -23
        view.look_from(Viewpoint(view.view.x + way / scale, view.view.y, scale))
        frame(view, canvas)

    benchmark(move)
    assert canvas.pixelColor(800, 500).alpha() == 255


def test_first_frame_with_tint(benchmark: BenchmarkFixture, view: SheetView) -> None:
    """Every tile in view is cut, inked and drawn."""
    canvas = QImage(1_600, 1_000, QImage.Format.Format_RGB32)
    view.look_from(Viewpoint(WIDE / 2, HIGH / 2, 0.3))

    def first() -> None:
        view.redress()
        frame(view, canvas)

    benchmark(first)


@pytest.mark.parametrize("scale", [0.12, 0.5, 2.7])
def test_frame_with_a_large_conductor_lit(
    benchmark: BenchmarkFixture, view: SheetView, lines: list[NDArray[np.float32]], scale: float
) -> None:
    """300 stretches of wire under the marker, drawn anew in every frame."""
    path = path_along(lines[:300], 2.0)

    def lit(painter: QPainter, shown: SheetView) -> None:
        paint_markers(painter, [(path, True)], shown, 6.0, DAY)

    view.overlays.append(lit)
    canvas = QImage(1_600, 1_000, QImage.Format.Format_RGB32)
    view.look_from(Viewpoint(WIDE / 2, HIGH / 2, scale))
    frame(view, canvas)
    benchmark(frame, view, canvas)


def test_a_ride_over_the_sheet(
    benchmark: BenchmarkFixture, view: SheetView, lines: list[NDArray[np.float32]]
) -> None:
    """From the whole sheet to 1:1, across it and back, with a conductor lit: every frame's time is kept."""
    canvas = QImage(1_600, 1_000, QImage.Format.Format_RGB32)
    path = path_along(lines[:100], 2.0)
    view.overlays.append(lambda painter, shown: paint_markers(painter, [(path, True)], shown, 6.0, DAY))
    times: list[float] = []
    work: list[float] = []

    def ride() -> None:
        view.redress()
        view.fit_page()
        for move in (*[("zoom", 1.08)] * 28, *[("pan", -37.0)] * 110, *[("zoom", 1 / 1.08)] * 28):
            begun, worked = perf_counter(), thread_time()
            if move[0] == "zoom":
                view.zoom_by(move[1])
            else:
                view.look_from(pan(view.view, move[1], move[1] / 2))
            frame(view, canvas)
            times.append(1000 * (perf_counter() - begun))
            work.append(1000 * (thread_time() - worked))

    benchmark.pedantic(ride, rounds=3, iterations=1)
    # On a machine that does other work too, the processor's own time tells what a frame costs.
    for name, taken in (("clock", times), ("processor", work)):
        half, most, last = (float(np.percentile(taken, share)) for share in (50, 95, 100))
        benchmark.extra_info.update({f"{name}_median_ms": half, f"{name}_p95_ms": most})
        print(f"\n{name}: median {half:.1f} ms, 95 % within {most:.1f} ms, slowest {last:.1f} ms")
    assert times
    assert len(times) % 166 == 0  # one ride, or as many as are timed

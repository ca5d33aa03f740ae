"""What surrounds the network: weights and card, tiles and their seams, scale, the way back to the page."""

from __future__ import annotations

import hashlib
import json
from dataclasses import astuple, replace
from pathlib import Path

import cv2
import numpy as np
import pytest
from numpy.typing import NDArray
from tiny_network import KIND_NAMES, save_tiny_network

from tracer.errors import Cancelled, WeightsDamaged
from tracer.progress import NullProgress
from tracer.reader.layers import Pixel
from tracer.reader.read import grid_scale, read
from tracer.reader.tiles import read_grid, tiles_of
from tracer.reader.weights import Weights, load_weights
from tracer.scan.corners import Corners
from tracer.scan.page import Page
from tracer.scan.transform import apply


@pytest.fixture(scope="module")
def weights(tmp_path_factory: pytest.TempPathFactory) -> Weights:
    return load_weights(*save_tiny_network(tmp_path_factory.mktemp("weights")))


def page_of(grey: NDArray[np.uint8]) -> Page:
    return Page(grey=grey, source=Path("drawn.png"), number=1, dpi=None, sha256="0" * 64)


def drawn(height: int, width: int, pen: int = 3) -> NDArray[np.uint8]:
    grey = np.full((height, width), 255, np.uint8)
    for place in range(20, height - 20, 47):
        grey[place : place + pen, 15 : width - 15] = 0
    for place in range(30, width - 20, 61):
        grey[15 : height - 15, place : place + pen] = 0
    return grey


class Watch:
    """Counts what is reported and cancels after `patience` reports."""

    def __init__(self, patience: int = 10**6) -> None:
        self.shares: list[float] = []
        self.patience = patience

    def advance(self, stage: str, share: float) -> None:
        self.shares.append(share)

    def cancelled(self) -> bool:
        return len(self.shares) >= self.patience


@pytest.mark.parametrize("shape", [(320, 352), (300, 410), (97, 131), (33, 500), (1, 1)])
def test_tiles_leave_no_seam(weights: Weights, shape: tuple[int, int]) -> None:
    noise = np.random.default_rng(4).integers(0, 256, shape, dtype=np.uint8)
    whole = read_grid(noise, weights, NullProgress(), core=1024)
    tiled = read_grid(noise, weights, NullProgress(), core=96, margin=32)
    for plane in ("classes", "sureness", "kinds", "kind_sureness"):
        assert np.array_equal(getattr(whole, plane), getattr(tiled, plane)), plane
    assert np.array_equal(whole.classes, (255 - noise.astype(int) > 127).astype(np.uint8))
    assert whole.kinds.shape == (-(-shape[0] // 4), -(-shape[1] // 4))


def test_tiles_cover_the_grid_once() -> None:
    seen = np.zeros((230, 415), int)
    tiles = list(tiles_of(230, 415, 96))
    for tile in tiles:
        seen[tile.top : tile.bottom, tile.left : tile.right] += 1
        assert tile.top % 32 == tile.left % 32 == 0
    assert (seen == 1).all()
    assert len(tiles) == 15


def test_a_white_edge_is_not_read(weights: Weights) -> None:
    sizes: list[tuple[int, ...]] = []

    class Measuring:
        def run(self, outputs: list[str], inputs: dict[str, NDArray[np.float32]]) -> list[NDArray[np.uint8]]:
            sizes.append(next(iter(inputs.values())).shape)
            return weights.runner.run(outputs, inputs)

    grid = np.full((900, 900), 255, np.uint8)
    grid[400:500, 300:303] = 0
    planes = read_grid(grid, replace(weights, runner=Measuring()), NullProgress(), margin=32)
    assert sizes == [(1, 1, 128 + 2 * 32, 32 + 2 * 32)]
    assert np.array_equal(planes.classes == Pixel.WIRE, grid == 0)
    assert planes.sureness[0, 0] == 255


def test_bare_paper_is_not_read(weights: Weights) -> None:
    class Counting:
        calls = 0

        def run(self, outputs: list[str], inputs: dict[str, NDArray[np.float32]]) -> list[NDArray[np.uint8]]:
            self.calls += 1
            return weights.runner.run(outputs, inputs)

    counting = Counting()
    grid = np.full((640, 640), 255, np.uint8)
    grid[10:14, 10:60] = 0
    planes = read_grid(grid, replace(weights, runner=counting), NullProgress(), core=128, margin=32)
    assert counting.calls == 1
    assert planes.classes.sum() == 200
    assert planes.sureness[400, 400] == 255


@pytest.mark.parametrize("pen", [1, 2, 3, 4, 6, 8])
def test_every_wire_pixel_leads_back_to_ink_on_the_page(weights: Weights, pen: int) -> None:
    grey = drawn(600, 700, pen)
    layers = read(page_of(grey), weights=weights)
    assert layers.stroke == pytest.approx(pen, abs=0.1)
    rows, columns = np.nonzero(layers.classes == Pixel.WIRE)
    back = apply(layers.to_page, np.column_stack([columns, rows]))
    x, y = np.clip(np.rint(back).astype(int), 0, (699, 599)).T
    near_ink = cv2.erode(grey, np.ones((3, 3), np.uint8)) == 0
    assert near_ink[y, x].mean() > 0.995
    share_of_ink = layers.classes.mean() / (grey == 0).mean()
    assert share_of_ink == pytest.approx(1.0, abs=0.2)
    assert layers.kind_names == KIND_NAMES
    assert layers.reader_sha256 == weights.sha256


def test_usual_strokes_are_not_resampled(weights: Weights) -> None:
    grey = drawn(200, 300, 3)
    layers = read(page_of(grey), weights=weights)
    assert np.array_equal(layers.classes == Pixel.WIRE, grey == 0)
    assert np.array_equal(layers.to_page, np.eye(2, 3))


@pytest.mark.parametrize(("pen", "side"), [(1, 1800), (3, 600), (6, 300)])
def test_the_grid_has_the_stroke_of_the_card(weights: Weights, pen: int, side: int) -> None:
    assert read(page_of(drawn(600, 600, pen)), weights=weights).classes.shape == (side, side)


def test_a_turned_sheet_is_read_upright_and_mapped_back(weights: Weights) -> None:
    turn = cv2.getRotationMatrix2D((350, 300), -3.0, 1.0)
    grey = np.asarray(cv2.warpAffine(drawn(600, 700), turn, (700, 600), borderValue=255), dtype=np.uint8)
    layers = read(page_of(grey), weights=weights)
    angle = np.degrees(np.arctan2(layers.to_page[1, 0], layers.to_page[0, 0]))
    assert angle == pytest.approx(3.0, abs=0.1)
    rows, columns = np.nonzero(layers.classes == Pixel.WIRE)
    x, y = np.rint(apply(layers.to_page, np.column_stack([columns, rows]))).astype(int).T
    inside = (x >= 0) & (y >= 0) & (x < 700) & (y < 600)
    assert (grey[y[inside], x[inside]] < 200).mean() > 0.97


def test_blank_page_goes_through(weights: Weights) -> None:
    layers = read(page_of(np.full((100, 150), 230, np.uint8)), weights=weights)
    assert layers.stroke == 3.0
    assert not layers.classes.any()
    assert not layers.kinds.any()


def test_scaling_up_stops_at_the_limit_for_pages() -> None:
    assert grid_scale(1.0, 3.0, (2.2, 3.5), 30_000_000) == pytest.approx(2.0)
    assert grid_scale(1.0, 3.0, (2.2, 3.5), 119_000_000) == pytest.approx(1.0, abs=0.01)
    assert grid_scale(9.0, 3.0, (2.2, 3.5), 119_000_000) == pytest.approx(1 / 3)


def test_progress_rises_to_one_and_cancel_stops(weights: Weights) -> None:
    watch = Watch()
    read_grid(drawn(400, 400), weights, watch, core=96, margin=32)
    assert watch.shares == sorted(watch.shares)
    assert watch.shares[-1] == 1.0
    assert len(watch.shares) == 26
    stopped = Watch(patience=5)
    with pytest.raises(Cancelled):
        read_grid(drawn(400, 400), weights, stopped, core=96, margin=32)
    assert len(stopped.shares) == 5


def test_weights_that_do_not_fit_their_card(tmp_path: Path) -> None:
    model, card = save_tiny_network(tmp_path)
    damaged = bytearray(model.read_bytes())
    damaged[len(damaged) // 2] ^= 1
    model.write_bytes(damaged)
    with pytest.raises(WeightsDamaged, match=r"tiny\.onnx.*not those of their card.*Install"):
        load_weights(model, card)


@pytest.mark.parametrize(
    ("field", "value"),
    [
        ("sha256", None),
        ("input", {"stroke_px": 0, "strokes_px": [0, 0]}),
        ("input", {"stroke_px": "wide", "strokes_px": [2, 3]}),
        ("input", {"stroke_px": 3.0, "strokes_px": [3.5, 2.2]}),
        ("input", {"stroke_px": 3.0}),
        ("input", 3),
        ("class_names", ["wire", "background"]),
        ("kind_names", ["resistor"]),
        ("kind_names", []),
    ],
)
def test_damaged_card(tmp_path: Path, field: str, value: object) -> None:
    model, card = save_tiny_network(tmp_path)
    fields = json.loads(card.read_text())
    fields[field] = value
    card.write_text(json.dumps(fields))
    with pytest.raises(WeightsDamaged):
        load_weights(model, card)


def test_missing_or_senseless_files(tmp_path: Path) -> None:
    model, card = save_tiny_network(tmp_path)
    with pytest.raises(WeightsDamaged, match=r"gone\.onnx"):
        load_weights(tmp_path / "gone.onnx", card)
    with pytest.raises(WeightsDamaged, match=r"card is damaged"):
        load_weights(model, model)
    senseless = tmp_path / "senseless.onnx"
    senseless.write_bytes(b"not a network")
    fields = json.loads(card.read_text())
    fields["sha256"] = hashlib.sha256(b"not a network").hexdigest()
    card.write_text(json.dumps(fields))
    with pytest.raises(WeightsDamaged, match="cannot be run"):
        load_weights(senseless, card)


def test_a_photographed_sheet_is_laid_flat_and_mapped_back(weights: Weights) -> None:
    corners = Corners((90.0, 60.0), (760.0, 110.0), (720.0, 640.0), (40.0, 560.0))
    sheet = np.array([(0, 0), (699, 0), (699, 599), (0, 599)], np.float32)
    there = cv2.getPerspectiveTransform(sheet, np.array(astuple(corners), np.float32))
    grey = np.asarray(cv2.warpPerspective(drawn(600, 700, 4), there, (800, 700), borderValue=70), np.uint8)
    layers = read(page_of(grey), weights=weights, corners=corners)
    assert layers.to_page.shape == (3, 3)
    assert layers.stroke == pytest.approx(4.0, abs=0.4)
    rows, columns = np.nonzero(layers.classes == Pixel.WIRE)
    x, y = np.rint(apply(layers.to_page, np.column_stack([columns, rows]))).astype(int).T
    assert (cv2.erode(grey, np.ones((3, 3), np.uint8))[y, x] < 128).mean() > 0.97

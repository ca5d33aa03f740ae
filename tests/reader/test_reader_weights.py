"""The weights that travel with the program, on sheets that training never drew."""

from __future__ import annotations

from pathlib import Path

import cv2
import numpy as np
import pytest

from tracer.progress import NullProgress
from tracer.reader.layers import Pixel
from tracer.reader.read import read
from tracer.reader.tiles import read_grid
from tracer.reader.weights import Weights, load_weights
from tracer.scan.page import Page
from tracer.scan.transform import apply
from tracer.training.layout import draw_sheet
from tracer.training.spoil import spoil
from tracer.training.truth import SheetTruth

ASSETS = Path(__file__).resolve().parents[2] / "assets"
pytestmark = pytest.mark.skipif(
    not (ASSETS / "reader.onnx").exists(), reason="this clone has no trained weights"
)


@pytest.fixture(scope="module")
def weights() -> Weights:
    return load_weights()


def sheet(seed: int, stroke: float, level: int) -> SheetTruth:
    """Draw a sheet whose size goes with its stroke; training stops below seed 1000."""
    side = round(768 * stroke / 3.0)
    return spoil(draw_sheet(seed, side, side, stroke=stroke), level, seed)


@pytest.mark.parametrize("stroke", [1.5, 3.0, 6.0])
@pytest.mark.parametrize("level", [0, 1])
def test_wires_are_found_whatever_the_stroke(weights: Weights, stroke: float, level: int) -> None:
    """An edge half a pixel out is no error: what is seen may lie 1 px beside the drawn wire."""
    precision, recall = [], []
    for seed in (2001, 2002, 2003):
        truth = sheet(seed, stroke, level)
        page = Page(truth.image, Path("drawn.png"), 1, None, "0" * 64)
        layers = read(page, weights=weights)
        ys, xs = np.indices(layers.classes.shape)
        back = apply(layers.to_page, np.column_stack([xs.ravel(), ys.ravel()]))
        x, y = np.clip(np.rint(back).astype(int), 0, np.array(truth.classes.shape)[::-1] - 1).T
        wire = (truth.classes == Pixel.WIRE).astype(np.uint8)
        near = cv2.dilate(wire, np.ones((3, 3), np.uint8))
        seen = layers.classes.ravel() == Pixel.WIRE
        precision.append(near[y, x][seen].sum() / seen.sum())
        recall.append(wire[y, x][seen].sum() / wire[y, x].sum())
    print(precision, recall)
    assert np.mean(precision) > 0.85
    assert np.mean(recall) > 0.75


def test_tiles_agree_with_one_whole_pass(weights: Weights) -> None:
    image = sheet(2004, 3.0, 1).image
    whole = read_grid(image, weights, NullProgress(), core=1024)
    tiled = read_grid(image, weights, NullProgress(), core=512)
    assert (whole.classes == tiled.classes).mean() > 0.999
    assert (whole.kinds == tiled.kinds).mean() > 0.99

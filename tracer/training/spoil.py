"""Spoiling a drawn sheet as scanners, copiers and years do, its truth moved with it.

Levels: 0 leaves it clean, 1 is an office scan, 2 a photocopy, 3 a poor photocopy of a copy.
"""

from __future__ import annotations

import io
from dataclasses import replace
from typing import Final

import numpy as np
from numpy.typing import NDArray
from PIL import Image, ImageDraw, ImageFilter

from tracer.training.legible import legible
from tracer.training.moving import Skew, move_sheet
from tracer.training.truth import SheetTruth

__all__ = ["LEVELS", "spoil"]

LEVELS: Final = ("clean", "office scan", "photocopy", "poor photocopy")

Grey = NDArray[np.float64]


def spoil(sheet: SheetTruth, level: int, seed: int) -> SheetTruth:
    """Spoil `sheet`; image, class map, kind map, points, boxes and terminals all move together.

    Parameters
    ----------
    sheet : SheetTruth
    level : int
        0 to 3, see `LEVELS`.
    seed : int
        The same seed gives the same spoiling.

    Raises
    ------
    ValueError
        No such level.
    """
    if not 0 <= level < len(LEVELS):
        raise ValueError(f"spoiling level {level} is not one of 0 to {len(LEVELS) - 1}")
    if level == 0:
        return sheet
    rng = np.random.default_rng(seed)
    height, width = sheet.image.shape
    limit = np.deg2rad((0.0, 0.5, 1.0, 1.5)[level])
    skew = Skew(
        width, height, float(rng.uniform(-limit, limit)), float(rng.uniform(-limit, limit)) * 0.4,
        float(rng.normal(0, 0.002)) * level,
    )  # fmt: skip
    moved = move_sheet(sheet, skew)
    page = moved.image.astype(np.float64)
    page = {1: _office_scan, 2: _photocopy, 3: _poor_photocopy}[level](page, sheet.stroke, rng)
    return legible(moved, replace(moved, image=np.clip(page, 0, 255).astype(np.uint8)))


def _blur(page: Grey, radius: float) -> Grey:
    image = Image.fromarray(np.clip(page, 0, 255).astype(np.uint8)).filter(ImageFilter.GaussianBlur(radius))
    return np.asarray(image, dtype=np.float64)


def _cloud(shape: tuple[int, int], size: float, rng: np.random.Generator) -> Grey:
    """Smooth noise of about unit size, its lumps `size` px across."""
    rows, columns = int(shape[0] / size) + 3, int(shape[1] / size) + 3
    coarse = rng.normal(0.0, 1.0, (rows, columns))
    lumps = Image.fromarray(coarse.astype(np.float32), mode="F")
    grown = lumps.resize((int(columns * size), int(rows * size)), Image.Resampling.BICUBIC)
    return np.asarray(grown, dtype=np.float64)[: shape[0], : shape[1]]


def _uneven_light(page: Grey, depth: float, rng: np.random.Generator) -> Grey:
    light = 1.0 - depth * (0.5 + 0.5 * np.tanh(_cloud(page.shape, max(page.shape) / 2.5, rng)))
    lit: Grey = page * light
    return lit


def _jpeg(page: Grey, quality: int) -> Grey:
    store = io.BytesIO()
    Image.fromarray(np.clip(page, 0, 255).astype(np.uint8)).save(store, "JPEG", quality=quality)
    return np.asarray(Image.open(store).convert("L"), dtype=np.float64)


def _speckle(page: Grey, per_megapixel: float, largest: float, rng: np.random.Generator) -> Grey:
    """Black specks, most of a pixel or two, in swarms."""
    image = Image.fromarray(np.clip(page, 0, 255).astype(np.uint8))
    pen = ImageDraw.Draw(image)
    count = rng.poisson(per_megapixel * page.size / 1e6)
    swarm = np.exp(_cloud(page.shape, 90.0, rng))
    for _ in range(int(count)):
        y, x = int(rng.integers(0, page.shape[0])), int(rng.integers(0, page.shape[1]))
        if rng.random() < swarm[y, x] / 3.0:
            size = min(largest, float(rng.exponential(0.35))) * 1.5
            pen.ellipse((x - size, y - size, x + size, y + size), fill=int(rng.integers(0, 90)))
    return np.asarray(image, dtype=np.float64)


def _dropout(page: Grey, stroke: float, share: float, rng: np.random.Generator) -> Grey:
    """Ink that did not take: short breaks, and runs of stroke reduced to dots."""
    grain = _cloud(page.shape, stroke * 1.1, rng)
    patches = _cloud(page.shape, 70.0, rng)
    runs = _cloud((page.shape[0], max(8, page.shape[1] // 5)), stroke * 1.5, rng)
    runs = np.repeat(runs, -(-page.shape[1] // runs.shape[1]), axis=1)[:, : page.shape[1]]
    lost = (grain > 2.35) | ((patches > 2.0 - 4.0 * share) & (grain > 0.15)) | (runs > 3.1 - 4.0 * share)
    bare: Grey = np.where(lost, 255.0, page)
    return bare


def _fold(page: Grey, rng: np.random.Generator) -> Grey:
    """A fold: a pale line with a dark edge, right across."""
    level = bool(rng.random() < 0.5)
    length = page.shape[0] if level else page.shape[1]
    at = int(rng.uniform(0.25, 0.75) * length)
    folded = page.copy()
    view = folded if level else folded.T
    view[at : at + 2] = view[at : at + 2] * 0.4 + 255 * 0.6
    view[at + 2 : at + 3] *= 0.82
    return folded


def _holes(page: Grey, rng: np.random.Generator) -> Grey:
    """Punch holes copied black at the left edge."""
    image = Image.fromarray(np.clip(page, 0, 255).astype(np.uint8))
    pen = ImageDraw.Draw(image)
    radius = 0.012 * page.shape[0]
    for part in (0.35, 0.65):
        x, y = radius * rng.uniform(1.2, 2.0), page.shape[0] * part
        pen.ellipse((x - radius, y - radius, x + radius, y + radius), fill=20, outline=0)
    return np.asarray(image, dtype=np.float64)


def _show_through(page: Grey, depth: float) -> Grey:
    shown: Grey = np.minimum(page, 255 - depth * (255 - _blur(page[:, ::-1], 2.5)))
    return shown


def _coarsen(page: Grey, factor: float) -> Grey:
    """Scan at a lower resolution and enlarge again."""
    image = Image.fromarray(np.clip(page, 0, 255).astype(np.uint8))
    small = image.resize(
        (max(1, int(image.width / factor)), max(1, int(image.height / factor))), Image.Resampling.BOX
    )
    return np.asarray(small.resize(image.size, Image.Resampling.BILINEAR), dtype=np.float64)


def _office_scan(page: Grey, stroke: float, rng: np.random.Generator) -> Grey:
    page = _blur(page, float(rng.uniform(0.3, 0.7)))
    page = 12 + page * 0.92 + rng.normal(0, 4.0, page.shape)
    page = _uneven_light(page, 0.06, rng)
    page = _speckle(page, 60, 1.0, rng)
    return _jpeg(page, int(rng.integers(70, 92)))


def _photocopy(page: Grey, stroke: float, rng: np.random.Generator) -> Grey:
    page = _show_through(page, float(rng.uniform(0.0, 0.12)))
    page = _blur(page, float(rng.uniform(0.6, 1.0)))
    page = _uneven_light(page, 0.15, rng)
    edge = 120 + 18 * _cloud(page.shape, 60.0, rng) + rng.normal(0, 16, page.shape)
    page = 255 / (1 + np.exp(-(page - edge) / 14))
    page = _dropout(page, stroke, 0.02, rng)
    page = _speckle(page, 500, 1.6, rng)
    if rng.random() < 0.4:
        page = _fold(page, rng)
    if rng.random() < 0.4:
        page = _holes(page, rng)
    return _jpeg(_blur(page, 0.5), int(rng.integers(60, 85)))


def _poor_photocopy(page: Grey, stroke: float, rng: np.random.Generator) -> Grey:
    page = _show_through(page, float(rng.uniform(0.1, 0.3)))
    page = _coarsen(page, float(rng.uniform(1.15, 1.5)))
    page = _uneven_light(page, 0.3, rng)
    page = _blur(page, float(rng.uniform(0.5, 0.9)))
    edge = float(rng.uniform(100, 150)) + 22 * _cloud(page.shape, 50.0, rng) + rng.normal(0, 28, page.shape)
    page = np.where(page < edge, 0.0, 255.0)
    page = _dropout(page, stroke, 0.10, rng)
    page = _speckle(page, 2500, 2.2, rng)
    if rng.random() < 0.6:
        page = _fold(page, rng)
    if rng.random() < 0.5:
        page = _holes(page, rng)
    if rng.random() < 0.5:
        page = _jpeg(_blur(page, 0.4), int(rng.integers(40, 75)))
    return page

"""Cutting tiles from drawn sheets and spoiling them, on the accelerator."""

from __future__ import annotations

import math
from dataclasses import dataclass

import torch
from torch import Tensor
from torch.nn import functional

from tracer.training.classes import BACKGROUND, KIND_CELL, UNKNOWN

__all__ = ["Tiles", "blacken", "cut_tiles", "spoil_tiles"]

_SCALES = (math.log(0.85), math.log(1.7))  # sheet px to one px of a tile, evenly over the logarithm
_OBLIQUE = 0.07  # share of tiles turned by about 45 degrees


@dataclass(frozen=True, slots=True, eq=False)
class Tiles:
    """A batch: images (B, 1, T, T) float, classes (B, T, T) and kinds (B, T/4, T/4) int64, 255 unknown."""

    images: Tensor
    classes: Tensor
    kinds: Tensor


def _rand(count: int, low: float, high: float, like: Tensor) -> Tensor:
    return torch.rand(count, device=like.device) * (high - low) + low


def _gather(pool: Tensor, sheet: Tensor, x: Tensor, y: Tensor, outside: int) -> Tensor:
    height, width = pool.shape[1:]
    inside = (x >= 0) & (x < width) & (y >= 0) & (y < height)
    at = (sheet.view(-1, 1, 1) * height + y.clamp(0, height - 1)) * width + x.clamp(0, width - 1)
    taken = pool.view(-1)[at]
    return torch.where(inside, taken, torch.full_like(taken, outside))


def cut_tiles(images: Tensor, classes: Tensor, kinds: Tensor, count: int, size: int) -> Tiles:
    """Cut `count` tiles of `size` px at random places, turned, mirrored and scaled at random.

    A few lie oblique, since on real sheets some parts do. What is drawn 2.2 to 4.2 px thick is cut 1.3 to
    4.9 px thick, so that a page of thin strokes need not be made larger to be read.

    Parameters
    ----------
    images, classes : (sheets, H, W) uint8
    kinds : (sheets, H/4, W/4) uint8
    """
    height, width = images.shape[1:]
    sheet = torch.randint(0, images.shape[0], (count,), device=images.device)
    scale = torch.exp(_rand(count, *_SCALES, like=images))
    quarter = torch.where(
        torch.rand(count, device=images.device) < 0.5,
        torch.zeros(count, dtype=torch.long, device=images.device),
        torch.randint(0, 4, (count,), device=images.device),
    )
    oblique = torch.rand(count, device=images.device) < _OBLIQUE
    lean = torch.randn(count, device=images.device)
    angle = quarter * (math.pi / 2) + torch.where(oblique, math.pi / 4 + lean * 0.15, lean * 0.015)
    mirror = torch.where(torch.rand(count, device=images.device) < 0.4, -1.0, 1.0)
    middle_x = _rand(count, 0.35 * size, width - 0.35 * size, scale)
    middle_y = _rand(count, 0.35 * size, height - 0.35 * size, scale)

    def place(cells: int, step: float) -> tuple[Tensor, Tensor]:
        run = (torch.arange(cells, device=images.device) + 0.5) * step - size / 2
        v, u = torch.meshgrid(run, run, indexing="ij")
        cos, sin = (torch.cos(angle) * scale).view(-1, 1, 1), (torch.sin(angle) * scale).view(-1, 1, 1)
        u = u * mirror.view(-1, 1, 1)
        return cos * u - sin * v + middle_x.view(-1, 1, 1), sin * u + cos * v + middle_y.view(-1, 1, 1)

    x, y = place(size, 1.0)
    column, row = x.floor().long(), y.floor().long()
    cut_classes = _gather(classes, sheet, column, row, UNKNOWN)
    left, top = (x - 0.5).floor(), (y - 0.5).floor()
    part_x, part_y = x - 0.5 - left, y - 0.5 - top
    grey = torch.zeros_like(x)
    for dx in (0, 1):
        for dy in (0, 1):
            weight = (part_x if dx else 1 - part_x) * (part_y if dy else 1 - part_y)
            grey += weight * _gather(images, sheet, left.long() + dx, top.long() + dy, 255).float()
    kx, ky = place(size // KIND_CELL, float(KIND_CELL))
    cut_kinds = _gather(
        kinds, sheet, (kx / KIND_CELL).floor().long(), (ky / KIND_CELL).floor().long(), UNKNOWN
    )
    return Tiles((grey / 255.0).unsqueeze(1), cut_classes.long(), cut_kinds.long())


def _blur(images: Tensor, sigma: Tensor) -> Tensor:
    """Gaussian blur with one sigma for each image, in two passes of nine taps."""
    count = images.shape[0]
    offsets = torch.arange(-4, 5, device=images.device).view(1, -1)
    kernel = torch.exp(-0.5 * (offsets / sigma.view(-1, 1).clamp(min=0.05)) ** 2)
    kernel = kernel / kernel.sum(dim=1, keepdim=True)
    flat = images.view(1, count, *images.shape[2:])
    flat = functional.conv2d(
        functional.pad(flat, (4, 4, 0, 0), mode="replicate"), kernel.view(count, 1, 1, 9), groups=count
    )
    flat = functional.conv2d(
        functional.pad(flat, (0, 0, 4, 4), mode="replicate"), kernel.view(count, 1, 9, 1), groups=count
    )
    return flat.view_as(images)


def _cloud(images: Tensor, lump: float) -> Tensor:
    """Smooth noise of about unit size."""
    cells = max(2, int(images.shape[-1] / lump) + 2)
    coarse = torch.randn(images.shape[0], 1, cells, cells, device=images.device)
    return functional.interpolate(coarse, size=images.shape[-2:], mode="bicubic", align_corners=False) * 1.2


def _streaks(images: Tensor, share: Tensor) -> Tensor:
    """Where strokes are missing over a longer run: level or upright patches, some 8 to 30 px long."""
    size = images.shape[-1]
    long, short = int(size / 22) + 2, int(size / 5) + 2
    shape = (long, short) if float(torch.rand(1)) < 0.5 else (short, long)
    coarse = torch.randn(images.shape[0], 1, *shape, device=images.device)
    grain = functional.interpolate(coarse, size=images.shape[-2:], mode="bicubic", align_corners=False) * 1.2
    where = _cloud(images, 110.0)
    return (grain > 3.0 - 6.0 * share - 0.9 * where.clamp(min=0)) & (share > 0)


def _per(count: int, chance: float, low: float, high: float, like: Tensor) -> Tensor:
    """A strength for each image, zero for those the trouble spares."""
    strength = _rand(count, low, high, like)
    return torch.where(
        torch.rand(count, device=like.device) < chance, strength, torch.zeros_like(strength)
    ).view(-1, 1, 1, 1)


def _specks(images: Tensor, count: int) -> Tensor:
    """Ink of random specks, 0 to 1, from single pixels to small blots, in swarms."""
    swarm = torch.exp(_cloud(images, 90.0)).clamp(max=6.0)
    rate = _per(count, 0.75, 0.00002, 0.0022, images) * swarm
    thick = (_cloud(images, 45.0) > 1.7).float() * _per(count, 0.25, 0.004, 0.035, images)
    rate = rate + thick
    fine = (torch.rand_like(images) < rate).float()
    half = functional.interpolate(images, scale_factor=0.5)
    coarse = (torch.rand_like(half) < functional.interpolate(rate, scale_factor=0.5) * 0.25).float()
    blots = (torch.rand_like(half) < functional.interpolate(rate, scale_factor=0.5) * 0.06).float()
    blots = functional.max_pool2d(blots, 3, 1, 1)
    both = functional.interpolate(torch.maximum(coarse, blots), size=images.shape[-2:], mode="bilinear")
    return torch.maximum(fine, both) * _rand(count, 0.5, 1.0, images).view(-1, 1, 1, 1)


def _folds(images: Tensor, count: int) -> Tensor:
    """How far a fold bleaches each pixel, 0 to 1."""
    size = images.shape[-1]
    run = torch.arange(size, device=images.device).float().view(1, 1, 1, size)
    at = _rand(count, 0, size, images).view(-1, 1, 1, 1)
    fold = torch.exp(-0.5 * ((run - at) / 1.1) ** 2) * _per(count, 0.12, 0.3, 0.9, images)
    upright = fold.expand(-1, -1, size, -1)
    level = torch.rand(count, device=images.device).view(-1, 1, 1, 1) < 0.5
    return torch.where(level, upright.transpose(2, 3), upright)


@torch.no_grad()
def blacken(tiles: Tiles) -> Tiles:
    """Black edges of a scan that overran its page, and punch holes copied black: ink that means nothing."""
    images = tiles.images
    count, size = images.shape[0], images.shape[-1]
    run = torch.arange(size, device=images.device).float().view(1, 1, 1, size)
    deep = _per(count, 0.06, 4.0, 30.0, images) + 3.0 * _cloud(images, 40.0)
    band = (run < deep) & (deep.amax(dim=(1, 2, 3), keepdim=True) > 14.0)
    quarter = torch.randint(0, 4, (1,)).item()
    band = torch.rot90(band, int(quarter), (2, 3))
    x, y = (_rand(count, 0, size, images).view(-1, 1, 1, 1) for _ in range(2))
    hole = (run - x) ** 2 + (run.transpose(2, 3) - y) ** 2 < _per(count, 0.04, 9.0, 26.0, images) ** 2
    black = band | hole
    flat = black[:, 0]
    cells = functional.max_pool2d(black.float(), KIND_CELL)[:, 0] > 0
    return Tiles(
        torch.where(black, torch.zeros_like(images), images),
        torch.where(flat & (tiles.classes != UNKNOWN), BACKGROUND, tiles.classes),
        torch.where(cells & (tiles.kinds != UNKNOWN), 0, tiles.kinds),
    )


@torch.no_grad()
def spoil_tiles(images: Tensor) -> Tensor:
    """Spoil (B, 1, T, T) images (1 paper, 0 ink), each in its own measure; a fifth stay nearly clean."""
    count = images.shape[0]
    page = images
    other = torch.flip(torch.roll(page, 1, dims=0), dims=(3,))
    page = torch.minimum(
        page, 1 - _per(count, 0.3, 0.03, 0.3, page) * (1 - _blur(other, _rand(count, 1.0, 3.0, page)))
    )
    factor = float(torch.rand(1) * 0.65 + 1.0)
    if factor > 1.08:
        small = functional.interpolate(page, scale_factor=1 / factor, mode="area")
        coarse = functional.interpolate(small, size=page.shape[-2:], mode="bilinear")
        page = torch.where(torch.rand(count, device=page.device).view(-1, 1, 1, 1) < 0.5, coarse, page)
    page = _blur(page, _rand(count, 0.3, 1.1, page))
    light = 1 - _per(count, 0.6, 0.02, 0.3, page) * torch.sigmoid(2 * _cloud(page, 250.0))
    page = page * light
    edge = _rand(count, 0.36, 0.68, page).view(-1, 1, 1, 1)
    edge = edge + _per(count, 0.7, 0.02, 0.13, page) * _cloud(page, 55.0)
    edge = edge + _per(count, 0.7, 0.01, 0.16, page) * torch.randn_like(page)
    hard = torch.sigmoid((page - edge) / _rand(count, 0.015, 0.09, page).view(-1, 1, 1, 1))
    page = torch.where(torch.rand(count, device=page.device).view(-1, 1, 1, 1) < 0.72, hard, page)
    grain, patches = _cloud(page, 3.5), _cloud(page, 70.0)
    share = _per(count, 0.5, 0.0, 0.14, page)
    lost = ((patches > 2.2 - 5.0 * share) & (grain > 0.2) & (share > 0)) | (grain > 3.1 - 5.0 * share)
    lost = lost | _streaks(page, _per(count, 0.35, 0.0, 0.13, page))
    page = torch.where(lost, torch.ones_like(page), page)
    page = torch.minimum(page, 1 - _specks(page, count))
    page = page + _folds(page, count) * (1 - page)
    page = _blur(page, _rand(count, 0.05, 0.7, page))
    page = page + _per(count, 0.6, 0.005, 0.05, page) * torch.randn_like(page)
    ink, paper = (
        _rand(count, 0.0, 0.2, page).view(-1, 1, 1, 1),
        _rand(count, 0.88, 1.0, page).view(-1, 1, 1, 1),
    )
    return (ink + page * (paper - ink)).clamp(0, 1)

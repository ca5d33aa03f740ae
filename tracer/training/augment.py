"""Cutting tiles from drawn sheets and spoiling them, on the accelerator."""

from __future__ import annotations

import math
from dataclasses import dataclass

import torch
from torch import Tensor
from torch.nn import functional

from tracer.training.classes import BACKGROUND, BODY, FURNITURE, KIND_CELL, UNKNOWN
from tracer.training.marring import (
    cloud,
    dotted,
    fattened,
    faxed,
    gutter,
    one_bit,
    per,
    rand,
    ringing,
    screened,
    some,
    squared,
    thinned,
)

__all__ = ["Tiles", "blacken", "cut_tiles", "forget_lost", "spoil_tiles"]

_SCALES = (math.log(0.85), math.log(1.7))  # sheet px to one px of a tile, evenly over the logarithm
_OBLIQUE = 0.07  # share of tiles turned by about 45 degrees
_SEAM = 0.05  # share of tiles over the seam of two pages that do not quite match


@dataclass(frozen=True, slots=True, eq=False)
class Tiles:
    """A batch: images (B, 1, T, T) float, classes (B, T, T) and kinds (B, T/4, T/4) int64, 255 unknown."""

    images: Tensor
    classes: Tensor
    kinds: Tensor


def _gather(pool: Tensor, sheet: Tensor, x: Tensor, y: Tensor, outside: int) -> Tensor:
    height, width = pool.shape[1:]
    inside = (x >= 0) & (x < width) & (y >= 0) & (y < height)
    at = (sheet.view(-1, 1, 1) * height + y.clamp(0, height - 1)) * width + x.clamp(0, width - 1)
    taken = pool.view(-1)[at]
    return torch.where(inside, taken, torch.full_like(taken, outside))


def _stepped(u: Tensor, v: Tensor, seam: tuple[Tensor, ...], seamed: Tensor) -> tuple[Tensor, Tensor]:
    """Beyond a seam the sheet goes on a few px further along and to the side."""
    at, along, aside = (part.view(-1, 1, 1) for part in seam)
    upright = seamed[1].view(-1, 1, 1)
    beyond = (torch.where(upright, u, v) > at) & seamed[0].view(-1, 1, 1)
    along = along * 0.4
    return (
        u + torch.where(beyond, torch.where(upright, along, aside), 0.0),
        v + torch.where(beyond, torch.where(upright, aside, along), 0.0),
    )


def cut_tiles(images: Tensor, classes: Tensor, kinds: Tensor, count: int, size: int) -> Tiles:
    """Cut `count` tiles of `size` px at random places, turned, mirrored and scaled at random.

    A few lie oblique, since on real sheets some parts do, and a few lie over the seam of a sheet that was
    printed on two pages. What is drawn 2.2 to 4.2 px thick is cut 1.3 to
    4.9 px thick, so that a page of thin strokes need not be made larger to be read.

    Parameters
    ----------
    images, classes : (sheets, H, W) uint8
    kinds : (sheets, H/4, W/4) uint8
    """
    height, width = images.shape[1:]
    sheet = torch.randint(0, images.shape[0], (count,), device=images.device)
    scale = torch.exp(rand(count, *_SCALES, like=images))
    quarter = torch.where(
        torch.rand(count, device=images.device) < 0.5,
        torch.zeros(count, dtype=torch.long, device=images.device),
        torch.randint(0, 4, (count,), device=images.device),
    )
    oblique = torch.rand(count, device=images.device) < _OBLIQUE
    lean = torch.randn(count, device=images.device)
    angle = quarter * (math.pi / 2) + torch.where(oblique, math.pi / 4 + lean * 0.15, lean * 0.015)
    mirror = torch.where(torch.rand(count, device=images.device) < 0.4, -1.0, 1.0)
    middle_x = rand(count, 0.35 * size, width - 0.35 * size, scale)
    middle_y = rand(count, 0.35 * size, height - 0.35 * size, scale)

    seam = (rand(count, -0.4 * size, 0.4 * size, scale), *(rand(count, -20, 20, scale) for _ in range(2)))
    seamed = torch.rand(2, count, device=images.device) < torch.tensor([[_SEAM], [0.5]], device=images.device)

    def place(cells: int, step: float) -> tuple[Tensor, Tensor]:
        run = (torch.arange(cells, device=images.device) + 0.5) * step - size / 2
        v, u = torch.meshgrid(run, run, indexing="ij")
        cos, sin = (torch.cos(angle) * scale).view(-1, 1, 1), (torch.sin(angle) * scale).view(-1, 1, 1)
        u, v = _stepped(u, v, seam, seamed)
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


def _streaks(images: Tensor, share: Tensor) -> Tensor:
    """Where strokes are missing over a longer run: level or upright patches, some 8 to 30 px long."""
    size = images.shape[-1]
    long, short = int(size / 22) + 2, int(size / 5) + 2
    shape = (long, short) if float(torch.rand(1)) < 0.5 else (short, long)
    coarse = torch.randn(images.shape[0], 1, *shape, device=images.device)
    grain = functional.interpolate(coarse, size=images.shape[-2:], mode="bicubic", align_corners=False) * 1.2
    where = cloud(images, 110.0)
    return (grain > 3.0 - 6.0 * share - 0.9 * where.clamp(min=0)) & (share > 0)


def _specks(images: Tensor, count: int) -> Tensor:
    """Ink of random specks, 0 to 1, from single pixels to small blots, in swarms."""
    swarm = torch.exp(cloud(images, 90.0)).clamp(max=6.0)
    rate = per(count, 0.75, 0.00002, 0.0022, images) * swarm
    thick = (cloud(images, 45.0) > 1.7).float() * per(count, 0.25, 0.004, 0.035, images)
    rate = rate + thick
    fine = (torch.rand_like(images) < rate).float()
    half = functional.interpolate(images, scale_factor=0.5)
    coarse = (torch.rand_like(half) < functional.interpolate(rate, scale_factor=0.5) * 0.25).float()
    blots = (torch.rand_like(half) < functional.interpolate(rate, scale_factor=0.5) * 0.06).float()
    blots = functional.max_pool2d(blots, 3, 1, 1)
    both = functional.interpolate(torch.maximum(coarse, blots), size=images.shape[-2:], mode="bilinear")
    return torch.maximum(fine, both) * rand(count, 0.5, 1.0, images).view(-1, 1, 1, 1)


def _folds(images: Tensor, count: int) -> Tensor:
    """How far a fold bleaches each pixel, 0 to 1."""
    size = images.shape[-1]
    run = torch.arange(size, device=images.device).float().view(1, 1, 1, size)
    at = rand(count, 0, size, images).view(-1, 1, 1, 1)
    fold = torch.exp(-0.5 * ((run - at) / 1.1) ** 2) * per(count, 0.12, 0.3, 0.9, images)
    upright = fold.expand(-1, -1, size, -1)
    level = torch.rand(count, device=images.device).view(-1, 1, 1, 1) < 0.5
    return torch.where(level, upright.transpose(2, 3), upright)


def _scribbled(images: Tensor, classes: Tensor) -> tuple[Tensor, Tensor]:
    """Loops in pencil and stamps' frames over whatever is drawn; on bare paper they are furniture."""
    count, size = images.shape[0], images.shape[-1]
    run = torch.arange(size, device=images.device).float().view(1, 1, 1, size)
    angle = rand(count, 0.0, math.pi, images).view(-1, 1, 1, 1)
    x, y = (run - rand(count, 0, size, images).view(-1, 1, 1, 1) for _ in range(2))
    y = y.transpose(2, 3)
    long, short = (
        rand(count, low, high, images).view(-1, 1, 1, 1) for low, high in ((25.0, 110.0), (14.0, 60.0))
    )
    square = torch.where(torch.rand(count, 1, 1, 1, device=images.device) < 0.3, 10.0, 2.0)
    along, across = (x * angle.cos() + y * angle.sin()) / long, (y * angle.cos() - x * angle.sin()) / short
    reach = (along.abs() ** square + across.abs() ** square + 1e-9) ** (1 / square)
    thick = rand(count, 0.5, 1.5, images).view(-1, 1, 1, 1)
    line = (reach - 1 + 0.05 * cloud(images, 60.0)).abs() * short < thick
    strength = rand(count, 0.25, 0.95, images).view(-1, 1, 1, 1)
    bare = line[:, 0] & (classes == BACKGROUND) & (images[:, 0] > 0.8)
    return torch.minimum(images, 1 - strength * line), torch.where(bare, FURNITURE, classes)


@torch.no_grad()
def forget_lost(tiles: Tiles, spoilt: Tensor) -> Tiles:
    """Say nothing of strokes of which spoiling has left no trace over some six strokes' length.

    Parameters
    ----------
    tiles : Tiles
        Before spoiling.
    spoilt : (B, 1, T, T) float
        The images after it.
    """
    inked = (tiles.images < 0.6) & ~torch.isin(
        tiles.classes, torch.tensor([BACKGROUND, BODY, UNKNOWN], device=spoilt.device)
    ).unsqueeze(1)
    lost = inked & (spoilt > 0.8)
    kept, drawn = (functional.avg_pool2d(part.float(), 17, 4, 8) for part in (inked & ~lost, inked))
    bare = functional.interpolate((kept < 0.08 * drawn).float(), size=spoilt.shape[-2:]) > 0.5
    gone = (lost & bare)[:, 0]
    return Tiles(tiles.images, torch.where(gone, UNKNOWN, tiles.classes), tiles.kinds)


@torch.no_grad()
def blacken(tiles: Tiles) -> Tiles:
    """Edges of a scan that overran its page and punch holes, black or grey: ink that means nothing."""
    images = tiles.images
    count, size = images.shape[0], images.shape[-1]
    run = torch.arange(size, device=images.device).float().view(1, 1, 1, size)
    deep = per(count, 0.06, 4.0, 30.0, images) + 3.0 * cloud(images, 40.0)
    band = (run < deep) & (deep.amax(dim=(1, 2, 3), keepdim=True) > 14.0)
    quarter = torch.randint(0, 4, (1,)).item()
    band = torch.rot90(band, int(quarter), (2, 3))
    x, y = (rand(count, 0, size, images).view(-1, 1, 1, 1) for _ in range(2))
    hole = (run - x) ** 2 + (run.transpose(2, 3) - y) ** 2 < per(count, 0.04, 9.0, 26.0, images) ** 2
    black = band | hole
    many = int(0.09 * count + float(torch.rand(1)))
    images, classes = images.clone(), tiles.classes.clone()
    images[:many], classes[:many] = _scribbled(images[:many], classes[:many])
    flat = black[:, 0]
    cells = functional.max_pool2d(black.float(), KIND_CELL)[:, 0] > 0
    return Tiles(
        torch.where(black, torch.minimum(images, per(count, 0.4, 0.05, 0.55, images)), images),
        torch.where(flat & (classes != UNKNOWN), BACKGROUND, classes),
        torch.where(cells & (tiles.kinds != UNKNOWN), 0, tiles.kinds),
    )


@torch.no_grad()
def spoil_tiles(images: Tensor) -> Tensor:
    """Spoil (B, 1, T, T) images (1 paper, 0 ink), each in its own measure; a fifth stay nearly clean."""
    count = images.shape[0]
    page = some(some(some(images, 0.25, fattened), 0.12, thinned), 0.1, squared)
    other = torch.flip(torch.roll(page, 1, dims=0), dims=(3,))
    page = torch.minimum(
        page, 1 - per(count, 0.3, 0.03, 0.3, page) * (1 - _blur(other, rand(count, 1.0, 3.0, page)))
    )
    factor = float(torch.rand(1) * 0.65 + 1.0)
    if factor > 1.08:
        small = functional.interpolate(page, scale_factor=1 / factor, mode="area")
        coarse = functional.interpolate(small, size=page.shape[-2:], mode="bilinear")
        page = torch.where(torch.rand(count, device=page.device).view(-1, 1, 1, 1) < 0.5, coarse, page)
    page = _blur(page, rand(count, 0.3, 1.1, page))
    light = 1 - per(count, 0.6, 0.02, 0.3, page) * torch.sigmoid(2 * cloud(page, 250.0))
    page = some(some(page * light, 0.06, screened), 0.08, gutter)
    edge = rand(count, 0.36, 0.68, page).view(-1, 1, 1, 1)
    edge = edge + per(count, 0.7, 0.02, 0.13, page) * cloud(page, 55.0)
    edge = edge + per(count, 0.7, 0.01, 0.16, page) * torch.randn_like(page)
    hard = torch.sigmoid((page - edge) / rand(count, 0.015, 0.09, page).view(-1, 1, 1, 1))
    page = torch.where(torch.rand(count, device=page.device).view(-1, 1, 1, 1) < 0.72, hard, page)
    grain, patches = cloud(page, 3.5), cloud(page, 70.0)
    share = per(count, 0.5, 0.0, 0.14, page)
    lost = ((patches > 2.2 - 5.0 * share) & (grain > 0.2) & (share > 0)) | (grain > 3.1 - 5.0 * share)
    lost = lost | _streaks(page, per(count, 0.35, 0.0, 0.13, page))
    page = some(torch.where(lost, torch.ones_like(page), page), 0.16, dotted)
    page = torch.minimum(page, 1 - _specks(page, count))
    page = page + _folds(page, count) * (1 - page)
    page = _blur(page, rand(count, 0.05, 0.7, page))
    page = page + per(count, 0.6, 0.005, 0.05, page) * torch.randn_like(page)
    page = some(some(some(page, 0.05, faxed), 0.25, one_bit), 0.25, ringing)
    ink, paper = (
        rand(count, 0.0, 0.2, page).view(-1, 1, 1, 1),
        rand(count, 0.88, 1.0, page).view(-1, 1, 1, 1),
    )
    return (ink + page * (paper - ink)).clamp(0, 1)

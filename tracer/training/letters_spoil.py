"""Spoiling drawn lines on the accelerator: bent, scanned coarsely, copied, scaled as the reader does it."""

from __future__ import annotations

import torch
from torch import Tensor
from torch.nn import functional

from tracer.training.augment import spoil_tiles
from tracer.training.letters_network import ROWS

__all__ = ["spoil_lines"]

_TALL = (13, 14, 15, 16, 17, 18, 20, 22, 24, 28, 32, 40)  # rows as scanned; a letter fills three quarters
_STACKED = 10  # lines on top of each other make a square for the sheets' own spoiling
_GROUPS = 4  # of a batch, each spoilt in its own way
_COPIED = 0.25
_BEHIND = 8  # columns of paper behind a line


@torch.no_grad()
def spoil_lines(lines: Tensor) -> tuple[Tensor, Tensor]:
    """Spoil (B, H, 10 H) uint8 lines, B a multiple of ten; a tenth stay clean.

    Returns
    -------
    strips : (B, 1, `ROWS`, 10 `ROWS`) float
        1 paper, 0 ink.
    widths : (B,) int64
        How many of a strip's columns hold the line, some paper behind it included.
    """
    count = lines.shape[0]
    page = _pen(_bend(lines.unsqueeze(1).float() / 255.0))
    ink = page.amin(dim=(1, 2)) < 0.5
    last = (ink * torch.arange(1, ink.shape[1] + 1, device=page.device)).amax(dim=1)
    widths = (last * (10 * ROWS / ink.shape[1])).long() + _BEHIND
    groups = _GROUPS if count % (_GROUPS * _STACKED) == 0 else 1
    return torch.cat([_spoil_group(some) for some in page.chunk(groups)]), widths.clamp(max=10 * ROWS)


def _spoil_group(page: Tensor) -> Tensor:
    """Scan all lines of a group at one resolution and spoil them: by copying, or as the sheets' tiles are."""
    count = page.shape[0]
    tall = _TALL[int(torch.randint(0, len(_TALL), (1,)))]
    scanned = functional.interpolate(page, size=(tall, 10 * tall), mode="area")
    square = scanned.reshape(count // _STACKED, 1, _STACKED * tall, 10 * tall)
    spoilt = _copy(square) if float(torch.rand(1)) < _COPIED else spoil_tiles(square)
    spoilt = spoilt.reshape(count, 1, tall, 10 * tall)
    clean = torch.rand(count, 1, 1, 1, device=page.device) < 0.1
    spoilt = torch.where(clean, scanned, spoilt)
    return functional.interpolate(spoilt, size=(ROWS, 10 * ROWS), mode="bilinear", align_corners=False)


def _copy(page: Tensor) -> Tensor:
    """Copy (B, 1, T, T) squares as a bad machine does: black or white by a trembling edge, ink missing."""
    count, size = page.shape[0], page.shape[-1]

    def one(low: float, high: float) -> Tensor:
        return torch.rand(count, 1, 1, 1, device=page.device) * (high - low) + low

    def lumps(across: float) -> Tensor:
        cells = max(2, int(size / across) + 2)
        coarse = torch.randn(count, 1, cells, cells, device=page.device)
        return functional.interpolate(coarse, size=(size, size), mode="bicubic", align_corners=False) * 1.2

    factor = float(torch.rand(1) * 0.5 + 1.0)
    small = functional.interpolate(page, scale_factor=1 / factor, mode="area")
    page = functional.interpolate(small, size=(size, size), mode="bilinear")
    page = _soften(page, float(torch.rand(1) * 0.5 + 0.4))
    edge = one(0.48, 0.78) + one(0.0, 0.09) * lumps(50.0) + one(0.02, 0.11) * torch.randn_like(page)
    page = (page >= edge).float()
    share, grain = one(-0.06, 0.1), lumps(3.3)
    page = torch.where(((lumps(70.0) > 2.0 - 4 * share) & (grain > 0.15)) | (grain > 2.6), 1.0, page)
    swarm = torch.exp(lumps(90.0)) * one(-0.004, 0.005).clamp(min=0)
    page = torch.where(torch.rand_like(page) < swarm, torch.rand_like(page) * 0.35, page)
    return torch.where(one(0.0, 1.0) < 0.5, _soften(page, 0.45), page)


def _soften(page: Tensor, radius: float) -> Tensor:
    """Blur by a Gaussian of `radius` px."""
    run = torch.exp(-0.5 * (torch.arange(-2, 3, device=page.device) / radius) ** 2)
    run = run / run.sum()
    page = functional.conv2d(functional.pad(page, (2, 2, 2, 2), value=1.0), run.view(1, 1, 1, 5))
    return functional.conv2d(page, run.view(1, 1, 5, 1))


def _pen(page: Tensor) -> Tensor:
    """Thicken a fifth of the lines and thin a tenth, as copying does."""
    pick = torch.rand(page.shape[0], 1, 1, 1, device=page.device)
    thicker = -functional.max_pool2d(-page, 3, 1, 1)
    thinner = functional.max_pool2d(page, 3, 1, 1)
    return torch.where(pick < 0.2, thicker, torch.where(pick > 0.92, thinner, page))


def _bend(page: Tensor) -> Tensor:
    """Turn, lean, stretch and warp each line a little; paper comes in from outside."""
    count, _, height, width = page.shape
    device = page.device

    def spread(size: float) -> Tensor:
        return torch.randn(count, device=device) * size

    ratio = width / height
    zero = torch.zeros(count, device=device)
    stretch = torch.exp(spread(0.12)).clamp(0.78, 1.3)
    across = torch.stack([stretch, spread(0.12) / ratio, stretch - 1 + spread(0.004)], dim=1)
    down = torch.stack([spread(0.02) * ratio * 0.4, torch.exp(spread(0.05)), spread(0.03)], dim=1)
    down[:, 2] = down[:, 2] + 0.8 * down[:, 0]  # turned about the line's beginning, where short lines lie
    grid = functional.affine_grid(torch.stack([across, down], dim=1), list(page.shape), align_corners=False)
    waves = torch.randn(count, 2, 4, 26, device=device)
    waves = functional.interpolate(waves, size=(height, width), mode="bicubic", align_corners=False)
    strength = torch.rand(count, 1, 1, 1, device=device) * (torch.rand(count, 1, 1, 1, device=device) < 0.5)
    size = torch.tensor([1.6 / width, 1.6 / height], device=device).view(1, 2, 1, 1)
    grid = grid + (waves * strength * size * 2).permute(0, 2, 3, 1) + zero.view(-1, 1, 1, 1)
    return 1 - functional.grid_sample(
        1 - page, grid, mode="bilinear", padding_mode="zeros", align_corners=False
    )

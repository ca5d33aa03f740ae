"""Spoiling drawn lines on the accelerator: bent, scanned coarsely, copied, scaled as the reader does it."""

from __future__ import annotations

import torch
from torch import Tensor
from torch.nn import functional

from tracer.training.augment import spoil_tiles
from tracer.training.letters_network import ROWS

__all__ = ["spoil_lines"]

_TALL = (14, 16, 18, 20, 22, 24, 28, 32, 36, 44)  # rows of a line as scanned; a letter fills three quarters
_STACKED = 10  # lines on top of each other make a square for the sheets' own spoiling


@torch.no_grad()
def spoil_lines(lines: Tensor) -> Tensor:
    """Spoil (B, H, 10 H) uint8 lines, B a multiple of ten; a tenth stay clean.

    Returns
    -------
    (B, 1, `ROWS`, 10 `ROWS`) float
        1 paper, 0 ink.
    """
    count = lines.shape[0]
    page = _bend(lines.unsqueeze(1).float() / 255.0)
    page = _pen(page)
    tall = _TALL[int(torch.randint(0, len(_TALL), (1,)))]
    scanned = functional.interpolate(page, size=(tall, 10 * tall), mode="area" if tall < 44 else "bilinear")
    square = scanned.reshape(count // _STACKED, 1, _STACKED * tall, 10 * tall)
    spoilt = spoil_tiles(square).reshape(count, 1, tall, 10 * tall)
    clean = torch.rand(count, 1, 1, 1, device=page.device) < 0.1
    spoilt = torch.where(clean, scanned, spoilt)
    return functional.interpolate(spoilt, size=(ROWS, 10 * ROWS), mode="bilinear", align_corners=False)


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

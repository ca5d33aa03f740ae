"""Spoiling drawn lines on the accelerator: bent, scanned, copied, levelled, scaled as the reader does it.

The reader cuts its strips from a levelled page. So a line is scanned at the size it may have on a page,
spoilt there as `tracer.training.spoil` spoils pages, and its paper made white before the strip is scaled.
A line that no eye could read after that is shown unspoilt: such lines teach nothing but to guess.
"""

from __future__ import annotations

import torch
from torch import Tensor
from torch.nn import functional

from tracer.training.augment import spoil_tiles
from tracer.training.letters_network import ROWS

__all__ = ["spoil_lines"]

_TALL = (13, 14, 15, 16, 17, 18, 19, 20, 22, 24, 26, 28, 32, 40)  # rows as scanned; a letter fills 3/4
_STACKED = 10  # lines on top of each other make a square, spoilt as one piece of a page
_GROUPS = 4  # of a batch, each scanned and spoilt in its own way
_AS_SHEETS = 0.35  # share of groups spoilt as the sheets' tiles are
_BEHIND = 8  # columns of paper behind a line
_CLEAN = 0.08
_LEGIBLE = 0.52  # correlation of a spoilt line with the drawn one
_OFFICE, _COPY = 0.2, 0.42  # shares: scans up to the first, copies to the second, then poor copies


@torch.no_grad()
def spoil_lines(lines: Tensor) -> tuple[Tensor, Tensor]:
    """Spoil (B, H, 10 H) uint8 lines, B a multiple of ten; some stay clean.

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
    strips = torch.cat([_spoil_group(some) for some in page.chunk(groups)])
    plain = functional.interpolate(page, size=(ROWS, 10 * ROWS), mode="area")
    clean = torch.rand(count, 1, 1, 1, device=page.device) < _CLEAN
    strips = torch.where(clean | (_likeness(strips, plain) < _LEGIBLE), plain, strips)
    return strips, widths.clamp(max=10 * ROWS)


def _spoil_group(page: Tensor) -> Tensor:
    """Scan all lines of a group at one resolution, spoil them, level them and scale them to strips."""
    count = page.shape[0]
    tall = _TALL[int(torch.randint(0, len(_TALL), (1,)))]
    scanned = functional.interpolate(page, size=(tall, 10 * tall), mode="area")
    square = scanned.reshape(count // _STACKED, 1, _STACKED * tall, 10 * tall)
    spoilt = _levelled(spoil_tiles(square)) if float(torch.rand(1)) < _AS_SHEETS else _copied(square)
    spoilt = spoilt.reshape(count, 1, tall, 10 * tall)
    if tall > ROWS:
        return functional.interpolate(spoilt, size=(ROWS, 10 * ROWS), mode="area")
    return functional.interpolate(spoilt, size=(ROWS, 10 * ROWS), mode="bilinear", align_corners=False)


def _likeness(strips: Tensor, plain: Tensor) -> Tensor:
    """How like the drawn lines spoilt ones are, (B, 1, 1, 1): their correlation in and about the letters."""
    one, two = (functional.avg_pool2d(1 - some, 3, 1, 1) for some in (strips, plain))
    about = (functional.max_pool2d(two, 5, 1, 2) > 0.3).float()
    held = about.sum(dim=(1, 2, 3), keepdim=True).clamp(min=1.0)

    def centred(some: Tensor) -> Tensor:
        return (some - (some * about).sum(dim=(1, 2, 3), keepdim=True) / held) * about

    one, two = centred(one), centred(two)
    both, own, drawn = ((a * b).sum(dim=(1, 2, 3)) for a, b in ((one, two), (one, one), (two, two)))
    return (both / (own * drawn).sqrt().clamp(min=1e-6)).view(-1, 1, 1, 1)


def _copied(page: Tensor) -> Tensor:
    """Scan and copy (B, 1, T, T) squares, each in its own measure, as the levels of spoiling of pages do.

    A copy is black or white by a trembling edge; ink is missing in patches and runs, and specks swarm.
    """
    count, size = page.shape[0], page.shape[-1]
    where = torch.rand(count, 1, 1, 1, device=page.device)
    scan, poor = where < _OFFICE, where >= _COPY

    def one(low: float, high: float) -> Tensor:
        return torch.rand(count, 1, 1, 1, device=page.device) * (high - low) + low

    def lumps(across: float, down: float | None = None) -> Tensor:
        cells = [max(2, int(size / step) + 2) for step in (down or across, across)]
        coarse = torch.randn(count, 1, *cells, device=page.device)
        return functional.interpolate(coarse, size=(size, size), mode="bicubic", align_corners=False)

    factor = float(torch.rand(1) * 0.5 + 1.0)
    small = functional.interpolate(page, scale_factor=1 / factor, mode="area")
    coarse = functional.interpolate(small, size=(size, size), mode="bilinear", align_corners=False)
    page = _soften(torch.where(poor, coarse, page), float(torch.rand(1) * 0.6 + 0.35))
    broad, noise = lumps(55.0), torch.randn_like(page)
    edge = one(0.4, 0.7) + torch.where(poor, 0.1, 0.07) * one(0.3, 1.2) * broad
    edge = edge + torch.where(poor, 0.11, 0.06) * one(0.3, 1.2) * noise
    soft = torch.sigmoid((page - edge) / torch.where(poor, 0.01, one(0.03, 0.09)))
    page = torch.where(scan, page + 0.01 * noise, soft)
    share, grain, patches = torch.where(poor, one(0.0, 0.1), one(-0.02, 0.03)), lumps(3.4), lumps(70.0)
    lost = ((patches > 2.0 - 4.0 * share) & (grain > 0.12)) | (grain > 1.95)
    lost = lost | (lumps(24.0, 4.5) > 2.7 - 4.0 * share)
    page = torch.where(lost & ~scan, 1.0, page)
    swarm = torch.exp(2.0 * lumps(80.0)) * torch.where(poor, 0.008, 0.001) * one(0.0, 1.0)
    speck = (torch.rand_like(page) < swarm).float()
    blot = functional.max_pool2d((torch.rand_like(page) < 0.2 * swarm).float(), 2, 1, 0)
    blot = functional.pad(blot, (0, 1, 0, 1))
    page = torch.minimum(page, 1 - torch.maximum(speck, blot) * one(0.65, 1.0))
    return torch.where(one(0.0, 1.0) < 0.6, _soften(page, 0.45), page).clamp(0, 1)


def _levelled(page: Tensor) -> Tensor:
    """Make paper white and ink black, as a page is before strips are cut from it."""
    reach = 2 * (page.shape[-1] // 24) + 1
    paper = functional.max_pool2d(_soften(page, 1.0), reach, 1, reach // 2)
    paper = functional.avg_pool2d(paper, reach, 1, reach // 2, count_include_pad=False)
    flat = page / paper.clamp(min=0.15)
    ink = flat.flatten(1).kthvalue(max(1, flat[0].numel() // 40), dim=1).values.view(-1, 1, 1, 1)
    ink = ink.clamp(max=0.7)
    return ((flat - ink) / (0.9 - ink)).clamp(0, 1)


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

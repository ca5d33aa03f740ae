"""What pens, copiers, fax lines, screens and desks do to tiles, on the accelerator.

Every trouble takes and gives (B, 1, H, W) images, 1 paper and 0 ink, and troubles each in its own measure;
`some` spares most of them, which also spares the time.
"""

from __future__ import annotations

import math
from collections.abc import Callable

import torch
from torch import Tensor
from torch.nn import functional

__all__ = [
    "cloud",
    "dotted",
    "fattened",
    "faxed",
    "gutter",
    "one_bit",
    "per",
    "rand",
    "ringing",
    "screened",
    "some",
    "squared",
    "thinned",
]

# The luminance table that JPEG encoders start from (ITU-T T.81, annex K.1).
_TABLE = (
    (16, 11, 10, 16, 24, 40, 51, 61), (12, 12, 14, 19, 26, 58, 60, 55), (14, 13, 16, 24, 40, 57, 69, 56),
    (14, 17, 22, 29, 51, 87, 80, 62), (18, 22, 37, 56, 68, 109, 103, 77), (24, 35, 55, 64, 81, 104, 113, 92),
    (49, 64, 78, 87, 103, 121, 120, 101), (72, 92, 95, 98, 112, 100, 103, 99),
)  # fmt: skip


def rand(count: int, low: float, high: float, like: Tensor) -> Tensor:
    """`count` numbers, even between `low` and `high`."""
    return torch.rand(count, device=like.device) * (high - low) + low


def per(count: int, chance: float, low: float, high: float, like: Tensor) -> Tensor:
    """A strength for each image, zero for those the trouble spares; (count, 1, 1, 1)."""
    strength = rand(count, low, high, like)
    return torch.where(
        torch.rand(count, device=like.device) < chance, strength, torch.zeros_like(strength)
    ).view(-1, 1, 1, 1)


def some(page: Tensor, share: float, trouble: Callable[[Tensor], Tensor]) -> Tensor:
    """Give `share` of the images, a run of them, to `trouble`."""
    count = page.shape[0]
    many = min(count, int(count * share + float(torch.rand(1))))
    if many == 0:
        return page
    first = int(torch.randint(0, count - many + 1, (1,)))
    mixed = page.clone()
    mixed[first : first + many] = trouble(page[first : first + many])
    return mixed


def cloud(images: Tensor, lump: float) -> Tensor:
    """Smooth noise of about unit size, its lumps `lump` px across."""
    cells = max(2, int(images.shape[-1] / lump) + 2)
    coarse = torch.randn(images.shape[0], 1, cells, cells, device=images.device)
    return functional.interpolate(coarse, size=images.shape[-2:], mode="bicubic", align_corners=False) * 1.2


def _places(images: Tensor) -> tuple[Tensor, Tensor]:
    """Row and column of each pixel, each broadcast over the batch."""
    height, width = images.shape[-2:]
    rows = torch.arange(height, device=images.device).float().view(1, 1, height, 1)
    return rows, torch.arange(width, device=images.device).float().view(1, 1, 1, width)


def _turned(images: Tensor, most: float) -> tuple[Tensor, Tensor]:
    """Coordinates turned by up to `most` radians, another angle for each image."""
    rows, columns = _places(images)
    angle = rand(images.shape[0], -most, most, images).view(-1, 1, 1, 1)
    return rows * angle.cos() - columns * angle.sin(), rows * angle.sin() + columns * angle.cos()


def fattened(page: Tensor) -> Tensor:
    """Strokes grown until counters close, as on copies of copies."""
    fat = rand(page.shape[0], 0.3, 1.0, page).view(-1, 1, 1, 1)
    page = torch.lerp(page, -functional.max_pool2d(-page, 3, 1, 1), fat)
    fatter = per(page.shape[0], 0.25, 0.3, 1.0, page)
    return torch.lerp(page, -functional.max_pool2d(-page, 3, 1, 1), fatter)


def thinned(page: Tensor) -> Tensor:
    """Strokes thinned until they break."""
    thin = rand(page.shape[0], 0.15, 0.6, page).view(-1, 1, 1, 1)
    return torch.lerp(page, functional.max_pool2d(page, 3, 1, 1), thin)


def dotted(page: Tensor) -> Tensor:
    """Patches where the print took only here and there, so that a wire becomes a run of dots or dashes."""
    count = page.shape[0]
    down, across = _turned(page, 0.8)
    pitch = rand(count, 3.5, 11.0, page).view(-1, 1, 1, 1)
    wave = torch.cos(2 * math.pi / pitch * down) + torch.cos(2 * math.pi / pitch * across)
    share = rand(count, 0.1, 0.7, page).view(-1, 1, 1, 1)
    lost = (wave + 0.5 * cloud(page, 9.0) > 0.9 - share) & (cloud(page, 60.0) > 1.5 - share)
    return torch.where(lost, torch.ones_like(page), page)


def screened(page: Tensor) -> Tensor:
    """Tone laid down as a dot screen over patches of the sheet."""
    count = page.shape[0]
    down, across = _turned(page, 0.9)
    pitch = rand(count, 2.6, 7.0, page).view(-1, 1, 1, 1)
    wave = torch.cos(2 * math.pi / pitch * down) * torch.cos(2 * math.pi / pitch * across)
    tone = rand(count, 0.2, 1.0, page).view(-1, 1, 1, 1)
    dots = (wave > 0.55).float() * (cloud(page, 150.0) > 0.9)
    return torch.minimum(page, 1 - tone * dots)


def squared(page: Tensor) -> Tensor:
    """Squared or lined paper, paler than the drawing."""
    count = page.shape[0]
    down, across = _turned(page, 0.02)
    pitch = rand(count, 9.0, 42.0, page).view(-1, 1, 1, 1)
    width = rand(count, 0.8, 1.8, page).view(-1, 1, 1, 1)
    level = (down + 1000.0) % pitch < width
    plumb = ((across + 1000.0) % pitch < width) & (torch.rand(count, 1, 1, 1, device=page.device) < 0.7)
    return torch.minimum(page, 1 - rand(count, 0.06, 0.42, page).view(-1, 1, 1, 1) * (level | plumb))


def gutter(page: Tensor) -> Tensor:
    """The shadow of a bound edge along one side."""
    count = page.shape[0]
    rows, columns = _places(page)
    upright = torch.rand(count, 1, 1, 1, device=page.device) < 0.5
    run = torch.where(upright, columns, rows) - rand(count, -40.0, page.shape[-1] + 40.0, page).view(
        -1, 1, 1, 1
    )
    wide = rand(count, 12.0, 70.0, page).view(-1, 1, 1, 1)
    return page * (1 - rand(count, 0.2, 0.75, page).view(-1, 1, 1, 1) * torch.exp(-((run / wide) ** 2)))


def ringing(page: Tensor) -> Tensor:
    """JPEG's blocks and ripples: each 8 by 8 block's cosines rounded as an encoder rounds them."""
    count, _, height, width = page.shape
    padded = functional.pad(page.float(), (0, -width % 8, 0, -height % 8), mode="replicate")
    tall, broad = padded.shape[-2:]
    k = torch.arange(8, device=page.device).float()
    basis = torch.cos(math.pi * (2 * k.view(1, 8) + 1) * k.view(8, 1) / 16) * 0.5
    basis[0] *= math.sqrt(0.5)
    table = torch.tensor(_TABLE, device=page.device).float() / 255.0
    coarse = rand(count, 0.15, 2.2, page).view(-1, 1, 1, 1, 1)
    with torch.autocast(page.device.type, enabled=False):
        blocks = padded.view(count, tall // 8, 8, broad // 8, 8).transpose(2, 3)
        waves = basis @ (blocks - 0.5) @ basis.T
        step = table * coarse
        waves = torch.round(waves / step) * step
        back = (basis.T @ waves @ basis + 0.5).transpose(2, 3).reshape(count, 1, tall, broad)
    return back[..., :height, :width].clamp(0, 1).to(page.dtype)


def faxed(page: Tensor) -> Tensor:
    """Lines of a fax: doubled, shifted sideways a little, now and then lost."""
    count, _, height, width = page.shape
    rows, columns = _places(page)
    pitch = torch.where(torch.rand(count, 1, 1, 1, device=page.device) < 0.5, 2.0, 1.0)
    row = (rows / pitch).floor() * pitch
    slip = (torch.rand(count, 1, height, 1, device=page.device) < 0.06).float()
    shift = torch.randint(-1, 2, (count, 1, height, 1), device=page.device) * slip
    at = (row - slip).clamp(0, height - 1) * width + (columns + shift).clamp(0, width - 1)
    sent = page.reshape(count, -1).gather(1, at.long().expand(count, 1, height, width).reshape(count, -1))
    lost = torch.rand(count, 1, height, 1, device=page.device) < 0.008
    return torch.where(lost, torch.ones_like(page), (sent.view_as(page) > 0.5).to(page.dtype))


def one_bit(page: Tensor) -> Tensor:
    """Black or white, nothing between: stair-steps on slopes, at the page's own fineness or a coarser one."""
    count = page.shape[0]
    factor = 1.0 if float(torch.rand(1)) < 0.45 else float(torch.rand(1) * 0.8 + 1.1)
    small = functional.interpolate(page, scale_factor=1 / factor, mode="area") if factor > 1.0 else page
    edge = rand(count, 0.42, 0.75, page).view(-1, 1, 1, 1)
    hard = (small > edge + 0.05 * torch.randn_like(small)).to(page.dtype)
    if factor > 1.0:
        how = "nearest" if float(torch.rand(1)) < 0.6 else "bilinear"
        hard = functional.interpolate(hard, size=page.shape[-2:], mode=how)
    return hard

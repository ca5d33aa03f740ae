"""The reader's network: a small U-shaped one that works at half the page's resolution and below."""

from __future__ import annotations

from itertools import pairwise
from typing import Any

import torch
from torch import Tensor, nn
from torch.nn import functional

from tracer.training.classes import CLASS_COUNT, KIND_NAMES

__all__ = ["ReaderNetwork", "Readout"]

_WIDTHS = (32, 56, 96, 144, 192)  # channels at 1/2, 1/4, 1/8, 1/16, 1/32 of the page


def _convolve(entering: int, leaving: int, size: int = 3, stride: int = 1) -> nn.Sequential:
    return nn.Sequential(
        nn.Conv2d(entering, leaving, size, stride, size // 2, bias=False),
        nn.BatchNorm2d(leaving),
        nn.ReLU(inplace=True),
    )


def _plain(entering: int, leaving: int, size: int) -> nn.Sequential:
    return nn.Sequential(
        nn.Conv2d(entering, leaving, size, 1, size // 2, bias=False), nn.BatchNorm2d(leaving)
    )


class _Down(nn.Module):
    """Two convolutions: the first halves the size unless `stride` is 1, the second has a short cut."""

    def __init__(self, entering: int, leaving: int, stride: int = 2) -> None:
        super().__init__()
        self.first = _convolve(entering, leaving, stride=stride)
        self.second = _plain(leaving, leaving, 3)

    def forward(self, x: Tensor) -> Tensor:
        x = self.first(x)
        return functional.relu(x + self.second(x))


class _Up(nn.Module):
    """What was seen at half the size, added to what was kept at this one, then two convolutions.

    Adding costs two fifths of what joining the channels would at the finest sizes, where most of the
    time goes.
    """

    def __init__(self, entering: int, leaving: int) -> None:
        super().__init__()
        self.lead = _plain(entering, leaving, 1)
        self.first = _convolve(leaving, leaving)
        self.second = _plain(leaving, leaving, 3)

    def forward(self, x: Tensor, kept: Tensor) -> Tensor:
        x = functional.interpolate(self.lead(x), scale_factor=2.0, mode="nearest")
        x = functional.relu(x + kept)
        return functional.relu(x + self.second(self.first(x)))


class ReaderNetwork(nn.Module):
    """Grey page in, class and kind scores out.

    Input (N, 1, H, W) float, 1 paper and 0 ink, H and W multiples of 32, strokes about 2.5 px wide. Output:
    class scores (N, 7, H, W) and kind scores (N, kinds, H/4, W/4). The class head makes four sub-pixels
    per half-resolution cell.
    """

    def __init__(self) -> None:
        super().__init__()
        self.stem = _convolve(1, _WIDTHS[0], 5, 2)
        self.enter = _Down(_WIDTHS[0], _WIDTHS[0], 1)
        pairs = list(pairwise(_WIDTHS))
        self.down = nn.ModuleList([_Down(above, below) for above, below in pairs])
        self.up = nn.ModuleList([_Up(below, above) for above, below in reversed(pairs)])
        self.classes = nn.Conv2d(_WIDTHS[0], 4 * CLASS_COUNT, 3, 1, 1)
        self.kinds = nn.Sequential(_convolve(_WIDTHS[1], 64), nn.Conv2d(64, len(KIND_NAMES), 1))

    def forward(self, page: Tensor) -> tuple[Tensor, Tensor]:
        """Class scores and kind scores."""
        x = self.enter(self.stem(1.0 - page))
        kept = []
        for step in self.down:
            kept.append(x)
            x = step(x)
        quarter = x
        for step in self.up:
            x = step(x, kept.pop())
            if len(kept) == 1:
                quarter = x
        return functional.pixel_shuffle(self.classes(x), 2), self.kinds(quarter)


class Readout(nn.Module):
    """The network with its answer made small: indices and sureness as bytes."""

    def __init__(self, network: ReaderNetwork) -> None:
        super().__init__()
        self.network = network

    def forward(self, page: Tensor) -> Any:
        """Classes, sureness (N, H, W) and kinds, kind sureness (N, H/4, W/4), all uint8."""
        answers: list[Tensor] = []
        for scores in self.network(page):
            sure, best = torch.softmax(scores, dim=1).max(dim=1)
            answers += [best.to(torch.uint8), (sure * 255.0).round().to(torch.uint8)]
        return tuple(answers)

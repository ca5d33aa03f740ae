"""The recogniser of lettering: strips of grey in, a sign (or none) at every second column out.

A convolutional network read by connectionist temporal classification (Graves and others, ICML 2006); the
residual blocks along the line are separable convolutions, so that it stays small and needs no recurrence.
"""

from __future__ import annotations

import torch
from torch import Tensor, nn

from tracer.training.letters_text import ALPHABET

__all__ = ["ROWS", "LettersNetwork", "LettersReadout"]

ROWS = 32
"""Rows of the strips that the network takes."""


class _Fold(nn.Module):
    """A convolution, batch normalisation, a rectifier."""

    def __init__(
        self,
        into: int,
        out: int,
        kernel: tuple[int, int],
        stride: tuple[int, int] = (1, 1),
        *,
        flat: bool = False,
    ) -> None:
        super().__init__()
        padding = (0 if flat else kernel[0] // 2, kernel[1] // 2)
        self.conv = nn.Conv2d(into, out, kernel, stride, padding, bias=False)
        self.norm = nn.BatchNorm2d(out)

    def forward(self, x: Tensor) -> Tensor:
        """Map (B, into, h, w) to (B, out, h', w')."""
        result: Tensor = torch.relu(self.norm(self.conv(x)))
        return result


class _Rest(nn.Module):
    """Two convolutions beside a short cut."""

    def __init__(self, width: int) -> None:
        super().__init__()
        self.first = _Fold(width, width, (3, 3))
        self.conv = nn.Conv2d(width, width, 3, padding=1, bias=False)
        self.norm = nn.BatchNorm2d(width)

    def forward(self, x: Tensor) -> Tensor:
        """Keep the shape."""
        return torch.relu(x + self.norm(self.conv(self.first(x))))


class _Along(nn.Module):
    """A separable convolution along the line beside a short cut."""

    def __init__(self, width: int, inner: int, reach: int, step: int) -> None:
        super().__init__()
        self.mix = _Fold(width, inner, (1, 1))
        self.along = nn.Conv2d(
            inner,
            inner,
            (1, reach),
            padding=(0, step * (reach // 2)),
            dilation=(1, step),
            groups=inner,
            bias=False,
        )
        self.norm = nn.BatchNorm2d(inner)
        self.out = nn.Conv2d(inner, width, 1, bias=False)
        self.out_norm = nn.BatchNorm2d(width)

    def forward(self, x: Tensor) -> Tensor:
        """Keep the shape."""
        inner = torch.relu(self.norm(self.along(self.mix(x))))
        return torch.relu(x + self.out_norm(self.out(inner)))


class LettersNetwork(nn.Module):
    """Scores (B, W / 2, 1 + signs) of (B, 1, `ROWS`, W) strips, ink 1 on paper 0; 0 is the blank."""

    def __init__(self) -> None:
        super().__init__()
        self.body = nn.Sequential(
            _Fold(1, 24, (3, 3), (2, 2)),
            _Rest(24),
            _Fold(24, 56, (3, 3), (2, 1)),
            _Rest(56),
            _Fold(56, 96, (3, 3), (2, 1)),
            _Fold(96, 192, (4, 1), flat=True),
            *(_Along(192, 288, 5, step) for step in (1, 2, 4, 1)),
        )
        self.head = nn.Conv2d(192, 1 + len(ALPHABET), 1)

    def forward(self, strips: Tensor) -> Tensor:
        """Give the scores."""
        scores: Tensor = self.head(self.body(strips))
        return scores[:, :, 0].transpose(1, 2)


class LettersReadout(nn.Module):
    """What is exported: paper 1 and ink 0 in, probabilities out."""

    def __init__(self, network: LettersNetwork) -> None:
        super().__init__()
        self.network = network

    def forward(self, strips: Tensor) -> Tensor:
        """Give (B, W / 2, 1 + signs) float32, each row summing to 1."""
        return torch.softmax(self.network(1.0 - strips), dim=2)

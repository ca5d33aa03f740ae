"""Spoilt strips kept on the accelerator, renewed a batch at a time and dealt out by their width.

Most lines are short: dealt with others of their width, a batch holds little bare paper and costs less.
"""

from __future__ import annotations

from typing import Final

import numpy as np
import torch
from torch import Tensor

from tracer.training.letters_network import ROWS
from tracer.training.letters_pool import LinePool
from tracer.training.letters_spoil import spoil_lines
from tracer.training.letters_text import LONGEST

__all__ = ["StripStore"]

_BATCHES: Final = 24
_WIDTHS: Final = (64, 96, 128, 192, 10 * ROWS)  # columns that strips are cut to


class StripStore:
    """Deals batches of `batch` lines from `pool`, spoilt on `device`, each strip about `dealt` times.

    Spoiling takes several times as long as learning from what was spoilt.
    """

    def __init__(self, pool: LinePool, batch: int, device: str, dealt: int = 5) -> None:
        self._pool, self._batch, self._device, self._dealt = pool, batch, device, dealt
        count = _BATCHES * batch
        self._strips = torch.empty((count, 1, ROWS, 10 * ROWS), dtype=torch.float16, device=device)
        self._signs = torch.zeros((count, LONGEST), dtype=torch.uint8, device=device)
        self._bucket = np.full(count, -1)
        self._rng = np.random.default_rng(0)
        self._slot = self._deals = 0
        for _ in range(_BATCHES // 2):
            self._renew()

    def deal(self, count: int) -> tuple[Tensor, Tensor]:
        """Give strips (count, 1, 32, W) float, 1 paper, and signs (count, LONGEST) uint8."""
        self._deals += 1
        if self._deals % self._dealt == 0:
            self._renew()
        held = np.bincount(self._bucket[self._bucket >= 0], minlength=len(_WIDTHS))
        bucket = int(self._rng.choice(len(_WIDTHS), p=held / held.sum()))
        some = np.nonzero(self._bucket == bucket)[0]
        at = torch.from_numpy(self._rng.choice(some, count)).to(self._device)
        return self._strips[at, :, :, : _WIDTHS[bucket]].float(), self._signs[at]

    def _renew(self) -> None:
        images, signs = self._pool.take(self._batch, self._device)
        strips, widths = spoil_lines(images)
        low, high = self._slot * self._batch, (self._slot + 1) * self._batch
        self._strips[low:high], self._signs[low:high] = strips, signs
        self._bucket[low:high] = np.searchsorted(_WIDTHS, widths.cpu().numpy())
        self._slot = (self._slot + 1) % _BATCHES

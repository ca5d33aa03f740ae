"""Many processes that keep drawing lines into shared memory."""

from __future__ import annotations

import multiprocessing
import time
from typing import Final

import numpy as np
import torch
from torch import Tensor

from tracer.training.letters_draw import HEIGHT, WIDTH, draw_line
from tracer.training.letters_text import ALPHABET, LONGEST

__all__ = ["LinePool", "encode"]

_REFRESHED: Final = 400  # lines brought over at each step
_SIGN: Final = {sign: number for number, sign in enumerate(ALPHABET, start=1)}


def encode(text: str) -> list[int]:
    """Numbers of the signs, from 1; 0 is the blank."""
    return [_SIGN[sign] for sign in text]


def _keep_drawing(
    worker: int,
    workers: int,
    seed: int,
    faces: tuple[str, ...],
    other_forms: float,
    images: Tensor,
    signs: Tensor,
    drawn: Tensor,
) -> None:
    torch.set_num_threads(1)
    rng = np.random.default_rng([seed, worker])
    slots = range(worker, len(images), workers)
    while True:
        for slot in slots:
            line = draw_line(rng, faces, other_forms=other_forms)
            numbers = encode(line.text)
            images[slot] = torch.from_numpy(line.image)
            signs[slot] = 0
            signs[slot, : len(numbers)] = torch.tensor(numbers, dtype=torch.uint8)
            drawn[worker] += 1


class LinePool:
    """`lines` drawn lines: images (n, H, W) uint8 and signs (n, `LONGEST`) uint8, padded with 0."""

    def __init__(
        self, lines: int, workers: int, seed: int, faces: tuple[str, ...], other_forms: float
    ) -> None:
        self.images = torch.full((lines, HEIGHT, WIDTH), 255, dtype=torch.uint8).share_memory_()
        self.signs = torch.zeros((lines, LONGEST), dtype=torch.uint8).share_memory_()
        self._drawn = torch.zeros(workers, dtype=torch.int64).share_memory_()
        context = multiprocessing.get_context("spawn")
        self._workers = [
            context.Process(
                target=_keep_drawing,
                args=(number, workers, seed, faces, other_forms, self.images, self.signs, self._drawn),
                daemon=True,
            )
            for number in range(workers)
        ]
        self._held: tuple[Tensor, Tensor] | None = None
        self._next = self._filled = 0
        for process in self._workers:
            process.start()

    @property
    def drawn(self) -> int:
        """Lines drawn so far."""
        return int(self._drawn.sum())

    def ready(self) -> int:
        """How many lines, from the first, are certainly drawn."""
        return max(0, min(len(self.images), int(self._drawn.min()) * len(self._workers) - len(self._workers)))

    def wait(self, lines: int) -> None:
        """Wait until the first `lines` are drawn."""
        while self.ready() < lines:
            if not any(process.is_alive() for process in self._workers):
                raise RuntimeError("every process that draws lines has ended; see their messages above")
            time.sleep(0.2)

    def take(self, count: int, device: str) -> tuple[Tensor, Tensor]:
        """A random batch from a copy on `device`, which is brought up to date a few lines at a time."""
        if self._held is None:
            self._held = (
                torch.empty_like(self.images, device=device),
                torch.empty_like(self.signs, device=device),
            )
        ready = self.ready()
        start = self._next if self._next < ready else 0
        end = min(start + (ready if self._next == 0 else _REFRESHED), ready)
        for mine, theirs in zip(self._held, (self.images, self.signs), strict=True):
            mine[start:end].copy_(theirs[start:end])
        self._next, self._filled = end, max(self._filled, end)
        at = torch.randint(0, self._filled, (count,), device=device)
        return self._held[0][at], self._held[1][at]

    def close(self) -> None:
        """Stop drawing."""
        for process in self._workers:
            process.terminate()

"""A pool of drawn sheets in shared memory, kept fresh by many processes."""

from __future__ import annotations

import multiprocessing
import os
import time
from multiprocessing.sharedctypes import Synchronized
from typing import Final

import torch
from torch import Tensor

from tracer.training.classes import KIND_CELL
from tracer.training.layout import draw_sheet

__all__ = ["HeldSheets", "SheetPool"]

_SEEDS_A_RUN: Final = 10_000_000  # training seeds start at 10 million; the measuring sheets use seeds below


def _keep_drawing(
    worker: int,
    workers: int,
    first_seed: int,
    images: Tensor,
    classes: Tensor,
    kinds: Tensor,
    drawn: Synchronized[int],
) -> None:
    torch.set_num_threads(1)
    if hasattr(os, "nice"):
        os.nice(10)  # the training itself must not wait for a processor
    size = images.shape[1]
    seed = first_seed + worker
    slot = worker
    while True:
        try:
            sheet = draw_sheet(seed, size, size)
        except (ValueError, LookupError, ArithmeticError) as trouble:
            print(f"sheet {seed} not drawn: {trouble!r}", flush=True)
            seed += workers
            continue
        images[slot] = torch.from_numpy(sheet.image.copy())
        classes[slot] = torch.from_numpy(sheet.classes)
        kinds[slot] = torch.from_numpy(sheet.kinds.copy())
        with drawn.get_lock():
            drawn.value += 1
        seed += workers
        slot += workers
        if slot >= len(images):
            slot = worker


class HeldSheets:
    """A copy of the pool on the accelerator, brought up to date a few sheets at a time."""

    def __init__(self, pool: SheetPool, device: str) -> None:
        self._pool = pool
        self._parts = [torch.empty_like(part, device=device) for part in pool.parts()]
        self._next = 0
        self._held = 0

    def refresh(self, *, first: bool = False, some: int = 40) -> None:
        """Copy the next `some` drawn sheets; all of them the `first` time."""
        ready = self._pool.ready()
        start = 0 if first or self._next >= ready else self._next
        end = ready if first else min(start + some, ready)
        for mine, theirs in zip(self._parts, self._pool.parts(), strict=True):
            mine[start:end].copy_(theirs[start:end])
        self._next = end
        self._held = max(self._held, end)

    def ready(self) -> tuple[Tensor, Tensor, Tensor]:
        """Images, classes and kinds of the sheets held."""
        images, classes, kinds = (part[: self._held] for part in self._parts)
        return images, classes, kinds


class SheetPool:
    """`sheets` drawn sheets of `size` px square; worker processes replace the oldest as fast as they can."""

    def __init__(self, sheets: int, size: int, workers: int, seed: int) -> None:
        self.images = torch.full((sheets, size, size), 255, dtype=torch.uint8).share_memory_()
        self.classes = torch.zeros((sheets, size, size), dtype=torch.uint8).share_memory_()
        cells = size // KIND_CELL
        self.kinds = torch.zeros((sheets, cells, cells), dtype=torch.uint8).share_memory_()
        context = multiprocessing.get_context("spawn")
        self._drawn: Synchronized[int] = context.Value("q", 0)
        first = _SEEDS_A_RUN * (seed + 1)
        self._workers = [
            context.Process(
                target=_keep_drawing,
                args=(worker, workers, first, self.images, self.classes, self.kinds, self._drawn),
                daemon=True,
            )
            for worker in range(workers)
        ]
        for process in self._workers:
            process.start()

    def parts(self) -> tuple[Tensor, Tensor, Tensor]:
        """Images, classes and kinds, in shared memory."""
        return self.images, self.classes, self.kinds

    def on(self, device: str) -> HeldSheets:
        """A copy on an accelerator."""
        return HeldSheets(self, device)

    @property
    def drawn(self) -> int:
        """Sheets drawn so far."""
        return self._drawn.value

    def wait(self, sheets: int) -> None:
        """Wait until `sheets` have been drawn."""
        while self.drawn < sheets:
            if not any(process.is_alive() for process in self._workers):
                raise RuntimeError("every process that draws sheets has ended; see their messages above")
            time.sleep(0.2)

    def ready(self) -> int:
        """How many sheets, from the first, are certainly drawn."""
        workers = len(self._workers)
        return max(0, min(len(self.images), self.drawn - 2 * workers))

    def close(self) -> None:
        """Stop drawing."""
        for process in self._workers:
            process.terminate()

"""How well a reader tells the classes apart, on sheets it never saw, spoiling level by level."""

from __future__ import annotations

from collections.abc import Iterable

import numpy as np
import torch
from numpy.typing import NDArray

from tracer.training.classes import CLASS_COUNT, CLASS_NAMES
from tracer.training.layout import draw_sheet
from tracer.training.network import ReaderNetwork, Readout
from tracer.training.spoil import LEVELS, spoil

__all__ = ["measure", "measuring_sheets"]

Counts = NDArray[np.int64]


def measuring_sheets(level: int, count: int, size: int = 768) -> Iterable[tuple[NDArray[np.uint8], ...]]:
    """`count` spoilt sheets as image, classes, kinds; seeds from 1000, which training never draws."""
    for index in range(count):
        sheet = spoil(draw_sheet(1000 + index, size, size, stroke=2.4), level, 5000 + index)
        yield sheet.image, sheet.classes, sheet.kinds


def measure(network: ReaderNetwork, device: str, sheets: int = 24) -> dict[str, dict[str, float]]:
    """Intersection over union of each class at each level, and the share of body cells named rightly.

    Returns
    -------
    dict
        ``{"clean": {"wire": 0.97, ..., "kind": 0.9}, "office scan": ...}``.
    """
    readout = Readout(network).eval().to(device)
    figures: dict[str, dict[str, float]] = {}
    for level, name in enumerate(LEVELS):
        table: Counts = np.zeros((CLASS_COUNT, CLASS_COUNT), dtype=np.int64)
        named = bodies = 0
        for image, classes, kinds in measuring_sheets(level, sheets):
            page = torch.from_numpy(image.astype(np.float32) / 255.0)[None, None].to(device)
            with torch.no_grad():
                seen, _, told, _ = (answer.cpu().numpy()[0] for answer in readout(page))
            pairs = classes.astype(np.int64) * CLASS_COUNT + seen
            table += np.bincount(pairs.ravel(), minlength=CLASS_COUNT**2).reshape(CLASS_COUNT, CLASS_COUNT)
            named += int(((told == kinds) & (kinds > 0)).sum())
            bodies += int((kinds > 0).sum())
        both = np.diag(table)
        either = table.sum(axis=0) + table.sum(axis=1) - both
        figures[name] = {
            CLASS_NAMES[index]: round(float(both[index] / max(either[index], 1)), 4)
            for index in range(CLASS_COUNT)
        }
        figures[name]["kind"] = round(named / max(bodies, 1), 4)
    return figures

"""Which proposals are still to be asked about, and in which order."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence
from statistics import median

import numpy as np
from numpy.typing import NDArray

from tracer.trace.sheet import Proposal

__all__ = ["offered", "reading_order", "walking_order"]

Box = tuple[int, int, int, int]

COVERED = 0.5
"""Share of the smaller box that a confirmed part must cover for it to be the same part."""

SAME = 0.5
"""Share of both boxes together that a dismissed box must have in common with a proposal."""


def offered(
    proposals: Iterable[Proposal], confirmed: Sequence[Box], dismissed: Sequence[Box]
) -> tuple[Proposal, ...]:
    """Return the proposals that wire reaches, that no confirmed part covers and that nobody dismissed.

    What no wire reaches is a stain or lettering more often than a part, and no meter could reach it.

    Examples
    --------
    >>> from tracer.trace.sheet import Terminal
    >>> one = Proposal(0, (0, 0, 40, 20), "resistor", 0.9, (Terminal("1", 0.0, 10.0, 1),))
    >>> [len(offered([one], *boxes)) for boxes in (([], []), ([(2, 2, 44, 22)], []), ([], [one.box]))]
    [1, 0, 0]
    """
    reached = [p for p in proposals if any(t.conductor is not None for t in p.terminals)]
    boxes = np.array([p.box for p in reached], np.int64).reshape(-1, 4)
    free = np.ones(len(reached), bool)
    for box in confirmed:
        common, areas, own = _common(boxes, box)
        free &= common < COVERED * np.maximum(1, np.minimum(areas, own))
    for box in dismissed:
        common, areas, own = _common(boxes, box)
        free &= common < SAME * (areas + own - common)
    return tuple(proposal for proposal, is_free in zip(reached, free, strict=True) if is_free)


def reading_order(proposals: Iterable[Proposal]) -> tuple[Proposal, ...]:
    """Return proposals row by row, left to right; a row is twice as high as the usual part."""
    listed = tuple(proposals)
    if not listed:
        return ()
    row = max(1, 2 * round(median(p.box[3] - p.box[1] for p in listed)))
    return tuple(sorted(listed, key=lambda p: ((p.box[1] + p.box[3]) // (2 * row), p.box[0], p.box[1])))


def walking_order(
    proposals: Iterable[Proposal], among: Iterable[Proposal] | None = None
) -> tuple[Proposal, ...]:
    """Return proposals kind by kind, the kind that has most first; of one kind the least sure first.

    Once the doubtful ones of a kind are answered, all that follow are surer: they can be confirmed together.
    Kinds are counted `among` all of the sheet, so that their order stays while proposals are answered.
    """
    listed = reading_order(proposals)
    many = Counter(proposal.kind for proposal in (listed if among is None else among))
    return tuple(sorted(listed, key=lambda p: (-many[p.kind], p.kind, p.score)))


def _common(boxes: NDArray[np.int64], box: Box) -> tuple[NDArray[np.int64], NDArray[np.int64], int]:
    """The area that each of `boxes` (N, 4) has in common with `box`, their own areas, and that of `box`."""
    wide = np.minimum(boxes[:, 2], box[2]) - np.maximum(boxes[:, 0], box[0])
    high = np.minimum(boxes[:, 3], box[3]) - np.maximum(boxes[:, 1], box[1])
    areas = (boxes[:, 2] - boxes[:, 0]) * (boxes[:, 3] - boxes[:, 1])
    return np.maximum(0, wide) * np.maximum(0, high), areas, (box[2] - box[0]) * (box[3] - box[1])

"""Limits where pots of different laws turn on one shaft, so that their divisions go along a curve together.

Along a curve the resistance is not concave, so its ends tell nothing; the turn is searched by branch and
bound (A. H. Land and A. G. Doig, Econometrica 28, 1960). Over a stretch of the turn each section stays
between what it is at the two ends, and as the resistance never falls when a branch rises, all sections at
their most, or their least, bound the whole stretch.
"""

from __future__ import annotations

import heapq
from collections.abc import Callable, Iterable, Sequence
from dataclasses import replace
from itertools import count, product

import numpy as np

from tracer.circuit.divisions import CLOSE, Piece, Seen, greatest, least
from tracer.circuit.laws import part_at

__all__ = ["bent", "least_turned", "most_turned"]

_MOST_STRETCHES = 4000

Stretch = tuple[tuple[float, float], ...]
"""For each bent shaft the least and the most turn."""


def bent(laws: Iterable[str]) -> bool:
    """Tell whether pots of these laws, on one shaft, divide differently."""
    return len(set(laws)) > 1


def least_turned(seen: Seen) -> float:
    """Return the least that the leads see at any turn of any shaft, Ω, at most 0.1 % too low."""
    return _searched(seen, least, upward=False)


def most_turned(seen: Seen) -> float:
    """Return the most that the leads see at any turn of any shaft, Ω, about 0.1 % too high at most."""
    return _searched(seen, greatest, upward=True)


def _searched(seen: Seen, extreme: Callable[[Seen], float], *, upward: bool) -> float:
    """Return a safe limit; `extreme` finds it for the shafts that are not bent."""
    bends = [shaft for shaft in seen.shafts if bent(piece.law for piece in shaft)]
    if not bends:
        return extreme(seen)
    plain = replace(seen, shafts=tuple(shaft for shaft in seen.shafts if shaft not in bends))
    sign = -1.0 if upward else 1.0

    def bound(stretch: Stretch) -> float:
        return sign * extreme(_at(plain, bends, stretch, upward=upward))

    order = count()
    whole: Stretch = ((0.0, 1.0),) * len(bends)
    best = min(
        bound(tuple((turn, turn) for turn in turns)) for turns in product((0.0, 1.0), repeat=len(bends))
    )
    heap = [(bound(whole), next(order), whole)]
    for _ in range(_MOST_STRETCHES):
        lowest, _, stretch = heap[0]
        if not np.isfinite(lowest) or lowest >= best - CLOSE * abs(best):
            break
        heapq.heappop(heap)
        widest = int(np.argmax([high - low for low, high in stretch]))
        middle = sum(stretch[widest]) / 2.0
        best = min(best, bound(tuple((sum(each) / 2.0,) * 2 for each in stretch)))
        for half in ((stretch[widest][0], middle), (middle, stretch[widest][1])):
            part = (*stretch[:widest], half, *stretch[widest + 1 :])
            heapq.heappush(heap, (bound(part), next(order), part))
    return sign * heap[0][0]


def _at(plain: Seen, bends: Sequence[Sequence[Piece]], stretch: Stretch, *, upward: bool) -> Seen:
    """Return what is seen with the sections of bent shafts at their most, or least, over a stretch."""
    ohms = plain.ohms.copy()
    for shaft, (low, high) in zip(bends, stretch, strict=True):
        for piece in shaft:
            near, far = part_at(piece.law, low), part_at(piece.law, high)
            first, second = (far, 1.0 - near) if upward else (near, 1.0 - far)
            ohms[piece.numbers] = piece.total * first, piece.total * second
    return replace(plain, ohms=ohms)

"""The probable range of a pair: tolerances laid together as independent errors, not at their worst.

For one ampere from lead to lead the ohms of the pair change by i² for each ohm of a branch that carries i
(Tellegen's theorem), so a part's tolerance moves the pair by i² times its own; independent ones add up by
the root of the sum of their squares (JCGM 100:2008, "Guide to the expression of uncertainty in measurement",
5.1.2). It is no limit: a set may well lie outside it, and no verdict is given by it.
"""

from __future__ import annotations

import math

import numpy as np

from tracer.circuit.from_start import Nominal
from tracer.circuit.network import Network

__all__ = ["probable_range"]


def probable_range(network: Network, nominal: Nominal) -> tuple[float, float] | None:
    """Return the probable least and most of a pair, Ω; None where its expected ohms are not known.

    Parts count as independent; the branches of one part move together.
    """
    if nominal.ohms is None or not math.isfinite(nominal.ohms):
        return None
    used = np.flatnonzero(nominal.currents)
    weight, middle = nominal.currents[used] ** 2, nominal.branch_ohms[used]
    low, high = network.low[used], network.high[used]
    told = ~np.isnan(network.expected[used])
    for split, numbers in zip(network.splits, network.split_numbers, strict=True):
        section, total = np.isin(used, numbers), split.total
        if total.expected and section.any():
            low[section] = middle[section] * total.low / total.expected
            high[section] = middle[section] * total.high / total.expected
            told[section] = True
        else:
            told[section] = False
    if not told.all():
        return None
    part = network.part_of[used]
    spread = [
        float(np.sqrt((np.bincount(part, weight * off) ** 2).sum())) for off in (middle - low, high - middle)
    ]
    if not all(map(math.isfinite, spread)):
        return None
    return max(0.0, nominal.ohms - spread[0]), nominal.ohms + spread[1]

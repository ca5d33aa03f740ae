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
    weight, ohms = nominal.currents**2, nominal.branch_ohms
    sections = {branch: number for number, split in enumerate(network.split_numbers) for branch in split}
    down: dict[str, float] = {}
    up: dict[str, float] = {}
    for number in np.flatnonzero(weight > 0.0).tolist():
        branch = network.branches[number]
        low, high, middle = branch.low, branch.high, float(ohms[number])
        if number in sections:
            total = network.splits[sections[number]].total
            if not total.expected:
                return None
            low, high = middle * total.low / total.expected, middle * total.high / total.expected
        elif branch.expected is None:
            return None
        down[branch.part] = down.get(branch.part, 0.0) + float(weight[number]) * (middle - low)
        up[branch.part] = up.get(branch.part, 0.0) + float(weight[number]) * (high - middle)
    spread = (math.hypot(*down.values()), math.hypot(*up.values()))
    if not all(map(math.isfinite, spread)):
        return None
    return max(0.0, nominal.ohms - spread[0]), nominal.ohms + spread[1]

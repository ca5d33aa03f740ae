"""What many pairs of points would read with one branch at other ohms, all of them from one elimination."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from tracer.circuit.solve import Ohms
from tracer.circuit.sweep import Corner

__all__ = ["Pairs", "forecast"]

_NOTHING = 1e-9
"""Below this part of itself what is left of a rank-one formula is rounding: the branch is a bridge."""

Numbers = NDArray[np.int64]


@dataclass(frozen=True, eq=False)
class Pairs:
    """Pairs of nodes at one corner of a network.

    Attributes
    ----------
    corner : Corner
    starts, ends : (j,) int64
    ohms : (j,) float64
        Between the two nodes of each pair with every branch as the corner has it.
    """

    corner: Corner
    starts: Numbers
    ends: Numbers
    ohms: Ohms

    @classmethod
    def of(cls, corner: Corner, starts: Numbers, ends: Numbers) -> Pairs:
        """Work out the ohms of each pair."""
        ohms = np.zeros(len(starts))
        for start in np.unique(starts).tolist():
            here = starts == start
            ohms[here] = corner.resistances_from(start)[ends[here]]
        return cls(corner, starts, ends, ohms)


def forecast(pairs: Pairs, nodes: tuple[int, int], number: int | None, value: float) -> Ohms:
    """Return (j,) float64: what each pair would read with one branch at `value` Ω, 0 … ``inf``.

    Parameters
    ----------
    pairs : Pairs
    nodes : (int, int)
        The branch's ends.
    number : int or None
        The branch; None for one that is not in the network.
    value : float
    """
    corner = pairs.corner
    ohms = np.inf if number is None else float(corner.ohms[number])
    if value == ohms:
        return pairs.ohms
    row = [] if number is None else np.flatnonzero(corner.splits.branches == number).tolist()
    if row:
        splits, place = corner.splits, row[0]
        volts = splits.node_response(place)
        current = volts[pairs.starts] - volts[pairs.ends]
        rest = 0.0 if splits.unsure[place] else float(splits.rest[place])
        gap = rest + (0.0 if np.isinf(value) else 1.0 / max(value, 1e-12))
        with np.errstate(divide="ignore", invalid="ignore"):
            return pairs.ohms + np.where(np.abs(current) > _NOTHING, current**2 / gap, 0.0)
    if ohms == 0.0 or nodes[0] == nodes[1]:
        return pairs.ohms
    if corner.piece[nodes[0]] != corner.piece[nodes[1]]:
        return _bridged(pairs, nodes, value)
    volts = corner.node_volts(*nodes)
    drop, own = volts[pairs.starts] - volts[pairs.ends], float(volts[nodes[0]] - volts[nodes[1]])
    if own <= 0.0:
        return pairs.ohms
    added = (0.0 if np.isinf(value) else 1.0 / max(value, 1e-12)) - 1.0 / ohms
    left = 1.0 + added * own
    if left < _NOTHING:
        return np.where(np.abs(drop) > 0.5 * own, np.inf, pairs.ohms)
    return np.asarray(np.maximum(0.0, pairs.ohms - added * drop**2 / left))


def _bridged(pairs: Pairs, nodes: tuple[int, int], value: float) -> Ohms:
    """Return the pairs where the branch joins two pieces that nothing else joins."""
    one, other = (pairs.corner.resistances_from(node) for node in nodes)
    ways = one[pairs.starts] + other[pairs.ends], other[pairs.starts] + one[pairs.ends]
    return np.minimum(pairs.ohms, np.minimum(*ways) + value)

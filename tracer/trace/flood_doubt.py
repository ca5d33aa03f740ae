"""How likely the flood of each conductor is wrong, told from the scores of its joins, its length and reach.

The coefficients lie in ``assets/joins.json`` beside those of the joins; ``tests/truth/fit_joins.py`` fits
both.
"""

from __future__ import annotations

import json
from collections import defaultdict
from dataclasses import dataclass
from functools import cache
from typing import Final

import numpy as np
from numpy.typing import NDArray
from scipy.special import expit

from tracer.resources import asset
from tracer.trace.sheet import Join, JoinKind, TracedSheet

__all__ = ["FLOOD_FEATURES", "FloodModel", "flood_evidence", "flood_model", "joins_of_conductors"]

FLOOD_FEATURES: Final = (
    *(f"doubt of its {kind.value}s" for kind in JoinKind),  # log(1 + the sum of -log score over them)
    "doubt of its weakest join",
    "length",  # log(1 + stroke widths)
    "one part at most",
)
_LEAST = 1e-3  # score below which no join counts as weaker


@dataclass(frozen=True, slots=True, eq=False)
class FloodModel:
    """A constant and a weight for each of `FLOOD_FEATURES`: log odds that a flood is wrong."""

    constant: float
    weights: NDArray[np.float64]

    def wrong(self, evidence: NDArray[np.float64]) -> NDArray[np.float64]:
        """Return the probability that floods are wrong, from (N, F) evidence.

        Examples
        --------
        >>> none = np.zeros((1, len(FLOOD_FEATURES)))
        >>> FloodModel(0.0, none[0]).wrong(none).tolist()
        [0.5]
        """
        return np.asarray(expit(self.constant + evidence @ self.weights), np.float64)


@cache
def flood_model() -> FloodModel:
    """Return the model that is installed; one that goes by the joins alone where it was never fitted.

    Raises
    ------
    FileMissing
        When the installation lacks the file.
    """
    told = json.loads(asset("joins.json").read_text(encoding="utf-8")).get("floods")
    if told is None:
        return FloodModel(-4.0, np.array([float(name.startswith("doubt")) for name in FLOOD_FEATURES]))
    weights = np.array([told["weights"].get(name, 0.0) for name in FLOOD_FEATURES])
    return FloodModel(float(told["constant"]), weights)


def joins_of_conductors(sheet: TracedSheet) -> dict[int, list[Join]]:
    """Return the joins that each conductor touches, by its number."""
    found: dict[int, list[Join]] = defaultdict(list)
    for join in sheet.joins:
        for conductor in {sheet.segments[number].conductor for number in join.segments}:
            found[conductor].append(join)
    return found


def flood_evidence(sheet: TracedSheet) -> dict[int, NDArray[np.float64]]:
    """Return a row of `FLOOD_FEATURES` for each conductor, by its number."""
    length: dict[int, float] = defaultdict(float)
    for segment in sheet.segments:
        steps = np.diff(segment.line, axis=0)
        length[segment.conductor] += float(np.hypot(steps[:, 0], steps[:, 1]).sum()) / sheet.stroke
    rows = {}
    for conductor, joins in joins_of_conductors(sheet).items():
        doubt = np.array([-np.log(max(join.score, _LEAST)) for join in joins])
        sums = [float(doubt[[join.kind is kind for join in joins]].sum()) for kind in JoinKind]
        parts = sum(join.kind is JoinKind.TERMINAL for join in joins)
        last = [float(doubt.max()), np.log1p(length[conductor]), float(parts <= 1)]
        rows[conductor] = np.array([*np.log1p(sums), *last])
    return rows

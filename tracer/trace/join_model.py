"""How sure a decision of the tracing is: a small logistic model for each kind of join.

It is fitted on drawn sheets.

Its coefficients lie in ``assets/joins.json`` with what they were fitted on and how well they do;
``tests/truth/fit_joins.py`` makes that file.
"""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cache

import numpy as np
from numpy.typing import NDArray
from scipy.special import expit

from tracer.resources import asset
from tracer.trace.evidence import FEATURES
from tracer.trace.meeting import Meeting
from tracer.trace.sheet import JoinKind

__all__ = ["JoinModel", "join_model", "weighed"]


@dataclass(frozen=True, slots=True, eq=False)
class JoinModel:
    """For each kind of join, a constant and a weight for each of `FEATURES`: log odds that it is right."""

    constants: Mapping[JoinKind, float]
    weights: Mapping[JoinKind, NDArray[np.float64]]

    def score(self, kind: JoinKind, evidence: NDArray[np.float64]) -> NDArray[np.float64]:
        """Return the probability that decisions of one kind are right, from (N, F) evidence.

        Examples
        --------
        >>> none = np.zeros((1, len(FEATURES)))
        >>> JoinModel({JoinKind.GAP: 0.0}, {JoinKind.GAP: none[0]}).score(JoinKind.GAP, none).tolist()
        [0.5]
        """
        return np.asarray(expit(self.constants[kind] + evidence @ self.weights[kind]), np.float64)


@cache
def join_model() -> JoinModel:
    """Return the model that is installed.

    Raises
    ------
    FileMissing
        When the installation lacks it.
    """
    told = json.loads(asset("joins.json").read_text(encoding="utf-8"))["kinds"]
    weights = {
        JoinKind(kind): np.array([entry["weights"].get(name, 0.0) for name in FEATURES])
        for kind, entry in told.items()
    }
    return JoinModel({JoinKind(kind): float(entry["constant"]) for kind, entry in told.items()}, weights)


def weighed(meetings: Sequence[Meeting], evidence: NDArray[np.float64], model: JoinModel) -> list[Meeting]:
    """Return the meetings with the model's scores; a kind that the model lacks keeps the rule's."""
    scores = np.array([meeting.score for meeting in meetings], np.float64)
    kinds = np.array([meeting.kind.value for meeting in meetings])
    for kind in model.constants:
        rows = np.flatnonzero(kinds == kind.value)
        scores[rows] = model.score(kind, evidence[rows])
    return [replace(meeting, score=float(score)) for meeting, score in zip(meetings, scores, strict=True)]

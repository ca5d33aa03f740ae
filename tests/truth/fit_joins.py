"""Fit the model of how sure a join is, and measure it on sheets that it was not fitted on.

``python tests/truth/fit_joins.py assets/joins.json`` draws the sheets, reads and traces them with what is
installed and writes the table: under two minutes on two free processors. Do it again after a new reader or a
change of the tracing.
"""

from __future__ import annotations

import itertools
import json
import os
import sys
from collections.abc import Iterable
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np
from join_truth import decisions, true_course
from known import points_of
from numpy.typing import NDArray
from scipy.optimize import minimize
from scipy.special import expit
from scoring import score_points

from tracer.reader.read import read
from tracer.scan.page import Page
from tracer.trace.doubts import doubtful_joins
from tracer.trace.evidence import FEATURES
from tracer.trace.flood import FloodIndex
from tracer.trace.flood_doubt import FLOOD_FEATURES, FloodModel, flood_evidence
from tracer.trace.join_model import JoinModel
from tracer.trace.sheet import Join, JoinKind, TracedSheet
from tracer.trace.trace import trace
from tracer.training.layout import draw_sheet
from tracer.training.spoil import spoil

__all__ = ["Judged", "coverage", "fit", "fit_floods", "judged_sheets", "reliability", "rescored"]

FITTED, HELD = range(6000, 6100), range(6600, 6630)
_LEVELS = 4
_PROCESSES = 2
_STIFF = 3.0  # weight of the squared coefficients, of evidence made to unit variance
# What speaks for a decision must not count against it, however few the sheets are.
_SENSE: dict[str, tuple[float | None, float | None]] = {
    "rule": (0.0, None),
    "sure near": (0.0, None),
    "least sure arm": (0.0, None),
    "body score": (0.0, None),
    "unsure near": (None, 0.0),
    "bare": (None, 0.0),
}
_Limits = tuple[float | None, float | None]
_COUNTED = (
    "sheets",
    "chosen",
    "wrongly flooded",
    "not traced at all",
    "touch a chosen join",
    "have a wrong join",
    "have one and touch a chosen one",
)
_STEPS = (0.0, 0.3, 0.5, 0.7, 0.8, 0.9, 0.95, 0.99, 1.0)


@dataclass(frozen=True, eq=False)
class Judged:
    """One sheet as traced: the evidence for each join, whether it is right, and what is flooded wrongly.

    `wrong` has a set for each conductor that does not flood clean: the traced conductors under its points;
    `clean` are those under the points of all others.
    A conductor may flood wrongly with all its joins right, where the reader missed a lead or a body.
    """

    sheet: TracedSheet
    evidence: NDArray[np.float64]
    right: list[bool | None]
    wrong: list[set[int]]
    clean: set[int]


def judged_sheets(seeds: Iterable[int], processes: int = 1) -> list[Judged]:
    """Draw, spoil, read and trace one sheet for each seed; the levels of spoiling take turns."""
    if processes < 2:
        return [_judged(seed) for seed in seeds]
    with ProcessPoolExecutor(processes) as pool:
        return list(pool.map(_judged, seeds, chunksize=4))


def _judged(seed: int) -> Judged:
    truth = spoil(draw_sheet(seed, 900, 900, stroke=3.2 if seed % 3 else None), seed % _LEVELS, seed)
    shape = (truth.image.shape[0], truth.image.shape[1])
    seen: list[NDArray[np.float64]] = []

    def keep(_: object, evidence: NDArray[np.float64]) -> None:
        seen.append(evidence)

    sheet = trace(read(Page(truth.image, Path("drawn.png"), 1, None, "drawn")), shape, witness=keep)
    points = points_of(truth)
    score = score_points(sheet, points)
    index = FloodIndex(sheet)
    lit = {
        number: {found for x, y in places if (found := index.conductor_at(x, y, 2.5)) is not None}
        for number, places in points.items()
    }
    bad = sorted({*score.split, *score.merged, *score.missed})
    clean = {found for number in points.keys() - set(bad) for found in lit[number]}
    right = decisions(sheet, true_course(truth))
    return Judged(sheet, seen[0], right, [lit[number] for number in bad], clean)


def _told(sheets: Iterable[Judged], kind: JoinKind) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Return the evidence for all joins of a kind that the truth tells of, and 1 for each that is right."""
    rows = [
        (sheet.evidence[join.id], right)
        for sheet in sheets
        for join, right in zip(sheet.sheet.joins, sheet.right, strict=True)
        if join.kind is kind and right is not None
    ]
    evidence = np.array([row for row, _ in rows]).reshape(-1, len(FEATURES))
    return evidence, np.array([right for _, right in rows], np.float64)


def fit(sheets: list[Judged]) -> JoinModel:
    """Fit a logistic model for each kind of join by penalised maximum likelihood."""
    limits = [_SENSE.get(name, (None, None)) for name in FEATURES]
    constants, weights = {}, {}
    for kind in JoinKind:
        constants[kind], weights[kind] = _logistic(*_told(sheets, kind), limits)
    return JoinModel(constants, weights)


def fit_floods(sheets: list[Judged], model: JoinModel) -> FloodModel:
    """Fit how likely a flood is wrong, from the scores that `model` gives its joins."""
    rows: list[NDArray[np.float64]] = []
    wrong: list[bool] = []
    for judged in sheets:
        bad = {number for found in judged.wrong for number in found}
        evidence = flood_evidence(rescored(judged, model))
        for number in sorted((bad | judged.clean) & evidence.keys()):
            rows.append(evidence[number])
            wrong.append(number in bad)
    # Doubt never speaks for a flood, nor does length.
    limits: list[_Limits] = [(0.0, None)] * len(FLOOD_FEATURES)
    return FloodModel(*_logistic(np.array(rows), np.array(wrong, np.float64), limits))


def _logistic(
    evidence: NDArray[np.float64], right: NDArray[np.float64], limits: list[_Limits]
) -> tuple[float, NDArray[np.float64]]:
    """Return constant and weights within `limits`; the evidence is made to unit variance to be penalised."""
    mean, spread = evidence.mean(axis=0), evidence.std(axis=0)
    spread[spread < 1e-6] = np.inf
    scaled = (evidence - mean) / spread

    def loss(w: NDArray[np.float64]) -> tuple[float, NDArray[np.float64]]:
        odds = w[0] + scaled @ w[1:]
        pull = expit(odds) - right
        value = np.logaddexp(0, odds).sum() - (right * odds).sum() + _STIFF * (w[1:] ** 2).sum() / 2
        return float(value), np.concatenate([[pull.sum()], scaled.T @ pull + _STIFF * w[1:]])

    bounds: list[_Limits] = [(None, None), *limits]
    found = minimize(loss, np.zeros(len(bounds)), jac=True, method="L-BFGS-B", bounds=bounds).x
    weights = found[1:] / spread
    return float(found[0] - weights @ mean), weights


def rescored(judged: Judged, model: JoinModel) -> TracedSheet:
    """Return a sheet with the model's scores on its joins."""
    joins: list[Join] = []
    for join, row in zip(judged.sheet.joins, judged.evidence, strict=True):
        joins.append(replace(join, score=float(model.score(join.kind, row[None])[0])))
    return replace(judged.sheet, joins=tuple(joins))


def reliability(sheets: list[Judged], model: JoinModel) -> list[dict[str, float]]:
    """Compare predicted with seen: for each band of scores how many joins, their mean score, share right."""
    scores, right = [], []
    for kind in JoinKind:
        evidence, told = _told(sheets, kind)
        scores.append(model.score(kind, evidence))
        right.append(told)
    score, seen = np.concatenate(scores), np.concatenate(right)
    rows = []
    for low, high in itertools.pairwise(_STEPS):
        band = (score >= low) & (score < high)
        if band.any():
            rows.append(
                {
                    "from": low,
                    "to": high,
                    "joins": int(band.sum()),
                    "predicted": round(float(score[band].mean()), 3),
                    "right": round(float(seen[band].mean()), 3),
                }
            )
    return rows


def coverage(
    sheets: list[Judged], model: JoinModel, floods: FloodModel | None = None, most: int = 20
) -> dict[str, int]:
    """Count the wrongly flooded conductors that touch a join chosen to be looked at."""
    count = dict.fromkeys(_COUNTED, 0)
    for judged in sheets:
        sheet = rescored(judged, model)
        chosen = doubtful_joins(sheet, most, floods=floods)
        count["sheets"] += 1
        count["chosen"] += len(chosen)
        lit = _conductors(sheet, chosen)
        misjudged = _conductors(
            sheet, [join for join, right in zip(sheet.joins, judged.right, strict=True) if right is False]
        )
        for conductors in judged.wrong:
            count["wrongly flooded"] += 1
            count["not traced at all"] += not conductors
            count["touch a chosen join"] += bool(conductors & lit)
            count["have a wrong join"] += bool(conductors & misjudged)
            count["have one and touch a chosen one"] += bool(conductors & misjudged) and bool(
                conductors & lit
            )
    return count


def _conductors(sheet: TracedSheet, joins: Iterable[Join]) -> set[int]:
    return {sheet.segments[segment].conductor for join in joins for segment in join.segments}


def main(to: Path) -> None:
    """Fit, measure and write the table."""
    os.environ.setdefault("OMP_NUM_THREADS", "1")
    fitted, held = judged_sheets(FITTED, _PROCESSES), judged_sheets(HELD, _PROCESSES)
    model = fit(fitted)
    floods = fit_floods(fitted, model)
    kinds = {}
    for kind in JoinKind:
        _, right = _told(fitted, kind)
        named = dict(zip(FEATURES, np.round(model.weights[kind], 4).tolist(), strict=True))
        kinds[kind.value] = {
            "fitted_on": {"joins": len(right), "wrong": int((right == 0).sum())},
            "constant": round(model.constants[kind], 4),
            "weights": {name: weight for name, weight in named.items() if weight},
        }
    table = {
        "what": "Log odds that a decision is right; tracer/trace/evidence.py names the evidence.",
        "command": "python tests/truth/fit_joins.py assets/joins.json",
        "reader_sha256": fitted[0].sheet.reader_sha256,
        "fitted_on_seeds": [FITTED.start, FITTED.stop],
        "measured_on_seeds": [HELD.start, HELD.stop],
        "reliability": reliability(held, model),
        "coverage": coverage(held, model, floods),
        "kinds": kinds,
        "floods": {
            "what": "Log odds that a flood is wrong; tracer/trace/flood_doubt.py names the evidence.",
            "constant": round(floods.constant, 4),
            "weights": dict(zip(FLOOD_FEATURES, np.round(floods.weights, 4).tolist(), strict=True)),
        },
    }
    to.write_text(json.dumps(table, indent=1) + "\n", encoding="utf-8")
    print(json.dumps({name: table[name] for name in ("reliability", "coverage")}, indent=1))


if __name__ == "__main__":
    main(Path(sys.argv[1]))

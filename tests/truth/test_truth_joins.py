"""Scores of joins against what is right, on drawn sheets that the model was not fitted on.

``python tests/truth/fit_joins.py`` measures the same on many more, and writes it into ``assets/joins.json``.
"""

from __future__ import annotations

import json

import numpy as np
import pytest
from fit_joins import FITTED, HELD, coverage, judged_sheets, reliability

from tracer.errors import TracerError
from tracer.reader.weights import load_weights
from tracer.resources import asset
from tracer.trace.evidence import FEATURES
from tracer.trace.flood_doubt import FLOOD_FEATURES
from tracer.trace.join_model import join_model
from tracer.trace.sheet import JoinKind

SEEDS = range(6700, 6708)


def test_the_table_names_the_evidence_and_was_measured_on_other_sheets_than_it_was_fitted_on() -> None:
    table = json.loads(asset("joins.json").read_text(encoding="utf-8"))
    assert set(table["kinds"]) == {kind.value for kind in JoinKind}
    for entry in table["kinds"].values():
        assert set(entry["weights"]) <= set(FEATURES)
    assert set(table["floods"]["weights"]) == set(FLOOD_FEATURES)
    assert not set(range(*table["fitted_on_seeds"])) & set(range(*table["measured_on_seeds"]))
    assert not set(SEEDS) & (set(FITTED) | set(HELD))


def test_scores_are_the_shares_that_are_right_and_lead_to_what_is_wrong() -> None:
    try:
        load_weights()
    except TracerError as error:
        pytest.skip(f"no reader installed: {error}")
    sheets = judged_sheets(SEEDS)
    rows = reliability(sheets, join_model())
    joins = np.array([row["joins"] for row in rows])
    gap = np.array([abs(row["predicted"] - row["right"]) for row in rows])
    found = coverage(sheets, join_model())
    print(f"\nmean gap between score and share right {(gap * joins).sum() / joins.sum():.3f}; {found}")
    assert (gap * joins).sum() / joins.sum() < 0.05
    assert found["chosen"] <= 20 * found["sheets"]
    assert found["have one and touch a chosen one"] >= 0.7 * found["have a wrong join"]

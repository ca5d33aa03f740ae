"""Values as fitted rule over those printed, are dated, and go with undo."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from tracer.circuit.expect import expect
from tracer.circuit.wiring import parse_wiring, print_wiring
from tracer.job.edits import perform, redo, undo
from tracer.job.file import create_job, open_job
from tracer.job.fitted import MEASURED_TOLERANCE, as_fitted, fitted_changes, fitted_values, ruling
from tracer.job.records import FittedValue, Tag, TagTerminal, ValueSource
from tracer.job.tags import add_tag, tags

WHEN = "1990-05-01T09:00:00+00:00"
TAG = Tag(
    1,
    (0, 0, 9, 9),
    "resistor",
    "R1",
    "470k",
    (TagTerminal("1", 0, 4), TagTerminal("2", 9, 4)),
    (("tol", "20%"),),
)


def test_the_last_one_rules_and_undo_brings_the_one_before_back(tmp_path: Path) -> None:
    path = tmp_path / "a.tracer"
    with create_job(path) as job:
        stored = add_tag(job, TAG)
        assert stored.id is not None
        for value, source in (("390k", ValueSource.SERVICE_NOTE), ("402k", ValueSource.MEASURED)):
            perform(job, "fit", fitted_changes(job, [FittedValue(stored.id, value, source, WHEN)]))
        assert ruling(fitted_values(job))[stored.id].value == "402k"
        assert len(fitted_values(job)) == 2, "what ruled before stays in the record"
        assert undo(job) == "fit"
        assert ruling(fitted_values(job))[stored.id].value == "390k"
        redo(job)
    with open_job(path) as job:
        (found,) = as_fitted(tags(job), fitted_values(job))
        assert (found.value, dict(found.options)["tol"]) == ("402k", MEASURED_TOLERANCE)
        assert tags(job)[0].value == "470k", "the print stays what it is"


@pytest.mark.parametrize(
    ("source", "tolerance", "expected"),
    [
        (ValueSource.MEASURED, "", "2%"),
        (ValueSource.MEASURED, "0.5%", "0.5%"),
        (ValueSource.SERVICE_NOTE, "", "20%"),
        (ValueSource.PRINT, "5%", "5%"),
    ],
)
def test_a_value_brings_its_own_limits(source: ValueSource, tolerance: str, expected: str) -> None:
    (made,) = as_fitted([replace(TAG, id=3)], [FittedValue(3, "390k", source, WHEN, tolerance)])
    assert dict(made.options)["tol"] == expected
    assert dict(made.options)["note"] == f"print 470k, 390k {source} 1990-05-01"


def test_an_empty_value_gives_the_print_its_rule_back() -> None:
    tag = replace(TAG, id=3)
    rows = [FittedValue(3, "390k", ValueSource.PRINT, WHEN), FittedValue(3, "", ValueSource.PRINT, WHEN)]
    assert as_fitted([tag], rows) == (tag,)


def test_the_note_stays_in_a_wiring_list() -> None:
    circuit = parse_wiring("resistor R1: 1=A 2=B; 390k; tol=2%; note=print 470k, 390k measured 1990-05-01")
    again = parse_wiring(print_wiring(circuit))
    assert again.elements == circuit.elements
    assert expect(again, "A", "B").expected == 390_000

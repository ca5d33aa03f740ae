"""The check list tells of a reading that a repair or a corrected value has overtaken: both verdicts."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest
from invented import RAILS, TAGS, bench, sheet

from tracer.bench.layout import lay_out
from tracer.bench.readings import take_reading
from tracer.bench.standing import standing
from tracer.circuit.elements import Setting
from tracer.circuit.results import Meter
from tracer.job.file import Job, create_job
from tracer.job.marks import add_mark
from tracer.job.records import Mark, MarkKind
from tracer.report.checklist import make_checklist

METER = Meter()


@pytest.fixture
def job(tmp_path: Path) -> Job:
    made = create_job(tmp_path / "a.tracer")
    take_reading(made, bench(), "HT1", "R2.1", "1k01", Setting(), METER)
    return made


def test_a_reading_through_a_replaced_part_keeps_its_row_and_proves_nothing(job: Job) -> None:
    laid = bench()
    (before,) = make_checklist(job, laid, standing(job, laid, METER), METER).rows
    assert (before.verdict, "R1" in before.proved) == ("pass", True)
    add_mark(job, Mark(1, 230.0, 100.0, MarkKind.REPLACED, "2099-01-01T09:00:00+00:00"))
    checklist = make_checklist(job, laid, standing(job, laid, METER), METER)
    (row,) = checklist.rows
    assert (row.verdict, row.proved) == ("pass (on today's circuit: pass); no longer counts", "")
    assert any("R1" in note and "replaced" in note for note in checklist.notes)


def test_a_reading_judged_otherwise_by_a_corrected_value_has_both_verdicts(job: Job) -> None:
    tags = [replace(tag, value="10k") if tag.reference == "R1" else tag for tag in TAGS]
    corrected = lay_out({1: sheet()}, tags, (), RAILS)
    (row,) = make_checklist(job, corrected, standing(job, corrected, METER), METER).rows
    assert (row.verdict, row.proved) == ("pass (on today's circuit: low)", "")

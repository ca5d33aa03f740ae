"""A part that was replaced: earlier readings stay, what they proved through it does not."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest
from invented import RAILS, TAGS, bench, sheet

from tracer.bench.layout import lay_out
from tracer.bench.readings import take_reading, then_and_now
from tracer.bench.repairs import undone_by_repair
from tracer.bench.standing import standing
from tracer.circuit.elements import Setting
from tracer.circuit.results import Meter, Tint, Verdict
from tracer.job.edits import undo
from tracer.job.file import Job, create_job
from tracer.job.marks import add_mark
from tracer.job.readings import reading, readings
from tracer.job.records import Mark, MarkKind

METER = Meter()
BEFORE, AFTER = "2001-01-01T09:00:00+00:00", "2099-01-01T09:00:00+00:00"
ON_R1, ON_R2, ON_C1, ON_WIRE_TO_R1 = (230.0, 100.0), (600.0, 210.0), (400.0, 190.0), (120.0, 100.0)


@pytest.fixture
def job(tmp_path: Path) -> Job:
    return create_job(tmp_path / "a.tracer")


def replaced(job: Job, at: tuple[float, float], when: str = AFTER) -> None:
    add_mark(job, Mark(1, *at, MarkKind.REPLACED, when))


def test_a_repair_withdraws_what_was_proved_through_it_and_keeps_the_reading(job: Job) -> None:
    laid = bench()
    assert take_reading(job, laid, "HT1", "R2.1", "1k01", Setting(), METER).newly_carried
    replaced(job, ON_R1)
    stands = standing(job, laid, METER)
    assert set(dict(stands.proof.tints).values()) == {Tint.NOT_MEASURED}
    assert stands.proof.absent == ()
    ((number, sentence),) = stands.skipped
    assert (number, "R1" in sentence) == (1, True)
    assert [record.number for record in readings(job)] == [1]
    both = then_and_now(job, laid, reading(job, 1), METER)
    assert (both.then, both.now) == (Verdict.PASS, Verdict.PASS)
    undo(job)
    assert dict(standing(job, laid, METER).proof.tints)["R1"] in {Tint.CARRIED, Tint.PINNED}


@pytest.mark.parametrize(("at", "element"), [(ON_R2, "R2"), (ON_C1, "C1")])
def test_a_repair_elsewhere_withdraws_nothing(job: Job, at: tuple[float, float], element: str) -> None:
    """The reading runs from HT1 to R2's near end: none of its current passes R2, nor C1 beyond its leak."""
    laid = bench()
    take_reading(job, laid, "HT1", "R2.1", "1k01", Setting(), METER)
    before = standing(job, laid, METER)
    replaced(job, at)
    assert element in laid.places
    assert standing(job, laid, METER).proof.tints == before.proof.tints


def test_a_repair_before_the_reading_withdraws_nothing(job: Job) -> None:
    laid = bench()
    replaced(job, ON_R1, BEFORE)
    take_reading(job, laid, "HT1", "R2.1", "1k01", Setting(), METER)
    assert undone_by_repair(job, laid) == {}


def test_a_failing_reading_no_longer_blames_a_part_that_was_replaced(job: Job) -> None:
    laid = bench()
    take_reading(job, laid, "HT1", "R2.1", "OL", Setting(), METER)
    assert dict(standing(job, laid, METER).proof.tints)["R1"] in {Tint.SUSPECT, Tint.BAD, Tint.ONE_OF_TWO}
    replaced(job, ON_R1)
    stands = standing(job, laid, METER)
    assert dict(stands.proof.tints)["R1"] is Tint.NOT_MEASURED
    assert then_and_now(job, laid, reading(job, 1), METER).then is Verdict.HIGH


def test_a_new_capacitor_has_to_be_shown_not_to_be_short(job: Job) -> None:
    laid = bench()
    take_reading(job, laid, "HT2", "chassis", "OL", Setting(), METER)
    assert standing(job, laid, METER).proof.absent == (("HT2", "chassis"),)
    replaced(job, ON_C1)
    assert standing(job, laid, METER).proof.absent == ()


def test_a_wire_that_was_replaced_withdraws_what_ran_through_it(job: Job) -> None:
    laid = bench()
    take_reading(job, laid, "HT1", "R2.1", "1k01", Setting(), METER)
    replaced(job, ON_WIRE_TO_R1)
    (name,) = undone_by_repair(job, laid).values()
    assert laid.places[name][0].segments


def test_a_corrected_value_is_judged_anew_on_the_readings_that_there_are(job: Job) -> None:
    take_reading(job, bench(), "HT1", "R2.1", "1k01", Setting(), METER)
    tags = [replace(tag, value="10k") if tag.reference == "R1" else tag for tag in TAGS]
    corrected = lay_out({1: sheet()}, tags, (), RAILS)
    stands = standing(job, corrected, METER)
    assert not {Tint.CARRIED, Tint.PINNED} & set(dict(stands.proof.tints).values())
    both = then_and_now(job, corrected, reading(job, 1), METER)
    assert (both.then, both.now) == (Verdict.PASS, Verdict.LOW)

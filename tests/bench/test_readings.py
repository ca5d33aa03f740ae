"""Taking readings on the invented supply corner, end to end."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest
from invented import RAILS, TAGS, bench, sheet

from tracer.bench.layout import lay_out
from tracer.bench.readings import take_reading, then_and_now
from tracer.bench.standing import standing
from tracer.circuit.elements import Setting
from tracer.circuit.results import CauseKind, Meter, Tint, Verdict
from tracer.circuit.wiring import parse_wiring, print_wiring
from tracer.errors import BadValue, SamePoint, UnknownPoint
from tracer.job.edits import redo, undo
from tracer.job.file import Job, create_job, open_job
from tracer.job.readings import network_text, reading, readings

METER = Meter()


@pytest.fixture
def job(tmp_path: Path) -> Job:
    return create_job(tmp_path / "a.tracer")


def wire_between(laid_segments: set[int]) -> str:
    laid = bench()
    (reference,) = [r for r, places in laid.places.items() if set(places[0].segments) == laid_segments]
    return reference


def test_a_passing_reading_carries_the_part_and_the_wire_on_its_way(job: Job) -> None:
    laid = bench()
    outcome = take_reading(job, laid, "HT1", "R2.1", "1k01", Setting(), METER)
    assert outcome.verdict is Verdict.PASS
    assert outcome.causes == ()
    # R1 prints no tolerance, so ±20 %; the wires add at most 0.1 Ω each.
    assert outcome.expectation.low == pytest.approx(800, rel=0.01)
    assert outcome.expectation.high == pytest.approx(1200, rel=0.01)
    carried = {"R1", wire_between({0}), wire_between({1}), wire_between({3, 4})}
    assert carried <= set(outcome.newly_carried)
    # The branch to C1 and the anode wire carried none of the current.
    assert not {wire_between({2}), wire_between({5}), wire_between({6}), "C1", "R2"} & set(
        outcome.newly_carried
    )
    assert outcome.record.number == readings(job)[0].number == 1
    assert network_text(job, outcome.record.network) == print_wiring(laid.circuit)


def test_a_second_reading_brings_only_what_is_new(job: Job) -> None:
    laid = bench()
    first = take_reading(job, laid, "HT1", "R2.1", "1k01", Setting(), METER)
    again = take_reading(job, laid, "HT1", "R2.1", "1k01", Setting(), METER)
    assert first.newly_carried
    assert again.newly_carried == ()
    further = take_reading(job, laid, "HT1", "V1.6", "221k", Setting(), METER)
    assert "R2" in further.newly_carried
    assert "R1" not in further.newly_carried
    tints = dict(further.proof.tints)
    assert {tints["R1"], tints["R2"]} <= {Tint.CARRIED, Tint.PINNED}


def test_a_failing_reading_has_causes_and_carries_nothing(job: Job) -> None:
    outcome = take_reading(job, bench(), "HT1", "R2.1", "OL", Setting(), METER)
    assert outcome.verdict is Verdict.HIGH
    assert outcome.newly_carried == ()
    assert "R1" in {cause.element for cause in outcome.causes if cause.kind is CauseKind.OPEN}
    assert sum(cause.weight for cause in outcome.causes) == pytest.approx(1, abs=1e-6)


def test_what_comes_next_would_carry_something_not_yet_carried(job: Job) -> None:
    outcome = take_reading(job, bench(), "HT1", "R2.1", "1k01", Setting(), METER)
    offered = outcome.next_reading
    assert offered is not None
    assert set(offered.carries) | set(offered.pins)
    assert not set(offered.carries) & set(outcome.newly_carried)


@pytest.mark.parametrize(
    ("start", "end", "shown", "error"),
    [
        ("HT1", "R2.1", "four", BadValue),
        ("HT1", "R99.1", "1k", UnknownPoint),
        ("HT1", "HT1", "1k", SamePoint),
    ],
)
def test_what_cannot_be_judged_is_not_stored(
    job: Job, start: str, end: str, shown: str, error: type[Exception]
) -> None:
    with pytest.raises(error):
        take_reading(job, bench(), start, end, shown, Setting(), METER)
    assert readings(job, withdrawn=True) == ()


def test_undoing_a_reading_takes_its_proof_back(job: Job) -> None:
    laid = bench()
    take_reading(job, laid, "HT1", "R2.1", "1k01", Setting(), METER)
    before = standing(job, laid, METER)
    undo(job)
    none = standing(job, laid, METER)
    assert none.counts["carried"] + none.counts["pinned"] == 0
    redo(job)
    after = standing(job, laid, METER)
    assert dict(after.counts) == dict(before.counts)
    # The reading that counts now is the new one that cites the first.
    assert {number for _, number in after.proof.carried_by} == {2}


def test_standing_is_the_same_after_a_restart(job: Job) -> None:
    laid = bench()
    take_reading(job, laid, "HT1", "R2.1", "1k01", Setting(), METER)
    before = standing(job, laid, METER)
    job.close()
    with open_job(job.path) as again:
        after = standing(again, laid, METER)
    assert after.proof.tints == before.proof.tints
    assert after.rails == before.rails


def test_shares_by_rail_count_what_an_ohmmeter_can_carry(job: Job) -> None:
    laid = bench()
    start = {rail.rail: rail for rail in standing(job, laid, METER).rails}
    # HT1: its wire and R1. HT2: its bond, three wires of the net, R1 and R2; C1 cannot be carried.
    assert {name: rail.total for name, rail in start.items()} == {"HT1": 2, "HT2": 6}
    assert all(rail.carried == 0 and rail.share == 0 for rail in start.values())
    take_reading(job, laid, "HT1", "R2.1", "1k01", Setting(), METER)
    then = {rail.rail: rail for rail in standing(job, laid, METER).rails}
    assert then["HT1"].share == 1
    assert (then["HT2"].carried, then["HT2"].total) == (3, 6)


def test_a_reading_keeps_its_verdict_when_the_value_is_corrected_later(job: Job) -> None:
    outcome = take_reading(job, bench(), "HT1", "R2.1", "10k2", Setting(), METER)
    assert outcome.verdict is Verdict.HIGH
    tags = [replace(tag, value="10k") if tag.reference == "R1" else tag for tag in TAGS]
    corrected = lay_out({1: sheet()}, tags, (), RAILS)
    both = then_and_now(job, corrected, reading(job, 1), METER)
    assert (both.then, both.now) == (Verdict.HIGH, Verdict.PASS)
    assert both.expected_then == outcome.expectation
    assert both.expected_now is not None
    assert both.expected_now.low == pytest.approx(8000, rel=0.01)


def test_a_reading_whose_point_is_gone_is_skipped_and_said(job: Job) -> None:
    take_reading(job, bench(), "HT1", "R2.1", "1k01", Setting(), METER)
    without = lay_out({1: sheet()}, [tag for tag in TAGS if tag.reference != "R2"], (), RAILS)
    stands = standing(job, without, METER)
    ((number, sentence),) = stands.skipped
    assert number == 1
    assert "R2.1" in sentence
    both = then_and_now(job, without, reading(job, 1), METER)
    assert both.now is None
    assert both.expected_then is not None


def test_the_stored_network_reads_back_to_the_circuit(job: Job) -> None:
    laid = bench()
    outcome = take_reading(job, laid, "HT1", "R2.1", "1k01", Setting(), METER)
    stored = parse_wiring(network_text(job, outcome.record.network))
    assert tuple(replace(e, line=None) for e in stored.elements) == laid.circuit.elements

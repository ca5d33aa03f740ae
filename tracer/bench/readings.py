"""Taking a reading: expectation, verdict, causes, proof and what to measure next in one answer."""

from __future__ import annotations

from tracer.bench.records import Bench, Outcome, ThenAndNow
from tracer.circuit.elements import Setting
from tracer.circuit.results import Meter
from tracer.job.file import Job
from tracer.job.records import ReadingRecord

__all__ = ["take_reading", "then_and_now"]


def take_reading(
    job: Job, bench: Bench, start: str, end: str, shown: str, setting: Setting, meter: Meter
) -> Outcome:
    """Judge what the meter showed (``"4k72"``, ``"OL"``, ``"1M rising"``), store it, and say what follows."""
    raise NotImplementedError


def then_and_now(job: Job, bench: Bench, record: ReadingRecord, meter: Meter) -> ThenAndNow:
    """Judge a stored reading on the network stored with it and on today's circuit."""
    raise NotImplementedError

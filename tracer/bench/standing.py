"""How the job stands: tints, shares by rail, counts."""

from __future__ import annotations

from tracer.bench.records import Bench, Standing
from tracer.circuit.results import Meter
from tracer.job.file import Job

__all__ = ["standing"]


def standing(job: Job, bench: Bench, meter: Meter) -> Standing:
    """Prove over all readings that were not withdrawn."""
    raise NotImplementedError

"""From a job and its traced sheets to a circuit whose every element has a place on paper."""

from __future__ import annotations

from tracer.bench.records import Bench
from tracer.job.file import Job
from tracer.progress import NullProgress, Progress

__all__ = ["assemble"]


def assemble(job: Job, progress: Progress | None = None, *, strict: bool = False) -> Bench:
    """Build the circuit of everything confirmed in `job`.

    Raises
    ------
    BadConfirmation
        When `strict` and a terminal lies on no conductor. Otherwise `Bench.warnings` says so.
    """
    raise NotImplementedError(NullProgress)

"""From a job file to the bench: sheets read and traced where needed, confirmed parts laid out on them."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import partial

from tracer.bench.layout import lay_out
from tracer.bench.meant import as_meant
from tracer.bench.records import Bench
from tracer.bench.tracing import traced_sheet
from tracer.job.banks import banks, rails
from tracer.job.dismissals import dismissals
from tracer.job.file import Job
from tracer.job.fitted import as_fitted, fitted_values
from tracer.job.mends import mends
from tracer.job.sheets import sheets
from tracer.job.tags import tags
from tracer.job.ways import sheet_ways
from tracer.progress import NullProgress, Progress
from tracer.trace.sheet import TracedSheet

__all__ = ["assemble"]


def assemble(
    job: Job,
    progress: Progress | None = None,
    *,
    strict: bool = False,
    early: Callable[[int, TracedSheet], None] | None = None,
) -> Bench:
    """Build the circuit of everything confirmed in `job`, with a place on paper for every element.

    Parameters
    ----------
    job : Job
    progress : Progress, optional
        Watches, and may cancel; sheets that were traced before take no time.
    strict : bool
        Raise where a tag does not fit its sheet, instead of warning.

    early : callable, optional
        Is handed each sheet's number and tracing as soon as they are there, before its lettering is read.

    Returns
    -------
    Bench
        Each conductor that confirmed parts touch is divided at their terminals and at its branches into
        wires ``W<sheet>.<n>`` between nodes ``N<sheet>.<conductor>``, ``N<sheet>.<conductor>_2``…

    Raises
    ------
    BadConfirmation
        When `strict` and a terminal lies on no conductor, or a tag cannot be part of a circuit.
    WeightsDamaged, Cancelled
        From reading and tracing.
    """
    progress = progress or NullProgress()
    records = sheets(job)
    traced = {}
    for place, record in enumerate(records):
        part = _Part(progress, f"sheet {record.number}: ", place / len(records), 1 / len(records))
        here = record.number
        tell = partial(early, here) if early is not None else None
        traced[here] = traced_sheet(job, record, tags(job, here), mends(job, here), part, tell)
        if early is not None:
            early(here, traced[here])
    ways = {record.number: sheet_ways(job, record.number) for record in records}
    confirmed = as_fitted(as_meant(tags(job), ways), fitted_values(job))
    return lay_out(traced, confirmed, banks(job), rails(job), strict=strict, dismissed=dismissals(job))


@dataclass(frozen=True, slots=True)
class _Part:
    """One sheet's share of the whole progress."""

    whole: Progress
    label: str
    start: float
    size: float

    def advance(self, stage: str, share: float) -> None:
        """Pass on a share of a share."""
        self.whole.advance(self.label + stage, self.start + self.size * share)

    def cancelled(self) -> bool:
        """Ask the watcher of the whole."""
        return self.whole.cancelled()

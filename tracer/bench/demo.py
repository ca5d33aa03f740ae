"""The demo: the shipped scan read, traced, confirmed and measured. Set, sheet and readings are invented."""

from __future__ import annotations

import json
from dataclasses import dataclass
from pathlib import Path

from tracer.bench.assemble import assemble
from tracer.bench.confirm import apply_confirmations, load_confirmations
from tracer.bench.readings import take_reading
from tracer.bench.records import Outcome
from tracer.circuit.as_json import setting_from_json
from tracer.circuit.evidence import Weighing
from tracer.circuit.results import Meter
from tracer.errors import BadConfirmation, DemoFailed, TargetUnwritable
from tracer.job.file import create_job
from tracer.job.readings import withdraw_reading
from tracer.job.sheets import add_sheet
from tracer.progress import NullProgress, Progress, checkpoint
from tracer.resources import asset

__all__ = ["DemoDone", "run_demo"]


@dataclass(frozen=True, slots=True)
class DemoDone:
    """The job file that the demo made, and what each of its readings brought."""

    job: Path
    outcomes: tuple[Outcome, ...]


def run_demo(folder: Path, progress: Progress | None = None) -> DemoDone:
    """Make ``demo.tracer`` in `folder` from the shipped scan, confirmations and readings.

    Nothing but pixels says what is joined: the confirmations name kinds, references, values and places.
    An earlier demo in the same folder is replaced.

    Parameters
    ----------
    folder : Path
        Made if it does not exist.
    progress : Progress, optional
        Watches, and may cancel.

    Raises
    ------
    DemoFailed
        When a confirmed terminal lies on no traced wire.
    TargetUnwritable, Cancelled
    """
    progress = progress or NullProgress()
    path = _fresh(folder)
    with create_job(path) as job:
        add_sheet(job, asset("demo/sheet.png"))
        apply_confirmations(job, load_confirmations(asset("demo/confirmations.json")))
        try:
            bench = assemble(job, progress, strict=True)
        except BadConfirmation as error:
            raise DemoFailed(
                f"The demo's confirmations do not fit what was traced on its sheet: {error} "
                "The program or its reader is damaged; install it again."
            ) from error
        readings = json.loads(asset("demo/readings.json").read_text(encoding="utf-8"))
        meter = Meter()
        known = Weighing(bench.circuit, meter)
        outcomes: list[Outcome] = []
        for place, row in enumerate(readings):
            checkpoint(progress, "judging the readings", place / len(readings))
            if (
                "withdraws" in row
            ):  # the switch stood wrong: the reading stays in the record, and is taken again
                withdraw_reading(job, outcomes[row["withdraws"] - 1].record.number)
            setting = setting_from_json(row["setting"])
            before = outcomes[-1].proof if outcomes else None
            shown = (row["from"], row["at"], row["shown"])
            outcomes.append(take_reading(job, bench, *shown, setting, meter, before=before, known=known))
    return DemoDone(path, tuple(outcomes))


def _fresh(folder: Path) -> Path:
    path = folder / "demo.tracer"
    try:
        folder.mkdir(parents=True, exist_ok=True)
        path.unlink(missing_ok=True)
    except OSError as error:
        raise TargetUnwritable(
            f"{folder} cannot be written to: {error.strerror}. Choose another folder."
        ) from error
    return path

"""What lies on the desk: the open job, what was made of it, what is picked. Widgets listen to it."""

from __future__ import annotations

import time
from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from pathlib import Path
from types import MappingProxyType
from typing import TypeVar

import numpy as np
from numpy.typing import NDArray
from PyQt6.QtCore import QObject, pyqtSignal

from tracer.bench.assemble import assemble
from tracer.bench.offered import offered
from tracer.bench.records import Bench, Standing
from tracer.bench.standing import standing
from tracer.bench.tracing import page_of
from tracer.circuit.results import Tint
from tracer.desk import words
from tracer.desk.lighting import Lighting
from tracer.desk.pyramid import halvings
from tracer.desk.state import State, turn_to, with_setting
from tracer.desk.work import Watch, Work
from tracer.errors import Cancelled, TracerError
from tracer.job import edits
from tracer.job.choices import current_meter, current_setting
from tracer.job.dismissals import dismissals
from tracer.job.file import Job, open_job
from tracer.job.records import SheetRecord, Tag
from tracer.job.sheets import sheets
from tracer.job.tags import tags
from tracer.job.ways import SheetWays, sheet_ways
from tracer.progress import Progress
from tracer.trace.sheet import Convention, Proposal, TracedSheet

__all__ = ["LAY_OUT", "Desk", "Laid"]

PAGES = 3
"""How many sheets' pixels are kept at hand."""

WRITING_S = 2.0
"""How long closing waits for a write that is under way in the job file."""

LAY_OUT = "lay out"
"""The key of the work that reads, traces and assembles."""

_Answer = TypeVar("_Answer")
_Boxes = tuple[tuple[int, int, int, int], ...]
Levels = tuple[NDArray[np.uint8], ...]


@dataclass(frozen=True, slots=True, eq=False)
class Laid:
    """Everything that follows from the job: its bench, how it stands, conductors ready to be lit."""

    bench: Bench
    standing: Standing
    lightings: Mapping[int, Lighting]
    tints: Mapping[str, Tint]


class Desk(QObject):
    """Holds the job and tells of changes.

    Signals
    -------
    opened : another job lies on the desk, or none.
    changed : an edit was made, undone or done again.
    laid_out : reading, tracing and assembling came to an end; `laid` is new.
    state_changed : (old, new) `State`.
    page_ready : a sheet's pixels can be shown; carries its number.
    told : a passing sentence.
    lit : a sheet's conductors and proposals are there, while the rest is still worked out.
    failed : a `TracerError` to be shown.
    """

    lit = pyqtSignal()

    opened = pyqtSignal()
    changed = pyqtSignal()
    laid_out = pyqtSignal()
    state_changed = pyqtSignal(object, object)
    page_ready = pyqtSignal(int)
    told = pyqtSignal(str)
    failed = pyqtSignal(object)

    def __init__(self, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self.work = Work(self)
        self.job: Job | None = None
        self.laid: Laid | None = None
        self.state = State()
        self._pages: dict[int, tuple[SheetRecord, Levels]] = {}
        self._once_more = False
        self._early: dict[int, Lighting] = {}
        self.work.piece.connect(self._take_early)
        self._offered: tuple[TracedSheet, _Boxes, _Boxes, tuple[Proposal, ...]] | None = None

    # -- the job -------------------------------------------------------------------------------------

    def lay(self, job: Job) -> None:
        """Put an open job on the desk in place of the one before, and begin to read it."""
        self.clear()
        self.job = job
        numbers = [sheet.number for sheet in sheets(job)]
        self.state = with_setting(State(sheet=numbers[0] if numbers else 0), current_setting(job))
        self.opened.emit()
        if numbers:
            self.turn(numbers[0])
        self.lay_out()

    def clear(self) -> None:
        """Take the job off the desk; it needs no saving."""
        self.work.stop()
        self._once_more = False
        if self.job is not None:
            self.job.close()
        self.job, self.laid, self._pages, self._early, self.state = None, None, {}, {}, State()
        self.opened.emit()

    def close(self) -> None:
        """Stop all work and close the job."""
        self.work.close()
        if self.job is not None:
            self.job.close()
            _wait_for_writing(self.job.path)
            self.job = None

    # -- what is picked ------------------------------------------------------------------------------

    def set_state(self, state: State) -> None:
        """Pick something else."""
        old, self.state = self.state, state
        if state != old:
            self.state_changed.emit(old, state)

    def turn(self, number: int) -> None:
        """Turn to sheet `number`; its pixels are decoded on a thread the first time."""
        job = self.job
        if job is None:
            return
        record = next((sheet for sheet in sheets(job) if sheet.number == number), None)
        if record is None:
            return
        self.set_state(turn_to(self.state, number))
        if number in self._pages and self._pages[number][0] == record:
            self.page_ready.emit(number)
            return

        def decode(progress: Progress) -> Levels:
            return halvings(page_of(job, record, progress).grey)

        def show(levels: Levels) -> None:
            self._pages.pop(number, None)
            while len(self._pages) >= PAGES:
                del self._pages[next(iter(self._pages))]
            self._pages[number] = (record, levels)
            self.page_ready.emit(number)

        self.work.run(f"page {number}", decode, show, self.fail)

    def page(self, number: int) -> Levels:
        """Return the pixels of a sheet that `page_ready` told of, with their halvings."""
        return self._pages[number][1]

    # -- what follows from the job -------------------------------------------------------------------

    def lay_out(self) -> None:
        """Read, trace and assemble what the job holds, on a thread; what was kept is not done again.

        Work that is under way is let finish and then done once more, so that edits made while a large
        sheet is read do not begin the reading anew each time.
        """
        job = self.job
        if job is None or not sheets(job):
            return
        if self.work.is_busy(LAY_OUT):
            self._once_more = True
            return

        path, before = job.path, self.laid

        def make(progress: Watch) -> Laid:
            def early(number: int, sheet: TracedSheet) -> None:
                if before is None:
                    progress.hand_over((path, number, Lighting(sheet)))

            # A handle of its own: what is edited meanwhile is followed by the next laying out.
            with open_job(path) as own:
                bench = assemble(own, progress, early=early)
                stands = standing(own, bench, current_meter(own))
            return Laid(bench, stands, _lightings(bench, before), MappingProxyType(dict(stands.proof.tints)))

        def show(laid: Laid) -> None:
            self.laid, self._early = laid, {}
            if self._once_more:
                self._once_more = False
                self.lay_out()
            self.laid_out.emit()

        def fail(error: Exception) -> None:
            self._once_more = False
            self.fail(error)

        self.work.run(LAY_OUT, make, show, fail)

    def _take_early(self, key: str, piece: tuple[Path, int, Lighting]) -> None:
        path, number, lighting = piece
        if key == LAY_OUT and self.laid is None and self.job is not None and self.job.path == path:
            self._early[number] = lighting
            self.lit.emit()

    def edit(self, function: Callable[[Job], _Answer], *, lay_out: bool = True) -> _Answer | None:
        """Make an edit; a refusal is told by `failed` and None returned."""
        if self.job is None:
            self.told.emit(words.NO_JOB)
            return None
        try:
            answer = function(self.job)
        except TracerError as error:
            self.fail(error)
            return None
        self.after_edit(lay_out=lay_out)
        return answer

    def after_edit(self, *, lay_out: bool = True) -> None:
        """Tell that the job changed, and follow it."""
        if self.job is not None:
            self.set_state(with_setting(self.state, current_setting(self.job)))
            numbers = [sheet.number for sheet in sheets(self.job)]
            if numbers and self.state.sheet not in numbers:
                self.turn(numbers[0])
        self.changed.emit()
        if lay_out:
            self.lay_out()

    def undo(self) -> None:
        """Take back the last edit."""
        self._step(edits.undo, words.UNDONE, words.NOTHING_TO_UNDO)

    def redo(self) -> None:
        """Do the last undone edit again."""
        self._step(edits.redo, words.REDONE, words.NOTHING_TO_REDO)

    def _step(self, function: Callable[[Job], str | None], did: str, nothing: str) -> None:
        what = self.edit(function)
        if self.job is not None:
            self.told.emit(did.format(what=what) if what else nothing)

    def fail(self, error: Exception) -> None:
        """Tell of an error."""
        if isinstance(error, Cancelled):
            self.told.emit(words.READ_STOPPED)
        elif isinstance(error, TracerError):
            self.failed.emit(error)

    # -- looking things up ---------------------------------------------------------------------------

    @property
    def lighting(self) -> Lighting | None:
        """The conductors of the sheet in view, once it was read."""
        known = self._early if self.laid is None else self.laid.lightings
        return known.get(self.state.sheet)

    def tags_in_view(self) -> tuple[Tag, ...]:
        """Return the confirmed parts of the sheet in view."""
        return () if self.job is None else tags(self.job, self.state.sheet)

    def proposals_in_view(self) -> tuple[Proposal, ...]:
        """Return the proposals of the sheet in view that are still to be asked about."""
        lighting, job = self.lighting, self.job
        if lighting is None or job is None:
            return ()
        boxes = tuple(tag.box for tag in self.tags_in_view())
        no_parts = tuple(each.box for each in dismissals(job, self.state.sheet))
        if self._offered is None or self._offered[:3] != (lighting.sheet, boxes, no_parts):
            found = offered(lighting.sheet.proposals, boxes, no_parts)
            self._offered = (lighting.sheet, boxes, no_parts, found)
        return self._offered[3]

    def notes_in_view(self) -> tuple[Convention, ...]:
        """Return what notes on the sheet in view say of its values."""
        return self.lighting.sheet.conventions if self.lighting is not None else ()

    def ways_in_view(self) -> SheetWays:
        """Return what a person said of how the sheet in view draws and prints."""
        return SheetWays() if self.job is None else sheet_ways(self.job, self.state.sheet)

    def pick(self, **changes: object) -> None:
        """Pick by naming fields of `State`."""
        self.set_state(replace(self.state, **changes))  # type: ignore[arg-type]


def _wait_for_writing(job: Path) -> None:
    """Wait until SQLite's journal is gone, which lies beside the file only while something is written."""
    journal = job.with_name(job.name + "-journal")
    until = time.monotonic() + WRITING_S
    while journal.exists() and time.monotonic() < until:
        time.sleep(0.01)


def _lightings(bench: Bench, before: Laid | None) -> Mapping[int, Lighting]:
    made: dict[int, Lighting] = {}
    for number, sheet in bench.sheets.items():
        old = before.lightings.get(number) if before is not None else None
        made[number] = old if old is not None and old.sheet is sheet else Lighting(sheet)
    return MappingProxyType(made)

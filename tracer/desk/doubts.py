"""Joins that the tracing is not sure of, to be looked at one by one."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import replace

from PyQt6.QtCore import QObject

from tracer.desk import words
from tracer.desk.desk import Desk
from tracer.desk.sheet_view import SheetView
from tracer.desk.state import flooded
from tracer.desk.viewpoint import Viewpoint
from tracer.job.edits import now, perform
from tracer.job.marks import mark_changes, marks
from tracer.job.mends import add_mend, mends
from tracer.job.records import Mark, MarkKind
from tracer.trace.mend import Mend, MendKind
from tracer.trace.sheet import Join, JoinKind, TracedSheet

__all__ = ["Doubts", "doubtful"]

SURE = 0.8
"""From this score on a join is taken for what the tracing says."""

NEAR = 4.0
"""Stroke widths within which a mend or a mark answers the doubt."""

OTHERWISE = {
    JoinKind.JUNCTION: MendKind.CUT,
    JoinKind.CROSSING: MendKind.JUNCTION,
    JoinKind.GAP: MendKind.CUT,
}
"""How a join is mended that is not what the tracing takes it for."""

TELLING_STROKE = 4.0
"""Screen px that a stroke needs for a join to be told at a glance."""


def doubtful(sheet: TracedSheet, mended: Iterable[Mend], marked: Iterable[Mark]) -> tuple[Join, ...]:
    """Return the joins of `sheet` to be looked at, the least sure first.

    Those beside a mend, or beside a mark that says a person saw the place, are answered already.
    """
    answered = [(mend.x, mend.y) for mend in mended]
    answered += [(mend.x2, mend.y2) for mend in mended if mend.x2 is not None and mend.y2 is not None]
    answered += [(mark.x, mark.y) for mark in marked if mark.kind in (MarkKind.SEEN, MarkKind.TRUSTED)]
    near = NEAR * sheet.stroke
    open_ones = (
        join
        for join in sheet.joins
        if join.kind in (JoinKind.JUNCTION, JoinKind.CROSSING, JoinKind.GAP)
        and join.score < SURE
        and all(math.hypot(join.x - x, join.y - y) > near for x, y in answered)
    )
    return tuple(sorted(open_ones, key=lambda join: join.score))


class Doubts(QObject):
    """Steps through the doubtful joins of the sheet in view."""

    def __init__(self, desk: Desk, view: SheetView, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._desk, self._view = desk, view

    def joins(self) -> tuple[Join, ...]:
        """Return the doubtful joins of the sheet in view, the least sure first.

        Once parts are confirmed, only joins of conductors that reach one count: frames and stains do not.
        """
        job, laid, lighting = self._desk.job, self._desk.laid, self._desk.lighting
        number = self._desk.state.sheet
        if job is None or laid is None or lighting is None:
            return ()
        joins = doubtful(lighting.sheet, mends(job, number), marks(job, number))
        telling = {conductor for sheet, conductor in laid.bench.conductor_nodes if sheet == number}
        segments = lighting.sheet.segments
        return tuple(
            join
            for join in joins
            if not telling or any(segments[segment].conductor in telling for segment in join.segments)
        )

    def joins_of(self, conductor: int) -> tuple[int, int]:
        """Return how many junctions and bridged gaps a conductor in view has, and how many are in doubt."""
        lighting = self._desk.lighting
        if lighting is None:
            return 0, 0
        segments = lighting.sheet.segments

        def on_it(join: Join) -> bool:
            kinds = (JoinKind.JUNCTION, JoinKind.GAP)
            return join.kind in kinds and any(segments[n].conductor == conductor for n in join.segments)

        return sum(map(on_it, lighting.sheet.joins)), sum(map(on_it, self.joins()))

    def asked(self) -> Join | None:
        """Return the doubtful join that was gone to last, while it is still looked at."""
        spot = self._desk.state.spot
        return next((join for join in self.joins() if (join.x, join.y) == spot), None)

    def yes(self) -> None:
        """Say that the join is what the tracing takes it for, and go on."""
        join = self.asked()
        if join is not None:
            self._see([join], words.SAID_SEEN.format(kind=words.JOINS[join.kind].lower()))
            self._go_on()

    def no(self) -> None:
        """Mend the join into what it is if it is not that, and go on."""
        join = self.asked()
        if join is not None:
            mend = Mend(OTHERWISE[join.kind], join.x, join.y, sheet=self._desk.state.sheet)
            if self._desk.edit(lambda job: add_mend(job, mend)) is not None:
                self._go_on()

    def all_like_it(self) -> None:
        """Say yes to every doubtful join of the same kind that the tracing is at least as sure of."""
        asked = self.asked()
        if asked is not None:
            like = [join for join in self.joins() if join.kind is asked.kind and join.score >= asked.score]
            share = round(100 * asked.score)
            kind = words.JOINS[asked.kind].lower()
            self._see(like, words.SAID_ALL_SEEN.format(count=len(like), kind=kind, share=share))
            self._go_on()

    def _see(self, joins: Iterable[Join], said: str) -> None:
        sheet = self._desk.state.sheet
        seen = [Mark(sheet, join.x, join.y, MarkKind.SEEN, now()) for join in joins]
        self._desk.edit(lambda job: perform(job, said, mark_changes(job, seen)), lay_out=False)

    def _go_on(self) -> None:
        if self.joins():
            self.step(1)
        else:
            self._desk.set_state(replace(self._desk.state, conductor=None, spot=None))
            self._desk.told.emit(words.NO_DOUBTS)

    def step(self, by: int) -> None:
        """Go to the next doubtful join and light what it joins; mends then go there."""
        listed, lighting, spot = self.joins(), self._desk.lighting, self._desk.state.spot
        if not listed or lighting is None:
            self._desk.told.emit(words.NO_DOUBTS)
            return
        here = next((n for n, join in enumerate(listed) if (join.x, join.y) == spot), None)
        join = listed[(here + by) % len(listed)] if here is not None else listed[0 if by > 0 else -1]
        scale = max(self._view.view.scale, TELLING_STROKE / lighting.sheet.stroke)
        self._view.look_from(Viewpoint(join.x, join.y, scale))
        lit = lighting.sheet.segments[join.segments[0]].conductor if join.segments else None
        self._desk.set_state(flooded(self._desk.state, lit, (join.x, join.y)))
        sure = words.DOUBT.format(
            kind=words.JOINS[join.kind],
            share=round(100 * join.score),
            count=len(listed),
            otherwise=words.OTHERWISE[OTHERWISE[join.kind]],
            like=sum(each.kind is join.kind and each.score >= join.score for each in listed),
        )
        self._desk.told.emit(sure)

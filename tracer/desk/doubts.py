"""Joins that the tracing is not sure of, to be looked at one by one."""

from __future__ import annotations

import math
from collections.abc import Iterable

from PyQt6.QtCore import QObject

from tracer.desk import words
from tracer.desk.desk import Desk
from tracer.desk.sheet_view import SheetView
from tracer.desk.state import flooded
from tracer.desk.viewpoint import Viewpoint
from tracer.job.marks import marks
from tracer.job.mends import mends
from tracer.job.records import Mark, MarkKind
from tracer.trace.mend import Mend
from tracer.trace.sheet import Join, JoinKind, TracedSheet

__all__ = ["Doubts", "doubtful"]

SURE = 0.8
"""From this score on a join is taken for what the tracing says."""

NEAR = 4.0
"""Stroke widths within which a mend or a mark answers the doubt."""

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
            kind=words.JOINS[join.kind], share=round(100 * join.score), count=len(listed)
        )
        self._desk.told.emit(sure)

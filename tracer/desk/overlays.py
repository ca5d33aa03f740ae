"""What lies over the paper: markers, parts, proposals, mends, leads, the glow of what was just proved."""

from __future__ import annotations

from PyQt6.QtCore import QObject, QRectF, QVariantAnimation, pyqtSignal
from PyQt6.QtGui import QColor, QPainter, QPainterPath, QPen, QTransform

from tracer.bench.records import PointPlace
from tracer.desk.desk import Desk
from tracer.desk.doubts import Doubts
from tracer.desk.kept_drawing import KeptDrawing
from tracer.desk.mark_paint import paint_mark
from tracer.desk.measuring import Measuring
from tracer.desk.sheet_paint import (
    paint_doubts,
    paint_end,
    paint_lead,
    paint_markers,
    paint_mend,
    paint_proposals,
    paint_spot,
    paint_tags,
)
from tracer.desk.sheet_view import SheetView
from tracer.desk.state import State
from tracer.desk.tagging import Tagging
from tracer.desk.tinting import TintedPiece, paint_tint, pieces_of
from tracer.job.marks import marks
from tracer.job.mends import mends
from tracer.job.records import Mark, Tag
from tracer.trace.mend import Mend
from tracer.trace.sheet import Join, Proposal

__all__ = ["Overlays"]

GLOW_MS = 1400


class Overlays(QObject):
    """Draws over the sheet and dresses its tiles; keeps only what is costly to look up again.

    `tinted` carries the tints on the sheet in view.
    """

    tinted = pyqtSignal(object)

    def __init__(
        self,
        desk: Desk,
        view: SheetView,
        tagging: Tagging,
        measuring: Measuring,
        doubts: Doubts,
        parent: QObject | None = None,
    ) -> None:
        super().__init__(parent)
        self._desk, self._view, self._tagging, self._measuring = desk, view, tagging, measuring
        self._doubts = doubts
        self._doubtful: tuple[Join, ...] = ()
        self._tinted: tuple[TintedPiece, ...] = ()
        self._path: tuple[TintedPiece, ...] = ()
        self._fresh: tuple[str, ...] = ()
        self._glowing: tuple[TintedPiece, ...] = ()
        self._tags: tuple[Tag, ...] = ()
        self._proposals: tuple[Proposal, ...] = ()
        self._mends: tuple[Mend, ...] = ()
        self._marks: tuple[Mark, ...] = ()
        self._looked_at: tuple[TintedPiece, ...] = ()
        self._drawing = KeptDrawing()
        self._version = 0
        self._glow = QVariantAnimation(self)
        self._glow.setStartValue(1.0)
        self._glow.setEndValue(0.0)
        self._glow.setDuration(GLOW_MS)
        self._glow.valueChanged.connect(self._fade)
        view.overlays.append(self.paint)
        desk.state_changed.connect(self._state_changed)
        desk.changed.connect(self.refresh)
        desk.laid_out.connect(self._laid_out)
        desk.opened.connect(self.refresh)
        desk.lit.connect(self.refresh)
        measuring.changed.connect(self._follow_path)
        measuring.carried.connect(self._remember)

    @property
    def tags(self) -> tuple[Tag, ...]:
        """The confirmed parts in view."""
        return self._tags

    @property
    def proposals(self) -> tuple[Proposal, ...]:
        """The proposals in view."""
        return self._proposals

    def refresh(self) -> None:
        """Look everything up again."""
        job = self._desk.job
        self._tags = self._desk.tags_in_view()
        self._proposals = self._desk.proposals_in_view()
        self._mends = mends(job, self._desk.state.sheet) if job is not None else ()
        self._marks = marks(job, self._desk.state.sheet) if job is not None else ()
        self._doubtful = self._doubts.joins()
        self._version += 1
        self._tint()
        self._follow_path()

    def look_at(self, reference: str) -> None:
        """Ring one element and bring it into view, turning to its sheet if need be."""
        laid = self._desk.laid
        places = laid.bench.places.get(reference, ()) if laid is not None else ()
        if laid is None or not places:
            return
        if places[0].sheet != self._desk.state.sheet:
            self._desk.turn(places[0].sheet)
        self._looked_at = pieces_of(laid.bench, places[0].sheet, laid.tints, [reference])
        middle = self._looked_at[0].bounds.center()
        self._view.bring_up(middle.x(), middle.y())
        self._view.update()

    def picked_box(self) -> tuple[float, float, float, float] | None:
        """Return the box (page px) of the picked part, else of the lit conductor, else of the two leads."""
        state, lighting = self._desk.state, self._desk.lighting
        for tag in self._tags:
            if tag.id == state.tag:
                return tag.box
        if state.conductor is not None and lighting is not None:
            area = lighting.path(state.conductor).boundingRect()
            return area.left(), area.top(), area.right(), area.bottom()
        places = [place for place in self._measuring.lead_places() if place is not None]
        here = [(place.x, place.y) for place in places if place.sheet == state.sheet]
        if not here:
            return None
        across, down = zip(*here, strict=True)
        return min(across), min(down), max(across), max(down)

    def dress(self, painter: QPainter, rect: QRectF, scale: float) -> bool:
        """Ink the tint on one tile; return whether any was."""
        touched = [piece for piece in self._tinted if piece.bounds.intersects(rect)]
        if touched:
            paint_tint(painter, touched, self._view.look, self._stroke(), scale)
        return bool(touched)

    # -- following -----------------------------------------------------------------------------------

    def _state_changed(self, old: State, new: State) -> None:
        if old.sheet != new.sheet:
            self.refresh()
        if (old.conductor, old.spot, old.leads) != (new.conductor, new.spot, new.leads):
            self._looked_at = ()
        self._view.update()

    def _laid_out(self) -> None:
        self.refresh()
        laid, fresh = self._desk.laid, self._fresh
        self._fresh = ()
        if laid is not None and fresh:
            self._glowing = pieces_of(laid.bench, self._desk.state.sheet, laid.tints, fresh)
            self._glow.stop()
            self._glow.start()

    def _fade(self) -> None:
        self._view.update()

    def _remember(self, elements: tuple[str, ...]) -> None:
        self._fresh = tuple(elements)

    def _tint(self) -> None:
        laid, sheet = self._desk.laid, self._desk.state.sheet
        new = pieces_of(laid.bench, sheet, laid.tints) if laid is not None else ()
        before, self._tinted = self._tinted, new
        self.tinted.emit(frozenset(piece.tint for piece in new))
        if [(p.element, p.tint, p.bounds) for p in before] != [(p.element, p.tint, p.bounds) for p in new]:
            changed = QRectF()
            kept = {(p.element, p.tint) for p in before} & {(p.element, p.tint) for p in new}
            for piece in (*before, *new):
                if (piece.element, piece.tint) not in kept:
                    changed = changed.united(piece.bounds)
            self._view.redress(
                None
                if changed.isEmpty()
                else (changed.left(), changed.top(), changed.right(), changed.bottom())
            )
        self._view.update()

    def _follow_path(self) -> None:
        laid = self._desk.laid
        self._path = ()
        if laid is not None:
            self._path = pieces_of(laid.bench, self._desk.state.sheet, laid.tints, self._measuring.way)
        self._view.update()

    def _stroke(self) -> float:
        lighting = self._desk.lighting
        return lighting.sheet.stroke if lighting is not None else 3.0

    # -- drawing -------------------------------------------------------------------------------------

    def paint(self, painter: QPainter, view: SheetView) -> None:
        """Draw everything, the leads last."""
        state, look, stroke = self._desk.state, view.look, self._stroke()
        lighting = self._desk.lighting
        marked = [(piece.path, False) for piece in self._path]
        if lighting is not None:
            if state.hover is not None and state.hover != state.conductor:
                marked.append((lighting.path(state.hover), False))
            if state.conductor is not None:
                marked.append((lighting.path(state.conductor), True))
        paint_markers(painter, marked, view, stroke, look)
        self._paint_pieces(painter, view)
        self._drawing.paint(painter, view, (self._version, look.night, state.tag), self._draw_kept)
        if state.spot is not None:
            paint_spot(painter, view.screen_at(*state.spot), look)
        self._paint_draft(painter, view)
        for plus, place in zip((True, False), self._measuring.lead_places(), strict=True):
            self._paint_lead(painter, view, place, plus)

    def _draw_kept(self, painter: QPainter, on_page: QTransform, seen: QRectF) -> None:
        """Draw what stays the same while conductors are lit and the sheet is pushed."""
        look = self._view.look
        paint_proposals(painter, self._proposals, on_page, look, seen)
        paint_tags(painter, self._tags, on_page, look, self._desk.state.tag, self._stroke(), seen)
        paint_doubts(painter, self._doubtful, on_page, look, seen)
        for mend in self._mends:
            paint_mend(painter, mend, on_page, look)
        for mark in self._marks:
            paint_mark(painter, mark, on_page, look)

    def _paint_pieces(self, painter: QPainter, view: SheetView) -> None:
        share = (
            float(self._glow.currentValue()) if self._glow.state() == QVariantAnimation.State.Running else 0.0
        )
        painter.save()
        painter.setTransform(view.on_page())
        scale = max(1e-6, view.view.scale)
        if share > 0:
            for piece in self._glowing:
                colour = QColor(view.look.band)
                colour.setAlphaF(0.75 * share)
                painter.setPen(QPen(colour, (10 + 26 * share) / scale))
                painter.drawPath(piece.path)
        for piece in self._looked_at:
            painter.setPen(QPen(view.look.failed, 3.0 / scale))
            if piece.is_part:
                painter.drawEllipse(piece.path.boundingRect().adjusted(-14, -14, 14, 14))
            else:
                painter.drawPath(piece.path)
        painter.restore()

    def _paint_draft(self, painter: QPainter, view: SheetView) -> None:
        """The box and ends that the card asks about."""
        draft = self._tagging.card.asked if self._tagging.card.isVisible() else None
        if draft is None:
            return
        box = QRectF(draft.box[0], draft.box[1], draft.box[2] - draft.box[0], draft.box[3] - draft.box[1])
        outline = QPainterPath()
        outline.addRect(view.on_page().mapRect(box))
        painter.setPen(QPen(view.look.pencil, 2.5))
        painter.drawPath(outline)
        for number, end in enumerate(self._tagging.card.ends):
            at = view.screen_at(end.x + 0.5, end.y + 0.5)
            paint_end(
                painter, at, number + 1, end.name, view.look, strong=number == self._tagging.card.naming
            )

    def _paint_lead(self, painter: QPainter, view: SheetView, place: PointPlace | None, plus: bool) -> None:
        if place is not None and place.sheet == self._desk.state.sheet:
            paint_lead(painter, view.screen_at(place.x + 0.5, place.y + 0.5), view.look, plus=plus)

"""Scraps of the sheet that show what its ink means, for legends."""

from __future__ import annotations

from collections.abc import Callable

from PyQt6.QtCore import QPointF, QRectF, QSize
from PyQt6.QtGui import QPainter, QPaintEvent, QPen, QTransform
from PyQt6.QtWidgets import QWidget

from tracer.desk.colours import Look
from tracer.desk.mark_paint import paint_sign
from tracer.desk.sheet_paint import paint_doubts, paint_tags
from tracer.desk.tinting import ink_of, tint_pen
from tracer.job.records import MarkKind, Tag, TagTerminal
from tracer.report.palette import TintStyle
from tracer.trace.sheet import Join, JoinKind

__all__ = [
    "Swatch",
    "draw_confirmed",
    "draw_doubt",
    "draw_flood",
    "draw_mark",
    "draw_proposal",
    "draw_tint",
]


class Swatch(QWidget):
    """A scrap of the sheet on which `draw` shows what it stands for."""

    def __init__(self, draw: Callable[[QPainter, QRectF], None], look: Look, parent: QWidget) -> None:
        super().__init__(parent)
        self._draw, self._look = draw, look
        self.setFixedSize(QSize(58, 20))

    def paintEvent(self, a0: QPaintEvent | None) -> None:
        """Draw on paper."""
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.fillRect(self.rect(), self._look.paper)
        self._draw(painter, QRectF(self.rect()))
        painter.end()


def draw_tint(style: TintStyle, look: Look, painter: QPainter, area: QRectF) -> None:
    """Ink under a printed line, as on the sheet."""
    middle = area.center().y()
    wide = style.width * 1.6
    left, right = QPointF(3, middle), QPointF(area.right() - 3, middle)
    painter.setPen(tint_pen(style, ink_of(style, look), wide))
    painter.drawLine(left, right)
    if style.core:
        painter.setPen(QPen(look.paper, wide * 0.34))
        painter.drawLine(left, right)
    _draw_line(look, painter, area)


def draw_flood(look: Look, painter: QPainter, area: QRectF) -> None:
    """A lit conductor."""
    painter.fillRect(area.adjusted(3, 5, -3, -5), look.marker)
    painter.setPen(QPen(look.marker_core, 2.5))
    painter.drawLine(QPointF(3, area.center().y()), QPointF(area.right() - 3, area.center().y()))


def draw_proposal(look: Look, painter: QPainter, area: QRectF) -> None:
    """A proposal in pencil."""
    pen = QPen(look.pencil, 1.5)
    pen.setDashPattern([4, 3])
    painter.setPen(pen)
    painter.drawRoundedRect(area.adjusted(12, 3, -12, -3), 4, 4)


def draw_doubt(look: Look, painter: QPainter, area: QRectF) -> None:
    """A doubtful join."""
    _draw_line(look, painter, area)
    scale = 0.3
    join = Join(0, area.center().x() / scale, area.center().y() / scale, JoinKind.GAP, 0.0, ())
    paint_doubts(painter, (join,), QTransform.fromScale(scale, scale), look, area)


def draw_confirmed(look: Look, painter: QPainter, area: QRectF) -> None:
    """A confirmed part."""
    box = (13, 3, int(area.width()) - 13, int(area.height()) - 3)
    middle = area.center().y()
    ends = (TagTerminal("1", box[0], middle), TagTerminal("2", box[2], middle))
    paint_tags(painter, [Tag(1, box, "resistor", "", None, ends, (), 0)], QTransform(), look, None, 3.0, area)


def draw_mark(kind: MarkKind, look: Look, painter: QPainter, area: QRectF) -> None:
    """A mark's sign."""
    paint_sign(painter, kind, area.center(), look)


def _draw_line(look: Look, painter: QPainter, area: QRectF) -> None:
    painter.setPen(QPen(look.ink, 1.4))
    painter.drawLine(QPointF(0, area.center().y()), QPointF(area.right(), area.center().y()))

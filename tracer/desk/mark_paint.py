"""Marks on the sheet: a small paper disc on a string, with a sign of its own for each kind of mark."""

from __future__ import annotations

from collections.abc import Callable

from PyQt6.QtCore import QPointF, QRectF, Qt
from PyQt6.QtGui import QFontMetricsF, QPainter, QPen, QPolygonF, QTransform

from tracer.desk.colours import Look
from tracer.job.records import Mark, MarkKind

__all__ = ["paint_mark", "paint_sign"]

WORDED = 0.6
"""From this scale on, screen px a page px, the words stand beside the disc."""

RADIUS = 9.0


def paint_mark(painter: QPainter, mark: Mark, on_page: QTransform, look: Look) -> None:
    """Draw a mark beside its place; from near by with what it says."""
    at = on_page.map(QPointF(mark.x + 0.5, mark.y + 0.5))
    middle = at + QPointF(-16, 16)
    painter.setPen(QPen(look.pen, 1.2))
    painter.drawLine(at, middle)
    if on_page.m11() >= WORDED:
        text = str(mark.kind)
        metrics = QFontMetricsF(painter.font())
        slip = QRectF(middle.x(), middle.y() - metrics.height() / 2 - 1, 0, metrics.height() + 2)
        slip.setWidth(metrics.horizontalAdvance(text) + RADIUS + 10)
        painter.setBrush(look.card)
        painter.drawRect(slip)
        painter.setPen(look.text)
        painter.drawText(slip.adjusted(RADIUS + 4, 0, 0, 0), Qt.AlignmentFlag.AlignVCenter, text)
    paint_sign(painter, mark.kind, middle, look)


def paint_sign(painter: QPainter, kind: MarkKind, at: QPointF, look: Look) -> None:
    """Draw the disc of a mark with its sign."""
    painter.save()
    painter.translate(at)
    painter.setPen(QPen(look.pen, 1.6))
    painter.setBrush(look.paper)
    painter.drawEllipse(QPointF(0, 0), RADIUS, RADIUS)
    painter.setPen(QPen(look.pen, 2))
    painter.setBrush(Qt.BrushStyle.NoBrush)
    _SIGNS[kind](painter, look)
    painter.restore()


def _replaced(painter: QPainter, look: Look) -> None:
    painter.fillRect(QRectF(-5.5, -3, 11, 6), look.pen)


def _checked(painter: QPainter, look: Look) -> None:
    painter.drawPolyline(QPolygonF([QPointF(-5, 0), QPointF(-1.5, 4), QPointF(5, -4.5)]))


def _seen(painter: QPainter, look: Look) -> None:
    painter.drawEllipse(QPointF(0, 0), 6, 3.6)
    painter.setBrush(look.pen)
    painter.drawEllipse(QPointF(0, 0), 1.2, 1.2)


def _trusted(painter: QPainter, look: Look) -> None:
    painter.drawPolygon(QPolygonF([QPointF(0, -5.5), QPointF(5, 0), QPointF(0, 5.5), QPointF(-5, 0)]))


def _later(painter: QPainter, look: Look) -> None:
    painter.drawPolygon(QPolygonF([QPointF(-4, -5), QPointF(4, -5), QPointF(-4, 5), QPointF(4, 5)]))


_SIGNS: dict[MarkKind, Callable[[QPainter, Look], None]] = {
    MarkKind.REPLACED: _replaced,
    MarkKind.CHECKED_OUT: _checked,
    MarkKind.SEEN: _seen,
    MarkKind.TRUSTED: _trusted,
    MarkKind.LATER: _later,
}

"""The corners of a photographed sheet drawn over it: what lies outside is dimmed, the chosen one is lit."""

from __future__ import annotations

from collections.abc import Sequence

from PyQt6.QtCore import QPointF, QRect, QRectF, Qt
from PyQt6.QtGui import QColor, QFont, QPainter, QPainterPath, QPen, QPolygonF

from tracer.desk.colours import Look

__all__ = ["paint_corners"]

RING = 13.0
"""Radius of a corner's ring, screen px."""


def paint_corners(painter: QPainter, places: Sequence[QPointF], chosen: int, look: Look, seen: QRect) -> None:
    """Draw the four corners at screen `places`, clockwise; within a ring the page stays in sight."""
    sheet = QPainterPath()
    sheet.addPolygon(QPolygonF(list(places)))
    sheet.closeSubpath()
    outside = QPainterPath()
    outside.addRect(QRectF(seen))
    shade = QColor(look.bench)
    shade.setAlpha(150)
    painter.fillPath(outside.subtracted(sheet), shade)
    painter.setBrush(Qt.BrushStyle.NoBrush)
    for pen in (QPen(look.paper, 5), QPen(look.pencil, 2, Qt.PenStyle.DashLine)):
        painter.setPen(pen)
        painter.drawPath(sheet)
    middle = QPointF(sum(p.x() for p in places) / 4, sum(p.y() for p in places) / 4)
    for number, at in enumerate(places):
        _corner(painter, at, number, middle, look, strong=number == chosen)


def _corner(
    painter: QPainter, at: QPointF, number: int, middle: QPointF, look: Look, *, strong: bool
) -> None:
    """A ring with a hair cross, and the corner's number inwards of it, where nothing dims it."""
    radius = RING * (1.35 if strong else 1.0)
    for pen in (QPen(look.paper, 6), QPen(look.marker_core if strong else look.pencil, 3 if strong else 2)):
        painter.setPen(pen)
        painter.drawEllipse(at, radius, radius)
    painter.setPen(QPen(look.marker_core if strong else look.pencil, 1))
    painter.drawLine(at - QPointF(radius, 0), at + QPointF(radius, 0))
    painter.drawLine(at - QPointF(0, radius), at + QPointF(0, radius))
    font = QFont(painter.font())
    font.setBold(True)
    font.setPointSizeF(font.pointSizeF() * 1.25)
    painter.save()
    painter.setFont(font)
    inward = QPointF(1 if middle.x() > at.x() else -1, 1 if middle.y() > at.y() else -1)
    spot = at + inward * (radius + 14)
    disc = QRectF(spot.x() - 13, spot.y() - 13, 26, 26)
    painter.setPen(QPen(look.edge, 1))
    painter.setBrush(look.band if strong else look.paper)
    painter.drawEllipse(disc)
    painter.setPen(look.bench if look.night and strong else look.text)
    painter.drawText(disc, Qt.AlignmentFlag.AlignCenter, str(number + 1))
    painter.restore()

"""A drawing over the sheet that is kept as a picture, so that what changes beside it costs a copy only."""

from __future__ import annotations

from collections.abc import Callable
from typing import Protocol

from PyQt6.QtCore import QPointF, QRect, QRectF, Qt
from PyQt6.QtGui import QFont, QPainter, QPixmap, QTransform

__all__ = ["KeptDrawing"]

MARGIN = 192
"""How far the picture reaches beyond the view, screen px: it serves while the sheet is pushed."""

Draw = Callable[[QPainter, QTransform, QRectF], None]
"""Draws with the transform from page px to the painter's px, what touches a rectangle of the painter's px."""


class Glass(Protocol):
    """What is needed of the view that is drawn on."""

    def on_page(self) -> QTransform:
        """Return the transform from page px to screen px."""

    def rect(self) -> QRect:
        """Return the whole view, screen px."""

    def font(self) -> QFont:
        """Return the type that lettering is set in."""

    def devicePixelRatioF(self) -> float:
        """Return device px per screen px."""


class KeptDrawing:
    """One picture, drawn anew when `key`, the zoom or the size of the view is another."""

    def __init__(self) -> None:
        self._picture: QPixmap | None = None
        self._key: object = None
        self._left_top = QPointF()

    def paint(self, painter: QPainter, view: Glass, key: object, draw: Draw) -> None:
        """Copy the picture onto the view, made first if it does not serve."""
        on_page, ratio, size = view.on_page(), view.devicePixelRatioF(), view.rect().size()
        left_top = QPointF(on_page.dx(), on_page.dy())
        whole = (key, on_page.m11(), ratio, size.width(), size.height())
        step = left_top - self._left_top
        far = max(abs(step.x()), abs(step.y())) > MARGIN
        if self._picture is None or whole != self._key or far:
            self._picture = self._drawn(view, draw)
            self._key, self._left_top, step = whole, left_top, QPointF()
        # A whole number of device px: anything else would blur the lettering.
        at = QPointF(round(step.x() * ratio) / ratio - MARGIN, round(step.y() * ratio) / ratio - MARGIN)
        painter.drawPixmap(at, self._picture)

    def _drawn(self, view: Glass, draw: Draw) -> QPixmap:
        ratio = view.devicePixelRatioF()
        area = QRectF(view.rect()).adjusted(0, 0, 2 * MARGIN, 2 * MARGIN)
        picture = QPixmap((area.size() * ratio).toSize())
        picture.setDevicePixelRatio(ratio)
        picture.fill(Qt.GlobalColor.transparent)
        painter = QPainter(picture)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.setFont(view.font())
        # A little beyond the edge, where labels and terminals of parts outside still reach in.
        draw(
            painter,
            view.on_page() * QTransform.fromTranslate(MARGIN, MARGIN),
            area.adjusted(-80, -40, 20, 40),
        )
        painter.end()
        return picture

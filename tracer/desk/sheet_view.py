"""The sheet under glass: pan, zoom, press and box with mouse or keys; knows nothing of circuits."""

from __future__ import annotations

import math
import time
from collections.abc import Callable
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray
from PyQt6.QtCore import QPointF, QRect, QRectF, QSize, Qt, QTimer, pyqtSignal
from PyQt6.QtGui import (
    QColor,
    QKeyEvent,
    QMouseEvent,
    QNativeGestureEvent,
    QPainter,
    QPaintEvent,
    QPen,
    QResizeEvent,
    QTransform,
    QWheelEvent,
)
from PyQt6.QtWidgets import QApplication, QWidget

from tracer.desk import words
from tracer.desk.colours import Look
from tracer.desk.tiles import TILE, Dress, Tiles, paper_table
from tracer.desk.viewpoint import Viewpoint, fit, level_for, look_at, pan, to_page, to_screen, zoom

__all__ = ["Overlay", "SheetView"]

Overlay = Callable[[QPainter, "SheetView"], None]
"""Draws over the sheet, in screen px; `SheetView.on_page` gives the transform from page px."""

SLICE_S = 0.005
"""How long one frame makes tiles anew while the page is moved."""

DEAR_S = 0.012
"""A tile that takes longer than this to make waits until the page rests."""

REST_MS = 60
"""How long after the last move the page rests, and what was drawn coarser is made."""


class SheetView(QWidget):
    """A page that can be moved about under the pointer.

    Signals carry page px: `pressed` (a click without a drag), `hovered`, `boxed` (x0, y0, x1, y1) when
    `boxing` is on, and `moved` whenever the view changed.
    """

    pressed = pyqtSignal(float, float)
    double_pressed = pyqtSignal(float, float)
    hovered = pyqtSignal(float, float)
    left = pyqtSignal()
    boxed = pyqtSignal(float, float, float, float)
    moved = pyqtSignal()

    def __init__(self, look: Look, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.look = look
        self.view = Viewpoint()
        self.boxing = False
        self.overlays: list[Overlay] = []
        self.crosshair = False
        self._tiles: Tiles | None = None
        self._strength = 1.0
        self._fitted = True
        self._moving = False
        self._rest = QTimer(self)
        self._rest.setSingleShot(True)
        self._rest.timeout.connect(self._fill)
        self._held: QPointF | None = None
        self._dragged = False
        self._rubber: QRectF | None = None
        self.setMouseTracking(True)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setAttribute(Qt.WidgetAttribute.WA_OpaquePaintEvent)
        self.setAccessibleName(words.SHEET_NAME)
        self.setAccessibleDescription(words.SHEET_DESCRIPTION)
        self.setCursor(Qt.CursorShape.OpenHandCursor)

    # -- the page ------------------------------------------------------------------------------------

    def show_page(self, levels: tuple[NDArray[np.uint8], ...], dress: Dress | None = None) -> None:
        """Lay a page under the glass; `levels` as `pyramid.halvings` returns them."""
        self._tiles = Tiles(levels, paper_table(self.look.ink, self.look.paper), dress)
        self._tiles.strength = self._strength
        self.fit_page()

    def clear_page(self) -> None:
        """Take the page away."""
        self._tiles = None
        self.update()

    def restyle(self, look: Look) -> None:
        """Draw in other colours."""
        self.look = look
        if self._tiles is not None:
            self._tiles.restyle(paper_table(look.ink, look.paper))
        self.update()

    def set_strength(self, share: float) -> None:
        """Draw the tint as strong as `share`, 0 to 1."""
        self._strength = share
        if self._tiles is not None:
            self._tiles.strength = share
        self.redress()

    def redress(self, box: tuple[float, float, float, float] | None = None) -> None:
        """Draw anew what belongs to the paper, within `box` (page px) or everywhere."""
        if self._tiles is not None:
            self._tiles.forget(box)
        self.update()

    @property
    def page_size(self) -> tuple[int, int] | None:
        """Width and height of the page, px, or None before any."""
        if self._tiles is None:
            return None
        high, wide = self._tiles.levels[0].shape
        return wide, high

    # -- where the eye stands ------------------------------------------------------------------------

    @property
    def glass(self) -> tuple[int, int]:
        """Width and height of the view, screen px."""
        return max(1, self.width()), max(1, self.height())

    def look_from(self, view: Viewpoint, fitted: bool = False) -> None:
        """Show the page from `view`."""
        self._fitted = fitted
        if view != self.view:
            self.view = view
            self._moving = True
            self._rest.start(REST_MS)
            self.update()
            self.moved.emit()

    def fit_page(self) -> None:
        """Show the whole page."""
        if self.page_size is not None:
            self.look_from(fit(self.glass, (0, 0, *self.page_size)), fitted=True)

    def fit_width(self) -> None:
        """Show the whole width of the page, at the height that is looked at."""
        if self.page_size is not None:
            wide, _ = self.page_size
            scale = fit((self.width(), 10**9), (0, 0, wide, 1)).scale
            self.look_from(Viewpoint(wide / 2, self.view.y, scale))

    def look_near(self, box: tuple[float, float, float, float]) -> None:
        """Show a box of the page with room round it, no nearer than 3 screen px a page px."""
        near = fit(self.glass, box, 0.2)
        self.look_from(replace(near, scale=min(near.scale, 3.0)))

    def true_size(self) -> None:
        """Show one page pixel on one screen pixel, about the middle of the view."""
        self.zoom_by(1.0 / (self.view.scale * self.devicePixelRatioF()))

    def zoom_by(self, factor: float, at: QPointF | None = None) -> None:
        """Scale by `factor` about screen place `at`, or the middle."""
        wide, high = self.glass
        x, y = (at.x(), at.y()) if at is not None else (wide / 2, high / 2)
        self.look_from(zoom(self.view, self.glass, x, y, factor))

    def bring_up(self, x: float, y: float) -> None:
        """Move the page, if need be, so that page place (x, y) is well in view."""
        self.look_from(look_at(self.view, self.glass, x, y), fitted=False)

    def page_at(self, where: QPointF) -> tuple[float, float]:
        """Return the page place under screen place `where`."""
        return to_page(self.view, self.glass, where.x(), where.y())

    def screen_at(self, x: float, y: float) -> QPointF:
        """Return the screen place of page place (x, y)."""
        return QPointF(*to_screen(self.view, self.glass, x, y))

    def on_page(self) -> QTransform:
        """Return the transform from page px to screen px."""
        left, top = to_screen(self.view, self.glass, 0.0, 0.0)
        return QTransform(self.view.scale, 0, 0, self.view.scale, left, top)

    def press_middle(self) -> None:
        """Press the page at the crosshair, for those who work with keys alone."""
        self.crosshair = True
        self.update()
        self.pressed.emit(self.view.x, self.view.y)

    # -- drawing -------------------------------------------------------------------------------------

    def paintEvent(self, a0: QPaintEvent | None) -> None:
        """Draw the tiles in view, then the overlays."""
        painter = QPainter(self)
        painter.fillRect(self.rect(), self.look.bench)
        if self._tiles is not None:
            self._paint_tiles(painter, self._tiles)
            painter.setRenderHint(QPainter.RenderHint.Antialiasing)
            for overlay in self.overlays:
                painter.save()
                overlay(painter, self)
                painter.restore()
            self._paint_hand(painter)
        painter.end()

    def _in_view(self, tiles: Tiles) -> tuple[int, list[tuple[int, int]]]:
        """Return the level to draw from and the tiles of it in view, as column and row."""
        scale = self.view.scale
        level = level_for(scale * self.devicePixelRatioF(), len(tiles.levels))
        high, wide = tiles.levels[level].shape
        size = TILE * (1 << level) * scale
        left, top = to_screen(self.view, self.glass, -0.5, -0.5)
        columns, rows = math.ceil(wide / TILE), math.ceil(high / TILE)
        across = range(max(0, int(-left // size)), min(columns, math.ceil((self.width() - left) / size)))
        down = range(max(0, int(-top // size)), min(rows, math.ceil((self.height() - top) / size)))
        return level, [(column, row) for row in down for column in across]

    def _paint_tiles(self, painter: QPainter, tiles: Tiles) -> None:
        """Draw what is in view; while it moves, tiles that would hold the frame up are drawn coarser."""
        level, places = self._in_view(tiles)
        scale = self.view.scale
        size = TILE * (1 << level) * scale
        # A page place is a pixel's centre: its pixel's corner lies half a page pixel before it.
        left, top = to_screen(self.view, self.glass, -0.5, -0.5)
        until = time.perf_counter() + (SLICE_S if self._moving else math.inf)
        if self._moving and tiles.cost(level) > DEAR_S:
            until = 0.0
        painter.setRenderHint(QPainter.RenderHint.SmoothPixmapTransform, abs(scale * (1 << level) - 1) > 1e-6)
        for column, row in places:
            if tiles.is_ready(level, column, row) or time.perf_counter() < until:
                pixmap, part = tiles.tile(level, column, row), None
                wide, high = float(pixmap.width()), float(pixmap.height())
            else:
                pixmap, part, wide, high = tiles.stand_in(level, column, row)
            x0, y0 = round(left + column * size), round(top + row * size)
            x1 = round(left + column * size + wide * size / TILE)
            y1 = round(top + row * size + high * size / TILE)
            area = QRect(x0, y0, x1 - x0, y1 - y0)
            if part is None:
                painter.drawPixmap(area, pixmap)
            else:
                painter.drawPixmap(QRectF(area), pixmap, part)
        high, wide = tiles.levels[level].shape
        painter.setPen(QPen(self.look.edge, 1))
        painter.drawRect(QRectF(left, top, wide * (1 << level) * scale, high * (1 << level) * scale))

    def _fill(self) -> None:
        """Make the tiles that were drawn coarser, a slice at a time, once the page rests."""
        tiles, until = self._tiles, time.perf_counter() + SLICE_S
        if tiles is None:
            return
        level, places = self._in_view(tiles)
        for column, row in places:
            tiles.tile(level, column, row)
            if time.perf_counter() > until:
                self._rest.start(0)
                return
        self._moving = False
        self.update()

    def _paint_hand(self, painter: QPainter) -> None:
        if self._rubber is not None:
            painter.setPen(QPen(self.look.pencil, 1.5, Qt.PenStyle.DashLine))
            painter.setBrush(
                QColor(self.look.pencil.red(), self.look.pencil.green(), self.look.pencil.blue(), 30)
            )
            painter.drawRect(self._rubber)
        if self.crosshair:
            middle = QPointF(self.width() / 2, self.height() / 2)
            painter.setPen(QPen(self.look.pencil, 1.5))
            for dx, dy in ((1, 0), (-1, 0), (0, 1), (0, -1)):
                painter.drawLine(middle + QPointF(dx * 5, dy * 5), middle + QPointF(dx * 16, dy * 16))

    # -- hands ---------------------------------------------------------------------------------------

    def mousePressEvent(self, a0: QMouseEvent | None) -> None:
        """Take hold of the page, or begin a box."""
        if a0 is None or a0.button() not in (Qt.MouseButton.LeftButton, Qt.MouseButton.MiddleButton):
            return
        self.crosshair = False
        self._held = a0.position()
        self._dragged = False
        if self.boxing and a0.button() == Qt.MouseButton.LeftButton:
            self._rubber = QRectF(a0.position(), a0.position())

    def mouseMoveEvent(self, a0: QMouseEvent | None) -> None:
        """Push the page, stretch the box, or tell what is under the pointer."""
        if a0 is None:
            return
        where = a0.position()
        if self._held is None:
            self.hovered.emit(*self.page_at(where))
            return
        if not self._dragged and (where - self._held).manhattanLength() < QApplication.startDragDistance():
            return
        self._dragged = True
        if self._rubber is not None:
            self._rubber.setBottomRight(where)
            self.update()
            return
        step = where - self._held
        self._held = where
        self.setCursor(Qt.CursorShape.ClosedHandCursor)
        self.look_from(pan(self.view, step.x(), step.y()))

    def mouseReleaseEvent(self, a0: QMouseEvent | None) -> None:
        """End the drag; without one it was a press on the sheet."""
        if a0 is None or self._held is None:
            return
        rubber, self._rubber, self._held = self._rubber, None, None
        self.setCursor(Qt.CursorShape.CrossCursor if self.boxing else Qt.CursorShape.OpenHandCursor)
        self.update()
        if self.page_size is None:
            return
        if not self._dragged:
            self.pressed.emit(*self.page_at(a0.position()))
        elif rubber is not None:
            box = rubber.normalized()
            self.boxed.emit(*self.page_at(box.topLeft()), *self.page_at(box.bottomRight()))

    def mouseDoubleClickEvent(self, a0: QMouseEvent | None) -> None:
        """Tell of a double press."""
        if a0 is not None and self.page_size is not None:
            self.double_pressed.emit(*self.page_at(a0.position()))

    def wheelEvent(self, a0: QWheelEvent | None) -> None:
        """Zoom at the pointer."""
        if a0 is None:
            return
        turn = a0.angleDelta().y() or a0.pixelDelta().y()
        self.zoom_by(1.0015**turn, a0.position())
        a0.accept()

    def event(self, a0: object) -> bool:
        """Zoom by a pinch on a touchpad."""
        if isinstance(a0, QNativeGestureEvent) and a0.gestureType() == Qt.NativeGestureType.ZoomNativeGesture:
            self.zoom_by(1.0 + a0.value(), a0.position())
            return True
        return super().event(a0)  # type: ignore[arg-type]

    def leaveEvent(self, a0: object) -> None:
        """Tell that the pointer left."""
        self.left.emit()

    def keyPressEvent(self, a0: QKeyEvent | None) -> None:
        """Move with the arrows; Shift moves by a whole screen."""
        if a0 is None:
            return
        far = 0.9 if a0.modifiers() & Qt.KeyboardModifier.ShiftModifier else 0.12
        wide, high = self.glass
        steps = {
            Qt.Key.Key_Left: (wide * far, 0.0),
            Qt.Key.Key_Right: (-wide * far, 0.0),
            Qt.Key.Key_Up: (0.0, high * far),
            Qt.Key.Key_Down: (0.0, -high * far),
        }
        step = steps.get(Qt.Key(a0.key())) if a0.key() in [key.value for key in steps] else None
        if step is None:
            super().keyPressEvent(a0)
            return
        self.crosshair = True
        self.look_from(pan(self.view, *step))

    def resizeEvent(self, a0: QResizeEvent | None) -> None:
        """Keep the whole page in view if it was."""
        if self._fitted:
            self.fit_page()

    def sizeHint(self) -> QSize:
        """Return a size that leaves room for the rest of the window."""
        return QSize(1100, 700)

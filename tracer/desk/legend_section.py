"""What the tint and the other ink on the sheet mean."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial

from PyQt6.QtCore import QPointF, QRectF, QSize, Qt
from PyQt6.QtGui import QPainter, QPaintEvent, QPen, QTransform
from PyQt6.QtWidgets import QGridLayout, QLabel, QSlider, QVBoxLayout, QWidget

from tracer.circuit.results import Tint
from tracer.desk import words
from tracer.desk.colours import Look
from tracer.desk.mark_paint import paint_sign
from tracer.desk.sheet_paint import paint_doubts, paint_tags
from tracer.desk.tinting import ink_of, tint_pen
from tracer.job.records import MarkKind, Tag, TagTerminal
from tracer.report.palette import TINT_WORDS, TintStyle, tint_styles
from tracer.trace.sheet import Join, JoinKind

__all__ = ["LegendSection"]

STRENGTHS = (30, 100)
"""How weak and how strong the tint can be drawn, percent."""


class LegendSection(QWidget):
    """What each tint means, and what the tint does not say."""

    def __init__(self, look: Look, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._grid_box = QVBoxLayout(self)
        self._grid_box.setContentsMargins(0, 0, 0, 0)
        self._rows: QWidget | None = None
        self.strength = QSlider(Qt.Orientation.Horizontal, self)
        self.strength.setRange(*STRENGTHS)
        self.strength.setValue(STRENGTHS[1])
        self.strength.setAccessibleName(words.TINT_STRENGTH)
        said = QLabel(words.TINT_STRENGTH, self)
        self._grid_box.addWidget(said)
        self._grid_box.addWidget(self.strength)
        self.restyle(look)

    def restyle(self, look: Look) -> None:
        """Draw in other colours."""
        if self._rows is not None:
            self._grid_box.removeWidget(self._rows)
            self._rows.hide()
            self._rows.deleteLater()
        self._rows = QWidget(self)
        grid = QGridLayout(self._rows)
        grid.setContentsMargins(0, 0, 0, 0)
        grid.setColumnStretch(1, 1)
        rows: list[tuple[Callable[[QPainter, QRectF], None], str]] = [
            (partial(_draw_tint, tint_styles()[tint], look), TINT_WORDS[tint])
            for tint in Tint
            if tint is not Tint.NOT_MEASURED
        ]
        rows += [
            (partial(_draw_flood, look), words.LEGEND_FLOOD),
            (partial(_draw_confirmed, look), words.LEGEND_TAG),
            (partial(_draw_proposal, look), words.LEGEND_PROPOSAL),
            (partial(_draw_doubt, look), words.LEGEND_DOUBT),
        ]
        rows += [(partial(_draw_mark, kind, look), words.LEGEND_MARK.format(kind=kind)) for kind in MarkKind]
        for row, (draw, text) in enumerate(rows):
            grid.addWidget(_Swatch(draw, look, self._rows), row, 0)
            said = QLabel(text, self._rows)
            said.setWordWrap(True)
            grid.addWidget(said, row, 1)
        route = QLabel(words.LEGEND_ROUTE, self._rows)
        route.setWordWrap(True)
        route.setObjectName("faint")
        grid.addWidget(route, grid.rowCount(), 0, 1, 2)
        self._grid_box.addWidget(self._rows)


class _Swatch(QWidget):
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


def _draw_tint(style: TintStyle, look: Look, painter: QPainter, area: QRectF) -> None:
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


def _draw_flood(look: Look, painter: QPainter, area: QRectF) -> None:
    painter.fillRect(area.adjusted(3, 5, -3, -5), look.marker)
    painter.setPen(QPen(look.marker_core, 2.5))
    painter.drawLine(QPointF(3, area.center().y()), QPointF(area.right() - 3, area.center().y()))


def _draw_proposal(look: Look, painter: QPainter, area: QRectF) -> None:
    pen = QPen(look.pencil, 1.5)
    pen.setDashPattern([4, 3])
    painter.setPen(pen)
    painter.drawRoundedRect(area.adjusted(12, 3, -12, -3), 4, 4)


def _draw_doubt(look: Look, painter: QPainter, area: QRectF) -> None:
    _draw_line(look, painter, area)
    scale = 0.3
    join = Join(0, area.center().x() / scale, area.center().y() / scale, JoinKind.GAP, 0.0, ())
    paint_doubts(painter, (join,), QTransform.fromScale(scale, scale), look, area)


def _draw_confirmed(look: Look, painter: QPainter, area: QRectF) -> None:
    box = (13, 3, int(area.width()) - 13, int(area.height()) - 3)
    middle = area.center().y()
    ends = (TagTerminal("1", box[0], middle), TagTerminal("2", box[2], middle))
    paint_tags(painter, [Tag(1, box, "resistor", "", None, ends, (), 0)], QTransform(), look, None, 3.0, area)


def _draw_mark(kind: MarkKind, look: Look, painter: QPainter, area: QRectF) -> None:
    paint_sign(painter, kind, area.center(), look)


def _draw_line(look: Look, painter: QPainter, area: QRectF) -> None:
    painter.setPen(QPen(look.ink, 1.4))
    painter.drawLine(QPointF(0, area.center().y()), QPointF(area.right(), area.center().y()))

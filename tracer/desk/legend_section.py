"""What the tint and the other ink on the sheet mean."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial

from PyQt6.QtCore import QRectF, Qt
from PyQt6.QtGui import QPainter
from PyQt6.QtWidgets import QGridLayout, QLabel, QSlider, QVBoxLayout, QWidget

from tracer.circuit.results import Tint
from tracer.desk import words
from tracer.desk.colours import Look
from tracer.desk.swatches import (
    Swatch,
    draw_confirmed,
    draw_doubt,
    draw_flood,
    draw_mark,
    draw_proposal,
    draw_tint,
)
from tracer.job.records import MarkKind
from tracer.report.palette import TINT_WORDS, tint_styles

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
            (partial(draw_tint, tint_styles()[tint], look), TINT_WORDS[tint])
            for tint in Tint
            if tint is not Tint.NOT_MEASURED
        ]
        rows += [
            (partial(draw_flood, look), words.LEGEND_FLOOD),
            (partial(draw_confirmed, look), words.LEGEND_TAG),
            (partial(draw_proposal, look), words.LEGEND_PROPOSAL),
            (partial(draw_doubt, look), words.LEGEND_DOUBT),
        ]
        rows += [(partial(draw_mark, kind, look), words.LEGEND_MARK.format(kind=kind)) for kind in MarkKind]
        for row, (draw, text) in enumerate(rows):
            grid.addWidget(Swatch(draw, look, self._rows), row, 0)
            said = QLabel(text, self._rows)
            said.setWordWrap(True)
            grid.addWidget(said, row, 1)
        route = QLabel(words.LEGEND_ROUTE, self._rows)
        route.setWordWrap(True)
        route.setObjectName("faint")
        grid.addWidget(route, grid.rowCount(), 0, 1, 2)
        self._grid_box.addWidget(self._rows)

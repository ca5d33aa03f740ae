"""The legend that lies on the sheet: the tints that are on it, and what a tint does not say."""

from __future__ import annotations

from collections.abc import Iterable
from functools import partial

from PyQt6.QtCore import QEvent, QObject, Qt
from PyQt6.QtWidgets import QFrame, QGridLayout, QLabel, QVBoxLayout, QWidget

from tracer.circuit.results import Tint
from tracer.desk import words
from tracer.desk.colours import Look
from tracer.desk.swatches import Swatch, draw_tint
from tracer.report.palette import tint_styles

__all__ = ["SheetLegend"]

LETTERS = 66
"""How wide the words about routes are set, in the width of a usual letter."""

ACROSS = 4
"""How many tints stand beside each other."""

LEAST_SHARE = 6
"""The legend takes no more than this part of the sheet's room: one sixth."""


class SheetLegend(QFrame):
    """Lies in the lower right corner of the sheet, where the title stands; presses go through it."""

    def __init__(self, look: Look, view: QWidget) -> None:
        super().__init__(view)
        self.setObjectName("legend")
        self.setAttribute(Qt.WidgetAttribute.WA_TransparentForMouseEvents)
        self.setAccessibleName(words.SECTION_LEGEND)
        self.is_wanted = True
        self._look = look
        self._tints: tuple[Tint, ...] = ()
        self._rows: QWidget | None = None
        self._route = QLabel(words.LEGEND_ROUTE, self)
        self._route.setWordWrap(True)
        self._route.setObjectName("faint")
        self._box = QVBoxLayout(self)
        self._box.setContentsMargins(10, 5, 10, 5)
        self._box.setSpacing(2)
        self._box.addWidget(self._route)
        self.restyle(look)
        view.installEventFilter(self)
        self.hide()

    def restyle(self, look: Look) -> None:
        """Draw in other colours."""
        self._look = look
        self.setStyleSheet(
            f"""#legend {{ background: {look.card.name()}; border: 1px solid {look.edge.name()};
                border-radius: 4px; }}
            #legend QLabel {{ color: {look.text.name()}; background: transparent; }}
            #legend #faint {{ color: {look.faint.name()}; }}"""
        )
        self._fill()

    def show_tints(self, tints: Iterable[Tint]) -> None:
        """Show what these tints mean; without any there is no legend."""
        shown = set(tints)
        ordered = tuple(tint for tint in Tint if tint in shown)
        if ordered != self._tints:
            self._tints = ordered
            self._fill()
        self.place()

    def want(self, is_wanted: bool) -> None:
        """Have the legend on the sheet, or off it."""
        self.is_wanted = is_wanted
        self.place()

    def _fill(self) -> None:
        if self._rows is not None:
            self._box.removeWidget(self._rows)
            self._rows.hide()
            self._rows.deleteLater()
        self._rows = QWidget(self)
        grid = QGridLayout(self._rows)
        grid.setContentsMargins(0, 0, 0, 0)
        grid.setVerticalSpacing(3)
        for number, tint in enumerate(self._tints):
            row, column = divmod(number, ACROSS)
            draw = partial(draw_tint, tint_styles()[tint], self._look)
            grid.addWidget(Swatch(draw, self._look, self._rows), row, 2 * column)
            grid.addWidget(QLabel(str(tint), self._rows), row, 2 * column + 1)
        self._box.insertWidget(0, self._rows)
        self._rows.show()

    def place(self) -> None:
        """Lie in the corner, where there are tints, it is wanted, and the sheet is not hidden by it."""
        view = self.parentWidget()
        if view is None:
            return
        wide = self.fontMetrics().averageCharWidth() * LETTERS + 20
        self._route.setFixedWidth(wide - 20)
        self._route.setFixedHeight(self._route.heightForWidth(wide - 20))
        self.adjustSize()
        has_room = LEAST_SHARE * self.height() <= view.height() and wide <= view.width()
        self.setVisible(self.is_wanted and bool(self._tints) and has_room)
        self.move(view.width() - self.width() - 6, view.height() - self.height() - 6)

    def eventFilter(self, a0: QObject | None, a1: QEvent | None) -> bool:
        """Stay in the corner when the sheet's room changes."""
        if a1 is not None and a1.type() == QEvent.Type.Resize:
            self.place()
        return False

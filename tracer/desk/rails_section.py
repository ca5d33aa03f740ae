"""How far each rail is proved."""

from __future__ import annotations

from PyQt6.QtCore import QRectF, QSize, Qt
from PyQt6.QtGui import QColor, QFont, QPainter, QPaintEvent, QPen
from PyQt6.QtWidgets import QHBoxLayout, QLabel, QPushButton, QSizePolicy, QVBoxLayout, QWidget

from tracer.bench.records import RailShare
from tracer.circuit.results import Tint
from tracer.desk import words
from tracer.desk.colours import Look
from tracer.desk.desk import Desk
from tracer.desk.field import Field
from tracer.desk.tinting import ink_of
from tracer.job.banks import put_rail
from tracer.job.records import Rail
from tracer.report.palette import tint_styles

__all__ = ["RailsSection"]


class _Track(QWidget):
    """A rail as a line across the card, inked as far as it is proved."""

    def __init__(self, share: RailShare, look: Look, ink: QColor, parent: QWidget) -> None:
        super().__init__(parent)
        self._share, self._look, self._ink = share, look, ink
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        said = words.RAIL_PROGRESS.format(carried=share.carried, whole=share.total)
        self.setAccessibleName(f"{share.rail}: {said}")
        self.setToolTip(f"{share.rail}: {said}")

    def sizeHint(self) -> QSize:
        """Return one line of type."""
        return QSize(120, 16)

    def paintEvent(self, a0: QPaintEvent | None) -> None:
        """Draw the line with a terminal at either end."""
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        middle = self.height() / 2
        left, right = 7.0, self.width() - 7.0
        painter.setPen(QPen(self._look.faint, 1.5))
        painter.drawLine(round(left), round(middle), round(right), round(middle))
        if self._share.share > 0:
            painter.setPen(QPen(self._ink, 6, cap=Qt.PenCapStyle.FlatCap))
            painter.drawLine(
                round(left), round(middle), round(left + (right - left) * self._share.share), round(middle)
            )
        painter.setPen(QPen(self._look.text, 1.5))
        painter.setBrush(self._look.paper)
        for x in (left, right):
            if x == right and self._share.share >= 1.0:
                painter.setBrush(self._ink)
            painter.drawEllipse(QRectF(x - 4, middle - 4, 8, 8))
        painter.end()


class _End(QWidget):
    """A rubber stamp, a little askew, and what it does not say."""

    def __init__(self, look: Look, parent: QWidget) -> None:
        super().__init__(parent)
        self._stamp = _Stamp(self)
        self._more = QLabel(words.RAILS_END_MORE, self)
        self._more.setWordWrap(True)
        self._more.setObjectName("faint")
        box = QVBoxLayout(self)
        box.setContentsMargins(0, 6, 0, 6)
        box.addWidget(self._stamp)
        box.addWidget(self._more)
        self.restyle(look)

    def restyle(self, look: Look) -> None:
        """Draw in other colours."""
        self._stamp.ink = ink_of(tint_styles()[Tint.CARRIED], look)
        self._stamp.update()


class _Stamp(QWidget):
    """The stamp itself."""

    def __init__(self, parent: QWidget) -> None:
        super().__init__(parent)
        self.ink = QColor()
        self.setAccessibleName(words.ALL_CARRIED)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        font = QFont(self.font())
        font.setPointSizeF(font.pointSizeF() * 1.7)
        font.setBold(True)
        font.setLetterSpacing(QFont.SpacingType.PercentageSpacing, 125)
        self.setFont(font)

    def sizeHint(self) -> QSize:
        """Return room for the word and its frame, turned."""
        return QSize(200, round(self.fontMetrics().height() * 2.6))

    def paintEvent(self, a0: QPaintEvent | None) -> None:
        """Draw the word in two frames."""
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.translate(self.width() / 2, self.height() / 2)
        painter.rotate(-3.0)
        wide = self.fontMetrics().horizontalAdvance(words.RAILS_END) + 44.0
        high = self.fontMetrics().height() * 1.5
        frame = QRectF(-wide / 2, -high / 2, wide, high)
        painter.setPen(QPen(self.ink, 3))
        painter.drawRect(frame)
        painter.setPen(QPen(self.ink, 1))
        painter.drawRect(frame.adjusted(5, 5, -5, -5))
        painter.drawText(frame, Qt.AlignmentFlag.AlignCenter, words.RAILS_END)
        painter.end()


class RailsSection(QWidget):
    """A line a rail, and a way to name one."""

    def __init__(self, desk: Desk, look: Look, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._desk, self._look = desk, look
        self._rows = QWidget(self)
        self._row_box = QVBoxLayout(self._rows)
        self._row_box.setContentsMargins(0, 0, 0, 0)
        self._row_box.setSpacing(2)
        self.name, self.at = Field(self), Field(self)
        self.name.setPlaceholderText(words.RAIL_NAME)
        self.at.setPlaceholderText(words.RAIL_AT)
        for edit in (self.name, self.at):
            edit.setAccessibleName(edit.placeholderText())
            edit.returnPressed.connect(self._add)
        add = QPushButton(words.RAIL_ADD, self)
        add.clicked.connect(self._add)
        row = QHBoxLayout()
        row.addWidget(self.name)
        row.addWidget(self.at)
        box = QVBoxLayout(self)
        box.setContentsMargins(0, 0, 0, 0)
        self.end = _End(look, self)
        self.end.hide()
        box.addWidget(self._rows)
        box.addWidget(self.end)
        box.addLayout(row)
        box.addWidget(add, 0, Qt.AlignmentFlag.AlignLeft)
        desk.laid_out.connect(self.refresh)
        desk.opened.connect(self.refresh)
        self.refresh()

    def restyle(self, look: Look) -> None:
        """Draw in other colours."""
        self._look = look
        self.end.restyle(look)
        self.refresh()

    def show_end(self, is_end: bool) -> None:
        """Show, or take away, the stamp that everything within reach is carried."""
        self.end.setVisible(is_end)

    def refresh(self) -> None:
        """Show how the rails stand."""
        while (item := self._row_box.takeAt(0)) is not None:
            widget = item.widget()
            if widget is not None:
                widget.hide()
                widget.deleteLater()
        laid = self._desk.laid
        shares = laid.standing.rails if laid is not None else ()
        if not shares:
            waits = laid is None and self._desk.job is not None
            none = QLabel(words.RAIL_WAIT if waits else words.RAIL_NONE, self._rows)
            none.setObjectName("faint")
            none.setWordWrap(True)
            self._row_box.addWidget(none)
            return
        ink = ink_of(tint_styles()[Tint.CARRIED], self._look)
        for share in shares:
            row = QWidget(self._rows)
            line = QHBoxLayout(row)
            line.setContentsMargins(0, 2, 0, 2)
            name = QLabel(share.rail, row)
            name.setMinimumWidth(self.fontMetrics().averageCharWidth() * 8)
            said = QLabel(f"{share.carried} / {share.total}", row)
            said.setObjectName("faint")
            said.setMinimumWidth(self.fontMetrics().horizontalAdvance("000 / 000"))
            said.setAlignment(Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter)
            said.setToolTip(words.RAIL_PROGRESS.format(carried=share.carried, whole=share.total))
            line.addWidget(name)
            line.addWidget(_Track(share, self._look, ink, row), 1)
            line.addWidget(said)
            self._row_box.addWidget(row)

    def _add(self) -> None:
        name = self.name.text().strip()
        if name:
            rail = Rail(name, self.at.text().strip() or None)
            self._desk.edit(lambda job: put_rail(job, rail))
            self.name.clear()
            self.at.clear()

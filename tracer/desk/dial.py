"""The dial: expected ohms as a lit stretch of a printed scale, with a pointer that lands on the reading."""

from __future__ import annotations

import math

from PyQt6.QtCore import QEasingCurve, QPointF, QRectF, QSize, Qt, QVariantAnimation
from PyQt6.QtGui import QColor, QFont, QLinearGradient, QPainter, QPaintEvent, QPen, QPolygonF
from PyQt6.QtWidgets import QSizePolicy, QWidget

from tracer.circuit.values import format_value
from tracer.desk import words
from tracer.desk.colours import Look

__all__ = ["Dial", "decades", "place_of"]

LEAST = 0.1
MOST = 20e6


def decades(
    low: float | None, expected: float | None, high: float | None, shown: float | None
) -> tuple[int, int]:
    """Return the first and last power of ten that the scale needs to hold all of the finite values.

    Examples
    --------
    >>> decades(2_790.0, 3_100.0, 3_410.0, None)
    (2, 5)
    """
    values = [v for v in (low, expected, high, shown) if v is not None and math.isfinite(v)]
    if not values:
        return 0, 7
    first = math.floor(math.log10(max(LEAST, min(values)))) - 1
    last = math.ceil(math.log10(max(LEAST, max(values)) * 1.0001)) + 1
    first, last = max(-1, first), min(8, last)
    while last - first < 3:
        first, last = max(-1, first - 1), last + (1 if first <= -1 else 0)
    return first, last


def place_of(ohms: float, first: int, last: int) -> float:
    """Return where `ohms` stands on a scale of those decades, 0 to 1; beyond either end stays at the end.

    Examples
    --------
    >>> place_of(1000.0, 2, 4)
    0.5
    """
    if not math.isfinite(ohms):
        return 1.0
    if ohms <= 10.0**first:
        return 0.0
    return min(1.0, (math.log10(ohms) - first) / (last - first))


class Dial(QWidget):
    """A printed scale in ohms, logarithmic, with the expected stretch lit and a pointer on the reading."""

    def __init__(self, look: Look, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.look = look
        self._low: float | None = None
        self._expected: float | None = None
        self._high: float | None = None
        self._open = False
        self._shown: float | None = None
        self._pointer = 1.0
        self._motion = QVariantAnimation(self)
        self._motion.setDuration(420)
        self._motion.setEasingCurve(QEasingCurve.Type.OutBack)
        self._motion.valueChanged.connect(self._swing)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        self.setAccessibleName(words.DIAL_NAME)

    def restyle(self, look: Look) -> None:
        """Draw in other colours."""
        self.look = look
        self.update()

    def expect(self, low: float | None, expected: float | None, high: float | None, is_open: bool) -> None:
        """Light the stretch from `low` to `high` (Ω); with `is_open` it lies beyond the top of the scale."""
        self._low, self._expected, self._high, self._open = low, expected, high, is_open
        self._shown = None
        self._describe()
        self.update()

    @property
    def shown(self) -> float | None:
        """The reading that the pointer stands on, Ω."""
        return self._shown

    def show_reading(self, ohms: float | None) -> None:
        """Swing the pointer to `ohms` (``inf`` for over range), or take it off the scale."""
        self._shown = ohms
        self._describe()
        if ohms is None:
            self._motion.stop()
            self.update()
            return
        first, last = self._span()
        self._motion.stop()
        self._motion.setStartValue(self._pointer)
        self._motion.setEndValue(place_of(ohms, first, last))
        self._motion.start()

    def _swing(self, value: object) -> None:
        self._pointer = float(value)  # type: ignore[arg-type]
        self.update()

    def _span(self) -> tuple[int, int]:
        return decades(self._low, self._expected, self._high, self._shown)

    def _describe(self) -> None:
        self.setAccessibleDescription(
            words.dial_in_words(self._low, self._expected, self._high, self._open, self._shown)
        )

    def sizeHint(self) -> QSize:
        """Return room for the figures and the scale."""
        unit = self.fontMetrics().height()
        return QSize(unit * 26, round(unit * 6.2))

    def minimumSizeHint(self) -> QSize:
        """Return the least room that can be read."""
        unit = self.fontMetrics().height()
        return QSize(unit * 16, round(unit * 6.2))

    def paintEvent(self, a0: QPaintEvent | None) -> None:
        """Draw the scale, the lit stretch and the pointer."""
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        unit = self.fontMetrics().height()
        ends = unit * 1.5
        scale = QRectF(ends, unit * 1.15, self.width() - 2 * ends - unit * 2.2, self.height() - unit * 2.5)
        self._paint_band(painter, scale, unit)
        self._paint_marks(painter, scale, unit)
        self._paint_pointer(painter, scale, unit)
        painter.end()

    def _paint_marks(self, painter: QPainter, scale: QRectF, unit: int) -> None:
        first, last = self._span()
        font = QFont(self.font())
        font.setPointSizeF(font.pointSizeF() * 1.1)
        painter.setFont(font)
        base = scale.bottom()
        painter.setPen(QPen(self.look.glass_faint, 1.4))
        painter.drawLine(QPointF(scale.left() - 8, base), QPointF(scale.right() + unit * 2.4, base))
        for power in range(first, last + 1):
            for step in range(1, 10) if power < last else (1,):
                x = scale.left() + scale.width() * place_of(step * 10.0**power, first, last)
                tall = unit * (0.85 if step == 1 else 0.5 if step == 5 else 0.28)
                painter.setPen(
                    QPen(
                        self.look.glass_text if step == 1 else self.look.glass_faint, 1.6 if step == 1 else 1
                    )
                )
                painter.drawLine(QPointF(x, base), QPointF(x, base - tall))
            x = scale.left() + scale.width() * place_of(10.0**power, first, last)
            painter.setPen(self.look.glass_faint)
            text = format_value(10.0**power, "ohm")
            painter.drawText(QRectF(x - 60, base + 2, 120, unit * 1.3), Qt.AlignmentFlag.AlignHCenter, text)
        painter.setPen(self.look.glass_text if self._open else self.look.glass_faint)
        over = QRectF(scale.right() + unit * 0.8, base + 2, unit * 3.0, unit * 1.3)
        painter.drawText(over, Qt.AlignmentFlag.AlignHCenter, words.OVER_RANGE)

    def _paint_band(self, painter: QPainter, scale: QRectF, unit: int) -> None:
        first, last = self._span()
        if self._open or self._low is None:
            if not self._open:
                return
            x0, x1 = scale.right() + unit * 1.2, scale.right() + unit * 3.0
        else:
            x0 = scale.left() + scale.width() * place_of(self._low, first, last)
            top = math.inf if self._high is None else self._high
            x1 = scale.left() + scale.width() * place_of(top, first, last)
            if self._high is None:
                x1 += unit * 3.0
        x0, x1 = min(x0, (x0 + x1) / 2 - 2), max(x1, (x0 + x1) / 2 + 2)
        lit = QRectF(x0, scale.top(), x1 - x0, scale.height())
        glow = QLinearGradient(lit.topLeft(), lit.bottomLeft())
        faint = QColor(self.look.band)
        faint.setAlpha(70)
        glow.setColorAt(0, faint)
        glow.setColorAt(1, self.look.band)
        painter.fillRect(lit, glow)
        painter.setPen(QPen(self.look.band.darker(130), 1.5))
        painter.drawLine(lit.topLeft(), lit.bottomLeft())
        painter.drawLine(lit.topRight(), lit.bottomRight())
        if self._expected is not None and not self._open and math.isfinite(self._expected):
            x = scale.left() + scale.width() * place_of(self._expected, first, last)
            painter.setPen(QPen(self.look.glass_text, 1.4, Qt.PenStyle.DotLine))
            painter.drawLine(QPointF(x, scale.top()), QPointF(x, scale.bottom()))

    def _paint_pointer(self, painter: QPainter, scale: QRectF, unit: int) -> None:
        if self._shown is None:
            return
        x = scale.left() + scale.width() * self._pointer
        if math.isinf(self._shown) and self._motion.state() != QVariantAnimation.State.Running:
            x = scale.right() + unit * 2.1
        painter.setPen(QPen(self.look.needle, 3))
        painter.drawLine(QPointF(x, unit * 0.9), QPointF(x, scale.bottom() + 2))
        painter.setBrush(self.look.needle)
        painter.setPen(Qt.PenStyle.NoPen)
        half = unit * 0.36
        painter.drawPolygon(
            QPolygonF([QPointF(x - half, unit * 0.1), QPointF(x + half, unit * 0.1), QPointF(x, unit * 1.0)])
        )

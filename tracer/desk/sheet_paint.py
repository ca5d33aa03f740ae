"""Things drawn over the sheet: the marker, parts with luggage labels, proposals in pencil, the leads."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Protocol

from PyQt6.QtCore import QPointF, QRect, QRectF, Qt
from PyQt6.QtGui import (
    QColor,
    QFont,
    QFontMetricsF,
    QImage,
    QPainter,
    QPainterPath,
    QPen,
    QPolygonF,
    QTransform,
)

from tracer.desk.colours import Look
from tracer.job.records import Tag
from tracer.trace.mend import Mend, MendKind
from tracer.trace.sheet import Join, Proposal

__all__ = [
    "paint_doubts",
    "paint_end",
    "paint_lead",
    "paint_markers",
    "paint_mend",
    "paint_proposals",
    "paint_spot",
    "paint_tags",
]

CORNERED = 24.0
LABELLED = 64.0
"""How long a box must be on the screen to have its corners drawn, and to carry a label, px."""


class SheetGlass(Protocol):
    """What the painters need of the view they draw on."""

    def on_page(self) -> QTransform:
        """Return the transform from page px to screen px."""

    def rect(self) -> QRect:
        """Return the whole view, screen px."""

    def devicePixelRatioF(self) -> float:
        """Return device px per screen px."""


def paint_markers(
    painter: QPainter, paths: Sequence[tuple[QPainterPath, bool]], view: SheetGlass, stroke: float, look: Look
) -> None:
    """Draw a broad felt marker over each path (page px); one marked True also has a line along its middle.

    The markers are drawn opaque on a layer that is mixed with the page in one step: a translucent pen over
    long paths takes ten times as long.
    """
    on_page = view.on_page()
    scale = max(1e-6, on_page.m11())
    broad = max(stroke * 4.5, 9 / scale)
    area = QRectF()
    for path, _ in paths:
        area = area.united(on_page.mapRect(path.boundingRect().adjusted(-broad, -broad, broad, broad)))
    seen = area.toAlignedRect().intersected(view.rect())
    if seen.isEmpty():
        return
    ratio = view.devicePixelRatioF()
    layer = QImage(seen.size() * ratio, QImage.Format.Format_RGB32)
    layer.setDevicePixelRatio(ratio)
    layer.fill(0xFF000000 if look.night else 0xFFFFFFFF)
    pen = QPainter(layer)
    pen.setRenderHint(QPainter.RenderHint.Antialiasing)
    pen.translate(-QPointF(seen.topLeft()))
    pen.setTransform(on_page, True)
    # Page places are pixel centres.
    pen.translate(0.5, 0.5)
    for path, strong in paths:
        pen.strokePath(path, _marker_pen(_on_layer(look, 1.0 if strong else 0.55), broad))
    pen.end()
    painter.save()
    mode = QPainter.CompositionMode
    painter.setCompositionMode(mode.CompositionMode_Screen if look.night else mode.CompositionMode_Multiply)
    painter.drawImage(seen.topLeft(), layer)
    painter.setCompositionMode(mode.CompositionMode_SourceOver)
    painter.setTransform(on_page, True)
    painter.translate(0.5, 0.5)
    for path, strong in paths:
        if strong:
            painter.strokePath(path, _marker_pen(look.marker_core, max(stroke * 1.2, 2 / scale)))
    painter.restore()


def _on_layer(look: Look, share: float) -> QColor:
    """The marker's colour mixed with what leaves the page as it is: white by day, black by night."""
    alpha = look.marker.alphaF() * share
    rest = 0.0 if look.night else 1.0 - alpha
    red, green, blue = (alpha * part + rest for part in look.marker.getRgbF()[:3])
    return QColor.fromRgbF(red, green, blue)


def paint_proposals(
    painter: QPainter, proposals: Iterable[Proposal], on_page: QTransform, look: Look, seen: QRectF
) -> None:
    """Draw proposals as a pencil would: dashed, faint, with what was read beside them and a question mark.

    Only those that touch `seen` (the painter's px) are drawn; far out, all in one go and without dashes.
    """
    scale, left, top = on_page.m11(), on_page.dx(), on_page.dy()
    small: list[QRectF] = []
    wash = QColor(look.pencil)
    wash.setAlpha(22)
    pen = QPen(look.pencil, 1.5, Qt.PenStyle.DashLine)
    pen.setDashPattern([4, 3])
    slanted = QFont(painter.font())
    slanted.setItalic(True)
    painter.setFont(slanted)
    for proposal in proposals:
        x0, y0, x1, y1 = proposal.box
        box = QRectF(x0 * scale + left, y0 * scale + top, (x1 - x0) * scale, (y1 - y0) * scale)
        if not box.intersects(seen):
            continue
        if max(box.width(), box.height()) < CORNERED:
            small.append(box)
            continue
        painter.setPen(pen)
        painter.setBrush(wash)
        painter.drawRoundedRect(box, 4, 4)
        if box.width() > 30 and box.height() > 18:
            painter.setPen(look.pencil)
            read = " ".join(text for text in (proposal.reference, proposal.value) if text)
            painter.drawText(QPointF(box.left() + 2, box.top() - 4), f"{read} ?".strip())
    slanted.setItalic(False)
    painter.setFont(slanted)
    painter.setRenderHint(QPainter.RenderHint.Antialiasing, False)
    painter.setPen(QPen(look.pencil, 1, Qt.PenStyle.DotLine))
    wash.setAlpha(40)
    painter.setBrush(wash)
    if small:
        painter.drawRects(small[0], *small[1:])
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)


def paint_tags(
    painter: QPainter,
    tags: Iterable[Tag],
    on_page: QTransform,
    look: Look,
    picked: int | None,
    stroke: float,
    seen: QRectF,
) -> None:
    """Draw confirmed parts that touch `seen` (screen px): corner ticks, a dot on each terminal, and the
    reference on a luggage label.
    """
    radius = max(1.6, min(5.5, 1.2 * stroke * on_page.m11()))
    for tag in tags:
        box = _on_screen(tag.box, on_page)
        if not box.intersects(seen):
            continue
        strong = tag.id == picked
        long = max(box.width(), box.height())
        if long > CORNERED or strong:
            _corners(painter, box, QPen(look.pen, 3 if strong else 1.6 if long > LABELLED else 1))
        painter.setPen(QPen(look.paper, 1) if radius > 3 else Qt.PenStyle.NoPen)
        painter.setBrush(look.pen)
        for terminal in tag.terminals:
            painter.drawEllipse(on_page.map(QPointF(terminal.x + 0.5, terminal.y + 0.5)), radius, radius)
        # Farther out a label would hide more lettering than it gives.
        if long > LABELLED or strong:
            painter.save()
            _label(painter, box, tag.reference, look, strong)
            painter.restore()


def paint_lead(painter: QPainter, at: QPointF, look: Look, *, plus: bool) -> None:
    """Draw a lead's probe with its tip at screen place `at`; the black one leans the other way."""
    colour = look.plus if plus else look.minus
    turn = -1 if plus else 1
    painter.save()
    painter.translate(at)
    painter.rotate(turn * 28)
    painter.setPen(QPen(look.paper, 2))
    painter.setBrush(look.glass_line)
    painter.drawPolygon(QPolygonF([QPointF(0, 0), QPointF(-3, -16), QPointF(3, -16)]))
    painter.setBrush(colour)
    painter.drawRoundedRect(QRectF(-7, -56, 14, 42), 5, 5)
    painter.setPen(QPen(look.paper, 2.5))
    painter.drawLine(QPointF(-3.5, -36), QPointF(3.5, -36))
    if plus:
        painter.drawLine(QPointF(0, -39.5), QPointF(0, -32.5))
    painter.restore()


def paint_spot(painter: QPainter, at: QPointF, look: Look) -> None:
    """Draw a small ring where the sheet was last pressed: where a mend would go."""
    painter.setBrush(Qt.BrushStyle.NoBrush)
    painter.setPen(QPen(look.paper, 4))
    painter.drawEllipse(at, 7, 7)
    painter.setPen(QPen(look.marker_core, 2))
    painter.drawEllipse(at, 7, 7)


def paint_doubts(
    painter: QPainter, joins: Iterable[Join], on_page: QTransform, look: Look, seen: QRectF
) -> None:
    """Draw a dotted ring in pencil round each doubtful join that lies in `seen` (screen px)."""
    painter.setBrush(Qt.BrushStyle.NoBrush)
    painter.setPen(QPen(look.pencil, 2, Qt.PenStyle.DotLine))
    radius = max(5.0, min(16.0, 26.0 * on_page.m11()))
    for join in joins:
        at = on_page.map(QPointF(join.x + 0.5, join.y + 0.5))
        if seen.contains(at):
            painter.drawEllipse(at, radius, radius)


def paint_end(painter: QPainter, at: QPointF, number: int, name: str, look: Look, *, strong: bool) -> None:
    """Draw an end of the part that is asked about: its number as on the card, and its name if it has one."""
    font = QFont(painter.font())
    font.setBold(True)
    metrics = QFontMetricsF(font)
    radius = metrics.height() * 0.6
    painter.save()
    painter.setFont(font)
    painter.setPen(QPen(look.pencil, 2))
    painter.setBrush(look.band if strong else look.paper)
    painter.drawEllipse(at, radius, radius)
    disc = QRectF(at.x() - radius, at.y() - radius, 2 * radius, 2 * radius)
    painter.setPen(look.text)
    painter.drawText(disc, Qt.AlignmentFlag.AlignCenter, str(number))
    if name:
        wide = metrics.horizontalAdvance(name) + 8
        scrap = QRectF(at.x() + radius + 3, at.y() - metrics.height() / 2, wide, metrics.height())
        painter.setPen(Qt.PenStyle.NoPen)
        painter.setBrush(look.paper)
        painter.drawRoundedRect(scrap, 3, 3)
        painter.setPen(look.pencil)
        painter.drawText(scrap, Qt.AlignmentFlag.AlignCenter, name)
    painter.restore()


def paint_mend(painter: QPainter, mend: Mend, on_page: QTransform, look: Look) -> None:
    """Draw a mend: scissors' cut, a stitch, a dot, or a wire struck out."""
    at = on_page.map(QPointF(mend.x + 0.5, mend.y + 0.5))
    painter.setPen(QPen(look.pen, 2.5))
    painter.setBrush(Qt.BrushStyle.NoBrush)
    if mend.kind is MendKind.JOIN and mend.x2 is not None and mend.y2 is not None:
        there = on_page.map(QPointF(mend.x2 + 0.5, mend.y2 + 0.5))
        pen = QPen(look.pen, 2.5, Qt.PenStyle.DotLine)
        painter.setPen(pen)
        painter.drawLine(at, there)
        for end in (at, there):
            painter.drawEllipse(end, 4, 4)
    elif mend.kind is MendKind.CUT:
        painter.drawLine(at + QPointF(-7, 7), at + QPointF(7, -7))
        painter.drawLine(at + QPointF(-3, 9), at + QPointF(9, -3))
    elif mend.kind is MendKind.JUNCTION:
        painter.setBrush(look.pen)
        painter.drawEllipse(at, 5, 5)
    else:
        painter.drawLine(at + QPointF(-7, -7), at + QPointF(7, 7))
        painter.drawLine(at + QPointF(-7, 7), at + QPointF(7, -7))


def _marker_pen(colour: QColor, width: float) -> QPen:
    return QPen(colour, width, Qt.PenStyle.SolidLine, Qt.PenCapStyle.SquareCap, Qt.PenJoinStyle.MiterJoin)


def _on_screen(box: tuple[int, int, int, int], on_page: QTransform) -> QRectF:
    return on_page.mapRect(QRectF(box[0], box[1], box[2] - box[0], box[3] - box[1]))


def _corners(painter: QPainter, box: QRectF, pen: QPen) -> None:
    painter.setPen(pen)
    painter.setBrush(Qt.BrushStyle.NoBrush)
    arm = min(12.0, 0.35 * min(box.width(), box.height()))
    for corner, right, down in (
        (box.topLeft(), 1, 1),
        (box.topRight(), -1, 1),
        (box.bottomLeft(), 1, -1),
        (box.bottomRight(), -1, -1),
    ):
        painter.drawPolyline(
            QPolygonF([corner + QPointF(arm * right, 0), corner, corner + QPointF(0, arm * down)])
        )


def _label(painter: QPainter, box: QRectF, text: str, look: Look, strong: bool) -> None:
    """A luggage label on a short string at the box's top right corner."""
    font = QFont(painter.font())
    font.setPointSizeF(font.pointSizeF() * (1.15 if strong else 1.0))
    font.setBold(strong)
    metrics = QFontMetricsF(font)
    wide, high = metrics.horizontalAdvance(text) + 18, metrics.height() + 2
    left, top = box.right() - 4, box.top() - high - 3
    nose = high * 0.32
    shape = QPolygonF(
        [
            QPointF(left, top + nose),
            QPointF(left + nose, top),
            QPointF(left + wide, top),
            QPointF(left + wide, top + high),
            QPointF(left + nose, top + high),
            QPointF(left, top + high - nose),
        ]
    )
    painter.setPen(QPen(look.pen, 1))
    painter.drawLine(QPointF(box.right(), box.top()), QPointF(left + 5, top + high / 2))
    painter.setBrush(look.glass if not strong else look.band)
    painter.drawPolygon(shape)
    painter.setBrush(look.paper)
    painter.drawEllipse(QPointF(left + 5.5, top + high / 2), 2, 2)
    painter.setFont(font)
    painter.setPen(look.glass_text)
    painter.drawText(QRectF(left + 11, top, wide - 12, high), Qt.AlignmentFlag.AlignVCenter, text)

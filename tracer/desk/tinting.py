"""The tint on the paper: every proved or suspect stretch of wire and part inked in its colour and pattern."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from PyQt6.QtCore import QRectF, Qt
from PyQt6.QtGui import QColor, QPainter, QPainterPath, QPen

from tracer.bench.records import Bench
from tracer.circuit.results import Tint
from tracer.desk.colours import Look
from tracer.desk.lighting import path_along
from tracer.report.palette import TintStyle, tint_styles

__all__ = ["TintedPiece", "ink_of", "paint_tint", "pieces_of", "tint_pen"]


@dataclass(frozen=True, slots=True, eq=False)
class TintedPiece:
    """One element on one sheet: a path along its wires or its box, page px, and how it stands."""

    element: str
    tint: Tint
    path: QPainterPath
    bounds: QRectF
    is_part: bool


def pieces_of(
    bench: Bench, sheet: int, tints: Mapping[str, Tint], only: Iterable[str] | None = None
) -> tuple[TintedPiece, ...]:
    """Return what is to be inked on `sheet`; elements not measured are left bare.

    `only` names the elements wanted, with whatever tint they have.
    """
    stroke = bench.sheets[sheet].stroke if sheet in bench.sheets else 3.0
    wanted = (
        list(only) if only is not None else [r for r, tint in tints.items() if tint is not Tint.NOT_MEASURED]
    )
    pieces = []
    for reference in wanted:
        for place in bench.places.get(reference, ()):
            if place.sheet != sheet:
                continue
            if place.box is not None:
                path = QPainterPath()
                box = place.box
                path.addRoundedRect(QRectF(box[0], box[1], box[2] - box[0], box[3] - box[1]), stroke, stroke)
            else:
                path = path_along(place.lines, stroke * 0.3)
            edge = 6 * stroke
            bounds = path.boundingRect().adjusted(-edge, -edge, edge, edge)
            tint = tints.get(reference, Tint.NOT_MEASURED)
            pieces.append(TintedPiece(reference, tint, path, bounds, place.box is not None))
    return tuple(pieces)


def paint_tint(
    painter: QPainter, pieces: Iterable[TintedPiece], look: Look, stroke: float, scale: float
) -> None:
    """Ink `pieces` with a painter in page px; `scale` is screen px per page px."""
    for piece in pieces:
        style = tint_styles()[piece.tint]
        colour = ink_of(style, look)
        width = max(style.width * stroke, 4.0 / scale)
        if piece.is_part:
            wash = QColor(colour)
            wash.setAlpha(75)
            painter.fillPath(piece.path, wash)
            width *= 0.5
        painter.setPen(tint_pen(style, colour, width))
        painter.setBrush(Qt.BrushStyle.NoBrush)
        painter.drawPath(piece.path)
        if style.core and not piece.is_part:
            painter.setPen(QPen(QColor("black" if look.night else "white"), width * 0.34))
            painter.drawPath(piece.path)


def ink_of(style: TintStyle, look: Look) -> QColor:
    """Return a tint's colour, lighter on dark paper."""
    colour = QColor(*style.colour)
    return colour.lighter(125) if look.night else colour


def tint_pen(style: TintStyle, colour: QColor, width: float) -> QPen:
    """Return a pen with a tint's pattern, in proportion to `width`."""
    pen = QPen(colour, width)
    pen.setJoinStyle(Qt.PenJoinStyle.RoundJoin)
    pen.setCapStyle(Qt.PenCapStyle.FlatCap)
    if style.dash:
        pen.setDashPattern([length / style.width for length in style.dash])
    return pen

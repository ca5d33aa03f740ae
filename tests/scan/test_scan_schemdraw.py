"""Sheets drawn by schemdraw and painted by Qt, neither of which knows this room."""

from __future__ import annotations

import numpy as np
import pytest
import schemdraw
import schemdraw.elements as elm
from numpy.typing import NDArray
from PyQt6.QtCore import QByteArray
from PyQt6.QtGui import QColor, QImage, QPainter
from PyQt6.QtSvg import QSvgRenderer

from tracer.scan.level import level
from tracer.scan.skew import measure_skew
from tracer.scan.stroke import usual_stroke

pytestmark = pytest.mark.usefixtures("qapp")  # Qt paints text only inside an application

UNIT_LINE = 2.0  # schemdraw's line width, in SVG user units, that is asked for below


def painted(pixels_per_unit: float, turn: float = 0.0) -> NDArray[np.uint8]:
    """Draw a small supply with schemdraw and paint its SVG, (H, W) uint8."""
    schemdraw.use("svg")
    drawing = schemdraw.Drawing(show=False)
    drawing.config(lw=UNIT_LINE, fontsize=12)
    for element in (
        elm.Resistor().right().label("R1 4k7"),
        elm.Dot(),
        elm.Capacitor().down().label("C1 8µF"),
        elm.Ground(),
        elm.Line().right().length(4),
        elm.Resistor().up().label("R2 22k"),
        elm.Line().right().length(6),
        elm.Diode().right(),
        elm.Resistor().down().label("R3 100"),
        elm.Line().left().length(9),
    ):
        drawing += element
    renderer = QSvgRenderer(QByteArray(drawing.get_imagedata("svg")))
    size = renderer.defaultSize()
    width, height = round(size.width() * pixels_per_unit), round(size.height() * pixels_per_unit)
    image = QImage(width, height, QImage.Format.Format_Grayscale8)
    image.fill(QColor("white"))
    painter = QPainter(image)
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    painter.translate(width / 2, height / 2)
    painter.rotate(turn)
    painter.translate(-width / 2, -height / 2)
    renderer.render(painter)
    painter.end()
    bits = image.constBits()
    assert bits is not None
    rows = np.frombuffer(bits.asstring(image.sizeInBytes()), np.uint8).reshape(height, image.bytesPerLine())
    return rows[:, :width].copy()


@pytest.mark.parametrize("pixels_per_unit", [1.5, 2.0, 3.0])
def test_stroke_of_an_independent_drawing(pixels_per_unit: float) -> None:
    page = painted(pixels_per_unit)
    assert usual_stroke(level(page)).width == pytest.approx(UNIT_LINE * pixels_per_unit, rel=0.08)


@pytest.mark.parametrize("turn", [-2.0, 0.0, 3.0])
def test_skew_of_an_independent_drawing(turn: float) -> None:
    assert measure_skew(level(painted(3.0, turn))).degrees == pytest.approx(turn, abs=0.1)

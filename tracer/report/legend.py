"""The legend below a tinted sheet: each tint's line, its meaning, and what a tint does not say."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np
from numpy.typing import NDArray
from PIL import Image, ImageDraw, ImageFont

from tracer.cautions import SHORT_CAUTION
from tracer.circuit.results import Tint
from tracer.report.dashes import dashes
from tracer.report.palette import TINT_WORDS, TintStyle

__all__ = ["DRAWN_ROUTE", "legend"]

DRAWN_ROUTE = (
    "The tint is the drawn route between terminals proved joined; the wiring in the set may run otherwise."
)
"""A schematic is no wiring plan; every tinted sheet says so."""

_Font = ImageFont.FreeTypeFont | ImageFont.ImageFont

_INK = (43, 33, 25)
_GROUND = (251, 245, 230)
_FAINT = (118, 104, 90)


def legend(
    width: int, styles: Mapping[Tint, TintStyle], counts: Mapping[Tint, int], title: str = "", note: str = ""
) -> NDArray[np.uint8]:
    """Draw the legend.

    Parameters
    ----------
    width : int
        px, as wide as the sheet.
    styles : mapping of Tint to TintStyle
    counts : mapping of Tint to int
        How many elements stand so; tints that nothing has are left out, but for carried and not measured.
    title : str
        Printed first when it is not empty.
    note : str
        One more sentence below the tints.

    Returns
    -------
    (h, width, 3) uint8
        Red, green, blue.
    """
    size = max(13, min(width // 90, 40))
    font = ImageFont.load_default(size)
    margin, row, sample = int(size * 1.5), int(size * 1.8), size * 5
    shown = [t for t in Tint if counts.get(t) or t in {Tint.CARRIED, Tint.NOT_MEASURED}]
    says = {tint: f"{TINT_WORDS[tint]} ({counts.get(tint, 0)})" for tint in shown}
    widest = sample + 3 * size + int(max(_length(text, font) for text in says.values()))
    columns = max(1, min(len(shown), (width - margin) // widest))
    rows = -(-len(shown) // columns)
    notes = [note, DRAWN_ROUTE, SHORT_CAUTION] if note else [DRAWN_ROUTE, SHORT_CAUTION]
    wrapped = [line for note in notes for line in _wrap(note, font, width - 2 * margin)]
    heading = _wrap(title, font, width - 2 * margin) if title else []
    height = 2 * margin + row * (len(heading) + rows + len(wrapped)) + size
    image = Image.new("RGB", (width, height), _GROUND)
    draw = ImageDraw.Draw(image)
    draw.line([(0, 0), (width, 0)], fill=_FAINT, width=max(1, size // 10))
    y = margin
    for line in heading:
        _write(draw, (margin, y), line, font)
        y += row
    for place, tint in enumerate(shown):
        x = margin + (place // rows) * widest
        top = y + (place % rows) * row
        _sample(draw, (x, top + size * 0.62), sample, styles[tint], size / 5)
        _write(draw, (x + sample + size, top), says[tint], font)
    y += rows * row + size // 2
    for line in wrapped:
        _write(draw, (margin, y), line, font)
        y += row
    return np.asarray(image, np.uint8)


def _sample(
    draw: ImageDraw.ImageDraw, start: tuple[float, float], length: int, style: TintStyle, stroke: float
) -> None:
    line = np.array([start, (start[0] + length, start[1])], np.float32)
    width = max(2, round(style.width * stroke))
    for mark in dashes(line, [part * stroke for part in style.dash]):
        ends = [tuple(float(v) for v in point) for point in mark]
        draw.line(ends, fill=style.colour, width=width)
        if style.core:
            draw.line(ends, fill=(255, 255, 255), width=max(1, round(width * 0.3)))


def _write(draw: ImageDraw.ImageDraw, start: tuple[float, float], text: str, font: _Font) -> None:
    """Write word by word: the font that Pillow carries sets its spaces too narrow to be seen when small."""
    x, y = start
    for word in text.split():
        draw.text((x, y), word, fill=_INK, font=font)
        x += font.getlength(word) + _space(font)


def _space(font: _Font) -> float:
    return 0.45 * float(font.getlength("n"))


def _length(text: str, font: _Font) -> float:
    words = text.split()
    return sum(float(font.getlength(word)) for word in words) + _space(font) * (len(words) - 1)


def _wrap(text: str, font: _Font, width: int) -> list[str]:
    """Break a sentence into lines that fit `width` px."""
    lines: list[str] = []
    for word in text.split():
        longer = f"{lines[-1]} {word}" if lines else word
        if lines and _length(longer, font) <= width:
            lines[-1] = longer
        else:
            lines.append(word)
    return lines

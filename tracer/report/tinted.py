"""The sheet with its tints: what the readings have proved, drawn over the scan."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence

import cv2
import numpy as np
import shapely
from numpy.typing import NDArray

from tracer.bench.records import Bench, Place
from tracer.circuit.results import Proof, Tint
from tracer.job.records import Mark
from tracer.report.dashes import dashes
from tracer.report.drawn_marks import draw_marks, marks_in_words
from tracer.report.legend import legend
from tracer.report.palette import TintStyle, tint_styles

__all__ = ["tinted_sheet"]

_PAPER = 0.6
"""How much of the ink's darkness stays: tints must stand out, and lettering must stay readable."""

_BOX = 0.55
"""A part's outline, as a fraction of the width that a wire's tint has."""

_SHIFT = 3  # OpenCV takes coordinates in eighths of a pixel
_LAST = (
    Tint.NOT_MEASURED,
    Tint.CARRIED,
    Tint.PINNED,
    Tint.CONTRADICTED,
    Tint.ONE_OF_TWO,
    Tint.SUSPECT,
    Tint.BAD,
)
"""Order of drawing: what asks for attention lies on top."""

_Image = NDArray[np.uint8]


def tinted_sheet(
    grey: _Image,
    number: int,
    bench: Bench,
    proof: Proof,
    *,
    marks: Sequence[Mark] = (),
    title: str = "",
    with_legend: bool = True,
) -> _Image:
    """Draw one sheet with a tint on each stretch of wire and each part's box.

    Parameters
    ----------
    grey : (H, W) uint8
        The page as decoded; tints are laid in its own pixels.
    number : int
        The sheet's number in the job.
    bench : Bench
    proof : Proof
    marks : sequence of Mark
        What a person said of places on this sheet without a reading.
    title : str
        A line above the legend.
    with_legend : bool
        Whether a legend is added below the sheet, as wide as it.

    Returns
    -------
    (H + legend, W, 3) uint8
        Red, green, blue.
    """
    tints = dict(proof.tints)
    placed = [
        (tints[reference], place)
        for reference, places in bench.places.items()
        for place in places
        if place.sheet == number and reference in tints
    ]
    stroke = bench.sheets[number].stroke
    styles = tint_styles()
    colour = np.full((*grey.shape, 3), 255, np.uint8)
    for tint in _LAST:
        here = [place for said, place in placed if said is tint]
        _draw(colour, here, styles[tint], stroke)
    lighter = np.round(255 - (255 - np.arange(256)) * _PAPER).astype(np.uint8)
    paper = cv2.cvtColor(cv2.LUT(grey, lighter), cv2.COLOR_GRAY2RGB)
    cv2.multiply(colour, paper, dst=colour, scale=1 / 255)
    draw_marks(colour, marks, stroke)
    if not with_legend:
        return colour
    below = legend(grey.shape[1], styles, _counts(tints.values()), title, marks_in_words(marks))
    return np.concatenate([colour, below])


def _counts(tints: Iterable[Tint]) -> Mapping[Tint, int]:
    counts = dict.fromkeys(Tint, 0)
    for tint in tints:
        counts[tint] += 1
    return counts


def _draw(colour: _Image, places: Sequence[Place], style: TintStyle, stroke: float) -> None:
    """Draw all wires of one tint at once, then its parts' boxes, in a finer line."""
    wires = [line for place in places for line in place.lines]
    _draw_lines(colour, wires, style, stroke, 1.0)
    boxes = [place.box for place in places if place.box is not None]
    for box in boxes:
        _fill(colour, box, style.colour)
    outlines = [_outline(box, style.width * stroke * _BOX / 2) for box in boxes]
    _draw_lines(colour, outlines, style, stroke, _BOX)


def _draw_lines(
    colour: _Image, lines: Sequence[NDArray[np.float32]], style: TintStyle, stroke: float, scale: float
) -> None:
    width = max(2, round(style.width * stroke * scale))
    pattern = [length * stroke * scale for length in style.dash]
    if pattern:
        marks = [mark for line in lines for mark in dashes(line, pattern)]
        _flat_marks(colour, marks, style.colour, width)
    else:
        marks = list(lines)
        _polylines(colour, marks, style.colour, width)
    if style.core:
        _polylines(colour, marks, (255, 255, 255), max(1, round(width * 0.3)))


def _outline(box: tuple[int, int, int, int], margin: float) -> NDArray[np.float32]:
    x0, y0, x1, y1 = box[0] - margin, box[1] - margin, box[2] - 1 + margin, box[3] - 1 + margin
    return np.array([[x0, y0], [x1, y0], [x1, y1], [x0, y1], [x0, y0]], np.float32)


def _fill(colour: _Image, box: tuple[int, int, int, int], rgb: tuple[int, int, int]) -> None:
    """Lay a light wash of the tint over a part's body."""
    height, width = colour.shape[:2]
    x0, y0, x1, y1 = max(box[0], 0), max(box[1], 0), min(box[2], width), min(box[3], height)
    wash = 255 - (255 - np.array(rgb, np.float32)) * 0.28
    colour[y0:y1, x0:x1] = np.minimum(colour[y0:y1, x0:x1], wash.astype(np.uint8))


def _polylines(
    colour: _Image, marks: Sequence[NDArray[np.float32]], rgb: tuple[int, int, int], width: int
) -> None:
    if marks:
        cv2.polylines(colour, [_eighths(mark) for mark in marks], False, rgb, width, cv2.LINE_AA, _SHIFT)


def _flat_marks(
    colour: _Image, marks: Sequence[NDArray[np.float32]], rgb: tuple[int, int, int], width: int
) -> None:
    """Draw marks with square ends: OpenCV rounds the ends of wide lines, which would close the gaps."""
    if not marks:
        return
    lines = shapely.linestrings(np.concatenate(marks), indices=_indices(marks))
    shapes = shapely.buffer(lines, width / 2, cap_style="flat", quad_segs=4)
    for shape in np.atleast_1d(np.asarray(shapes)):
        if not shape.is_empty:
            outline = np.asarray(shapely.get_coordinates(shapely.get_exterior_ring(shape)), np.float32)
            cv2.fillPoly(colour, [_eighths(outline)], rgb, cv2.LINE_AA, _SHIFT)


def _indices(marks: Sequence[NDArray[np.float32]]) -> NDArray[np.intp]:
    return np.repeat(np.arange(len(marks)), [len(mark) for mark in marks])


def _eighths(line: NDArray[np.float32]) -> NDArray[np.int32]:
    return np.round(line * (1 << _SHIFT)).astype(np.int32).reshape(-1, 1, 2)

"""From a page to what each pixel of it means."""

from __future__ import annotations

from math import sqrt
from typing import Final

from tracer.progress import NullProgress, Progress, checkpoint
from tracer.reader.layers import Layers
from tracer.reader.tiles import read_grid
from tracer.reader.weights import Weights, load_weights
from tracer.scan.corners import Corners, lay_flat
from tracer.scan.level import level
from tracer.scan.limits import MAX_PIXELS
from tracer.scan.page import Page
from tracer.scan.skew import Skew, measure_skew
from tracer.scan.straighten import rescale, turn_back
from tracer.scan.stroke import usual_stroke
from tracer.scan.transform import chain, identity, inverse, scale_at

__all__ = ["grid_scale", "read"]

_LEAST_TURN: Final = 1.5  # degrees; the network is trained on less, and turning softens the ink
_LEAST_CONFIDENCE: Final = 0.4
_INK: Final = 160  # of the levelled grid; a little over the middle, so that faint strokes count
_WATCH_NOTHING: Final = NullProgress()


def read(
    page: Page,
    progress: Progress = _WATCH_NOTHING,
    *,
    corners: Corners | None = None,
    weights: Weights | None = None,
) -> Layers:
    """Read a page.

    The light is levelled, a plainly turned sheet is turned upright, and the page is brought to
    the stroke that the network knows; then the network reads it tile by tile.

    Parameters
    ----------
    page : Page
    progress : Progress
        Watches the work; asked before each tile whether to stop.
    corners : Corners, optional
        Of a photographed sheet: it is laid flat by them first.
    weights : Weights, optional
        The installed ones unless given.

    Raises
    ------
    WeightsDamaged, Cancelled
    """
    weights = weights or load_weights()
    checkpoint(progress, "levelling the light", 0.0)
    grey, flat = (page.grey, identity()) if corners is None else lay_flat(page.grey, corners)
    grid = level(grey)
    checkpoint(progress, "measuring the strokes", 0.0)
    stroke = usual_stroke(grid).width
    grid, scaled = rescale(grid, grid_scale(stroke, weights.stroke, weights.strokes, grid.size))
    skew = measure_skew(grid)
    turned = identity()
    if _stands_out(skew):
        checkpoint(progress, "turning the sheet upright", 0.0)
        grid, turned = turn_back(grid, skew.degrees)
    planes = read_grid(grid, weights, progress)
    to_page = chain(inverse(chain(scaled, turned)), flat)
    middle = grey.shape[1] / 2, grey.shape[0] / 2
    return Layers(
        classes=planes.classes,
        sureness=planes.sureness,
        kinds=planes.kinds,
        kind_sureness=planes.kind_sureness,
        kind_names=weights.kind_names,
        to_page=to_page,
        stroke=stroke * scale_at(flat, *middle),
        reader_sha256=weights.sha256,
        ink=grid < _INK,
    )


def grid_scale(stroke: float, wanted: float, known: tuple[float, float], pixels: int) -> float:
    """Choose how much to scale a page for the network.

    Strokes that the network knows are left alone, so that a crisp scan stays crisp; a page of thick strokes
    is read as well, and faster, made smaller. A page is never made larger than the limit for pages.

    Parameters
    ----------
    stroke : float
        The page's usual stroke, px.
    wanted : float
        The network's, px.
    known : (float, float)
        The thinnest and thickest that it reads as they are, px.
    pixels : int
        Of the page.

    Examples
    --------
    >>> [grid_scale(stroke, 2.5, (2.0, 3.0), 1_000_000) for stroke in (2.9, 1.0, 5.0)]
    [1.0, 2.5, 0.5]
    """
    thinnest, thickest = known
    if thinnest <= stroke <= thickest:
        return 1.0
    return min(wanted / stroke, max(1.0, sqrt(MAX_PIXELS / max(pixels, 1))))


def _stands_out(skew: Skew) -> bool:
    return abs(skew.degrees) >= _LEAST_TURN and skew.confidence >= _LEAST_CONFIDENCE

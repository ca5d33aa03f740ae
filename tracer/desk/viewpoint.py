"""Where the eye stands over a page: plain arithmetic between page pixels and the screen."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

__all__ = [
    "LARGEST",
    "SMALLEST",
    "Viewpoint",
    "fit",
    "level_for",
    "look_at",
    "pan",
    "to_page",
    "to_screen",
    "zoom",
]

SMALLEST = 0.01
LARGEST = 24.0


@dataclass(frozen=True, slots=True)
class Viewpoint:
    """The page place at the middle of the screen, and screen px per page px.

    Attributes
    ----------
    x, y : float
        Page px.
    scale : float
        Screen px per page px.

    Examples
    --------
    >>> to_screen(Viewpoint(100.0, 50.0, 2.0), (800, 600), 110.0, 50.0)
    (420.0, 300.0)
    """

    x: float = 0.0
    y: float = 0.0
    scale: float = 1.0


def to_screen(view: Viewpoint, size: tuple[int, int], x: float, y: float) -> tuple[float, float]:
    """Return the screen place of page place (x, y); `size` is the screen's width and height, px."""
    return size[0] / 2 + (x - view.x) * view.scale, size[1] / 2 + (y - view.y) * view.scale


def to_page(view: Viewpoint, size: tuple[int, int], x: float, y: float) -> tuple[float, float]:
    """Return the page place under screen place (x, y); the inverse of `to_screen`."""
    return view.x + (x - size[0] / 2) / view.scale, view.y + (y - size[1] / 2) / view.scale


def pan(view: Viewpoint, dx: float, dy: float) -> Viewpoint:
    """Return the view after the paper was pushed by (dx, dy) screen px."""
    return replace(view, x=view.x - dx / view.scale, y=view.y - dy / view.scale)


def zoom(view: Viewpoint, size: tuple[int, int], x: float, y: float, factor: float) -> Viewpoint:
    """Return the view scaled by `factor` with the page place under screen place (x, y) kept where it is."""
    scale = min(LARGEST, max(SMALLEST, view.scale * factor))
    page_x, page_y = to_page(view, size, x, y)
    return Viewpoint(page_x - (x - size[0] / 2) / scale, page_y - (y - size[1] / 2) / scale, scale)


def fit(size: tuple[int, int], box: tuple[float, float, float, float], margin: float = 0.03) -> Viewpoint:
    """Return the view that shows the whole of `box` (x0, y0, x1, y1, page px) with a margin round it."""
    wide, high = max(1.0, box[2] - box[0]), max(1.0, box[3] - box[1])
    scale = min(size[0] / wide, size[1] / high) * (1 - 2 * margin)
    return Viewpoint((box[0] + box[2]) / 2, (box[1] + box[3]) / 2, min(LARGEST, max(SMALLEST, scale)))


def look_at(view: Viewpoint, size: tuple[int, int], x: float, y: float, edge: float = 0.15) -> Viewpoint:
    """Return the view with (x, y) in its middle, or as it is if (x, y) is well in view already."""
    on_x, on_y = to_screen(view, size, x, y)
    inside = edge * size[0] < on_x < (1 - edge) * size[0] and edge * size[1] < on_y < (1 - edge) * size[1]
    return view if inside else replace(view, x=x, y=y)


def level_for(scale: float, levels: int) -> int:
    """Return which halving of the page to draw from at `scale`: it is shown at 0.7 to 1.4 of its size."""
    return min(levels - 1, max(0, math.floor(math.log2(1 / scale) + 0.5)))

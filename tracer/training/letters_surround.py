"""What lies about a line of lettering cut from a sheet: wires that touch, edges, bits of its neighbours."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray
from PIL import Image, ImageDraw

__all__ = ["surround"]


def surround(ink: Image.Image, width: int, height: int, rng: np.random.Generator) -> NDArray[np.uint8]:
    """Set a line on its strip with what may lie near.

    Parameters
    ----------
    ink : PIL.Image.Image
        The line, "L", 255 ink, smaller than the strip.
    width, height : int
        Of the strip, px.
    rng : numpy.random.Generator

    Returns
    -------
    (height, width) uint8
        Ink 0 on paper 255; the line at the left, bare paper at the right end.
    """
    strip = Image.new("L", (width, height))
    left = int(rng.integers(3, max(4, min(12, width - ink.width))))
    free = (height - ink.height) / 2
    aside = float(rng.normal(0, 1.6)) if rng.random() < 0.8 else float(rng.uniform(-free, free))
    top = round(free + aside)
    strip.paste(ink, (left, top))
    brush = ImageDraw.Draw(strip)
    pen = int(rng.integers(2, 8))
    end = left + ink.width
    pick = rng.random()
    if pick < 0.08:  # a wire along the top or the bottom
        y = float(rng.choice([rng.uniform(0, 4), rng.uniform(height - 5, height - 1)]))
        brush.line((0, y, min(width, end + 6), y + rng.normal(0, 1)), fill=255, width=pen)
    elif pick < 0.15:  # an upright one beside the ends, touching at times
        x = float(rng.choice([rng.uniform(0, max(1, left + 1)), end + rng.uniform(-1, 9)]))
        brush.line((x, 0, x + rng.normal(0, 1), height), fill=255, width=pen)
    elif pick < 0.24:  # the stump of a wire or of a letter above or below
        x, reach = float(rng.uniform(left, end)), float(rng.uniform(2, 8))
        y = 0.0 if rng.random() < 0.5 else float(height)
        brush.line((x, y, x + rng.normal(0, 6), abs(y - reach)), fill=255, width=pen)
    elif pick < 0.28:  # the edges of a box that the line stands in
        for y in (float(rng.uniform(0, 3)), float(rng.uniform(height - 4, height - 1))):
            brush.line((0, y, min(width, end + 9), y), fill=255, width=min(pen, 4))
    elif pick < 0.31:  # a wire that runs on from a letter
        y = float(rng.uniform(0.2, 0.8)) * height
        x = end + float(rng.uniform(-3, 3))
        brush.line((x, y, min(width, x + rng.uniform(3, 12)), y + rng.normal(0, 2)), fill=255, width=pen)
    elif pick < 0.34:  # specks, smaller than any point
        for _ in range(int(rng.integers(1, 5))):
            x, y, r = rng.uniform(0, end + 5), rng.uniform(0, height), rng.uniform(0.4, 1.0)
            brush.ellipse((x - r, y - r, x + r, y + r), fill=255)
    elif pick < 0.41:
        _neighbours(brush, (left, end), height, pen, rng)
    elif pick < 0.46:
        _through(brush, (left, end), height, pen, rng)
    image = 255 - np.asarray(strip)
    return np.ascontiguousarray(image)


def _neighbours(
    brush: ImageDraw.ImageDraw, span: tuple[int, int], height: int, pen: int, rng: np.random.Generator
) -> None:
    """Feet or heads of the letters of the next line, which stands close."""
    edge, way = (0.0, 1.0) if rng.random() < 0.5 else (float(height), -1.0)
    x = span[0] + float(rng.uniform(-4, 8))
    while x < span[1]:
        deep = edge + way * float(rng.uniform(1, 7))
        across = float(rng.choice([0.0, rng.normal(0, 5), rng.uniform(4, 12)]))
        brush.line((x, edge, x + across, deep if across < 4 else edge + way), fill=255, width=pen)
        x += float(rng.uniform(6, 22))


def _through(
    brush: ImageDraw.ImageDraw, span: tuple[int, int], height: int, pen: int, rng: np.random.Generator
) -> None:
    """A wire through the line, or the gap that is left where it was taken out."""
    fill, wide = (255, min(pen, 5)) if rng.random() < 0.5 else (0, min(pen, 4))
    if rng.random() < 0.6:
        x = float(rng.uniform(*span))
        brush.line((x, 0, x + rng.normal(0, 2), height), fill=fill, width=wide)
    else:
        y = float(rng.uniform(0.15, 0.9)) * height
        brush.line((0, y, span[1] + 8, y + rng.normal(0, 1.5)), fill=fill, width=wide)

"""Pages of lettering, drawn with OpenCV's Hershey fonts, and what a faultless reader would say of them.

The Hershey fonts (A. V. Hershey, Calligraphy for Computers, 1967) are not among those learned from.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from pathlib import Path

import cv2
import numpy as np
from numpy.typing import NDArray

from tracer.reader.layers import Layers, Pixel
from tracer.scan.page import Page

__all__ = ["LetteredPage"]


@dataclass
class LetteredPage:
    """A page to letter on; `classes` is the class map that a faultless reader would give."""

    grey: NDArray[np.uint8] = field(default_factory=lambda: np.full((400, 700), 255, np.uint8))

    def __post_init__(self) -> None:
        self.classes = np.zeros(self.grey.shape, np.uint8)
        self.bodies: list[tuple[int, int, int, int, str]] = []

    def letter(
        self, text: str, x: int, y: int, scale: float = 0.8, *, up: bool = False, pen: int = 2
    ) -> None:
        """Letter `text` with its base line beginning at (x, y), reading upwards if `up`."""
        (wide, tall), below = cv2.getTextSize(text, cv2.FONT_HERSHEY_SIMPLEX, scale, pen)
        strip = np.full((tall + below + 6, wide + 6), 255, np.uint8)
        cv2.putText(strip, text, (3, tall + 3), cv2.FONT_HERSHEY_SIMPLEX, scale, 0, pen, cv2.LINE_AA)
        if up:
            strip = np.asarray(cv2.rotate(strip, cv2.ROTATE_90_COUNTERCLOCKWISE), dtype=np.uint8)
            left, top = x - tall - 3, y - wide - 3
        else:
            left, top = x - 3, y - tall - 3
        area = np.s_[top : top + strip.shape[0], left : left + strip.shape[1]]
        self.grey[area] = np.minimum(self.grey[area], strip)
        self.classes[area][strip < 200] = Pixel.LETTERING

    def wire(self, start: tuple[int, int], end: tuple[int, int], pen: int = 3) -> None:
        """Draw a wire; where it crosses lettering, the pixels are the wire's."""
        cv2.line(self.grey, start, end, 0, pen)
        cv2.line(self.classes, start, end, int(Pixel.WIRE), pen)

    def box(self, x0: int, y0: int, x1: int, y1: int, kind: str, pen: int = 3) -> None:
        """Draw a body as a box; its inside, lettering included, is the body's."""
        cv2.rectangle(self.grey, (x0, y0), (x1, y1), 0, pen)
        cv2.rectangle(self.classes, (x0 - 1, y0 - 1), (x1 + 1, y1 + 1), int(Pixel.BODY), -1)
        self.bodies.append((x0, y0, x1, y1, kind))

    def page(self) -> Page:
        """The page as opened from a file."""
        return Page(self.grey, Path("drawn.png"), 1, None, "")

    def layers(self, scale: float = 1.0) -> Layers:
        """The class map on a grid `scale` times as fine as the page."""
        classes = np.asarray(
            cv2.resize(self.classes, None, fx=scale, fy=scale, interpolation=cv2.INTER_NEAREST),
            dtype=np.uint8,
        )
        cells = np.zeros((-(-classes.shape[0] // 4), -(-classes.shape[1] // 4)), np.uint8)
        names = ("none", *sorted({kind for *_, kind in self.bodies}))
        for x0, y0, x1, y1, kind in self.bodies:
            low, high = (int(scale * edge / 4) for edge in (x0, x1))
            cells[int(scale * y0 / 4) : int(scale * y1 / 4) + 1, low : high + 1] = names.index(kind)
        shift = (1 / scale - 1) / 2
        to_page = np.array([[1 / scale, 0.0, shift], [0.0, 1 / scale, shift]])
        return Layers(classes, np.full_like(classes, 255), cells, cells, names, to_page, 3.0, "drawn")

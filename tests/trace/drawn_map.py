"""Small class maps drawn stroke by stroke, for tests whose answer is plain by construction."""

from __future__ import annotations

from dataclasses import dataclass, field
from itertools import pairwise

import cv2
import numpy as np
from numpy.typing import NDArray

from tracer.reader.layers import Layers, Pixel

NAMES = ("none", "resistor", "capacitor", "valve", "diode", "pot", "chassis", "block")


@dataclass
class Drawn:
    """A class map being drawn, on a grid of which one px is `scale` page px; coordinates are grid px."""

    height: int
    width: int
    scale: float = 2.0
    stroke: int = 3
    classes: NDArray[np.uint8] = field(init=False)
    kinds: NDArray[np.uint8] = field(init=False)

    def __post_init__(self) -> None:
        self.classes = np.zeros((self.height, self.width), np.uint8)
        self.kinds = np.zeros((-(-self.height // 4), -(-self.width // 4)), np.uint8)

    def wire(self, *points: tuple[int, int], width: int | None = None) -> None:
        for start, end in pairwise(points):
            cv2.line(self.classes, start, end, int(Pixel.WIRE), width or self.stroke)

    def paper(self, x0: int, y0: int, x1: int, y1: int) -> None:
        self.classes[y0:y1, x0:x1] = Pixel.BACKGROUND

    def dot(self, x: int, y: int, radius: int = 5) -> None:
        cv2.circle(self.classes, (x, y), radius, int(Pixel.DOT), -1)

    def disc(self, x: int, y: int, radius: int = 7) -> None:
        cv2.circle(self.classes, (x, y), radius, int(Pixel.CROSSING), -1)

    def box(self, x0: int, y0: int, x1: int, y1: int, kind: str) -> None:
        self.classes[y0:y1, x0:x1] = Pixel.BODY
        self.kinds[y0 // 4 : -(-y1 // 4), x0 // 4 : -(-x1 // 4)] = NAMES.index(kind)

    def area(self, x0: int, y0: int, x1: int, y1: int, pixel: Pixel) -> None:
        self.classes[y0:y1, x0:x1] = pixel

    @property
    def shape(self) -> tuple[int, int]:
        return round(self.height * self.scale), round(self.width * self.scale)

    def layers(self) -> Layers:
        offset = (self.scale - 1) / 2
        to_page = np.array([[self.scale, 0, offset], [0, self.scale, offset]])
        sure = np.full(self.classes.shape, 255, np.uint8)
        sure_kinds = np.full(self.kinds.shape, 255, np.uint8)
        stroke = self.stroke * self.scale
        return Layers(self.classes, sure, self.kinds, sure_kinds, NAMES, to_page, stroke, "drawn by hand")

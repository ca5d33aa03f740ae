"""What the reader says of each pixel, and how its grid lies on the page."""

from __future__ import annotations

from dataclasses import dataclass
from enum import IntEnum

import numpy as np
from numpy.typing import NDArray

from tracer.scan.transform import scale_at

__all__ = ["Layers", "Pixel"]


class Pixel(IntEnum):
    """The classes of the class map."""

    BACKGROUND = 0
    WIRE = 1
    DOT = 2  # a junction dot; wires that touch it are joined
    CROSSING = (
        3  # two wires that pass without joining: the plain cross, the hop, or the gap in the under-wire
    )
    BODY = 4  # a part's body, its inside included; conductors end at its edge
    LETTERING = 5
    FURNITURE = 6  # dashed screens and ganging lines, leader arrows, stamps, pencil


@dataclass(frozen=True, slots=True, eq=False)
class Layers:
    """The reader's answer for one page, on a grid where the usual stroke is about 3 px.

    Attributes
    ----------
    classes : (h, w) uint8
        `Pixel` values.
    sureness : (h, w) uint8
        The winning class's probability times 255.
    kinds : (ceil(h/4), ceil(w/4)) uint8
        Index into `kind_names` of the part kind at each cell; 0 is "none".
    kind_sureness : (ceil(h/4), ceil(w/4)) uint8
        Probability of that kind times 255.
    kind_names : tuple of str
        ``("none", "resistor", ...)``, names from ``shared/kinds.json``.
    to_page : (2, 3) or (3, 3) float64
        Map from grid to page pixels, as in `tracer.scan.transform`.
    stroke : float
        The usual stroke width on the page, px.
    reader_sha256 : str
        Of the weights that read it.
    ink : (h, w) bool, optional
        Where the levelled page is dark; the tracing takes no body for real that stands on bare paper.
    """

    classes: NDArray[np.uint8]
    sureness: NDArray[np.uint8]
    kinds: NDArray[np.uint8]
    kind_sureness: NDArray[np.uint8]
    kind_names: tuple[str, ...]
    to_page: NDArray[np.float64]
    stroke: float
    reader_sha256: str
    ink: NDArray[np.bool_] | None = None

    @property
    def scale(self) -> float:
        """Page px to one grid px, in the middle of the grid."""
        height, width = self.classes.shape
        return scale_at(self.to_page, width / 2, height / 2)

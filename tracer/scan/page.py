"""One decoded page: the pixels that every stored coordinate refers to."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

__all__ = ["Page"]


@dataclass(frozen=True, slots=True, eq=False)
class Page:
    """A page after decoding and its EXIF turn, before any levelling or straightening.

    Attributes
    ----------
    grey : (H, W) uint8
        Luminance, 0 black to 255 white; transparent pixels laid on white.
    source : Path
        The file it came from.
    number : int
        Page number in that file, from 1.
    dpi : float or None
        As stated by the file, or as rendered for a PDF page.
    sha256 : str
        Of the file's bytes, hex.
    """

    grey: NDArray[np.uint8]
    source: Path
    number: int
    dpi: float | None
    sha256: str

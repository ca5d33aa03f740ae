"""References in the order a person counts them."""

from __future__ import annotations

import re

__all__ = ["natural"]


def natural(reference: str) -> tuple[tuple[int, int, str], ...]:
    """Return a key that orders R2 before R10, and S1d before S2.

    Examples
    --------
    >>> sorted(["R10", "S2", "R2", "S1d"], key=natural)
    ['R2', 'R10', 'S1d', 'S2']
    """
    pieces = re.findall(r"\d+|\D+", reference)
    return tuple((0, int(piece), "") if piece.isdecimal() else (1, 0, piece) for piece in pieces)

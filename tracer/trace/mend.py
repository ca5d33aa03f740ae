"""Changes by hand to what was traced: small records on pixels that survive re-reading the sheet."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

__all__ = ["Body", "Mend", "MendKind"]


class MendKind(StrEnum):
    """What a mend does."""

    CUT = "cut"  # no conductor passes here
    JOIN = "join"  # the two places are one conductor
    JUNCTION = "junction"  # this crossing is a join
    NOT_WIRE = "not wire"  # the segment here is no wire


@dataclass(frozen=True, slots=True)
class Mend:
    """A mend at (x, y), page px, on sheet `sheet`; a join has a second place (x2, y2).

    `id` is None until a job stores it.
    """

    kind: MendKind
    x: float
    y: float
    x2: float | None = None
    y2: float | None = None
    sheet: int = 1
    id: int | None = None


@dataclass(frozen=True, slots=True)
class Body:
    """A part's body given by hand: conductors end at its edge.

    `box` is x0, y0, x1, y1, half-open, page px.
    """

    box: tuple[int, int, int, int]
    kind: str | None = None

"""A traced sheet: segments, joins, conductors and part proposals, in page pixels."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

import numpy as np
from numpy.typing import NDArray

__all__ = [
    "Convention",
    "ConventionKind",
    "DrawingHabits",
    "Join",
    "JoinKind",
    "Proposal",
    "Segment",
    "Terminal",
    "TracedSheet",
]


class JoinKind(StrEnum):
    """What happens where segments meet or end."""

    JUNCTION = "junction"  # all its segments are one conductor
    CROSSING = "crossing"  # its segments pass in pairs; see Join.pairs
    GAP = "gap"  # a break in the ink that was bridged
    END = "end"  # a free end
    TERMINAL = "terminal"  # an end at a part's body


@dataclass(frozen=True, slots=True, eq=False)
class Segment:
    """A stretch of conductor between two joins.

    Attributes
    ----------
    id : int
        Its index in `TracedSheet.segments`; holds within one reading of the sheet only.
    line : (N, 2) float32
        Centre line, x then y, page px.
    width : float
        Mean stroke width, px.
    joins : (int, int)
        Ids of the joins at its two ends.
    conductor : int
        Number of the conductor it belongs to, from 1.
    """

    id: int
    line: NDArray[np.float32]
    width: float
    joins: tuple[int, int]
    conductor: int


@dataclass(frozen=True, slots=True)
class Join:
    """A place where segments meet, pass or end; `score` is how sure the tracing is of `kind`, 0 to 1.

    `segments` are ids of all that touch it. For a crossing `pairs` lists which pass straight through
    together; elsewhere it is empty. `segments` of a crossing in one pair are one conductor.
    """

    id: int
    x: float
    y: float
    kind: JoinKind
    score: float
    segments: tuple[int, ...]
    pairs: tuple[tuple[int, int], ...] = ()


@dataclass(frozen=True, slots=True)
class Terminal:
    """Where a part meets a conductor (`conductor` None where no wire was found), page px."""

    name: str
    x: float
    y: float
    conductor: int | None


@dataclass(frozen=True, slots=True)
class Proposal:
    """A part that the reader proposes; a person disposes. `box` is x0, y0, x1, y1, half-open, page px.

    `reference_confidence` and `value_confidence` tell how sure the lettering's reading is, 0 to 1: of a
    hundred proposals that say 0.9 about ninety are right. They mean nothing where there is no such text.
    """

    id: int
    box: tuple[int, int, int, int]
    kind: str
    score: float
    terminals: tuple[Terminal, ...]
    reference: str | None = None
    value: str | None = None
    reference_confidence: float = 0.0
    value_confidence: float = 0.0


class ConventionKind(StrEnum):
    """What a sheet's note may say of its values."""

    BARE_OHMS = "resistors without a mark are in ohms"
    K_IS_THOUSAND = "K is a thousand"
    M_IS_THOUSAND = "M on a resistor is a thousand"
    M_IS_MILLION = "M is a million"
    BARE_MICRO = "capacitors without a mark are in µF"
    BARE_PICO = "capacitors without a mark are in pF"


@dataclass(frozen=True, slots=True)
class Convention:
    """A note that says how the sheet's values are meant: proposed, for a person to take or leave.

    Attributes
    ----------
    kind : ConventionKind
    text : str
        The note as it was read.
    box : (float, float, float, float)
        Where it stands: x0, y0, x1, y1, page px.
    confidence : float
        Of its least sure line, 0 to 1.
    """

    kind: ConventionKind
    text: str
    box: tuple[float, float, float, float]
    confidence: float


@dataclass(frozen=True, slots=True)
class DrawingHabits:
    """How a sheet draws the places where wires meet; None where it does both or has too few to tell.

    Attributes
    ----------
    dots : bool or None
        Joins of three or more wires carry a dot.
    wide_crossings : bool or None
        Wires that pass each other do it by a hop or a gap, not in a plain cross.
    broken : bool or None
        The ink is broken in many places, as on a poor copy: an end just short of a wire was meant to touch.
    """

    dots: bool | None = None
    wide_crossings: bool | None = None
    broken: bool | None = None

    @property
    def plain_cross_joins(self) -> bool:
        """Whether two wires in a plain cross are joined: no dots are set, and what passes hops."""
        return self.dots is False and self.wide_crossings is True


@dataclass(frozen=True, slots=True, eq=False)
class TracedSheet:
    """Everything the tracing found on one page.

    Attributes
    ----------
    shape : (int, int)
        Page height and width, px.
    stroke : float
        Usual stroke width, px. All tolerances are multiples of it.
    segments, joins, proposals : tuple
        See the classes; `segments[i].id == i`, and likewise the others.
    conductors : int
        How many; numbered 1 to `conductors`.
    reader_sha256 : str
        Of the weights that read it.
    conventions : tuple of Convention
        What its notes say of its values.
    habits : DrawingHabits
        How it draws joins and crossings.
    """

    shape: tuple[int, int]
    stroke: float
    segments: tuple[Segment, ...]
    joins: tuple[Join, ...]
    proposals: tuple[Proposal, ...]
    conductors: int
    reader_sha256: str
    conventions: tuple[Convention, ...] = ()
    habits: DrawingHabits = DrawingHabits()

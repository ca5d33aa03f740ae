"""How a sheet draws its joins and crossings, told from all of them together."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from tracer.trace.gaps import Gap
from tracer.trace.mask import Inked
from tracer.trace.sheet import DrawingHabits
from tracer.trace.skeleton import Strokes, line_length

__all__ = ["drawing_habits", "overruled"]

_LEAST_JOINS = 4  # joins, and crossings, below which a sheet has no habit
_DOTTED, _UNDOTTED = 0.8, 0.1  # share of dots from which, and up to which, it has one
_WIDE, _PLAIN = 2.3, 1.95  # stroke widths: radius of the middle one of its crossing discs
_LEAST_LENGTH = 300.0  # stroke widths of wire
_SHORT_BREAK = 6.0  # stroke widths; longer ones are worn lines, that tell nothing of the ink elsewhere
_BROKEN, _WHOLE = 1.5, 0.6  # breaks in a thousand stroke widths of wire


def drawing_habits(strokes: Strokes, gaps: Sequence[Gap], inked: Inked, stroke: float) -> DrawingHabits:
    """Tell what a sheet does where wires meet.

    Parameters
    ----------
    strokes : Strokes
        Its centre lines.
    gaps : sequence of Gap
        The breaks in its ink.
    inked : Inked
    stroke : float
        Usual width, grid px.
    """
    degree = np.bincount(strokes.ends.ravel(), minlength=len(strokes.nodes))
    x, y = np.round(strokes.nodes[degree >= 3]).astype(np.intp).T
    dotted = inked.dots[y, x] > 0
    area = np.bincount(inked.crossings[inked.crossings > 0])[1:]
    radius = float(np.median(np.sqrt(area / np.pi))) / stroke if len(area) >= _LEAST_JOINS else np.nan
    length = sum(line_length(line) for line in strokes.lines) / stroke
    breaks = 1000.0 * sum(not gap.across and gap.long <= _SHORT_BREAK for gap in gaps) / max(length, 1.0)
    return DrawingHabits(
        _told(float(dotted.mean()), _DOTTED, _UNDOTTED) if len(dotted) >= _LEAST_JOINS else None,
        _told(radius, _WIDE, _PLAIN),
        _told(breaks, _BROKEN, _WHOLE) if length >= _LEAST_LENGTH else None,
    )


def overruled(found: DrawingHabits, given: DrawingHabits | None) -> DrawingHabits:
    """Return the habits found, but what a person says where a person says anything.

    Examples
    --------
    >>> overruled(DrawingHabits(True, False), DrawingHabits(wide_crossings=True))
    DrawingHabits(dots=True, wide_crossings=True, broken=None)
    """
    if given is None:
        return found
    return DrawingHabits(
        found.dots if given.dots is None else given.dots,
        found.wide_crossings if given.wide_crossings is None else given.wide_crossings,
        found.broken if given.broken is None else given.broken,
    )


def _told(value: float, yes: float, no: float) -> bool | None:
    """Return True from `yes` on, False up to `no`, None between them and for what is not a number."""
    return True if value >= yes else False if value <= no else None

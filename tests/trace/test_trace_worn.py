"""Class maps with the faults that a reader makes: what the tracing forgives, and what it must not."""

from __future__ import annotations

from drawn_map import Drawn

from tracer.trace.flood import FloodIndex
from tracer.trace.sheet import TracedSheet
from tracer.trace.trace import trace


def traced(drawn: Drawn) -> TracedSheet:
    return trace(drawn.layers(), drawn.shape)


def at(sheet: TracedSheet, drawn: Drawn, x: float, y: float) -> int | None:
    """The conductor at a grid place."""
    offset = (drawn.scale - 1) / 2
    return FloodIndex(sheet).conductor_at(x * drawn.scale + offset, y * drawn.scale + offset)


def test_the_stem_between_a_dot_and_the_first_of_stacked_hops_is_kept() -> None:
    drawn = Drawn(140, 160)
    drawn.wire((80, 40), (80, 130))
    for y in (40, 61, 76):
        drawn.wire((10, y), (150, y))
    drawn.dot(80, 40, 6)
    drawn.disc(80, 61, 8)
    drawn.disc(80, 76, 8)
    sheet = traced(drawn)
    assert sheet.conductors == 3
    assert at(sheet, drawn, 80, 110) == at(sheet, drawn, 20, 40)

"""An invented supply corner, drawn by hand: HT1 through a dropper to a valve's anode load and a capacitor."""

from __future__ import annotations

from hand_made import XY, part, traced

from tracer.bench.layout import lay_out
from tracer.bench.records import Bench
from tracer.job.records import Rail, Tag, TagTerminal
from tracer.trace.sheet import TracedSheet

__all__ = ["RAILS", "TAGS", "bench", "lines", "sheet"]

RAILS = (Rail("HT1"), Rail("HT2", "C1.+"))


def lines() -> list[list[XY]]:
    """The wires: label to R1; R1 to a branch; down to C1 and on to R2; R2 to V1; C1 to the chassis."""
    return [
        [(60, 100), (200, 100)],
        [(260, 100), (400, 100)],
        [(400, 100), (400, 180)],
        [(400, 100), (600, 100)],
        [(600, 100), (600, 180)],
        [(600, 240), (600, 300)],
        [(400, 200), (400, 280)],
        [(600, 100), (700, 100)],  # a free end
        [(500, 400), (700, 400)],  # touched by no confirmed part
    ]


TAGS: tuple[Tag, ...] = (
    part("HT1@1", "label", "HT1", _1=(60, 100)),
    part("R1", "resistor", "1k", _1=(200, 101), _2=(260, 99)),
    Tag(
        1,
        (385, 180, 415, 200),
        "capacitor",
        "C1",
        "16u",
        (TagTerminal("+", 400, 180), TagTerminal("-", 400, 200)),
        (("rated", "450V"),),
    ),
    part("E1", "chassis", None, _1=(400, 280)),
    part("R2", "resistor", "220k", _1=(600, 180), _2=(600, 240)),
    Tag(1, (570, 300, 630, 360), "valve", "V1", None, (TagTerminal("a/6", 600, 300),), (("out", ""),)),
)


def sheet() -> TracedSheet:
    """Return the traced sheet."""
    return traced(lines())


def bench() -> Bench:
    """Return it laid out."""
    return lay_out({1: sheet()}, TAGS, (), RAILS)

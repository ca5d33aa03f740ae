"""The ohms of a winding, lettered behind the henries of a coil."""

from __future__ import annotations

import pytest

from tracer.bench.lettered import with_winding_ohms
from tracer.reader.text_line import Quad, TextLine
from tracer.trace.sheet import Proposal, Terminal, TracedSheet

BOX: Quad = ((0.0, 0.0), (9.0, 0.0), (9.0, 9.0), (0.0, 9.0))
ENDS = (Terminal("1", 0.0, 10.0, 1), Terminal("2", 60.0, 10.0, 2))


@pytest.mark.parametrize(
    ("kind", "text", "value"),
    [
        ("coil", "10H 220R", "10H 220R"),
        ("coil", "L1 10H 220 ohms", "10H 220"),
        ("coil", "10H CHOKE", "10H"),
        ("coil", "10H", "10H"),
        ("resistor", "10H 220R", "10H"),
    ],
)
def test_ohms_are_taken_from_the_line_of_the_value(kind: str, text: str, value: str) -> None:
    coil = Proposal(0, (0, 0, 60, 20), kind, 0.9, ENDS, "L1", "10H")
    sheet = TracedSheet((600, 800), 4.0, (), (), (coil,), 2, "")
    line = TextLine(text, BOX, 0.0, 0.9, text, (), 20.0)
    assert with_winding_ohms(sheet, [line]).proposals[0].value == value

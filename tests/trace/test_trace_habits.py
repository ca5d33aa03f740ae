"""What a sheet's own way of drawing decides, and that a person may overrule it.

That a plain cross is a join where crossings are drawn as hops and no dots are set is common practice on
older sheets (no source).
"""

from __future__ import annotations

import io
import json

import numpy as np
from drawn_map import Drawn

from tracer.trace.sheet import DrawingHabits
from tracer.trace.store import from_bytes, to_bytes
from tracer.trace.trace import trace


def comb(dotted: bool, wide: bool) -> Drawn:
    """Five wires tee off a rail and cross another; a last one meets a third rail in a bare X."""
    drawn = Drawn(240, 400)
    drawn.wire((10, 30), (390, 30))
    drawn.wire((10, 100), (390, 100))
    drawn.wire((10, 170), (390, 170))
    for x in (60, 110, 160, 210, 260):
        drawn.wire((x, 30), (x, 140))
        drawn.disc(x, 100, 9 if wide else 5)
        if dotted:
            drawn.dot(x, 30)
    drawn.wire((330, 130), (330, 220))
    return drawn


def test_dots_and_hops_are_told_from_the_whole_sheet() -> None:
    for dotted in (True, False):
        for wide in (True, False):
            drawn = comb(dotted, wide)
            habits = trace(drawn.layers(), drawn.shape).habits
            assert (habits.dots, habits.wide_crossings, habits.broken) == (dotted, wide, False)
    blank = Drawn(60, 60)
    assert trace(blank.layers(), blank.shape).habits == DrawingHabits()


def test_a_bare_x_is_a_join_where_no_dots_are_set_and_crossings_hop_and_a_person_may_overrule() -> None:
    drawn = comb(dotted=False, wide=True)
    assert trace(drawn.layers(), drawn.shape).conductors == 3
    said = DrawingHabits(dots=True)
    sheet = trace(drawn.layers(), drawn.shape, habits=said)
    assert sheet.conductors == 4
    assert sheet.habits.dots is True
    assert sheet.habits.wide_crossings is True


def test_an_end_short_of_a_wire_touches_it_only_where_the_ink_is_broken() -> None:
    drawn = comb(dotted=True, wide=False)
    drawn.paper(325, 120, 336, 169)
    drawn.paper(325, 172, 336, 175)
    apart = trace(drawn.layers(), drawn.shape)
    together = trace(drawn.layers(), drawn.shape, habits=DrawingHabits(broken=True))
    assert (apart.conductors, together.conductors) == (4, 3)


def test_habits_are_stored_and_a_sheet_stored_without_them_has_none() -> None:
    drawn = comb(dotted=True, wide=False)
    sheet = trace(drawn.layers(), drawn.shape)
    data = to_bytes(sheet)
    assert from_bytes(data).habits == sheet.habits
    with np.load(io.BytesIO(data)) as archive:
        parts = {name: archive[name] for name in archive.files}
    record = json.loads(parts.pop("record").tobytes())
    del record["habits"]
    older = io.BytesIO()
    np.savez(older, record=np.frombuffer(json.dumps(record).encode(), np.uint8), **parts)
    assert from_bytes(older.getvalue()).habits == DrawingHabits()

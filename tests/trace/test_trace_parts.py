"""Bodies, kinds and the names of terminals."""

from __future__ import annotations

import json
from dataclasses import replace
from typing import Any

import numpy as np
import pytest
from drawn_map import Drawn

from tracer.resources import shared
from tracer.trace.terminals import name_terminals, terminal_names
from tracer.trace.trace import trace


def test_touching_bodies_of_two_kinds_are_two_parts() -> None:
    drawn = Drawn(80, 200)
    drawn.wire((10, 40), (190, 40))
    drawn.box(60, 30, 100, 50, "resistor")
    drawn.box(100, 30, 140, 50, "capacitor")
    sheet = trace(drawn.layers(), drawn.shape)
    assert sorted((part.kind, part.box) for part in sheet.proposals) == [
        ("capacitor", (200, 60, 280, 100)),
        ("resistor", (120, 60, 200, 100)),
    ]


def test_a_stray_cell_of_another_kind_makes_no_second_part() -> None:
    drawn = Drawn(80, 200)
    drawn.box(60, 30, 120, 50, "resistor")
    drawn.kinds[10, 16] = 2
    assert [part.kind for part in trace(drawn.layers(), drawn.shape).proposals] == ["resistor"]


def test_a_valve_s_terminals_are_counted_clockwise_from_the_top_left() -> None:
    drawn = Drawn(160, 160)
    drawn.wire((80, 10), (80, 60))
    drawn.wire((20, 80), (60, 80))
    drawn.wire((80, 100), (80, 150))
    drawn.box(60, 60, 100, 100, "valve")
    (valve,) = trace(drawn.layers(), drawn.shape).proposals
    assert [end.name for end in valve.terminals] == ["1", "2", "3"]
    top, bottom, left = valve.terminals
    assert top.y < left.y < bottom.y
    assert left.x < top.x


def test_a_wire_that_is_missing_leaves_a_terminal_without_conductor() -> None:
    drawn = Drawn(80, 160)
    drawn.wire((10, 40), (60, 40))
    drawn.box(60, 32, 100, 48, "diode")
    (diode,) = trace(drawn.layers(), drawn.shape).proposals
    assert [(end.name, end.conductor) for end in diode.terminals] == [("a", 1), ("k", None)]


def test_a_pot_s_wiper_is_the_terminal_off_the_line() -> None:
    named = name_terminals("pot", (10, 10, 20, 60), [(15, 62), (22, 35), (15, 8)])
    assert [(name, index) for name, index, _ in named] == [("1", 2), ("w", 1), ("2", 0)]


@pytest.mark.parametrize(
    "entry", json.loads(shared("kinds.json").read_text("utf-8"))["kinds"], ids=lambda e: e["kind"]
)
@pytest.mark.parametrize("count", range(6))
def test_names_are_those_of_the_shared_list_of_kinds(entry: dict[str, Any], count: int) -> None:
    kind = str(entry["kind"])
    places = [(float(10 + 7 * number % 30), float(10 + 11 * number % 40)) for number in range(count)]
    named = [name for name, _, _ in name_terminals(kind, (10, 10, 40, 50), places)]
    fixed = terminal_names(kind)
    if fixed is None:
        assert named == [str(number) for number in range(1, count + 1)]
    else:
        optional = entry.get("optional_terminals", []) if count >= 2 else []
        assert list(fixed) == entry["terminals"]
        assert named == [name for name in fixed if name in named or name not in optional]


def test_a_page_frame_is_a_conductor_but_no_terminal() -> None:
    drawn = Drawn(300, 400)
    drawn.wire((5, 5), (395, 5), (395, 295), (5, 295), (5, 5))
    drawn.wire((100, 150), (180, 150))
    drawn.box(180, 140, 220, 160, "resistor")
    drawn.box(386, 140, 399, 160, "resistor")
    sheet = trace(drawn.layers(), drawn.shape)
    free = next(part for part in sheet.proposals if part.box[0] < 500)
    framed = next(part for part in sheet.proposals if part.box[0] > 500)
    assert [end.conductor is None for end in free.terminals] == [False, True]
    assert all(end.conductor is None for end in framed.terminals)


def test_a_thick_place_that_the_reader_took_for_a_body_stays_wire() -> None:
    drawn = Drawn(80, 200)
    drawn.wire((10, 40), (190, 40))
    drawn.box(90, 36, 110, 44, "capacitor")
    layers = drawn.layers()
    layers.kind_sureness[:] = 40
    sheet = trace(layers, drawn.shape)
    assert (sheet.conductors, sheet.proposals) == (1, ())


def test_a_small_body_that_the_reader_is_sure_of_stays_a_body() -> None:
    drawn = Drawn(80, 200)
    drawn.wire((10, 40), (190, 40))
    drawn.box(90, 36, 110, 44, "capacitor")
    sheet = trace(drawn.layers(), drawn.shape)
    assert (sheet.conductors, len(sheet.proposals)) == (2, 1)


@pytest.mark.parametrize(("sure", "wired", "proposed"), [(90, False, 0), (90, True, 1), (230, False, 1)])
def test_a_body_the_reader_is_unsure_of_is_proposed_only_where_a_conductor_reaches_it(
    sure: int, wired: bool, proposed: int
) -> None:
    drawn = Drawn(80, 200)
    drawn.box(60, 30, 120, 50, "resistor")
    if wired:
        drawn.wire((10, 40), (60, 40))
    layers = drawn.layers()
    unsure = replace(
        layers, sureness=np.full_like(layers.sureness, sure), kind_sureness=np.full_like(layers.kinds, sure)
    )
    assert len(trace(unsure, drawn.shape).proposals) == proposed

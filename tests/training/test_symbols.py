"""Every symbol keeps to its body, and its terminals lie on the body's edge with the lead leaving it."""

import json
from pathlib import Path

import numpy as np
import pytest
import shapely
from shapely.geometry.base import BaseGeometry

from tracer.reader.layers import Pixel
from tracer.training import classes
from tracer.training.symbols import SYMBOLS, Symbol, build

SEEDS = range(12)
KINDS = {
    entry["kind"]: entry
    for entry in json.loads((Path(__file__).parents[2] / "shared" / "kinds.json").read_text("utf-8"))["kinds"]
}


def body_of(symbol: Symbol) -> BaseGeometry:
    return shapely.union_all([shapely.Polygon(polygon).buffer(0) for polygon in symbol.region])


@pytest.fixture(params=sorted(SYMBOLS))
def drawn(request: pytest.FixtureRequest) -> list[Symbol]:
    return [build(request.param, np.random.default_rng(seed)) for seed in SEEDS]


def test_strokes_stay_within_the_body(drawn: list[Symbol]) -> None:
    for symbol in drawn:
        room = body_of(symbol).buffer(0.35)
        for stroke in symbol.strokes:
            line = shapely.LineString(stroke.points)
            assert line.difference(room).length < 0.05, (symbol.kind, stroke.points)


def test_terminals_lie_on_the_edge_and_lead_away(drawn: list[Symbol]) -> None:
    for symbol in drawn:
        body = body_of(symbol)
        for terminal in symbol.terminals:
            assert body.boundary.distance(shapely.Point(terminal.x, terminal.y)) < 0.2, terminal
            away = shapely.LineString(
                [(terminal.x + terminal.dx * reach, terminal.y + terminal.dy * reach) for reach in (0.3, 3.0)]
            )
            assert body.intersection(away).length < 0.1, terminal


def test_terminal_names_differ_and_fit_the_kind(drawn: list[Symbol]) -> None:
    for symbol in drawn:
        names = [terminal.name for terminal in symbol.terminals]
        assert names
        assert len(set(names)) == len(names)
        told = KINDS[symbol.kind]["terminals"]
        if isinstance(told, list) and symbol.kind != "contact":
            allowed = {*told, *KINDS[symbol.kind].get("alternative_terminals", [])}
            taps = {name for name in names if name.startswith("tap")}
            assert set(names) - taps <= allowed


def test_same_seed_same_symbol() -> None:
    for name in SYMBOLS:
        one, other = (build(name, np.random.default_rng(5)) for _ in range(2))
        assert all(
            np.array_equal(a.points, b.points) for a, b in zip(one.strokes, other.strokes, strict=True)
        )


def test_every_kind_that_is_proposed_can_be_drawn() -> None:
    drawn_kinds = {build(name, np.random.default_rng(seed)).kind for name in SYMBOLS for seed in SEEDS}
    assert {kind for kind, entry in KINDS.items() if entry["proposable"]} <= drawn_kinds


def test_class_numbers_are_the_readers() -> None:
    assert [name.upper() for name in classes.CLASS_NAMES] == [each.name for each in Pixel]
    for each in Pixel:
        assert getattr(classes, each.name) == each

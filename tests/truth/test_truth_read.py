"""Page in, circuit out: with the installed reader, on sheets known by construction.

``pytest tests/truth -s`` prints a small table; ``python tests/truth/tables.py`` prints the whole one, for any
weights. The thresholds are floors against a fall, not goals.
"""

from __future__ import annotations

import pytest
from counting import SheetFigures, add
from printing import print_tables, summary
from sheets import SheetOrder, orders
from tables import compute, weights_of

from tracer.errors import TracerError

FLOORS = {
    ("another hand", "clean"): 0.85,
    ("another hand", "found"): 0.85,
    ("another hand", "kind"): 0.8,
    ("held out", "clean"): 0.75,
    ("held out", "found"): 0.85,
    ("held out", "kind"): 0.5,
    ("independent", "clean"): 0.6,
    ("independent", "found"): 0.75,
    ("independent", "kind"): 0.8,
    ("drawn", "clean"): 0.65,
    ("drawn", "found"): 0.65,
    ("drawn", "kind"): 0.8,
}


@pytest.fixture(scope="module")
def figures() -> dict[SheetOrder, SheetFigures]:
    try:
        weights_of("installed")
    except TracerError as error:
        pytest.skip(f"no reader installed: {error}")
    found = compute("installed", "small", processes=1)
    print_tables(summary(found))
    return found


@pytest.mark.parametrize(("group", "name"), sorted(FLOORS))
def test_the_reader_has_not_fallen(figures: dict[SheetOrder, SheetFigures], group: str, name: str) -> None:
    tally = add(row for order, row in figures.items() if order.group == group).tallies[name]
    assert tally.of >= 20
    assert tally.share >= FLOORS[group, name]


def test_every_sheet_of_the_small_set_was_measured(figures: dict[SheetOrder, SheetFigures]) -> None:
    assert set(figures) == set(orders("small"))

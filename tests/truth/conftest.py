"""Prints the head of the table that the truth tests fill in (``pytest tests/truth -s``)."""

from __future__ import annotations

import pytest


@pytest.fixture(scope="session", autouse=True)
def head_of_table() -> None:
    print(f"\n{'':28} {'n':>4} {'cond.':>6} {'clean':>8} {'split':>5} {'merged':>6} {'missed':>6}")

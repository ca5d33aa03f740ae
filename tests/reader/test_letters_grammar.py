"""What words are taken for: forms as common practice has them, slips as recognisers make them."""

from __future__ import annotations

import pytest

from tracer.reader.letters_grammar import as_pin, as_reference, as_value, put_right

REFERENCES = {
    **{"R12": "R12", "C4a": "C4a", "V3": "V3", "VR2": "VR2", "S1d": "S1d", "IC45": "IC45", "SK1": "SK1"},
    **{"RI2": "R12", "R1O": "R10", "Cl1": "C11", "RS": None, "R5S": "R55", "VB": None, "V8B": "V8B"},
    **{
        "TR1O": "TR10",
        "TRlO": None,
        "0R1": None,
        "47k": None,
        "4k7": None,
        "OUTPUT": None,
        "R0": None,
        "R12345": None,
    },
}

VALUES = [
    ("47k", "ohm", "47k", 0), ("4k7", "ohm", "4k7", 0), ("0M5", "ohm", "0M5", 0), ("2.2", "ohm", "2.2", 0),
    ("330", "ohm", "330", 0), ("1 meg", "ohm", "1 meg", 0), ("4kT", "ohm", "4k7", 1),
    ("22O", "ohm", "220", 1),
    ("lOk", "ohm", "10k", 2), (".05", "farad", ".05", 0), ("16µF", "farad", "16µF", 0),
    ("8+8", "farad", "8+8", 0),
    ("100pF", "farad", "100pF", 0), ("I00pF", "farad", "100pF", 1), (".O5", "farad", ".05", 1),
    ("500", "farad", "500", 0), ("10H", "henry", "10H", 0), ("l0H", "henry", "10H", 1),
    ("6.3V", "volt", "6.3V", 0),
    ("1A", "ampere", "1A", 0), ("SOOmA", "ampere", None, 0), ("R12a", "ohm", None, 0),
    ("MAINS", "ohm", None, 0),
    ("9", "ohm", None, 0), ("1", "farad", None, 0),
]  # fmt: skip


@pytest.mark.parametrize(("word", "wanted"), REFERENCES.items())
def test_references(word: str, wanted: str | None) -> None:
    fit = as_reference(word)
    assert (fit.text if fit is not None else None) == wanted
    if fit is not None:
        assert (fit.cost < 0.1) == (word == wanted)  # nothing is changed without saying so


@pytest.mark.parametrize(("word", "unit", "wanted", "changes"), VALUES)
def test_values(word: str, unit: str, wanted: str | None, changes: int) -> None:
    fit = as_value(word, unit)
    assert (fit.text if fit is not None else None) == wanted
    if fit is not None:
        assert fit.cost == changes


@pytest.mark.parametrize(("word", "wanted"), [("7", "7"), ("l2", "12"), ("g1", None), ("123", None)])
def test_pins(word: str, wanted: str | None) -> None:
    fit = as_pin(word)
    assert (fit.text if fit is not None else None) == wanted


@pytest.mark.parametrize(
    ("words", "wanted"),
    [
        (["RI2"], "R12"),
        (["OUTPUT", "LIST"], "OUTPUT LIST"),
        (["V4", "4k7"], "V4 4k7"),
        (["C5", "BB8X"], "C5 BB8X"),
        (["SB"], "SB"),
    ],
)
def test_only_what_has_one_meaning_is_put_right(words: list[str], wanted: str) -> None:
    assert put_right(words) == wanted

"""The documents under shared/ say what the program does, word for word."""

from __future__ import annotations

import inspect
import json
import re
from enum import StrEnum
from pathlib import Path

import jsonschema
import pytest
from source_tree import ROOT

from tracer import errors
from tracer.circuit.elements import BankStyle
from tracer.circuit.results import CauseKind, Open, Tint, Verdict
from tracer.circuit.wiring import parse_wiring, print_wiring
from tracer.job.records import MarkKind, ValueSource
from tracer.trace.mend import MendKind
from tracer.trace.sheet import JoinKind

SHARED = ROOT / "shared"
WORDS: tuple[type[StrEnum], ...] = (
    Verdict,
    CauseKind,
    Open,
    Tint,
    MarkKind,
    ValueSource,
    MendKind,
    JoinKind,
    BankStyle,
)


def _load(name: str) -> dict[str, list[dict[str, object]]]:
    document: dict[str, list[dict[str, object]]] = json.loads((SHARED / name).read_text("utf-8"))
    return document


def test_exit_codes_are_those_of_the_errors() -> None:
    listed = {
        entry["error"]: entry["code"] for entry in _load("exit_codes.json")["exit_codes"] if entry["error"]
    }
    kinds = {
        name: kind.exit_code
        for name, kind in inspect.getmembers(errors, inspect.isclass)
        if issubclass(kind, errors.TracerError)
    }
    assert listed == kinds
    assert set(kinds) == set(errors.__all__)


def test_exit_codes_are_distinct_and_leave_room_for_the_shell() -> None:
    codes = [entry["code"] for entry in _load("exit_codes.json")["exit_codes"]]
    assert len(set(codes)) == len(codes)
    # 126 to 128 and above belong to the shell (POSIX.1-2017, Shell & Utilities 2.8.2); 130 is its own
    # code for an interrupt and is meant so here.
    assert all(isinstance(code, int) and (code < 126 or code == 130) for code in codes)


def test_exit_code_meanings_are_the_docstrings() -> None:
    for entry in _load("exit_codes.json")["exit_codes"]:
        if entry["error"]:
            assert entry["means"] == inspect.getdoc(getattr(errors, str(entry["error"])))


KINDS = _load("kinds.json")["kinds"]


@pytest.mark.parametrize("entry", KINDS, ids=lambda entry: str(entry["kind"]))
def test_the_example_of_each_kind_can_be_read_and_printed(entry: dict[str, object]) -> None:
    banks = "bank INPUT: Disc, Tape\n"
    circuit = parse_wiring(banks + str(entry["example"]), "kinds.json")
    (element,) = circuit.elements
    assert element.kind == entry["kind"]
    again = parse_wiring(print_wiring(circuit), "printed").elements[0]
    assert (again.reference, again.kind, again.terminals, again.value, again.options) == (
        element.reference,
        element.kind,
        element.terminals,
        element.value,
        element.options,
    )


@pytest.mark.parametrize("entry", KINDS, ids=lambda entry: str(entry["kind"]))
def test_the_example_of_each_kind_uses_the_terminals_it_states(entry: dict[str, object]) -> None:
    stated = entry["terminals"]
    if not isinstance(stated, list):
        return  # named by the drawing: windings, electrodes, numbers
    banks = "bank INPUT: Disc, Tape\n"
    (element,) = parse_wiring(banks + str(entry["example"]), "kinds.json").elements
    used = {name for name, _ in element.terminals}
    other = entry.get("alternative_terminals", stated)
    assert isinstance(other, list)
    assert used <= set(stated) or used <= set(other)


def test_proposable_kinds_and_values_are_spelled_as_the_program_expects() -> None:
    assert {entry["value"] for entry in KINDS} <= {"ohm", "farad", "henry", "volt", "ampere", None}
    assert all(isinstance(entry["proposable"], bool) for entry in KINDS)


@pytest.mark.parametrize("words", WORDS, ids=lambda words: words.__name__)
def test_glossary_has_every_fixed_word(words: type[StrEnum]) -> None:
    text = (SHARED / "glossary.md").read_text("utf-8")
    section = re.search(rf"^### {words.__name__}\n(.*?)(?=^### |\Z)", text, flags=re.DOTALL | re.MULTILINE)
    assert section, f"the glossary has no section {words.__name__}"
    assert re.findall(r"^\| `([^`]+)` \|", section[1], flags=re.MULTILINE) == [str(word) for word in words]


@pytest.mark.parametrize("path", sorted((SHARED / "schemas").glob("*.json")), ids=lambda path: path.name)
def test_schemas_are_schemas(path: Path) -> None:
    schema = json.loads(path.read_text("utf-8"))
    assert schema.get("$schema") == "https://json-schema.org/draft/2020-12/schema"
    jsonschema.Draft202012Validator.check_schema(schema)


def test_exit_codes_fit_their_schema() -> None:
    schema = json.loads((SHARED / "schemas" / "exit_codes.schema.json").read_text("utf-8"))
    jsonschema.validate(_load("exit_codes.json"), schema)


def test_index_lists_every_document() -> None:
    index = (SHARED / "README.md").read_text("utf-8")
    listed = {name for name in re.findall(r"^\| `([^`]+)` \|", index, flags=re.MULTILINE) if " " not in name}
    present = {
        path.relative_to(SHARED).as_posix()
        for path in SHARED.rglob("*")
        if path.is_file() and path.name not in {"README.md", ".gitkeep"}
    }
    folders = {name for name in listed if name.endswith("/")}
    missing = {name for name in present - listed if not any(name.startswith(folder) for folder in folders)}
    assert missing == set(), "shared/README.md does not list these"
    assert {name for name in listed - present if not (SHARED / name).is_dir()} == set()

"""Confirmations from a file: checked whole, stored as one edit."""

from __future__ import annotations

import copy
import json
from pathlib import Path
from typing import Any

import jsonschema
import pytest
from invented import sheet

from tracer.bench.confirm import apply_confirmations, load_confirmations, parse_confirmations
from tracer.bench.layout import lay_out
from tracer.errors import BadConfirmation, FileMissing
from tracer.job.banks import banks, rails
from tracer.job.edits import redo, undo
from tracer.job.file import create_job
from tracer.job.mends import mends
from tracer.job.tags import tags
from tracer.resources import shared

EXAMPLE = shared("examples/confirmations.json")


def example() -> Any:
    return json.loads(EXAMPLE.read_text("utf-8"))


def test_the_example_fits_its_schema_and_its_sheet() -> None:
    schema = json.loads(shared("schemas/confirmations.schema.json").read_text("utf-8"))
    jsonschema.Draft202012Validator.check_schema(schema)
    jsonschema.validate(example(), schema)
    found = load_confirmations(EXAMPLE)
    laid = lay_out({1: sheet()}, found.tags, found.banks, found.rails)
    # The example's valve names its cathode too, where the hand-made sheet has no wire.
    assert [warning for warning in laid.warnings if "V1.k/7" not in warning] == []


def test_all_of_it_is_one_edit(tmp_path: Path) -> None:
    data = example()
    data["banks"] = [{"name": "BAND", "positions": ["Long", "Medium"], "style": "keys"}]
    data["mends"] = [{"kind": "join", "x": 1, "y": 2, "x2": 3, "y2": 4}]
    found = parse_confirmations(data)
    with create_job(tmp_path / "a.tracer") as job:
        words = apply_confirmations(job, found)
        assert words == "confirm 6 parts from a file"
        state = (tags(job), banks(job), rails(job), mends(job))
        assert [len(group) for group in state] == [6, 1, 1, 1]
        assert undo(job) == words
        assert (tags(job), banks(job), rails(job), mends(job)) == ((), (), (), ())
        redo(job)
        assert (tags(job), banks(job), rails(job), mends(job)) == state
        with pytest.raises(BadConfirmation, match="already"):
            apply_confirmations(job, found)
        assert len(tags(job)) == 6


@pytest.mark.parametrize(
    ("path", "value", "said"),
    [
        (("tags", 1, "kind"), "widget", r"tag 2 \(R1\).*no kind"),
        (("tags", 1, "box"), [1, 2, 3], "tag 2"),
        (("tags", 1, "terminals", 0, "x"), "left", "tag 2"),
        (("tags", 1, "value"), "4z7", r"tag 2 \(R1\)"),
        (("tags",), {"R1": 1}, "tags must be a list"),
        (("rails", 0), "HT1", "rail 1"),
        (("banks",), [{"name": "B", "positions": ["a"], "style": "odd"}], "bank 1"),
        (("mends",), [{"kind": "glue", "x": 1, "y": 1}], "mend 1"),
        (("nodes",), [], "nodes"),
    ],
)
def test_a_wrong_entry_is_named(path: tuple[Any, ...], value: Any, said: str) -> None:
    data = copy.deepcopy(example())
    place = data
    for step in path[:-1]:
        place = place[step]
    place[path[-1]] = value
    with pytest.raises(BadConfirmation, match=said):
        parse_confirmations(data)


def test_a_missing_key_is_named() -> None:
    data = example()
    del data["tags"][1]["terminals"]
    with pytest.raises(BadConfirmation, match=r"tag 2 lacks 'terminals'"):
        parse_confirmations(data)


def test_a_file_that_is_not_there_or_no_json(tmp_path: Path) -> None:
    with pytest.raises(FileMissing):
        load_confirmations(tmp_path / "gone.json")
    (tmp_path / "bad.json").write_text("{")
    with pytest.raises(BadConfirmation, match="no JSON"):
        load_confirmations(tmp_path / "bad.json")
    with pytest.raises(BadConfirmation):
        parse_confirmations([])

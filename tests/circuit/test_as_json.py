"""Results as JSON against the schemas, and the examples against both."""

from __future__ import annotations

import json
import math
from enum import StrEnum
from typing import Any

import jsonschema
import pytest

from tracer.circuit.as_json import next_to_json, ohms_to_json, setting_from_json, setting_to_json, why_to_json
from tracer.circuit.elements import Setting
from tracer.circuit.explain import Explained
from tracer.circuit.results import (
    Cause,
    CauseKind,
    Expectation,
    NextReading,
    Open,
    Reading,
    Share,
    Tint,
    Verdict,
)
from tracer.job.records import MarkKind
from tracer.resources import shared

SETTING = Setting({"INPUT": "Disc"}, frozenset({"V4"}), frozenset({"R7.1"}), {"P1": 0.0})
READING = NextReading("HT1", "V2.6", SETTING, 9e3, 10e3, 11e3, 2.0, ("R1", "W1.4"), ("R1",))
OPEN_PAIR = Expectation(
    "HT1", "A", None, None, None, None, None, Open.ALWAYS, math.inf, (), ("C3",), ("A note.",)
)
PAIR = Expectation("HT1", "B", 9e3, 10e3, math.inf, 8.9e3, math.inf, Open.MAYBE, 2.0, (Share("R1", 1.0),))


def schema(name: str) -> dict[str, Any]:
    loaded: dict[str, Any] = json.loads(shared(f"schemas/{name}.schema.json").read_text("utf-8"))
    jsonschema.Draft202012Validator.check_schema(loaded)
    return loaded


def test_what_is_written_is_what_the_schemas_say() -> None:
    causes = [Cause(kind, "R1", SETTING, 412e3, 0.1, "It drifted.", READING) for kind in CauseKind]
    causes.append(Cause(CauseKind.UNTELLABLE, None, None, math.inf, 0.1, "No cause fits."))
    for name, document in [
        ("setting", setting_to_json(SETTING)),
        ("ohms", ohms_to_json(SETTING, [PAIR, OPEN_PAIR])),
        ("ohms", ohms_to_json(SETTING, [PAIR], PAIR)),
        ("why", why_to_json([Explained((Reading("A", "B", math.inf, SETTING),), tuple(causes))])),
        ("why", why_to_json([])),
        ("next", next_to_json([READING])),
    ]:
        again = json.loads(json.dumps(document, allow_nan=False))
        jsonschema.validate(again, schema(name), cls=jsonschema.Draft202012Validator)


def test_endless_ohms_become_null() -> None:
    row = ohms_to_json(SETTING, [PAIR])["rows"][0]
    assert (row["low"], row["high"], row["accept_high"]) == (9e3, None, None)
    assert ohms_to_json(SETTING, [OPEN_PAIR])["rows"][0]["settles_s"] is None


def test_a_setting_comes_back_equal() -> None:
    assert setting_from_json(json.loads(json.dumps(setting_to_json(SETTING)))) == SETTING
    assert setting_from_json({}) == Setting()


@pytest.mark.parametrize(
    ("name", "words"),
    [("cause", CauseKind), ("verdict", Verdict), ("tint", Tint), ("open", Open), ("mark", MarkKind)],
)
def test_every_word_is_listed_and_no_other(name: str, words: type[StrEnum]) -> None:
    listed = [entry["const"] for entry in schema("words")["$defs"][name]["oneOf"]]
    assert listed == [word.value for word in words]


def test_a_schema_refuses_what_it_does_not_name() -> None:
    document = next_to_json([READING])
    document["readings"][0]["hurry"] = True
    with pytest.raises(jsonschema.ValidationError):
        jsonschema.validate(document, schema("next"))


def test_the_words_of_the_answers_are_those_of_the_list() -> None:
    words = schema("words")["$defs"]
    assert schema("why")["$defs"]["cause"] == words["cause"]
    assert schema("ohms")["$defs"]["open"] == words["open"]

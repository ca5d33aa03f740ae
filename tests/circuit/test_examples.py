"""The examples of ``shared/examples`` are what the program answers, and are as the schemas say."""

from __future__ import annotations

import json
from typing import Any

import jsonschema
import pytest

from tracer.circuit.as_json import next_to_json, ohms_to_json, setting_to_json, why_to_json
from tracer.circuit.expect import expect_all
from tracer.circuit.explain import explain_with
from tracer.circuit.plan import plan
from tracer.circuit.results import Reading
from tracer.circuit.settings import parse_setting
from tracer.circuit.wiring import parse_wiring
from tracer.resources import shared


def made() -> dict[str, Any]:
    """Answer the questions of the examples anew."""
    circuit = parse_wiring(shared("examples/supply.wiring.txt").read_text("utf-8"), "supply.wiring.txt")
    setting = parse_setting(circuit, ["INPUT=Disc"])
    return {
        "setting": setting_to_json(setting),
        "ohms": ohms_to_json(setting, expect_all(circuit, "HT1", setting, ends=["HT2", "V1.2", "chassis"])),
        "why": why_to_json([explain_with(circuit, Reading("HT1", "HT2", 18.7e3, setting))]),
        "next": next_to_json(plan(circuit, setting=setting, most=3)),
    }


def alike(one: Any, other: Any) -> bool:
    if isinstance(one, dict) and isinstance(other, dict):
        return one.keys() == other.keys() and all(alike(one[key], other[key]) for key in one)
    if isinstance(one, list) and isinstance(other, list):
        return len(one) == len(other) and all(alike(*pair) for pair in zip(one, other, strict=True))
    if isinstance(one, float | int) and isinstance(other, float | int):
        return one == pytest.approx(other, rel=1e-3, abs=1e-6)
    return bool(one == other)


@pytest.mark.parametrize("name", ["setting", "ohms", "why", "next"])
def test_an_example_is_what_the_program_answers(name: str) -> None:
    example = json.loads(shared(f"examples/{name}.json").read_text("utf-8"))
    schema = json.loads(shared(f"schemas/{name}.schema.json").read_text("utf-8"))
    jsonschema.validate(example, schema, cls=jsonschema.Draft202012Validator)
    assert alike(example, made()[name])

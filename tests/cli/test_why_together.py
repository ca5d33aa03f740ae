"""``tracer why`` over several readings: a table, and what a job holds."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from ending import Run

from tracer.bench.told_causes import causes_in_words
from tracer.circuit.elements import Setting
from tracer.circuit.explain import explain
from tracer.circuit.results import Reading
from tracer.circuit.wiring import parse_wiring
from tracer.resources import shared

Fits = Callable[[Any, str], None]

SUPPLY = """\
rail HT1
wire W1.1: 1=HT1 2=N1.1
resistor R1: 1=N1.1 2=b; 10k; tol=10%
wire W1.2: 1=b 2=N1.2
resistor R2: 1=N1.2 2=d; 47k; tol=10%
wire W1.3: 1=d 2=chassis
"""


@pytest.fixture
def supply(tmp_path: Path) -> Path:
    path = tmp_path / "supply.txt"
    path.write_text(SUPPLY, "utf-8")
    return path


@pytest.fixture
def table(tmp_path: Path) -> Path:
    path = tmp_path / "readings.csv"
    path.write_text("from,at,reading\nHT1,R1.2,10k1\nHT1,chassis,OL\nR2.1,chassis,OL\n", "utf-8")
    return path


def test_all_that_failed_is_explained_at_once(run: Run, fits: Fits, supply: Path, table: Path) -> None:
    ended = run("why", supply, "--readings", table, "--json")
    assert ended.code == 0, ended.err
    fits(ended.json, "why.schema.json")
    (told,) = ended.json["explained"]
    assert [each["number"] for each in told["readings"]] == [2, 3]
    named = {cause["element"] for cause in told["causes"]}
    assert "R2" in named
    assert "R1" not in named
    plain = run("why", supply, "--readings", table).out
    assert "judged as one" in plain
    assert max(map(len, plain.splitlines())) <= 110


def test_a_reading_is_judged_beside_those_that_passed(run: Run, supply: Path, table: Path) -> None:
    words = ("why", supply, "--from", "HT1", "--at", "chassis", "--reading", "OL", "--json")
    alone = {cause["element"] for cause in run(*words).json["causes"]}
    beside = {cause["element"] for cause in run(*words, "--readings", table).json["causes"]}
    assert "R1" in alone
    assert "R1" not in beside


def test_wires_are_told_by_where_they_run() -> None:
    circuit = parse_wiring(SUPPLY)
    causes = explain(circuit, Reading("HT1", "R1.2", 35.0e3, Setting()))
    joint = next(cause for cause in causes_in_words(circuit, causes) if cause.element == "W1.1")
    assert joint.says.startswith("The wire from HT1 to R1.1 (W1.1) is a bad joint of 25k")
    assert all("N1." not in cause.says for cause in causes_in_words(circuit, causes))


def test_the_table_of_priors_may_be_ones_own(run: Run, supply: Path, tmp_path: Path) -> None:
    priors = json.loads(shared("priors.json").read_text("utf-8"))
    priors["open"]["resistor"] = 0.0
    path = tmp_path / "priors.json"
    path.write_text(json.dumps(priors), "utf-8")
    words = ("why", supply, "--from", "HT1", "--at", "chassis", "--reading", "OL", "--json")
    assert any(cause["element"] == "R2" for cause in run(*words).json["causes"])
    own = run(*words, "--priors", path).json["causes"]
    assert not any(cause["element"] in ("R1", "R2") for cause in own)
    path.write_text("{", "utf-8")
    assert run(*words, "--priors", path).code == 21


def test_half_a_reading_is_refused(run: Run, supply: Path, tmp_path: Path) -> None:
    assert run("why", supply, "--from", "HT1").code == 2
    assert run("why", supply).code == 2
    fine = tmp_path / "fine.csv"
    fine.write_text("from,at,reading\nHT1,R1.2,10k1\n", "utf-8")
    assert "None of 1 readings failed" in run("why", supply, "--readings", fine).out
    assert run("why", supply, "--readings", fine, "--json").json == {"causes": [], "explained": []}

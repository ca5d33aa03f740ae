"""``tracer ohms``, ``why`` and ``next`` on wiring lists, good and bad."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from ending import Run

Fits = Callable[[Any, str], None]


def test_ohms_between_two_points(run: Run, fits: Fits, wiring: Path) -> None:
    ended = run("ohms", wiring, "--from", "HT1", "--at", "V1.6", "--json")
    assert ended.code == 0, ended.err
    fits(ended.json, "ohms.schema.json")
    (row,) = ended.json["rows"]
    # R1 and R2 in a row: the sum of the printed values, and of their limits.
    assert row["expected"] == pytest.approx(1e3 + 220e3)
    assert row["low"] == pytest.approx(0.9e3 + 176e3)
    assert row["high"] == pytest.approx(1.1e3 + 264e3)
    assert row["accept_low"] < row["low"] < row["high"] < row["accept_high"]
    assert sum(share["share"] for share in row["through"]) == pytest.approx(1, abs=0.01)


def test_ohms_to_every_point(run: Run, fits: Fits, wiring: Path) -> None:
    ended = run("ohms", wiring, "--from", "HT1", "--json")
    fits(ended.json, "ohms.schema.json")
    rows = {row["at"]: row for row in ended.json["rows"]}
    assert rows["HT2"]["expected"] == pytest.approx(1e3)
    assert rows["V1.4"]["open"] == "always"
    assert rows["chassis"]["open"] == "maybe"  # a sound electrolytic leaks at megohms (common practice)
    assert rows["chassis"]["low"] > 1e6
    assert "HT1" not in rows


def test_a_setting_changes_what_is_expected(run: Run, wiring: Path) -> None:
    words = ("ohms", wiring, "--from", "HT1", "--at", "R4.1", "--json")
    assert run(*words).json["rows"][0]["low"] > 1e6
    closed = run(*words, "--set", "BAND=MEDIUM")
    assert closed.json["rows"][0]["high"] < 10  # a closed contact
    assert closed.json["setting"]["banks"] == {"BAND": "MEDIUM"}
    lifted = run(*words, "--set", "BAND=MEDIUM", "--lift", "S1.make")
    assert lifted.json["rows"][0]["high"] is None or lifted.json["rows"][0]["low"] > 1e6


def test_every_setting_at_once(run: Run, fits: Fits, wiring: Path) -> None:
    ended = run("ohms", wiring, "--from", "HT1", "--at", "R4.1", "--every-setting", "--json")
    assert ended.code == 0, ended.err
    fits(ended.json, "ohms.schema.json")
    assert [row["holds_in"] for row in ended.json["rows"]] == ["BAND at LONG", "BAND at MEDIUM"]
    plain = run("ohms", wiring, "--from", "HT1", "--every-setting").out
    assert max(map(len, plain.splitlines())) <= 80
    assert "BAND at MEDIUM" in plain


def test_ohms_prints_for_people(run: Run, wiring: Path) -> None:
    pair = run("ohms", wiring, "--from", "HT1", "--at", "V1.6").out
    assert "221k" in pair
    assert "177k to 265k" in pair
    assert "BAND at LONG" in pair
    chart = run("ohms", wiring, "--from", "HT1").out
    assert max(map(len, chart.splitlines())) <= 80
    assert "pass on the meter" in chart


def test_why_finds_the_broken_part(run: Run, fits: Fits, wiring: Path) -> None:
    words = ("why", wiring, "--from", "HT1", "--at", "V1.6", "--reading", "OL")
    ended = run(*words, "--json")
    assert ended.code == 0, ended.err
    fits(ended.json, "why.schema.json")
    causes = ended.json["causes"]
    assert sum(cause["weight"] for cause in causes) == pytest.approx(1)
    assert {"R1", "R2"} <= {cause["element"] for cause in causes}
    plain = run(*words)
    assert "would pass" in plain.out
    assert "R2" in plain.out


def test_why_solves_for_a_drifted_value(run: Run, wiring: Path) -> None:
    ended = run("why", wiring, "--from", "HT1", "--at", "V1.6", "--reading", "331k", "--json")
    drifted = [cause for cause in ended.json["causes"] if cause["cause"] == "drifted"]
    values = {cause["element"]: cause["value"] for cause in drifted}
    assert values["R2"] == pytest.approx(330e3, rel=0.01)  # 331k less R1's 1k


def test_next_proposes_a_reading(run: Run, fits: Fits, wiring: Path) -> None:
    ended = run("next", wiring, "--from", "HT1", "--json")
    assert ended.code == 0, ended.err
    fits(ended.json, "next.schema.json")
    readings = ended.json["readings"]
    assert readings
    assert all(reading["from"] == "HT1" for reading in readings)
    plain = run("next", wiring, "--from", "HT1").out
    assert "Plug out" in plain
    assert max(map(len, plain.splitlines())) <= 80


def test_next_leaves_out_what_readings_have_proved(run: Run, wiring: Path, tmp_path: Path) -> None:
    before = run("next", wiring, "--from", "HT1", "--set", "BAND=LONG", "--json").json["readings"]
    best = next(reading for reading in before if reading["carries"])
    table = tmp_path / "readings.csv"
    table.write_text(f"from,at,reading\n{best['from']},{best['at']},{best['expected']:.1f}\n", "utf-8")
    words = ("next", wiring, "--from", "HT1", "--set", "BAND=LONG", "--readings", table, "--json")
    after = run(*words).json["readings"]
    proved = set(best["carries"])
    assert proved
    assert all(not proved & set(reading["carries"]) for reading in after)


BAD_LISTS = {
    "an unknown kind": ("rail HT1\nteapot R1: 1=HT1 2=chassis; 1k\n", 20, "line 2"),
    "a bad value": ("rail HT1\n\nresistor R1: 1=HT1 2=chassis; 1q7\n", 20, "line 3"),
    "no colon": ("resistor R1 1=HT1 2=chassis\n", 20, "line 1"),
    "a terminal without a node": ("resistor R1: 1=HT1 2=; 1k\n", 20, "line 1"),
    "a reference twice": ("resistor R1: 1=A 2=B; 1k\nresistor R1: 1=B 2=C; 1k\n", 20, "line 2"),
    "nothing in it": ("", 12, "0 bytes"),
}


@pytest.mark.parametrize("case", BAD_LISTS)
def test_bad_lists_tell_the_line(run: Run, fits: Fits, tmp_path: Path, case: str) -> None:
    text, code, told = BAD_LISTS[case]
    path = tmp_path / "list.txt"
    path.write_text(text, "utf-8")
    ended = run("ohms", path, "--from", "HT1", "--json")
    assert ended.code == code
    fits(ended.json, "error.schema.json")
    assert told in ended.json["error"]["message"]
    assert "list.txt" in ended.json["error"]["message"]


WRONG_WORDS = {
    "no such point": (("ohms", "--from", "HT9", "--at", "chassis"), 22, "HT1"),
    "no such pin": (("ohms", "--from", "HT1", "--at", "V1.9"), 22, "V1.9"),
    "the same point twice": (("ohms", "--from", "R1.2", "--at", "R1.2"), 24, "R1.2"),
    "no such position": (("ohms", "--from", "HT1", "--set", "BAND=SHORT"), 23, "LONG, MEDIUM"),
    "no such bank": (("ohms", "--from", "HT1", "--set", "TONE=UP"), 23, "BAND"),
    "no equals sign": (("ohms", "--from", "HT1", "--set", "BAND"), 23, "BAND=LONG"),
    "no such valve": (("ohms", "--from", "HT1", "--out", "V7"), 22, "V7"),
    "a reading that is none": (("why", "--from", "HT1", "--at", "HT2", "--reading", "lots"), 21, "lots"),
    "a start that is not there": (("next", "--from", "HT7"), 22, "HT"),
}


@pytest.mark.parametrize("case", WRONG_WORDS)
def test_wrong_words_tell_what_exists(run: Run, wiring: Path, case: str) -> None:
    (command, *rest), code, told = WRONG_WORDS[case]
    ended = run(command, wiring, *rest)
    assert ended.code == code, ended.err
    assert told in ended.err
    assert ended.out == ""


def test_a_missing_list(run: Run, tmp_path: Path) -> None:
    assert run("ohms", tmp_path / "absent.txt", "--from", "HT1").code == 3


def test_a_scan_is_no_wiring_list(run: Run, tmp_path: Path) -> None:
    path = tmp_path / "scan.png"
    path.write_bytes(b"\x89PNG\r\n\x1a\n\xff\xfe\xfd")
    ended = run("ohms", path, "--from", "HT1")
    assert ended.code == 20
    assert "tracer nets" in ended.err


def test_discharge_tells_what_keeps_its_charge(run: Run, fits: Fits, wiring: Path) -> None:
    ended = run("discharge", wiring, "--json")
    assert ended.code == 0, ended.err
    fits(ended.json, "discharge.schema.json")
    (capacitor,) = ended.json["capacitors"]
    assert not capacitor["bled"]
    assert capacitor["below_50_v_s"] is None
    plain = run("discharge", wiring).out
    assert "no times after which a set may be touched" in " ".join(plain.split())
    assert "nothing bleeds it" in " ".join(plain.split())


def test_the_meter_may_be_told(run: Run, wiring: Path) -> None:
    words = ("ohms", wiring, "--from", "HT1", "--at", "V1.6", "--json")
    usual, coarse = run(*words).json["rows"][0], run(*words, "--meter", "error=5%").json["rows"][0]
    assert coarse["accept_high"] > usual["accept_high"]
    assert coarse["high"] == usual["high"]
    assert run(*words, "--meter", "colour=red").code == 21


def test_tables_fill_a_list_in(run: Run, tmp_path: Path) -> None:
    wiring = tmp_path / "plain.txt"
    wiring.write_text("bank X: Off, On\ncontact S1: common=A make=B\ncoil L1: 1=B 2=C; 10H\n", "utf-8")
    contacts, coils = tmp_path / "contacts.csv", tmp_path / "coils.csv"
    contacts.write_text("contact,bank,position\nS1,X,On\n", "utf-8")
    coils.write_text("part,winding,ohms,tolerance\nL1,,250,10%\n", "utf-8")
    words = ("ohms", wiring, "--from", "A", "--at", "C", "--contacts", contacts, "--coil-ohms", coils)
    assert run(*words, "--json").json["rows"][0]["open"] == "always"
    made = run(*words, "--set", "X=On", "--json").json["rows"][0]
    assert (made["low"], made["expected"]) == (pytest.approx(225.0), pytest.approx(250.0))
    coils.write_text("part,winding,ohms\nL9,,250\n", "utf-8")
    assert run(*words).code == 26

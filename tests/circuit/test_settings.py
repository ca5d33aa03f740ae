"""Settings from words, and all settings of a circuit."""

from __future__ import annotations

import pytest

from tracer.circuit.as_json import setting_from_json, setting_to_json
from tracer.circuit.elements import Setting
from tracer.circuit.settings import describe_setting, every_setting, parse_setting
from tracer.circuit.wiring import parse_wiring
from tracer.errors import BadValue, UnknownPoint, UnknownPosition

CIRCUIT = parse_wiring("""\
bank INPUT: Off, Disc, Long Wave
bank TONE: Bass, Treble; keys
bank AUX: A, B, C; independent
pot P1: 1=A w=W 2=B; 500k
valve V4: a/1=N1 k/3=N2; out
resistor R7: 1=A 2=B; 1k
""")


def test_a_setting_is_read_from_words() -> None:
    banks = ["INPUT=long wave", "TONE=none", "AUX=A,C"]
    setting = parse_setting(CIRCUIT, banks, ["v4"], ["R7.1", "V4.a"], ["P1=0.25"])
    assert dict(setting.banks) == {"INPUT": "Long Wave", "TONE": "", "AUX": "A,C"}
    assert setting.out == {"V4"}
    assert setting.lifted == {"R7.1", "V4.a/1"}
    assert dict(setting.wipers) == {"P1": 0.25}
    assert setting_from_json(setting_to_json(setting)) == setting


@pytest.mark.parametrize(
    ("banks", "said"),
    [
        (["INPUT=Tape"], "Off, Disc, Long Wave"),
        (["INPUT"], "Off, Disc, Long Wave"),
        (["INPUT=none"], "Off, Disc, Long Wave"),
        (["TONE=Bass,Treble"], "Bass, Treble and none"),
        (["MODE=Up"], "INPUT, TONE, AUX"),
    ],
)
def test_an_unknown_position_lists_those_that_exist(banks: list[str], said: str) -> None:
    with pytest.raises(UnknownPosition) as caught:
        parse_setting(CIRCUIT, banks)
    assert said in str(caught.value)


def test_unknown_parts_and_wipers_are_refused() -> None:
    with pytest.raises(UnknownPoint, match="Near it: V4"):
        parse_setting(CIRCUIT, out=["V5"])
    with pytest.raises(UnknownPoint):
        parse_setting(CIRCUIT, lifted=["R9.1"])
    for wiper in ("P1=2", "P1=half", "P1=nan"):
        with pytest.raises(BadValue):
            parse_setting(CIRCUIT, wipers=[wiper])


def test_every_setting_is_the_product_of_the_banks() -> None:
    settings = [dict(setting.banks) for setting in every_setting(CIRCUIT)]
    assert len(settings) == 3 * 3 * 8
    assert settings[0] == {"INPUT": "Off", "TONE": "Bass", "AUX": "A"}
    assert len({tuple(sorted(setting.items())) for setting in settings}) == len(settings)


def test_too_many_settings_turn_one_bank_at_a_time() -> None:
    settings = [dict(setting.banks) for setting in every_setting(CIRCUIT, most=20)]
    assert len(settings) == 1 + 2 + 2 + 7
    assert all(
        sum(a != b for a, b in zip(s.values(), settings[0].values(), strict=True)) <= 1 for s in settings
    )


def test_a_setting_is_told_in_words() -> None:
    setting = Setting(
        {"INPUT": "Disc", "TONE": "", "AUX": "A,C"}, frozenset({"V4"}), frozenset({"R7.1"}), {"P1": 0.0}
    )
    told = "INPUT at Disc, TONE at none, AUX at A and C, V4 out, R7.1 lifted, P1 at 0"
    assert describe_setting(CIRCUIT, setting) == told

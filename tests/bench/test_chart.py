"""The resistance chart against expectations asked for one by one."""

from __future__ import annotations

from pathlib import Path

import pytest

from tracer.bench.chart import ANY_SETTING, resistance_chart
from tracer.circuit.elements import Setting
from tracer.circuit.expect import expect
from tracer.circuit.wiring import parse_wiring

WIRING = Path("fixtures/demo/wiring.txt")


def test_every_pin_is_charted_from_every_rail_and_the_chassis() -> None:
    circuit = parse_wiring(WIRING.read_text(encoding="utf-8"), str(WIRING))
    chart = resistance_chart(circuit)
    pins = sum(len(element.terminals) for element in circuit.elements if element.kind == "valve")
    assert len({(row.start, row.end) for row in chart}) == pins * (len(circuit.rails) + 1)


def test_rows_hold_what_single_expectations_say() -> None:
    circuit = parse_wiring(WIRING.read_text(encoding="utf-8"), str(WIRING))
    rows = {(row.start, row.end, row.setting): row.expectation for row in resistance_chart(circuit)}
    at_mic = expect(circuit, "HT3", "V1.6", Setting(banks={"INPUT": "Mic"}))
    assert rows["HT3", "V1.6", "INPUT at Mic"].expected == pytest.approx(at_mic.expected)
    assert rows["HT3", "V1.6", "INPUT at Gram or Tape"].open == "always"
    assert rows["HT1", "V3.7", ANY_SETTING].expected == pytest.approx(160.0)  # half of T2's printed 320 Ω


def test_merged_limits_hold_in_each_setting() -> None:
    circuit = parse_wiring(WIRING.read_text(encoding="utf-8"), str(WIRING))
    row = next(r for r in resistance_chart(circuit) if (r.start, r.end) == ("chassis", "V3.9"))
    for standby in ("Run", "Hold"):
        one = expect(circuit, "chassis", "V3.9", Setting(banks={"STANDBY": standby}))
        assert row.expectation.low is not None
        assert one.low is not None
        assert row.expectation.low <= one.low * (1 + 1e-9)


def test_a_circuit_without_valves_has_no_chart() -> None:
    assert resistance_chart(parse_wiring("resistor R1: 1=A 2=B; 1k\n", "example")) == ()

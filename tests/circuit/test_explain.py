"""What is offered as the cause of a reading."""

from __future__ import annotations

import json
import math
import random
from collections.abc import Iterator
from pathlib import Path

import numpy as np
import pytest
from made_sets import made_set

from tracer.circuit.elements import Circuit, Setting
from tracer.circuit.expect import expect, lead_node
from tracer.circuit.explain import explain
from tracer.circuit.network import build_network
from tracer.circuit.points import terminal_points
from tracer.circuit.priors import load_priors
from tracer.circuit.results import Cause, CauseKind, Meter, Reading
from tracer.circuit.solve import resistance
from tracer.circuit.wiring import parse_wiring
from tracer.errors import BadValue
from tracer.resources import shared

SET = parse_wiring("""\
bank INPUT: Off, Disc
rail HT1, HT2
wire W1: 1=HT1 2=a
resistor R1: 1=a 2=b; 10k; tol=10%
wire W2: 1=b 2=HT2
resistor R2: 1=HT2 2=c; 47k; tol=10%
wire W3: 1=c 2=chassis
contact S1: common=HT2 make=d; closed=INPUT:Disc
resistor R3: 1=d 2=chassis; 100k; tol=10%
capacitor C1: +=HT2 -=chassis; 16u
resistor R4: 1=d 2=g; 1M; tol=10%
valve V1: a/1=b g1/2=d k/3=c; out
valve V2: a/1=HT1 g1/2=g k/3=chassis; out
""")
DISC = Setting({"INPUT": "Disc"})


def why(
    start: str, end: str, ohms: float, setting: Setting | None = None, rising: bool = False
) -> list[Cause]:
    return list(explain(SET, Reading(start, end, ohms, setting or Setting(), rising)))


def kinds(causes: list[Cause]) -> list[tuple[CauseKind, str | None]]:
    return [(cause.kind, cause.element) for cause in causes]


def test_a_drifted_resistor_comes_first() -> None:
    cause = why("HT1", "HT2", 18.7e3)[0]
    assert (cause.kind, cause.element) == (CauseKind.DRIFTED, "R1")
    assert cause.value == pytest.approx(18.7e3)
    assert cause.says == "R1 (10k) would have to be 18k7, 87 % high."
    assert cause.then_measure is not None
    assert {cause.then_measure.start, cause.then_measure.end} == {"R1.1", "R1.2"}
    assert cause.then_measure.low == pytest.approx(18.7e3, rel=0.06)


def test_the_value_beside_others_has_its_closed_form() -> None:
    # 47k beside R3 = 100k: to read 36k, 1/R = 1/36k - 1/100k, so R2 would be 56.25k (textbook parallel law).
    causes = why("HT2", "chassis", 36e3, DISC)
    drifted = next(cause for cause in causes if cause.element == "R2")
    assert drifted.value == pytest.approx(1 / (1 / 36e3 - 1 / 100e3), rel=1e-3)


def test_what_is_open_is_offered_when_the_meter_shows_ol() -> None:
    causes = why("HT1", "HT2", math.inf)
    assert {(CauseKind.OPEN, "R1"), (CauseKind.LEADS, None)} <= set(kinds(causes))
    wires = next(cause for cause in causes if cause.element in ("W1", "W2"))
    assert wires.says == "One of W1, W2 is open."
    assert wires.then_measure is not None
    assert (wires.then_measure.start, wires.then_measure.end) == ("HT1", "R1.1")
    assert wires.then_measure.low is None


def test_a_reading_as_expected_is_said_to_be_so() -> None:
    cause = why("HT1", "HT2", 10e3)[0]
    assert cause.kind is CauseKind.AS_EXPECTED
    assert cause.weight > 0.95


def test_a_bank_at_another_position_is_offered() -> None:
    cause = why("HT2", "chassis", 32e3)[0]
    assert cause.kind is CauseKind.SETTING
    assert cause.setting is not None
    assert dict(cause.setting.banks) == {"INPUT": "Disc"}
    assert cause.says == "INPUT stands at Disc."


def test_a_valve_still_in_its_socket_is_offered() -> None:
    heaters = parse_wiring("valve V1: h/4=H1 h/5=chassis; out\nresistor R1: 1=H1 2=chassis; 10k; tol=10%\n")
    cause = explain(heaters, Reading("H1", "chassis", 4.0, Setting()))[0]
    assert cause.says == "V1 is still in its socket."
    taken_out = Setting(out=frozenset({"V1"}))
    plain = parse_wiring("valve V1: h/4=H1 h/5=chassis\nresistor R1: 1=H1 2=chassis; 10k; tol=10%\n")
    cause = explain(plain, Reading("H1", "chassis", 4.0, taken_out))[0]
    assert cause.setting == Setting()


def test_contacts_stick_and_do_not_close() -> None:
    assert (CauseKind.CONTACT, "S1") in kinds(why("HT2", "chassis", 32e3))
    dirty = next(cause for cause in why("HT2", "V1.2", 35.0, DISC) if cause.kind is CauseKind.CONTACT)
    assert dirty.value == pytest.approx(35.0, rel=0.01)


def test_a_leaking_capacitor_has_its_leak() -> None:
    leak = next(cause for cause in why("HT2", "chassis", 23.5e3) if cause.kind is CauseKind.LEAKY)
    assert leak.element == "C1"
    assert leak.value == pytest.approx(47e3, rel=0.01)


def test_a_reversed_electrolytic_is_told_from_reversed_leads() -> None:
    backwards = next(cause for cause in why("HT2", "chassis", 23.5e3) if cause.kind is CauseKind.REVERSED)
    assert backwards.says == "C1 (16u) is in backwards, and leaks for it: 47k."
    leads = next(cause for cause in why("chassis", "HT2", 23.5e3) if cause.kind is CauseKind.REVERSED)
    assert leads.says.startswith("The positive lead is on the negative side of C1")
    assert leads.weight > backwards.weight
    assert leads.then_measure is not None
    assert (leads.then_measure.start, leads.then_measure.end) == ("HT2", "chassis")


def test_a_shorted_capacitor_comes_before_leads_that_touch() -> None:
    found = kinds(why("HT2", "chassis", 0.2))
    assert found[0] == (CauseKind.SHORT, "C1")
    assert (CauseKind.LEADS, None) in found


def test_a_rising_reading_asks_for_patience() -> None:
    cause = why("HT2", "chassis", 20e3, rising=True)[0]
    assert cause.kind is CauseKind.RISING
    assert cause.then_measure is not None
    assert cause.then_measure.settles_s > 1.0


def test_fingers_lower_high_readings() -> None:
    assert (CauseKind.FINGERS, None) in kinds(why("V2.2", "V1.2", 620e3))
    assert (CauseKind.FINGERS, None) not in kinds(why("HT1", "HT2", 5e3))


def test_a_lead_on_the_next_pin_is_offered() -> None:
    # Meant for V1.1, behind 10k; V1.3, on the chassis, reads 57k.
    causes = why("HT1", "V1.2", 57.2e3)
    assert "The lead meant for V1.2 is on V1.3." in [cause.says for cause in causes]


def test_two_faults_only_where_no_single_one_fits() -> None:
    causes = why("HT2", "V1.2", 300e3, DISC)
    assert causes[0].kind is CauseKind.PAIR
    assert not any(cause.kind is CauseKind.PAIR for cause in why("HT1", "HT2", 18.7e3))


def test_what_cannot_be_is_untellable() -> None:
    lone = parse_wiring("rail HT1\nresistor R1: 1=A 2=B; 1k\n")
    causes = explain(lone, Reading("HT1", "A", 5e3, Setting()))
    assert [cause.kind for cause in causes] == [CauseKind.UNTELLABLE]
    assert causes[0].weight == 1.0


def test_doubtful_elements_weigh_more() -> None:
    reading = Reading("HT1", "HT2", math.inf, Setting())
    plain = {cause.element: cause.weight for cause in explain(SET, reading)}
    doubted = {cause.element: cause.weight for cause in explain(SET, reading, doubtful=("W1",))}
    assert doubted["W1"] > 2 * plain["W2"]


def test_doubtful_joins_are_offered_both_ways() -> None:
    reading = Reading("HT1", "HT2", math.inf, Setting())
    parted = explain(SET, reading, joins=[("b", "HT2", 0.6)])
    assert any(cause.kind is CauseKind.JOIN and cause.element == "W2" for cause in parted)
    low = explain(SET, Reading("HT1", "HT2", 0.1, Setting()), joins=[("a", "b", 0.6)])
    assert low[0].kind is CauseKind.JOIN
    assert "not joining a and b" in low[0].says
    assert not any(cause.kind is CauseKind.JOIN for cause in explain(SET, reading, joins=[("a", "b", 0.6)]))


@pytest.mark.parametrize("ohms", [0.0, 0.3, 12.0, 5e3, 57e3, 400e3, 5e6, math.inf])
@pytest.mark.parametrize("pair", [("HT1", "HT2"), ("HT2", "chassis"), ("V2.2", "V1.2"), ("HT1", "V1.3")])
def test_weights_add_up_and_fall(pair: tuple[str, str], ohms: float) -> None:
    causes = why(*pair, ohms)
    weights = [cause.weight for cause in causes]
    assert math.fsum(weights) == pytest.approx(1.0)
    assert weights == sorted(weights, reverse=True)
    assert all(cause.says.endswith(".") for cause in causes)


ODD = parse_wiring("""\
battery B1: +=A -=chassis; 9V; out
neon N1: 1=A 2=chassis
diode D1: a=A k=B
other X1: p=A q=B r=C
label L1@1: 1=C; HT9
valve V1: a/1=A; out
jack SK1: tip=A sleeve=chassis break=C
plug P1: live=A neutral=B
""")


@pytest.mark.parametrize("pair", [("A", "chassis"), ("A", "B"), ("HT9", "A"), ("P1.live", "SK1.break")])
@pytest.mark.parametrize("ohms", [0.0, 500.0, 3e3, math.inf])
def test_odd_parts_are_explained_too(pair: tuple[str, str], ohms: float) -> None:
    causes = explain(ODD, Reading(*pair, ohms, Setting()))
    assert math.fsum(cause.weight for cause in causes) == pytest.approx(1.0)


def test_the_priors_can_be_changed_and_are_checked(tmp_path: Path) -> None:
    table = json.loads(shared("priors.json").read_text("utf-8"))
    table["slips"]["lead_off"] = 0.0
    path = tmp_path / "priors.json"
    path.write_text(json.dumps(table), "utf-8")
    causes = explain(SET, Reading("HT1", "HT2", math.inf, Setting()), priors=load_priors(path))
    assert not any(cause.kind is CauseKind.LEADS for cause in causes)
    for bad in ("{", "[]", json.dumps({**table, "pair": -1}), json.dumps({"pair": 1}), '{"slips": 3}'):
        path.write_text(bad, "utf-8")
        with pytest.raises(BadValue):
            load_priors(path)


def faulty_readings(seed: int, count: int) -> Iterator[tuple[Circuit, str, Reading]]:
    """Break or drift one resistor of a made set and take a reading that shows it."""
    source = random.Random(seed)
    circuit = made_set(seed, 3)
    network = build_network(circuit, Setting(), Meter())
    resistors = [number for number, branch in enumerate(network.branches) if branch.part.startswith("R")]
    true = np.where(np.isnan(network.expected), network.low, network.expected)
    for number in source.sample(resistors, count):
        part = network.branches[number].part
        faulty = true.copy()
        faulty[number] *= source.choice([math.inf, 1.8, 3.0])
        end = source.choice([name for name, _ in terminal_points(circuit) if name.startswith(f"{part}.")])
        start = source.choice(["chassis", *circuit.rails])
        one, other = lead_node(network, circuit, start), lead_node(network, circuit, end)
        ohms = resistance(network.graph, faulty, one, other)
        accept = expect(circuit, start, end).accept_high
        if accept is not None and ohms > accept:
            yield circuit, part, Reading(start, end, ohms if ohms <= Meter().top else math.inf, Setting())


def test_the_true_fault_is_among_the_first() -> None:
    places = []
    for seed in range(12):
        for circuit, part, reading in faulty_readings(seed, 6):
            blamed = [cause.element for cause in explain(circuit, reading)]
            assert part in blamed
            places.append(blamed.index(part))
    assert len(places) >= 15
    assert max(places) < 5
    assert sum(place == 0 for place in places) > len(places) / 2


def test_leads_that_were_not_taken_off_tell_in_low_readings_only() -> None:
    speaker = parse_wiring("resistor R1: 1=A 2=B; 8; tol=5%\nresistor R2: 1=B 2=C; 10k; tol=5%")
    says = [cause.says for cause in explain(speaker, Reading("A", "B", 9.6, Setting()))]
    assert any(sentence.startswith("The ohms of the leads were not taken off") for sentence in says)
    high = [cause.says for cause in explain(speaker, Reading("B", "C", 10.7e3, Setting()))]
    assert not any("leads were not taken off" in sentence for sentence in high)


CAUSES = {
    CauseKind.AS_EXPECTED: ("HT1", "HT2", 10e3, None),
    CauseKind.SETTING: ("HT2", "chassis", 32e3, None),
    CauseKind.CONTACT: ("HT2", "V1.2", 35.0, DISC),
    CauseKind.OPEN: ("HT1", "HT2", math.inf, None),
    CauseKind.SHORT: ("HT2", "chassis", 0.2, None),
    CauseKind.DRIFTED: ("HT1", "HT2", 18.7e3, None),
    CauseKind.LEAKY: ("HT2", "chassis", 23.5e3, None),
    CauseKind.REVERSED: ("HT2", "chassis", 23.5e3, None),
    CauseKind.WRONG_POINT: ("HT1", "V1.2", 57.2e3, None),
    CauseKind.LEADS: ("HT1", "HT2", math.inf, None),
    CauseKind.FINGERS: ("V2.2", "V1.2", 620e3, None),
    CauseKind.UNTELLABLE: ("HT1", "HT2", 18.7e3, None),
    CauseKind.PAIR: ("HT2", "V1.2", 300e3, DISC),
}


@pytest.mark.parametrize("kind", CAUSES)
def test_every_kind_of_cause_is_offered_where_it_fits(kind: CauseKind) -> None:
    """Joins and rising readings have tests of their own."""
    start, end, ohms, setting = CAUSES[kind]
    assert kind in {cause.kind for cause in why(start, end, ohms, setting)}
    assert set(CauseKind) == {*CAUSES, CauseKind.JOIN, CauseKind.RISING}

"""What readings prove, and above all what they must never prove."""

from __future__ import annotations

import math
import random

import numpy as np
import pytest
from made_sets import made_set

from tracer.circuit.elements import Circuit, Setting
from tracer.circuit.expect import lead_node
from tracer.circuit.network import Network, build_network
from tracer.circuit.points import named_points
from tracer.circuit.prove import prove
from tracer.circuit.results import Meter, Reading, Tint, Verdict
from tracer.circuit.solve import Ohms, resistance
from tracer.circuit.wiring import parse_wiring

METER = Meter()
PROVED = {Tint.CARRIED, Tint.PINNED}


def tints(text: str, *readings: tuple[str, str, float]) -> dict[str, Tint]:
    taken = [Reading(a, b, ohms, Setting(), False, n) for n, (a, b, ohms) in enumerate(readings, 1)]
    return dict(prove(parse_wiring(text), taken).tints)


LADDER = """\
wire W1: 1=HT1 2=A
resistor R1: 1=A 2=B; 10k; tol=10%
wire W2: 1=B 2=HT2
resistor R2: 1=HT2 2=C; 47k; tol=10%
wire W3: 1=C 2=chassis
capacitor C1: +=HT2 -=chassis; 16u
"""


def test_a_passing_reading_carries_what_it_went_through_and_no_more() -> None:
    assert tints(LADDER, ("HT1", "HT2", 10.1e3)) == {
        "W1": Tint.CARRIED,
        "R1": Tint.PINNED,
        "W2": Tint.CARRIED,
        "R2": Tint.NOT_MEASURED,
        "W3": Tint.NOT_MEASURED,
        "C1": Tint.NOT_MEASURED,
    }


def test_a_wide_part_hides_a_break_behind_it() -> None:
    # 100 Ω ± 20 % beside 100k: opening the 100k moves the reading by less than the tolerance.
    hidden = "resistor R1: 1=A 2=B; 100; tol=20%\nresistor R2: 1=A 2=B; 100k; tol=20%\n"
    assert tints(hidden, ("A", "B", 99.9)) == {"R1": Tint.PINNED, "R2": Tint.NOT_MEASURED}


def test_two_wires_side_by_side_prove_neither() -> None:
    assert tints("wire W1: 1=A 2=B\nwire W2: 1=A 2=B\nwire W3: 1=B 2=C\n", ("A", "C", 0.1)) == {
        "W1": Tint.NOT_MEASURED,
        "W2": Tint.NOT_MEASURED,
        "W3": Tint.CARRIED,
    }


def test_a_carried_resistor_outside_its_limits_is_not_pinned() -> None:
    # The reading passes by the other's tolerance: R1 is bound, but not within 1 %.
    text = "resistor R1: 1=A 2=B; 10k; tol=1%\nresistor R2: 1=B 2=C; 100k; tol=20%\n"
    assert tints(text, ("A", "C", 108e3))["R2"] is Tint.PINNED
    assert tints(text, ("A", "C", 108e3))["R1"] is Tint.CARRIED


def test_an_open_pair_proves_no_short() -> None:
    circuit = parse_wiring(LADDER)
    proof = prove(circuit, [Reading("HT2", "chassis", 46.8e3, Setting(), False, 7)])
    assert proof.absent == (("HT2", "chassis"),)
    assert proof.verdicts == ((7, Verdict.PASS),)
    assert dict(proof.carried_by) == {"R2": 7, "W3": 7}
    assert prove(circuit, [Reading("A", "HT1", 0.1, Setting())]).absent == ()


def test_a_lone_suspect_is_bad_and_two_are_one_of_two() -> None:
    bad = tints(LADDER, ("A", "B", math.inf))
    assert bad["R1"] is Tint.BAD
    assert [name for name, tint in bad.items() if tint is not Tint.NOT_MEASURED] == ["R1"]
    two = tints(LADDER, ("A", "HT2", math.inf))
    assert two["R1"] is two["W2"] is Tint.ONE_OF_TWO
    three = tints(LADDER, ("HT1", "HT2", math.inf))
    assert {three[name] for name in ("W1", "R1", "W2")} == {Tint.SUSPECT}
    narrowed = tints(LADDER, ("HT1", "HT2", math.inf), ("A", "HT2", 10e3))
    assert narrowed["W1"] is Tint.BAD
    assert narrowed["R1"] in PROVED


def test_readings_that_cannot_both_hold_contradict() -> None:
    both = tints(LADDER, ("A", "B", 10e3), ("A", "B", math.inf))
    assert both["R1"] is Tint.CONTRADICTED


def test_a_low_reading_suspects_the_leaking_capacitor() -> None:
    leaky = tints("capacitor C1: 1=A 2=B; 100n\nresistor R1: 1=B 2=C; 1M; tol=10%\n", ("A", "C", 1.2e6))
    assert leaky["C1"] is Tint.BAD


def test_a_part_of_several_branches_is_carried_when_all_are() -> None:
    text = "transformer T1: pri.1=A pri.2=B sec.1=C sec.2=D; ohms.pri=100; ohms.sec=300\n"
    assert tints(text, ("A", "B", 100.0))["T1"] is Tint.NOT_MEASURED
    assert tints(text, ("A", "B", 100.0), ("C", "D", 300.0))["T1"] is Tint.CARRIED


def test_a_pot_in_parallel_hides_no_more_than_it_must() -> None:
    # The wiper leads nowhere, so the pot is 500k however it stands and the 47k must be whole.
    text = "resistor R1: 1=A 2=B; 47k; tol=10%\npot P1: 1=A w=W 2=B; 500k; tol=20%\n"
    assert tints(text, ("A", "B", 43e3))["R1"] is Tint.PINNED


def test_no_readings_and_no_distance_prove_nothing() -> None:
    circuit = parse_wiring(LADDER)
    assert {tint for _, tint in prove(circuit, []).tints} == {Tint.NOT_MEASURED}
    assert prove(Circuit(()), []).tints == ()
    same = prove(circuit, [Reading("A", "R1.1", 0.1, Setting(), False, 1)])
    assert same.verdicts == ((1, Verdict.PASS),)
    assert {tint for _, tint in same.tints} == {Tint.NOT_MEASURED}


def test_a_rising_reading_proves_nothing() -> None:
    proof = prove(parse_wiring(LADDER), [Reading("HT1", "HT2", 10e3, Setting(), True)])
    assert {tint for _, tint in proof.tints} == {Tint.NOT_MEASURED}


SWITCHED = """\
bank MODE: Up, Down
contact S1: common=A make=B break=C; closed=MODE:Down
resistor R1: 1=B 2=chassis; 10k; tol=5%
resistor R2: 1=C 2=chassis; 22k; tol=5%
"""


def test_a_changeover_contact_is_carried_when_both_ways_are() -> None:
    circuit = parse_wiring(SWITCHED)
    up, down = (Setting({"MODE": position}) for position in ("Up", "Down"))
    first = Reading("A", "chassis", 22e3, up, False, 1)
    second = Reading("A", "chassis", 10e3, down, False, 2)
    assert dict(prove(circuit, [first]).tints) == {
        "S1": Tint.NOT_MEASURED,
        "R1": Tint.NOT_MEASURED,
        "R2": Tint.PINNED,
    }
    both = prove(circuit, [first, second])
    assert dict(both.carried_by) == {"S1": 2, "R1": 2, "R2": 1}
    assert dict(both.tints)["S1"] is Tint.PINNED


def test_a_contact_is_pinned_by_one_reading_made_and_one_broken() -> None:
    circuit = parse_wiring("""\
bank INPUT: Off, Disc
contact S1: common=A make=B; closed=INPUT:Disc
resistor R1: 1=A 2=chassis; 10k; tol=5%
resistor R2: 1=B 2=chassis; 4k7; tol=5%
""")
    off, disc = (Setting({"INPUT": position}) for position in ("Off", "Disc"))
    made = Reading("A", "chassis", 1 / (1 / 10e3 + 1 / 4.7e3), disc, False, 1)
    broken = Reading("A", "chassis", 10e3, off, False, 2)
    assert dict(prove(circuit, [made]).tints)["S1"] is Tint.CARRIED
    assert dict(prove(circuit, [broken]).tints)["S1"] is Tint.NOT_MEASURED
    assert dict(prove(circuit, [made, broken]).tints)["S1"] is Tint.PINNED


def test_a_contact_stuck_closed_is_a_suspect() -> None:
    # With S1 closed both ways, 10k lies beside 22k: 6875 Ω by the parallel law.
    stuck = prove(parse_wiring(SWITCHED), [Reading("A", "chassis", 6875.0, Setting({"MODE": "Up"}))])
    assert stuck.verdicts[0][1] is Verdict.LOW
    assert dict(stuck.tints)["S1"] is Tint.ONE_OF_TWO


def test_a_lifted_part_is_measured_by_itself() -> None:
    beside = "resistor R1: 1=A 2=B; 100k; tol=5%\nresistor R2: 1=A 2=B; 100; tol=5%\n"
    lifted = Reading("R1.1", "R1.2", 101e3, Setting(lifted=frozenset({"R1.1"})), False, 1)
    proof = prove(parse_wiring(beside), [lifted])
    assert dict(proof.tints) == {"R1": Tint.PINNED, "R2": Tint.NOT_MEASURED}


def true_ohms(network: Network, source: random.Random) -> Ohms:
    """Every branch somewhere within its limits, wipers anywhere; capacitors open."""
    high = np.where(np.isfinite(network.high), network.high, network.low)
    wide = np.where(np.isfinite(network.low), high - np.where(np.isfinite(high), network.low, 0.0), 0.0)
    ohms = network.low + np.array([source.random() for _ in network.branches]) * wide
    for split, branches in zip(network.splits, network.split_numbers, strict=True):
        cuts = sorted(source.random() for _ in branches[:-1])
        ohms[list(branches)] = source.uniform(split.total.low, split.total.high) * np.diff([0.0, *cuts, 1.0])
    return np.where(network.farads > 0.0, np.inf, ohms)


def meter_shows(ohms: float, source: random.Random) -> float:
    return math.inf if ohms > METER.top else ohms * (1.0 + source.uniform(-0.5, 0.5) * METER.error)


def readings_of(
    circuit: Circuit, network: Network, ohms: Ohms, source: random.Random, count: int
) -> list[Reading]:
    points = [name for name, _ in named_points(circuit)]
    taken: list[Reading] = []
    while len(taken) < count:
        start, end = source.choice(["chassis", *circuit.rails]), source.choice(points)
        one, other = lead_node(network, circuit, start), lead_node(network, circuit, end)
        if one != other:
            shown = meter_shows(resistance(network.graph, ohms, one, other), source)
            taken.append(Reading(start, end, shown, Setting(), False, len(taken) + 1))
    return taken


@pytest.mark.parametrize("seed", range(25))
def test_a_broken_element_is_never_called_carried(seed: int) -> None:
    source = random.Random(seed)
    circuit = made_set(seed, 3)
    network = build_network(circuit, Setting(), METER)
    ohms = true_ohms(network, source)
    closed = [number for number, branch in enumerate(network.branches) if not branch.blocks]
    for broken in source.sample(closed, 3):
        faulty = ohms.copy()
        faulty[broken] = np.inf
        proof = prove(circuit, readings_of(circuit, network, faulty, source, 12), METER)
        assert dict(proof.tints)[network.branches[broken].part] not in PROVED


@pytest.mark.parametrize("seed", range(8))
def test_a_sound_set_passes_and_is_never_called_bad(seed: int) -> None:
    source = random.Random(seed)
    circuit = made_set(seed, 3)
    network = build_network(circuit, Setting(), METER)
    ohms = true_ohms(network, source)
    proof = prove(circuit, readings_of(circuit, network, ohms, source, 20), METER)
    assert {verdict for _, verdict in proof.verdicts} <= {Verdict.PASS, Verdict.CANNOT_TELL}
    assert {tint for _, tint in proof.tints} <= {Tint.NOT_MEASURED, *PROVED}
    values: dict[str, float] = {}
    for branch, r in zip(network.branches, ohms, strict=True):
        values[branch.part] = values.get(branch.part, 0.0) + float(r)
    for pinned in proof.pinned:
        assert pinned.low <= values[pinned.part] <= (math.inf if pinned.high is None else pinned.high)
    assert sum(tint in PROVED for _, tint in proof.tints) > 20


@pytest.mark.parametrize("seed", range(15))
def test_the_broken_element_is_among_the_suspects(seed: int) -> None:
    source = random.Random(seed)
    circuit = made_set(seed, 3)
    network = build_network(circuit, Setting(), METER)
    ohms = true_ohms(network, source)
    closed = [number for number, branch in enumerate(network.branches) if not branch.blocks]
    broken = source.choice(closed)
    ohms[broken] = np.inf
    proof = prove(circuit, readings_of(circuit, network, ohms, source, 15), METER)
    failed = any(verdict is Verdict.HIGH for _, verdict in proof.verdicts)
    blamed = {Tint.SUSPECT, Tint.BAD, Tint.ONE_OF_TWO}
    assert not failed or dict(proof.tints)[network.branches[broken].part] in blamed


@pytest.mark.parametrize("seed", range(15))
def test_what_is_called_bad_is_the_faulty_element(seed: int) -> None:
    """One fault of any sort, read from next to it so that it stands alone."""
    source = random.Random(seed)
    circuit = made_set(seed, 2)
    network = build_network(circuit, Setting(), METER)
    ohms = true_ohms(network, source)
    parts = [number for number, branch in enumerate(network.branches) if branch.name.startswith("R")]
    for faulty in source.sample(parts, 4):
        changed = ohms.copy()
        changed[faulty] *= source.choice([0.0, 0.5, 2.0, math.inf])
        branch = network.branches[faulty]
        ends = network.number_of[branch.start], network.number_of[branch.end]
        shown = meter_shows(resistance(network.graph, changed, *ends), source)
        across = Reading(f"{branch.part}.1", f"{branch.part}.2", shown, Setting(), False, 99)
        taken = [*readings_of(circuit, network, changed, source, 10), across]
        bad = [name for name, tint in prove(circuit, taken, METER).tints if tint is Tint.BAD]
        assert bad in ([], [branch.part])

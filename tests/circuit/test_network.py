"""What each kind does to an ohmmeter."""

from __future__ import annotations

import math

import pytest

from tracer.circuit.elements import Circuit, Element, Setting
from tracer.circuit.kinds import kinds
from tracer.circuit.network import Branch, Network, build_network
from tracer.circuit.wiring import parse_wiring, print_wiring
from tracer.errors import BadValue, BadWiring, UnknownPosition

BANK = "bank INPUT: Off, Disc, Tape\nbank BAND: Long, Short\n"


def one(line: str, setting: Setting | None = None) -> Branch:
    branches = build_network(parse_wiring(BANK + line), setting).branches
    assert len(branches) == 1
    return branches[0]


def limits(branch: Branch) -> tuple[float, float | None, float]:
    return branch.low, branch.expected, branch.high


def notes(network: Network, part: str) -> list[str]:
    return [note for name, note in network.notes if name == part]


@pytest.mark.parametrize(
    ("line", "low", "expected", "high"),
    [
        ("resistor R1: 1=A 2=B; 1k; tol=10%", 900, 1000, 1100),
        ("resistor R1: 1=A 2=B; 4k7 5%", 4465, 4700, 4935),
        ("resistor R1: 1=A 2=B; 1k; tol=J", 950, 1000, 1050),
        ("resistor R1: 1=A 2=B; 1k", 800, 1000, 1200),
        ("resistor R1: 1=A 2=B", 0, None, 22e6),
        ("coil L1: 1=A 2=B; ohms=250; tol=30%", 175, 250, 325),
        ("coil L1: 1=A 2=B; 10H", 0, None, 5e3),
        ("coil L1: 1=A 2=B; 160uH", 0, None, 200),
        ("relay coil RL1: 1=A 2=B; 2k2", 1870, 2200, 2530),
        ("thermistor TH1: 1=A 2=B; 3k", 2100, 3000, 3900),
        ("fuse F1: 1=A 2=B; 1A", 0, 0.1, 1),
        ("fuse F1: 1=A 2=B; 100mA", 0, 1, 10),
        ("lamp PL1: 1=A 2=B; 6.3V; amps=0.3", 21 / 16, 2.1, 3.5),
        ("lamp PL1: 1=A 2=B; 240V; watts=15W", 3840 / 16, 384, 640),
        ("speaker LS1: 1=A 2=B; 15", 9, 12.75, 15),
        ("meter M1: +=A -=B; ohms=75; tol=20%", 60, 75, 90),
        ("wire W1.4: 1=A 2=B", 0, 0, 0.1),
        ("bond B1.2: 1=A 2=chassis", 0, 0, 0.1),
        ("link LK1: 1=A 2=B", 0, 0, 0.1),
        ("varistor VDR1: 1=A 2=B", 10e3, None, math.inf),
        ("neon NE1: 1=A 2=B", math.inf, math.inf, math.inf),
        ("crystal X1: 1=A 2=B", math.inf, math.inf, math.inf),
        ("battery B1: +=A -=chassis; 9V; out", math.inf, math.inf, math.inf),
        ("battery B1: +=A -=chassis; 9V", 0, None, math.inf),
        ("diode D1: a=A k=B", 100, None, math.inf),
        ("other X9: p=A q=B", 0, None, math.inf),
        ("valve V1: h/4=A h/5=B; heater=6.3V/0.3A", 21 / 8, 3.5, 21 / 4),
        ("valve V1: a/1=P a/6=Q k/3=C", 0, 0, 0.1),
        ("valve V1: h/4=A h/5=B; out", math.inf, math.inf, math.inf),
        ("contact S1: common=A make=B; closed=INPUT:Off", 0, 0, 0.5),
        ("contact S1: common=A make=B; closed=INPUT:Disc,Tape", math.inf, math.inf, math.inf),
        ("contact S1: common=A break=B; closed=INPUT:Disc", 0, 0, 0.5),
        ("contact S1: common=A make=B", 0, None, math.inf),
        ("jack SK1: tip=A sleeve=chassis break=B", 0, 0, 0.5),
        ("jack SK1: tip=A sleeve=chassis break=B; plugged", math.inf, math.inf, math.inf),
    ],
)
def test_limits_of_each_kind(line: str, low: float, expected: float | None, high: float) -> None:
    found = limits(one(line))
    assert found[0] == pytest.approx(low)
    assert found[1] == (None if expected is None else pytest.approx(expected))
    assert found[2] == pytest.approx(high)


@pytest.mark.parametrize(
    ("line", "leak", "farads"),
    [
        ("capacitor C1: +=A -=B; 16u; tol=0%", 100 / 16e-6, 16e-6),
        ("capacitor C1: 1=A 2=B; 8u; tol=50%", 100 / 12e-6, 12e-6),
        ("capacitor C1: 1=A 2=B; .05; tol=20%", 1e9, 0.06e-6),
        ("capacitor C1: 1=A 2=B; 8u; tol=0%; type=paper", 1000 / 8e-6, 8e-6),
    ],
)
def test_a_capacitor_is_open_but_for_a_sound_ones_leakage(line: str, leak: float, farads: float) -> None:
    branch = one(line)
    assert limits(branch) == (pytest.approx(leak), math.inf, math.inf)
    assert branch.farads == pytest.approx(farads)
    assert branch.blocks
    assert not branch.is_open


def test_every_kind_makes_a_network_from_its_example() -> None:
    for kind in kinds().values():
        network = build_network(parse_wiring(f"{BANK}rail HT1, HT2\n{kind.example}"))
        for branch in network.branches:
            assert 0.0 <= branch.low <= branch.high, kind.name
            assert branch.expected is None or branch.low <= branch.expected <= branch.high, kind.name
            assert branch.start in network.number_of, kind.name


def test_a_pot_with_its_wiper_known_is_two_resistors_and_the_wiper() -> None:
    network = build_network(parse_wiring("pot P1: 1=A w=W 2=B; 500k; tol=20%; at=0.25"))
    assert [branch.name for branch in network.branches] == ["P1.1-w", "P1.w-2", "P1.w"]
    assert network.expected.tolist() == [125e3, 375e3, 0.0]
    assert network.splits == ()
    turned = build_network(parse_wiring("pot P1: 1=A w=W 2=B; 500k; at=0.25"), Setting(wipers={"P1": 0.0}))
    assert turned.expected.tolist() == [0.0, 500e3, 0.0]


def test_a_pot_with_its_wiper_unknown_shares_its_total() -> None:
    network = build_network(parse_wiring("pot P1: 1=A w=W 2=B; 500k; tol=20%"))
    assert network.splits[0].branches == ("P1.1-w", "P1.w-2")
    assert (network.splits[0].total.low, network.splits[0].total.high) == (400e3, 600e3)
    assert network.high.tolist() == [600e3, 600e3, 6e3]  # a sound wiper: 1 % (common practice)
    assert "its wiper may stand anywhere" in notes(network, "P1")


def test_windings_are_apart_and_taps_divide_them() -> None:
    network = build_network(
        parse_wiring(
            "transformer T1: pri.1=A pri.2=B sec.1=C sec.tap=D sec.2=E; ohms.pri=30; ohms.sec=180; tol=0%"
        )
    )
    names = [branch.name for branch in network.branches]
    assert names == ["T1.pri.1-pri.2", "T1.sec.1-sec.tap", "T1.sec.tap-sec.2"]
    assert network.low.tolist() == [30.0, 72.0, 72.0]
    assert network.high.tolist() == pytest.approx([30.0, 108.0, 108.0])


def test_sections_of_a_winding_may_be_told_one_by_one() -> None:
    line = "transformer T1: sec.1=C sec.tap=D sec.2=E; ohms.sec=85+95; tol=0%"
    assert build_network(parse_wiring(line)).expected.tolist() == [85.0, 95.0]


def test_a_heater_with_a_centre_tap_is_two_halves_wherever_the_tap_is_written() -> None:
    for pins in ("h/4=A h/5=B hct/9=C", "h/4=A hct/9=C h/5=B"):
        network = build_network(parse_wiring(f"valve V1: {pins}; heater=12.6V/0.15A"))
        ends = {(branch.start, branch.end) for branch in network.branches}
        assert ends == {("A", "C"), ("C", "B")}
        assert network.expected.tolist() == pytest.approx([7.0, 7.0])


def test_a_bridge_rectifier_is_four_junctions() -> None:
    network = build_network(parse_wiring("bridge BR1: ac1=A ac2=B +=C -=chassis"))
    ends = [(branch.start, branch.end) for branch in network.branches]
    assert ends == [("A", "C"), ("B", "C"), ("chassis", "A"), ("chassis", "B")]


def test_a_block_may_join_any_of_its_pins_until_it_is_out() -> None:
    circuit = parse_wiring("block IC1: 1=A 2=B 3=C")
    assert build_network(circuit).low.tolist() == [0.0, 0.0, 0.0]
    assert build_network(circuit, Setting(out=frozenset({"IC1"}))).low.tolist() == [math.inf] * 3


def test_signs_join_their_node_to_what_they_name() -> None:
    network = build_network(parse_wiring("rail HT1\nlabel HT1@1: 1=A; HT1\nchassis E1: 1=B"))
    assert [(branch.start, branch.end) for branch in network.branches] == [("A", "HT1"), ("B", "chassis")]


def test_a_contact_follows_every_bank_of_its_condition() -> None:
    line = "contact S1: common=A make=B break=C; closed=INPUT:Disc,Tape & BAND:Short"
    circuit = parse_wiring(BANK + line)
    closed = build_network(circuit, Setting(banks={"INPUT": "Tape", "BAND": "Short"}))
    open_ = build_network(circuit, Setting(banks={"INPUT": "Tape"}))
    assert [branch.is_open for branch in closed.branches] == [False, True]
    assert [branch.is_open for branch in open_.branches] == [True, False]


def test_several_keys_may_be_in_at_once() -> None:
    circuit = parse_wiring(
        "bank TONE: Bass, Treble; independent\ncontact S1: common=A make=B; closed=TONE:Treble"
    )
    both, none = Setting(banks={"TONE": "Bass,Treble"}), Setting(banks={"TONE": ""})
    assert not build_network(circuit, both).branches[0].is_open
    assert build_network(circuit, none).branches[0].is_open


@pytest.mark.parametrize("style", ["keys", "independent"])
def test_a_contact_may_wait_for_no_key_at_all(style: str) -> None:
    circuit = parse_wiring(
        f"bank WAVE: Long, Medium; {style}\n"
        "contact S1: common=A make=B; closed=WAVE:none\n"
        "contact S2: common=A make=C; closed=WAVE:Medium,none"
    )
    assert parse_wiring(print_wiring(circuit)).elements == circuit.elements
    open_at = {
        at: [branch.is_open for branch in build_network(circuit, Setting(banks={"WAVE": at})).branches]
        for at in ("", "Long", "Medium")
    }
    assert open_at == {"": [False, False], "Long": [True, True], "Medium": [True, False]}
    default = build_network(circuit, Setting()).branches
    assert [branch.is_open for branch in default] == [True, True], "untold, the first key is in"


def test_a_position_that_is_named_none_is_a_position() -> None:
    circuit = parse_wiring("bank WAVE: none, Long; keys\ncontact S1: common=A make=B; closed=WAVE:none")
    pressed, released = (Setting(banks={"WAVE": at}) for at in ("none", ""))
    assert not build_network(circuit, pressed).branches[0].is_open
    assert build_network(circuit, released).branches[0].is_open


def test_a_rotary_switch_always_stands_somewhere() -> None:
    with pytest.raises(BadWiring, match="no position 'none'; it has Long, Medium"):
        parse_wiring("bank WAVE: Long, Medium\ncontact S1: common=A make=B; closed=WAVE:none")


def test_a_lifted_terminal_hangs_free_under_each_of_its_names() -> None:
    circuit = parse_wiring("valve V2: a/1=P g1/6=G h/4=A h/5=B\nresistor R1: 1=P 2=G; 1k")
    network = build_network(circuit, Setting(lifted=frozenset({"V2.4", "R1.2"})))
    assert network.lifted["V2.h/4"] == network.lifted["V2.4"] == "V2.h/4 lifted"
    resistor = next(branch for branch in network.branches if branch.name == "R1")
    assert resistor.end == "R1.2 lifted"
    assert [branch.name for branch in network.branches if branch.is_open] == ["V2.h/4 lifted", "R1.2 lifted"]


def test_an_unknown_bank_or_position_is_refused_with_those_that_exist() -> None:
    circuit = parse_wiring(BANK + "contact S1: common=A make=B; closed=INPUT:Disc")
    with pytest.raises(UnknownPosition, match="INPUT, BAND"):
        build_network(circuit, Setting(banks={"WAVE": "Long"}))
    with pytest.raises(UnknownPosition, match="Off, Disc, Tape"):
        build_network(circuit, Setting(banks={"INPUT": "Radio"}))
    stray = Element("S9", "contact", (("common", "A"), ("make", "B")), None, (("closed", "NO:Way"),), 7)
    with pytest.raises(BadWiring, match="Line 7"):
        build_network(Circuit((stray,)))


def test_a_value_that_cannot_be_read_names_its_element() -> None:
    odd = Element("R9", "resistor", (("1", "A"), ("2", "B")), "blue", (), 12)
    with pytest.raises(BadValue, match="Line 12: R9"):
        build_network(Circuit((odd,)))
    pot = Element("P9", "pot", (("1", "A"), ("w", "W"), ("2", "B")), "1M", (("at", "1.5"),))
    with pytest.raises(BadValue, match="P9"):
        build_network(Circuit((pot,)))


def test_a_terminal_that_was_left_unconnected_hangs_in_the_air() -> None:
    part = Element("R9", "resistor", (("1", "A"),), "1k")
    assert build_network(Circuit((part,))).branches[0].end == "R9.2 unconnected"

"""The wiring list, read and written."""

from __future__ import annotations

import re

import pytest

from tracer.circuit.elements import Bank, BankStyle, Circuit, Element
from tracer.circuit.kinds import kinds
from tracer.circuit.wiring import parse_wiring, print_wiring
from tracer.circuit.wiring_line import FLAGS, fault_of_option
from tracer.errors import BadWiring
from tracer.resources import shared

SMALL = """\
# a small supply
bank INPUT: Off, Disc, Long Wave
bank TONE: Bass, Treble; keys
rail HT1, HT2
point TP1: HT2
resistor R1: 1=HT1 2=HT2; 1k; tol=10%   # smoothing
capacitor C1: +=HT2 -=chassis; 16u; rated=450V
contact S1: common=A make=B; closed=INPUT:Disc,Long Wave&TONE:Bass
valve V1: a/1=N1 g1/2=N2 k/3=N3 h/4=H1 h/5=H2; out
relay coil RL1: 1=A 2=B; 2k2
wire W1.4: 1=N1 2=HT2
"""


def test_each_statement_is_read() -> None:
    circuit = parse_wiring(SMALL)
    assert circuit.rails == ("HT1", "HT2")
    assert circuit.points == (("TP1", "HT2"),)
    assert circuit.banks == (
        Bank("INPUT", ("Off", "Disc", "Long Wave")),
        Bank("TONE", ("Bass", "Treble"), BankStyle.KEYS),
    )
    resistor, _, _, valve, relay, _ = circuit.elements
    assert resistor == Element("R1", "resistor", (("1", "HT1"), ("2", "HT2")), "1k", (("tol", "10%"),))
    assert resistor.line == 6
    assert valve.options == (("out", ""),)
    assert valve.node("h/5") == "H2"
    assert relay.kind == "relay coil"


@pytest.mark.parametrize("kind", kinds().values(), ids=lambda kind: kind.name)
def test_the_example_of_every_kind_comes_back_equal(kind: object) -> None:
    example = kinds()[kind.name].example  # type: ignore[attr-defined]
    text = f"bank INPUT: Off, Disc, Tape\n{example}\n"
    circuit = parse_wiring(text)
    assert len(circuit.elements) == 1
    assert print_wiring(circuit) == text
    assert parse_wiring(print_wiring(circuit)) == circuit


def test_a_whole_list_comes_back_equal() -> None:
    circuit = parse_wiring(SMALL)
    assert parse_wiring(print_wiring(circuit)) == circuit


def test_terminals_are_put_in_the_kinds_order() -> None:
    assert parse_wiring("resistor R1: 2=B 1=A; 1k").elements[0].terminals == (("1", "A"), ("2", "B"))


BAD_LINES = [
    ("resistor R1: 1=A 2=; 1k", "no node"),
    ("resistor R1: 1= 2=B; 1k", "no node"),
    ("resistor R1: 1=A; 1k", "'2' is missing"),
    ("resistor R1: 1=A 2=B 3=C; 1k", "no terminal '3'"),
    ("resistor R1: 1=A 1=B; 1k", "twice"),
    ("resistr R1: 1=A 2=B; 1k", "the kinds are bank, rail, point, resistor"),
    ("resistor R1: 1=A 2=B; fourk7", "no value"),
    ("resistor R1: 1=A 2=B; 1k; tol=ten", "no tolerance"),
    ("resistor R1: 1=A 2=B; 1k; 450V", "two values"),
    ("resistor: 1=A 2=B; 1k", "reference"),
    ("resistor R 1: 1=A 2=B; 1k", "reference"),
    ("resistor R1 1=A 2=B", "no colon"),
    ("resistor R1: 1=A 2=B; 1k; tolerence=5%", "the options are tol"),
    ("valve V1: h/4=A h/5=B; heater=6.3V", "6.3V/0.3A"),
    ("pot P1: 1=A w=B 2=C; 1M; at=1.5", "wiper"),
    ("contact S1: common=A make=B; closed=INPUT:Disc", "no bank 'INPUT'"),
    ("contact S1: common=A make=B; closed=MODE:Up", "no position 'Up'; it has Off, On"),
    ("contact S1: common=A; closed=MODE:On", "at least one of make, break"),
    ("valve V1: a/=N1", "electrode/pin"),
    ("transformer T1: pri=A", "winding.end"),
    ("block IC1: in=A", "as numbers"),
    ("bank B: On, On", "twice"),
    ("bank B: On, Off; sliding", "keys, independent"),
    ("label L@1: 1=A", "needs the name"),
]


@pytest.mark.parametrize(("line", "said"), BAD_LINES)
def test_a_bad_line_is_named_with_its_number_and_text(line: str, said: str) -> None:
    with pytest.raises(BadWiring, match=r"set\.txt, line 3") as caught:
        parse_wiring(f"# top\nbank MODE: Off, On\n{line}\n", "set.txt")
    assert said in str(caught.value)
    assert line in str(caught.value)


@pytest.mark.parametrize(
    "line",
    [
        "resistor R1: 1=C 2=D; 1k",
        "rail R1",
        "bank R1: On, Off",
        "resistor R2: 1=R1 2=D; 1k",
        "point R1: A",
        "resistor chassis: 1=A 2=B; 1k",
        "resistor A: 1=A 2=B; 1k",
        "wire W1: 1=R1.1 2=B",
    ],
)
def test_a_name_used_twice_is_refused(line: str) -> None:
    with pytest.raises(BadWiring, match=r"line 1.*line 2|line 2.*line 1|every list.*line 2"):
        parse_wiring(f"resistor R1: 1=A 2=B; 1k\n{line}")


def test_a_rail_may_be_declared_after_its_use_but_once() -> None:
    assert parse_wiring("wire W1: 1=A 2=HT1\nrail HT1").rails == ("HT1",)
    with pytest.raises(BadWiring, match="names must differ"):
        parse_wiring("rail HT1\nrail HT1")


def test_a_name_that_a_list_cannot_hold_is_refused_when_printing() -> None:
    with pytest.raises(BadWiring, match="cannot be written"):
        print_wiring(Circuit((Element("R 1", "resistor", (("1", "A"), ("2", "B"))),)))


def test_the_grammar_s_example_and_options_are_what_is_read() -> None:
    text = shared("wiring_list.md").read_text("utf-8")
    example = text.split("```")[1]
    circuit = parse_wiring(example)
    assert len(circuit.elements) == 4
    assert parse_wiring(print_wiring(circuit)) == circuit
    named = set(re.findall(r"`([a-z]+)(?:\.[a-z]+)?=", text.split("## Options")[1]))
    flags = set(re.findall(r"^\| `([a-z]+)` \|", text, flags=re.MULTILINE))
    assert all(fault_of_option(name, "") != fault_of_option("nonsense", "") for name in named)
    assert flags == set(FLAGS)
    said = fault_of_option("nonsense", "") or ""
    assert named | flags == set(re.findall(r"[a-z]+", said.partition("the options are")[2]))

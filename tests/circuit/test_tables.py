"""Contact tables and tables of coil ohms."""

from __future__ import annotations

import pytest

from tracer.circuit.elements import Setting
from tracer.circuit.expect import expect
from tracer.circuit.tables import with_coil_ohms, with_contacts
from tracer.circuit.wiring import parse_wiring
from tracer.errors import BadTable

SET = parse_wiring("""\
bank INPUT: Off, Disc, Tape
bank BAND: Long, Medium
contact S1: common=A make=B
contact S2: common=B make=C; closed=BAND:Long
transformer T1: pri.1=A pri.2=C sec.1=D sec.tap=E sec.2=F
coil L1: 1=C 2=D; 10H
""")
CONTACTS = "contact,bank,position\nS1,INPUT,Disc\nS1,INPUT,Tape\nS1,BAND,Medium\n"
COILS = "part,winding,ohms,tolerance\nT1,pri,30,10%\nT1,sec,100+120,\nL1,,250,20%\n"


def test_a_contact_table_closes_contacts() -> None:
    filled = with_contacts(SET, CONTACTS)
    assert filled.elements[0].option("closed") == "INPUT:Disc,Tape&BAND:Medium"
    assert filled.elements[1] == SET.elements[1]
    made = expect(filled, "A", "B", Setting({"INPUT": "Disc", "BAND": "Medium"}))
    assert made.high == pytest.approx(0.5)
    apart = parse_wiring("bank X: A, B\ncontact S1: common=A make=B")
    table = with_contacts(apart, "Contact, Bank, Position\nS1,X,B\n")
    assert expect(table, "A", "B").blocked_by == ("S1",)


def test_a_coil_table_gives_ohms() -> None:
    filled = with_coil_ohms(SET, COILS)
    told = expect(filled, "T1.sec.1", "T1.sec.2")
    assert told.expected == pytest.approx(220.0)
    primary = with_coil_ohms(parse_wiring("transformer T1: pri.1=A pri.2=B"), COILS.split("T1,sec")[0])
    line = expect(primary, "A", "B")
    assert (line.low, line.high) == (pytest.approx(27.0), pytest.approx(33.0))


@pytest.mark.parametrize(
    ("table", "told"),
    [
        ("contact,bank\nS1,INPUT\n", "line 1: the heading"),
        ("contact,bank,position\nS9,INPUT,Disc\n", "line 2: no contact 'S9'"),
        ("contact,bank,position\nT1,INPUT,Disc\n", "no contact 'T1'"),
        ("contact,bank,position\nS1,GATE,Disc\n", "the banks are: INPUT, BAND"),
        ("contact,bank,position\nS1,INPUT,Disc\nS1,INPUT,Radio\n", "line 3: bank INPUT has no position"),
        ("contact,bank,position\nS1,INPUT,\n", "position is empty"),
    ],
)
def test_a_bad_contact_table_tells_its_line(table: str, told: str) -> None:
    with pytest.raises(BadTable, match=told):
        with_contacts(SET, table, "sheet.csv")


@pytest.mark.parametrize(
    ("table", "told"),
    [
        ("part,ohms\nL1,5\n", "winding is missing"),
        ("part,winding,ohms\nS1,,5\n", "no coil, transformer"),
        ("part,winding,ohms\nT1,,5\n", "it has pri, sec"),
        ("part,winding,ohms\nT1,ter,5\n", "no winding 'ter'"),
        ("part,winding,ohms\nL1,,lots\n", "line 2: 'lots'"),
        ("part,winding,ohms,tolerance\nL1,,5,wide\n", "no tolerance"),
    ],
)
def test_a_bad_coil_table_tells_its_line(table: str, told: str) -> None:
    with pytest.raises(BadTable, match=told):
        with_coil_ohms(SET, table, "coils.csv")

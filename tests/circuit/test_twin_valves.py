"""Double valves whose halves bear the same electrode names."""

from __future__ import annotations

from tracer.circuit.expect import expect
from tracer.circuit.wiring import parse_wiring

TWIN = parse_wiring(
    "valve V2: a/1=A g/2=G k/3=K a/6=B g/7=H k/8=L; heater=6.3V/0.3A\nresistor R1: 1=A 2=C; 1k\n"
)


def test_a_tie_of_two_anodes_is_said_wherever_it_is_passed() -> None:
    note = "V2: a on pins 1 and 6 is taken as one electrode; name them a1 and a2 if they are two."
    assert note in expect(TWIN, "C", "B").notes
    assert note in expect(TWIN, "V2.1", "V2.6").notes
    assert not any("electrode" in each for each in expect(TWIN, "C", "A").notes)
    assert "V2: k on pins 3 and 8 is taken" in " ".join(expect(TWIN, "K", "L").notes)


def test_a_cathode_on_two_pins_alone_is_common() -> None:
    single = parse_wiring("valve V1: a/7=A k/1=K k/3=L g1/2=G\nresistor R1: 1=K 2=M; 1k\n")
    assert expect(single, "M", "L").notes == ("R1: no tolerance given, ±20% is taken.",)


def test_out_of_its_socket_nothing_is_tied() -> None:
    out = parse_wiring("valve V2: a/1=A a/6=B; out\nresistor R1: 1=A 2=C; 1k\n")
    assert not any("electrode" in each for each in expect(out, "C", "B").notes)

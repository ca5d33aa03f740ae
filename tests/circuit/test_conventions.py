"""A sheet's own conventions for printed values."""

from __future__ import annotations

import pytest

from tracer.circuit.expect import expect
from tracer.circuit.wiring import parse_wiring, print_wiring
from tracer.errors import BadWiring

OLD = """\
resistor R1: 1=A 2=B; 250M; tol=10%
resistor R2: 1=B 2=C; 2 meg; tol=10%
resistor R3: 1=C 2=D; 4M7
pot P1: 1=D w=E 2=F; 0.5 MΩ 20%
capacitor C1: 1=A 2=D; 8
values M=1000, bare=uF   # both, at the end
capacitor C2: 1=A 2=D; .05
"""


def test_m_is_thousand_and_a_bare_number_is_microfarads_where_the_list_says_so() -> None:
    circuit = parse_wiring(OLD)
    values = {element.reference: element.value for element in circuit.elements}
    assert values == {"R1": "250k", "R2": "2 meg", "R3": "4k7", "P1": "0.5 MΩ 20%", "C1": "8u", "C2": ".05"}
    assert expect(circuit, "A", "B").expected == pytest.approx(250e3)
    assert expect(circuit, "B", "C").expected == pytest.approx(2e6)
    assert parse_wiring(print_wiring(circuit)) == circuit
    assert "values" not in print_wiring(circuit)


def test_without_it_m_is_mega_and_a_bare_number_is_refused() -> None:
    assert expect(parse_wiring("resistor R1: 1=A 2=B; 0M25; tol=10%"), "A", "B").expected == 250e3
    with pytest.raises(BadWiring, match="bare number"):
        parse_wiring("capacitor C1: 1=A 2=B; 8")


@pytest.mark.parametrize(
    "line", ["values", "values M=10", "values M=1000; k=2", "values M=1000\nvalues bare=uF", "values bare=pF"]
)
def test_what_is_no_convention_is_refused(line: str) -> None:
    with pytest.raises(BadWiring, match="line"):
        parse_wiring(f"{line}\nresistor R1: 1=A 2=B; 1k\n")

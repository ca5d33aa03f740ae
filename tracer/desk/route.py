"""The way from lead to lead as drawn: the telling parts and the wires and contacts between them."""

from __future__ import annotations

import numpy as np

from tracer.circuit.elements import Circuit, Setting
from tracer.circuit.expect import lead_node
from tracer.circuit.network import build_network
from tracer.circuit.results import Expectation, Meter
from tracer.circuit.solve import between

__all__ = ["route"]

NO_OHMS = 1.0
"""What conducts with less than this, Ω, counts as wire on the way."""


def route(circuit: Circuit, expectation: Expectation, setting: Setting, meter: Meter) -> tuple[str, ...]:
    """Return the elements on the way that the current of `expectation` takes, in the circuit's order.

    Only parts that have a share in the ohms count, and wire, bonds and closed contacts between them.
    For an open pair these are the elements that stop every path.

    Examples
    --------
    >>> from tracer.circuit.expect import expect
    >>> from tracer.circuit.wiring import parse_wiring
    >>> circuit = parse_wiring("resistor R1: 1=A 2=B; 1k" + chr(10) + "wire W1: 1=B 2=C")
    >>> route(circuit, expect(circuit, "A", "C"), Setting(), Meter())
    ('R1', 'W1')
    """
    telling = {share.part for share in expectation.through}
    if not telling:
        return expectation.blocked_by
    network = build_network(circuit, setting, meter)
    use = np.array(
        [not b.blocks and (b.part in telling or b.high < NO_OHMS) for b in network.branches], dtype=np.bool_
    )
    start, end = (lead_node(network, circuit, point) for point in (expectation.start, expectation.end))
    on_way = between(network.graph, use, start, end)
    named = (b.part for b, on in zip(network.branches, on_way, strict=True) if on)
    return tuple(dict.fromkeys(named))

"""Networks for the tests: random ones with wide values, and a set with stages, rails and wires."""

from __future__ import annotations

import numpy as np
from hypothesis import strategies as st

from tracer.circuit.elements import Circuit, Element
from tracer.circuit.solve import Graph, Ohms

__all__ = ["random_networks", "staged_set"]


@st.composite
def random_networks(
    draw: st.DrawFn, most_nodes: int = 9, zeros: bool = True, opens: bool = True
) -> tuple[Graph, Ohms]:
    """Draw a network of up to `most_nodes` nodes with ohms from 1 mΩ to 22 MΩ, some 0 and some open."""
    size = draw(st.integers(2, most_nodes))
    ends = st.tuples(st.integers(0, size - 1), st.integers(0, size - 1))
    pairs = draw(st.lists(ends, min_size=1, max_size=2 * most_nodes))
    value = st.floats(-3.0, 7.34).map(lambda power: 10.0**power)
    kinds = [value, value, value]
    if zeros:
        kinds.append(st.just(0.0))
    if opens:
        kinds.append(st.just(float("inf")))
    ohms = draw(st.lists(st.one_of(kinds), min_size=len(pairs), max_size=len(pairs)))
    return Graph.of(size, pairs), np.array(ohms)


def staged_set(stages: int, pots: int = 0) -> Circuit:
    """Return an invented set of like stages: eight parts, sixteen wires and four chassis signs in each.

    The first `pots` stages have a pot with its wiper unknown from anode to chassis, feeding the next grid.
    """
    elements: list[Element] = []

    def add(kind: str, reference: str, start: str, end: str, value: str) -> None:
        """Add a part whose two ends reach their nodes through a stretch of wire each."""
        ends = (("1", f"{reference}.l"), ("2", f"{reference}.r"))
        elements.append(Element(reference, kind, ends, value, (("tol", "10%"),)))
        for node, end_of in ((start, "l"), (end, "r")):
            name = f"W1.{len(elements)}"
            elements.append(Element(name, "wire", (("1", f"{reference}.{end_of}"), ("2", node))))

    for s in range(stages):
        after, later = (s + 1) % stages, (s + 3) % stages
        rail = "HT" if s == 0 else f"rail{s - 1}"
        add("resistor", f"R{s}a", rail, f"rail{s}", "1k")
        add("resistor", f"R{s}b", f"rail{s}", f"anode{s}", "100k")
        add("resistor", f"R{s}c", f"cathode{s}", f"sign{s}a", "2k2")
        add("resistor", f"R{s}d", f"grid{s}", f"sign{s}b", "1M")
        add("resistor", f"R{s}e", f"anode{s}", f"grid{later}", "470k")
        add("capacitor", f"C{s}a", f"cathode{s}", f"sign{s}c", "25u")
        add("capacitor", f"C{s}b", f"anode{s}", f"grid{after}", ".05")
        add("capacitor", f"C{s}c", f"rail{s}", f"sign{s}d", "8u")
        for sign in "abcd":
            elements.append(Element(f"E{s}{sign}", "chassis", (("1", f"sign{s}{sign}"),)))
    for s in range(pots):
        ends = (("1", f"anode{s}"), ("w", f"grid{(s + 1) % stages}"), ("2", "chassis"))
        elements.append(Element(f"P{s}", "pot", ends, "1M", (("tol", "20%"),)))
    return Circuit(tuple(elements), rails=("HT",))

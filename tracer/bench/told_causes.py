"""Causes as a person says them: wires by where they run, nodes by the terminals that lie there."""

from __future__ import annotations

import re
from dataclasses import replace

from tracer.bench.spoken import named, nodes_in_words, wires_in_words
from tracer.circuit.elements import Circuit
from tracer.circuit.results import Cause, CauseKind

__all__ = ["causes_in_words"]

_DRAWN = frozenset({"wire", "bond", "label", "chassis"})
_FEW = 3
"""Up to so many stretches of wire are named one by one."""
_WIRE = re.compile(r"\b[WB]\d+\.\d+\b")
_NODE = re.compile(r"\bNN?\d+\.\d+(_\d+)?\b")
_ONE_OF = re.compile(r"One of .+ is (open|a bad joint of \S+?)\.$")


def causes_in_words(circuit: Circuit, causes: tuple[Cause, ...]) -> tuple[Cause, ...]:
    """Return the same causes, with no name left in their sentences that a tracing made up.

    Examples
    --------
    >>> from tracer.circuit.wiring import parse_wiring
    >>> circuit = parse_wiring("resistor R1: 1=N1.1 2=b; 1k\\nwire W1.1: 1=N1.1 2=HT1\\nrail HT1")
    >>> cause = Cause(CauseKind.OPEN, "W1.1", None, None, 1.0, "W1.1 is open.", None, ("W1.1",))
    >>> causes_in_words(circuit, (cause,))[0].says
    'The wire from R1.1 to HT1 (W1.1) is open.'
    """
    wires, nodes = wires_in_words(circuit), nodes_in_words(circuit)
    kinds = {element.reference: element.kind for element in circuit.elements}
    return tuple(replace(cause, says=_sentence(circuit, cause, kinds, wires, nodes)) for cause in causes)


def _sentence(
    circuit: Circuit,
    cause: Cause,
    kinds: dict[str, str],
    wires: dict[str, str],
    nodes: dict[str, str],
) -> str:
    drawn = [part for part in cause.elements if kinds.get(part) in _DRAWN]
    many = _ONE_OF.fullmatch(cause.says)
    if many and cause.kind is CauseKind.OPEN and len(drawn) == len(cause.elements) > _FEW:
        return f"One of {named(circuit, drawn)} is {many[1]}."
    says = _NODE.sub(lambda node: nodes.get(node[0], "a branch"), cause.says)
    return _capital(_WIRE.sub(lambda wire: _wire(circuit, wire[0], wires, nodes), says))


def _wire(circuit: Circuit, reference: str, wires: dict[str, str], nodes: dict[str, str]) -> str:
    if reference in wires:
        return f"the {wires[reference]}"
    ends = next((element.terminals for element in circuit.elements if element.reference == reference), ())
    near = next((nodes[node] for _, node in ends if node in nodes), None)
    return f"the bond at {near} ({reference})" if near else reference


def _capital(sentence: str) -> str:
    return sentence[:1].upper() + sentence[1:]

"""What the readings taken so far prove of every element, one fault at a time."""

from __future__ import annotations

from collections.abc import Sequence

from tracer.circuit.elements import Circuit, Element
from tracer.circuit.evidence import Evidence, Weighing
from tracer.circuit.ledger import (
    both_ways,
    carried_elements,
    enter,
    new_ledgers,
    pinned_parts,
    suspects_of,
)
from tracer.circuit.results import Meter, Proof, Reading, Tint, Verdict

__all__ = ["prove", "prove_evidence"]

_FAILED = frozenset({Verdict.HIGH, Verdict.LOW})
_SHORT = 1.0
"""Ω: a pair that reads more than this beyond the leads is not shorted (our own line)."""


def prove(
    circuit: Circuit,
    readings: Sequence[Reading],
    meter: Meter | None = None,
    known: Weighing | None = None,
) -> Proof:
    """Return what the readings prove of each element.

    A branch is carried by a passing reading only if with it open, and all others anywhere within their
    limits, no possible reading would lie within the meter's error of what was shown. An element is carried
    when all its branches are. A contact is pinned once a reading needed it made and another needed it broken:
    it opens as well as closes. Failing readings make suspects: the elements of which one value, within no
    limits but with all others in theirs, fits every reading. A lone one is bad.

    Parameters
    ----------
    circuit : Circuit
    readings : sequence of Reading
    meter : Meter, optional
    known : Weighing, optional
        Readings weighed before; it grows by these.

    Raises
    ------
    UnknownPoint, SamePoint, UnknownPosition, BadValue, BadWiring
        As `tracer.circuit.expect.expect`.

    Examples
    --------
    >>> from tracer.circuit.elements import Setting
    >>> from tracer.circuit.wiring import parse_wiring
    >>> pair = parse_wiring("resistor R1: 1=A 2=B; 1k; tol=10%")
    >>> proof = prove(pair, [Reading("A", "B", 1010.0, Setting())])
    >>> proof.tints[0][1].value, round(proof.pinned[0].low), round(proof.pinned[0].high)
    ('pinned', 998, 1022)
    """
    weighing = Weighing.of(circuit, meter, known)
    return prove_evidence(circuit, weighing.all(readings), weighing.meter)


def prove_evidence(circuit: Circuit, evidence: Sequence[Evidence], meter: Meter) -> Proof:
    """Return what readings that are weighed already prove; see `prove`."""
    ledgers = new_ledgers(circuit, evidence)
    kinds = {element.reference: element.kind for element in circuit.elements}
    passing = [each for each in evidence if each.verdict is Verdict.PASS]
    for each in passing:
        enter(ledgers, each)
    suspects, alone = suspects_of(ledgers, kinds, [each for each in evidence if each.verdict in _FAILED])
    pinned = pinned_parts(circuit, ledgers)
    carried = carried_elements(circuit, ledgers)
    within = {each.part for each in pinned if each.within_limits} | both_ways(circuit, ledgers)
    tints = tuple(
        (element.reference, _tint(element, set(carried), within, suspects, alone))
        for element in circuit.elements
    )
    return Proof(
        tints=tints,
        carried_by=tuple(carried.items()),
        pinned=pinned,
        absent=_absent(passing, meter),
        verdicts=tuple((each.reading.number, each.verdict) for each in evidence),
        circuit=circuit,
    )


def _absent(passing: Sequence[Evidence], meter: Meter) -> tuple[tuple[str, str], ...]:
    pairs = ((each.reading.start, each.reading.end) for each in passing if each.least > _SHORT + meter.leads)
    return tuple(dict.fromkeys(pairs))


def _tint(
    element: Element, carried: set[str], within: set[str], suspects: dict[str, bool], alone: int
) -> Tint:
    name = element.reference
    if name in suspects:
        if suspects[name] and alone <= 2:
            return Tint.BAD if alone == 1 else Tint.ONE_OF_TWO
        return Tint.CONTRADICTED if name in carried else Tint.SUSPECT
    if name in carried:
        return Tint.PINNED if name in within else Tint.CARRIED
    return Tint.NOT_MEASURED

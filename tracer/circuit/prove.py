"""What the readings taken so far prove of every element, one fault at a time."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field

import numpy as np

from tracer.circuit.elements import Circuit, Element, Setting
from tracer.circuit.evidence import Evidence, weigh
from tracer.circuit.network import Network, build_network
from tracer.circuit.results import Meter, Pinned, Proof, Reading, Tint, Verdict

__all__ = ["networks_of", "prove", "setting_key"]

_FAILED = frozenset({Verdict.HIGH, Verdict.LOW})
_JOINING = frozenset({"wire", "bond", "link", "chassis", "label", "contact", "fuse", "jack", "plug"})
_STICKING = frozenset({"contact", "jack"})
"""Kinds whose open branches may be closed by a fault."""
_SHORT = 1.0
"""Ω: a pair that reads more than this beyond the leads is not shorted (our own line)."""


@dataclass(slots=True)
class _Ledger:
    """What is known of one branch over all readings."""

    low: float
    high: float
    is_open: bool = False
    capacitor: bool = False
    least: float = 0.0
    most: float = np.inf
    carried_by: int | None = None
    explains: list[bool] = field(default_factory=list)


def prove(circuit: Circuit, readings: Sequence[Reading], meter: Meter | None = None) -> Proof:
    """Return what the readings prove of each element.

    A branch is carried by a passing reading only if with it open, and all others anywhere within their
    limits, no possible reading would lie within the meter's error of what was shown. An element is carried
    when all its branches are. Failing readings make suspects: the elements of which one value, within no
    limits but with all others in theirs, fits every reading. A lone one is bad.

    Parameters
    ----------
    circuit : Circuit
    readings : sequence of Reading
    meter : Meter, optional

    Raises
    ------
    UnknownPoint, SamePoint, UnknownPosition, BadValue, BadWiring
        As `tracer.circuit.expect.expect`.

    Examples
    --------
    >>> from tracer.circuit.wiring import parse_wiring
    >>> pair = parse_wiring("resistor R1: 1=A 2=B; 1k; tol=10%")
    >>> proof = prove(pair, [Reading("A", "B", 1010.0, Setting())])
    >>> proof.tints[0][1].value, round(proof.pinned[0].low), round(proof.pinned[0].high)
    ('pinned', 998, 1022)
    """
    meter = meter or Meter()
    networks = networks_of(circuit, (reading.setting for reading in readings), meter)
    evidence = [weigh(circuit, networks[setting_key(each.setting)], each, meter) for each in readings]
    ledgers = _ledgers(circuit, evidence, networks.values())
    kinds = {element.reference: element.kind for element in circuit.elements}
    passing = [each for each in evidence if each.verdict is Verdict.PASS]
    for each in passing:
        _enter(ledgers, each)
    suspects, alone = _suspects(ledgers, kinds, [each for each in evidence if each.verdict in _FAILED])
    pinned = _pinned(circuit, ledgers)
    carried = _carried(circuit, ledgers)
    within = {each.part for each in pinned if each.within_limits}
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


def setting_key(setting: Setting) -> tuple[object, ...]:
    """Return a setting as a key, the same for equal settings."""
    banks, wipers = sorted(setting.banks.items()), sorted(setting.wipers.items())
    return tuple(banks), setting.out, setting.lifted, tuple(wipers)


def networks_of(
    circuit: Circuit, settings: Iterable[Setting], meter: Meter
) -> dict[tuple[object, ...], Network]:
    """Return the network under each setting, by `setting_key`; each is built once."""
    networks: dict[tuple[object, ...], Network] = {}
    for setting in settings:
        key = setting_key(setting)
        if key not in networks:
            networks[key] = build_network(circuit, setting, meter)
    return networks


def _ledgers(
    circuit: Circuit, evidence: Sequence[Evidence], networks: Iterable[Network]
) -> dict[str, dict[str, _Ledger]]:
    """Return an empty ledger for every branch of every element, by reference and branch name."""
    ledgers: dict[str, dict[str, _Ledger]] = {element.reference: {} for element in circuit.elements}
    for network in networks:
        for branch in network.branches:
            if not branch.name.endswith(" lifted"):
                ledger = ledgers[branch.part].setdefault(branch.name, _Ledger(branch.low, branch.high))
                ledger.capacitor = ledger.capacitor or branch.farads > 0.0
                if not branch.is_open:
                    ledger.low, ledger.high = branch.low, branch.high
    return ledgers


def _enter(ledgers: dict[str, dict[str, _Ledger]], evidence: Evidence) -> None:
    """Enter what a passing reading says: bounds, and what it carries."""
    least, most = evidence.allowed
    for number, branch in enumerate(evidence.network.branches):
        ledger = ledgers[branch.part].get(branch.name)
        if ledger is None:
            continue
        if evidence.carried[number] and ledger.carried_by is None:
            ledger.carried_by = evidence.reading.number
        if not branch.is_open:
            ledger.least = float(np.fmax(ledger.least, least[number]))
            ledger.most = float(np.fmin(ledger.most, most[number]))


def _suspects(
    ledgers: dict[str, dict[str, _Ledger]], kinds: dict[str, str], failing: Sequence[Evidence]
) -> tuple[dict[str, bool], int]:
    """Return the suspects, True where one value fits all readings, and how many such there are."""
    alone: dict[str, bool] = {}
    some: dict[str, bool] = {}
    bounds: dict[tuple[str, str], list[tuple[float, float]]] = {}
    for evidence in failing:
        least, most = evidence.allowed
        for number, branch in enumerate(evidence.network.branches):
            stuck = not branch.is_open or kinds[branch.part] in _STICKING
            if stuck and branch.name in ledgers[branch.part]:
                pair = (float(least[number]), float(most[number]))
                bounds.setdefault((branch.part, branch.name), []).append(pair)
    for (part, name), each in bounds.items():
        ledger = ledgers[part][name]
        fits = [low <= high for low, high in each]
        low = max([ledger.least, *(low for low, _ in each)])
        high = min([ledger.most, *(high for _, high in each)])
        if len(each) == len(failing) and all(fits) and low <= high:
            alone[part] = True
        if any(fits):
            some[part] = False
    return (alone, len(alone)) if alone else (some, 0)


def _carried(circuit: Circuit, ledgers: dict[str, dict[str, _Ledger]]) -> dict[str, int]:
    """Return, for each element all of whose branches are carried, the reading that carried the last."""
    carried: dict[str, int] = {}
    for element in circuit.elements:
        by = [ledger.carried_by for ledger in ledgers[element.reference].values()]
        told = [number for number in by if number is not None]
        if by and len(told) == len(by):
            carried[element.reference] = max(told)
    return carried


def _pinned(circuit: Circuit, ledgers: dict[str, dict[str, _Ledger]]) -> tuple[Pinned, ...]:
    """Return the parts of one branch whose value the passing readings bound on both sides."""
    result = []
    for element in circuit.elements:
        table = ledgers[element.reference]
        if element.kind in _JOINING or len(table) != 1:
            continue
        ledger = next(iter(table.values()))
        bound = np.isfinite(ledger.most) or (ledger.capacitor and ledger.least >= ledger.low)
        if ledger.least > 0.0 and bound and ledger.least <= ledger.most:
            within = ledger.least >= ledger.low * (1 - 1e-9) and ledger.most <= ledger.high * (1 + 1e-9)
            most = float(ledger.most) if np.isfinite(ledger.most) else None
            result.append(Pinned(element.reference, float(ledger.least), most, bool(within)))
    return tuple(result)


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

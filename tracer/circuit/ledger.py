"""What all readings together say of each branch: the ohms left to it, what carried it, what is suspect."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from tracer.circuit.branch import Split
from tracer.circuit.elements import Circuit
from tracer.circuit.evidence import Evidence
from tracer.circuit.results import Pinned

__all__ = [
    "JOINING",
    "STICKING",
    "BranchName",
    "Ledger",
    "Ledgers",
    "both_ways",
    "carried_branches",
    "carried_elements",
    "enter",
    "new_ledgers",
    "pinned_parts",
    "suspects_of",
]

JOINING = frozenset({"wire", "bond", "link", "chassis", "label", "contact", "fuse", "jack", "plug"})
"""Kinds that join rather than have a value of their own."""
STICKING = frozenset({"contact", "jack"})
"""Kinds whose open branches may be closed by a fault."""


@dataclass(slots=True)
class Ledger:
    """What is known of one branch over all readings, or of the total that several `sections` share.

    A `changing` branch may have other ohms at the next reading: a junction the other way round, the sections
    of a pot whose wiper was moved. Its bounds hold for one reading only. `parted` tells that a reading needed
    it open, of a contact.
    """

    low: float
    high: float
    is_open: bool = False
    capacitor: bool = False
    sections: int = 0
    changing: bool = False
    least: float = 0.0
    most: float = np.inf
    carried_by: int | None = None
    parted: bool = False


BranchName = tuple[str, str]
"""An element's reference and the name of one of its branches."""

Ledgers = dict[str, dict[str, Ledger]]
"""By element reference and branch name."""


def new_ledgers(circuit: Circuit, evidence: Sequence[Evidence]) -> Ledgers:
    """Return an empty ledger for every branch of every element, by reference and branch name."""
    ledgers: Ledgers = {element.reference: {} for element in circuit.elements}
    pots = {element.reference for element in circuit.elements if element.kind == "pot"}
    for network in dict.fromkeys(each.network for each in evidence):
        for branch in network.branches:
            if not branch.name.endswith(" lifted"):
                ledger = ledgers[branch.part].setdefault(branch.name, Ledger(branch.low, branch.high))
                ledger.changing = branch.reverse_low is not None or branch.part in pots
                ledger.capacitor = ledger.capacitor or branch.farads > 0.0
                if not branch.is_open:
                    ledger.low, ledger.high = branch.low, branch.high
        for split in network.splits:
            limits = split.total.low, split.total.high
            ledgers[split.part].setdefault(_whole(split), Ledger(*limits, sections=len(split.branches)))
    return ledgers


def _whole(split: Split) -> str:
    return f"{split.branches[0]} to {split.branches[-1]}"


def enter(ledgers: Ledgers, evidence: Evidence) -> None:
    """Enter what a passing reading says: bounds, and what it carries."""
    bounds = zip(*(side.tolist() for side in evidence.allowed), strict=True)
    carried, parted = evidence.carried.tolist(), evidence.parted.tolist()
    for number, (branch, (bottom, top)) in enumerate(zip(evidence.network.branches, bounds, strict=True)):
        ledger = ledgers[branch.part].get(branch.name)
        if ledger is None:
            continue
        if carried[number] and ledger.carried_by is None:
            ledger.carried_by = evidence.reading.number
        ledger.parted = ledger.parted or parted[number]
        if not branch.is_open and not ledger.changing and bottom == bottom:
            ledger.least, ledger.most = max(ledger.least, bottom), min(ledger.most, top)
    for number, (bottom, top) in evidence.totals.items():
        whole = ledgers[evidence.network.splits[number].part].get(_whole(evidence.network.splits[number]))
        if whole is not None:
            whole.least, whole.most = max(whole.least, bottom), min(whole.most, top)


def suspects_of(
    ledgers: Ledgers, kinds: dict[str, str], failing: Sequence[Evidence]
) -> tuple[dict[str, bool], int]:
    """Return the suspects, True where one value fits all readings, and how many such there are."""
    alone: dict[str, bool] = {}
    some: dict[str, bool] = {}
    bounds: dict[tuple[str, str], list[tuple[float, float]]] = {}
    for evidence in failing:
        least, most = evidence.allowed
        for number, branch in enumerate(evidence.network.branches):
            stuck = not branch.is_open or kinds[branch.part] in STICKING
            if stuck and branch.name in ledgers[branch.part]:
                pair = (float(least[number]), float(most[number]))
                bounds.setdefault((branch.part, branch.name), []).append(pair)
    for (part, name), each in bounds.items():
        ledger = ledgers[part][name]
        fits = [low <= high for low, high in each]
        low = max([ledger.least, *(low for low, _ in each)])
        high = min([ledger.most, *(high for _, high in each)])
        agree = low <= high or ledger.changing
        if len(each) == len(failing) and all(fits) and agree:
            alone[part] = True
        if any(fits):
            some[part] = False
    return (alone, len(alone)) if alone else (some, 0)


def carried_branches(evidence: Sequence[Evidence]) -> frozenset[BranchName]:
    """Return every branch that some passing reading carried."""
    return frozenset(
        (branch.part, branch.name)
        for each in evidence
        for branch, here in zip(each.network.branches, each.carried.tolist(), strict=True)
        if here
    )


def carried_elements(circuit: Circuit, ledgers: Ledgers) -> dict[str, int]:
    """Return, for each element all of whose branches are carried, the reading that carried the last."""
    carried: dict[str, int] = {}
    for element in circuit.elements:
        by = [ledger.carried_by for ledger in ledgers[element.reference].values() if not ledger.sections]
        told = [number for number in by if number is not None]
        if by and len(told) == len(by):
            carried[element.reference] = max(told)
    return carried


def both_ways(circuit: Circuit, ledgers: Ledgers) -> set[str]:
    """Return the contacts of which readings needed every branch made, and every branch broken."""
    sticking = [element.reference for element in circuit.elements if element.kind in STICKING]
    return {
        part
        for part in sticking
        if ledgers[part]
        and all(each.parted and each.carried_by is not None for each in ledgers[part].values())
    }


def pinned_parts(circuit: Circuit, ledgers: Ledgers) -> tuple[Pinned, ...]:
    """Return the parts of one value, branch or total, that the passing readings bound on both sides."""
    result = []
    for element in circuit.elements:
        ledger = _only_value(ledgers[element.reference])
        if element.kind in JOINING or ledger is None:
            continue
        bound = np.isfinite(ledger.most) or (ledger.capacitor and ledger.least >= ledger.low)
        if ledger.least > 0.0 and bound and ledger.least <= ledger.most:
            within = ledger.least >= ledger.low * (1 - 1e-9) and ledger.most <= ledger.high * (1 + 1e-9)
            most = float(ledger.most) if np.isfinite(ledger.most) else None
            result.append(Pinned(element.reference, float(ledger.least), most, bool(within)))
    return tuple(result)


def _only_value(table: dict[str, Ledger]) -> Ledger | None:
    """Return the ledger of a part that has one value: its only branch, or the total of all its branches."""
    # What a pot's wiper adds is no value of its own.
    values = [ledger for name, ledger in table.items() if not name.endswith(".w")]
    for ledger in values:
        if len(values) == 1 or len(values) == 1 + ledger.sections:
            return ledger
    return None

"""What the arithmetic says of simulated sets, against numpy's solver and scipy's exact covering.

A small run by default; ``TRACER_TRUTH_SETS=200 pytest --timeout 0 -s tests/truth/test_truth_circuit.py`` runs
and prints the whole of it.
"""

from __future__ import annotations

import os
import random
from collections import Counter
from dataclasses import replace

import numpy as np
import pytest
from scipy.optimize import Bounds, LinearConstraint, milp

from tests.circuit.made_sets import made_set
from tests.truth.simulated import JOINTS, METER, Fault, TrueSet, faults, make_true, pairs_of, shown
from tracer.circuit.elements import CHASSIS, Circuit, Element, Setting
from tracer.circuit.evidence import Weighing
from tracer.circuit.expect import expect
from tracer.circuit.explain import explain
from tracer.circuit.plan import plan
from tracer.circuit.points import resolve_point
from tracer.circuit.prove import prove
from tracer.circuit.results import Cause, CauseKind, Open, Reading, Tint, Verdict
from tracer.circuit.survey import touchable

SETS = int(os.environ.get("TRACER_TRUTH_SETS", "6"))
PROVED = {Tint.CARRIED, Tint.PINNED}


def true_set(seed: int) -> tuple[TrueSet, random.Random]:
    source = random.Random(seed)
    return make_true(made_set(seed, 1 + seed % 3), source), source


def read(true: TrueSet, pair: tuple[str, str], source: random.Random, number: int = 0) -> Reading:
    nodes = [resolve_point(true.circuit, point) for point in pair]
    return Reading(*pair, shown(true.between(*nodes), source), Setting(), False, number)


def test_true_readings_lie_within_the_limits() -> None:
    count = 0
    for seed in range(SETS):
        true, source = true_set(seed)
        for start, end in pairs_of(true.circuit, source)[:25]:
            nodes = [resolve_point(true.circuit, point) for point in (start, end)]
            if nodes[0] == nodes[1]:
                continue
            ohms, told = true.between(*nodes), expect(true.circuit, start, end, meter=METER)
            if told.open is Open.ALWAYS:
                assert ohms > METER.top
            else:
                assert (told.low or 0.0) * (1 - 1e-6) <= ohms + 0.05
                assert told.high is None or ohms <= told.high * (1 + 1e-6) + 0.05
            count += 1
    print(f"\n{count} true readings lie within the limits of {SETS} sets")
    assert count > 10 * SETS


def test_nothing_broken_is_ever_proved() -> None:
    proved, broken = 0, 0
    for seed in range(SETS):
        true, source = true_set(seed)
        for fault in faults(true, source, 4):
            faulty = true.faulty(fault.branches, fault.factor)
            pairs = pairs_of(true.circuit, source)[:30]
            readings = [read(faulty, pair, source, n) for n, pair in enumerate(pairs, start=1)]
            proof = prove(true.circuit, readings, METER)
            tints = dict(proof.tints)
            if fault.what == "open":
                assert tints[fault.element] not in PROVED, fault
            elif fault.what == "drifted":
                assert not _wrongly_pinned(true, faulty, fault, tints[fault.element]), fault
            proved += sum(tint in PROVED for tint in tints.values())
            broken += 1
    print(f"\n{broken} faulty sets, {proved} elements proved, none of them the faulty one")
    assert proved > broken


def test_wrong_joins_of_the_sheet_seldom_prove_what_is_broken() -> None:
    """The sheet joins two nodes that the set does not, or parts two that it joins; one element is broken."""
    told = Counter[str]()
    for seed in range(SETS):
        source = random.Random(9000 + seed)
        circuit = made_set(seed, 1 + seed % 3)
        for _ in range(4):
            true = make_true(_misread(circuit, source), source)
            fault = next((each for each in faults(true, source, 6) if each.what == "open"), None)
            known = {element.reference for element in circuit.elements}
            if fault is None or fault.element not in known:
                continue
            faulty = true.faulty(fault.branches, fault.factor)
            pairs = pairs_of(circuit, source)[:30]
            readings = [read(faulty, pair, source, n) for n, pair in enumerate(pairs, start=1)]
            tints = dict(prove(circuit, readings, METER).tints)
            told["sets"] += 1
            told["broken and proved"] += tints[fault.element] in PROVED
            told["elements proved"] += sum(tint in PROVED for tint in tints.values())
    share = told["broken and proved"] / told["sets"]
    print(f"\nunder one wrong join: {told['sets']} faulty sets, the broken element proved in {share:.1%}")
    assert told["sets"] > SETS
    assert share <= 0.1


def _misread(circuit: Circuit, source: random.Random) -> Circuit:
    """Return what a set is like whose sheet was read as `circuit`, but for one join."""
    wires = [element for element in circuit.elements if element.kind == "wire"]
    wrong = source.choice(wires)
    if source.random() < 0.5:
        return replace(circuit, elements=tuple(each for each in circuit.elements if each is not wrong))
    one, other = wrong.terminals[0][1], source.choice(wires).terminals[1][1]
    joined = Element("W9.1", "wire", (("1", one), ("2", other)))
    return replace(circuit, elements=(*circuit.elements, joined))


def _wrongly_pinned(true: TrueSet, faulty: TrueSet, fault: Fault, tint: Tint) -> bool:
    network = true.network
    ohms = sum(float(faulty.ohms[number]) for number in fault.branches)
    limits = [(network.branches[number].low, network.branches[number].high) for number in fault.branches]
    for split, numbers in zip(network.splits, network.split_numbers, strict=True):
        if set(numbers) == set(fault.branches):
            limits = [(split.total.low, split.total.high)]
    outside = not sum(low for low, _ in limits) * 0.999 <= ohms <= sum(high for _, high in limits) * 1.001
    return outside and tint is Tint.PINNED


def test_the_true_cause_comes_first_or_nearly() -> None:
    """One reading is all that is told; an open wire is by its prior far down the list of what fits it too."""
    ranks: dict[str, Counter[str]] = {"part": Counter(), "joint": Counter()}
    for seed in range(SETS):
        true, source = true_set(seed)
        kinds = {element.reference: element.kind for element in true.circuit.elements}
        for fault in faults(true, source, 6):
            faulty = true.faulty(fault.branches, fault.factor)
            reading = _failing(true, faulty, source)
            if reading is None:
                continue
            causes = explain(true.circuit, reading, METER)
            found = (place for place, each in enumerate(causes) if _is_it(true, faulty, fault, each, reading))
            place = next(found, None)
            here = ranks["joint" if kinds[fault.element] in JOINTS else "part"]
            here["all"] += 1
            here["first"] += place == 0
            here["in first three"] += place is not None and place < 3
            here["named"] += place is not None
    parts, joints = ranks["part"], ranks["joint"]
    print(f"\nparts at fault: {dict(parts)}; open joints: {dict(joints)}")
    assert min(parts["all"], joints["all"]) >= SETS
    assert parts["first"] >= 0.4 * parts["all"]
    assert parts["in first three"] >= 0.6 * parts["all"]
    assert parts["named"] >= 0.9 * parts["all"]
    assert joints["named"] >= 0.7 * joints["all"]


def _failing(true: TrueSet, faulty: TrueSet, source: random.Random) -> Reading | None:
    """Return a reading that shows the fault, of the first sixty tried."""
    known = Weighing(true.circuit, METER)
    for pair in pairs_of(true.circuit, source)[:60]:
        nodes = [resolve_point(true.circuit, point) for point in pair]
        if nodes[0] == nodes[1] or faulty.between(*nodes) == pytest.approx(true.between(*nodes), rel=0.03):
            continue
        reading = read(faulty, pair, source)
        if known.evidence(reading).verdict in (Verdict.HIGH, Verdict.LOW):
            return reading
    return None


def _is_it(true: TrueSet, faulty: TrueSet, fault: Fault, cause: Cause, reading: Reading) -> bool:
    """Whether a cause names the fault, or for a joint one that no reading of this pair can tell from it."""
    if cause.element == fault.element:
        return True
    kinds = {element.reference: element.kind for element in true.circuit.elements}
    named = kinds.get(cause.element or "", "")
    if cause.kind is not CauseKind.OPEN or named not in JOINTS or kinds[fault.element] not in JOINTS:
        return False
    other = true.faulty(true.network.branch_numbers[cause.element or ""], float("inf"))
    nodes = [resolve_point(true.circuit, point) for point in (reading.start, reading.end)]
    return other.between(*nodes) == pytest.approx(faulty.between(*nodes), rel=1e-3)


@pytest.mark.parametrize("seed", range(min(SETS, 40)))
def test_the_plan_is_the_least_cover_or_nearly(seed: int) -> None:
    circuit = made_set(seed, 1 + seed % 3)
    assert sum(element.kind not in JOINTS for element in circuit.elements) <= 60
    known = Weighing(circuit, METER)
    planned = plan(circuit, (), setting=Setting(), meter=METER, most=400, known=known)
    chosen = [_carried(known, each.start, each.end) for each in planned]
    goal = frozenset().union(*chosen)
    leads = dict.fromkeys((CHASSIS, *circuit.rails, *(each.start for each in planned)))
    candidates = list(chosen)
    for lead in leads:
        for end, _ in touchable(circuit):
            candidates.append(_carried(known, lead, end))
    # That no rail is shorted to the chassis is a thing to be shown too, and one reading alone shows it.
    checks = [frozenset({f"no short {rail}"}) | _carried(known, rail, CHASSIS) for rail in circuit.rails]
    goal = goal.union(*checks)
    useful = list({each & goal for each in (*candidates, *checks)} - {frozenset()})
    parts = sorted(goal)
    table = np.array([[part in each for each in useful] for part in parts], dtype=np.float64)
    solved = milp(
        np.ones(len(useful)),
        constraints=LinearConstraint(table, lb=1.0),
        integrality=np.ones(len(useful), dtype=np.int64),
        bounds=Bounds(0.0, 1.0),
        options={"time_limit": 60.0},
    )
    assert solved.success, solved.message
    least = round(solved.fun)
    print(f"\nset {seed}: {len(planned)} readings planned, {least} at least, {len(goal)} branches")
    assert len(planned) <= 1.05 * least


def _carried(known: Weighing, start: str, end: str) -> frozenset[str]:
    """Return the branches that a reading of the expected ohms, else of the most, would carry."""
    if resolve_point(known.circuit, start) == resolve_point(known.circuit, end):
        return frozenset()
    told = expect(known.circuit, start, end, Setting(), METER)
    shown = told.expected if told.expected is not None else told.high
    if told.open is not Open.NEVER or shown is None:
        return frozenset()
    evidence = known.evidence(Reading(start, end, shown, Setting()), told)
    names = [branch.name for branch in evidence.network.branches]
    return frozenset(name for name, here in zip(names, evidence.carried.tolist(), strict=True) if here)

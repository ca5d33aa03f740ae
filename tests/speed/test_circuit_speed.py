"""How long the arithmetic takes on sets of 300 parts and of 2000 nodes; run with --benchmark-enable."""

from __future__ import annotations

import math
import time
from collections.abc import Callable

import pytest

from tests.circuit.made_sets import made_set
from tests.circuit.networks import staged_set
from tracer.circuit.elements import Circuit, Setting
from tracer.circuit.evidence import Weighing
from tracer.circuit.expect import expect, expect_all
from tracer.circuit.explain import explain
from tracer.circuit.network import build_network
from tracer.circuit.plan import plan
from tracer.circuit.prove import prove
from tracer.circuit.results import Meter, Reading
from tracer.circuit.solve import resistance, resistances_from

Timed = Callable[..., object]
SETS = {"300 parts": 11, "2000 nodes": 84}


@pytest.fixture(params=SETS, scope="module")
def circuit(request: pytest.FixtureRequest) -> Circuit:
    return staged_set(SETS[request.param])


def test_build(benchmark: Timed, circuit: Circuit) -> None:
    benchmark(build_network, circuit)


def test_one_resistance(benchmark: Timed, circuit: Circuit) -> None:
    network = build_network(circuit)
    start, end = network.number_of["HT"], network.number_of["anode5"]
    assert benchmark(resistance, network.graph, network.high, start, end) > 0.0


def test_all_resistances_from_one_node(benchmark: Timed, circuit: Circuit) -> None:
    network = build_network(circuit)
    benchmark(resistances_from, network.graph, network.high, network.number_of["HT"])


def test_one_expectation(benchmark: Timed, circuit: Circuit) -> None:
    benchmark(expect, circuit, "HT", "anode5")


def test_all_expectations_from_the_chassis(benchmark: Timed, circuit: Circuit) -> None:
    benchmark.pedantic(expect_all, (circuit, "chassis"), rounds=1)  # type: ignore[attr-defined]


def test_all_expectations_with_three_unknown_wipers(benchmark: Timed) -> None:
    benchmark.pedantic(expect_all, (staged_set(11, pots=3), "chassis"), rounds=1)  # type: ignore[attr-defined]


WHY = {
    "high": Reading("HT1", "V1.1", 400e3, Setting()),
    "low": Reading("HT1", "chassis", 4e3, Setting()),
    "open": Reading("chassis", "V5.2", math.inf, Setting()),
}


@pytest.mark.parametrize("name", WHY)
def test_causes_on_300_parts_cold(name: str) -> None:
    """Nothing weighed before; a thousand stretches of wire come to the parts. Processor time."""
    circuit = made_set(1, 31)
    parts = sum(element.kind not in ("wire", "bond") for element in circuit.elements)
    times = []
    for _ in range(3):
        before = time.process_time()
        causes = explain(circuit, WHY[name])
        times.append(time.process_time() - before)
        assert causes
    print(
        f"\nwhy, {name}, {parts} parts and {len(circuit.elements) - parts} wires: {1e3 * min(times):.0f} ms"
    )


def test_planning_anew_on_300_parts() -> None:
    """After each of five readings, with what was weighed before at hand. Processor time."""
    circuit = made_set(1, 31)
    known = Weighing(circuit, Meter())
    ahead = plan(circuit, (), setting=Setting(), known=known)
    taken: list[Reading] = []
    times = []
    for number in range(1, 6):
        first = ahead[0]
        shown = math.inf if first.expected is None else first.expected
        taken.append(Reading(first.start, first.end, shown, first.setting, False, number))
        proof = prove(circuit, taken, known=known)
        before = time.process_time()
        ahead = plan(circuit, taken, setting=Setting(), proof=proof, known=known)
        times.append(time.process_time() - before)
    print(f"\nplanned anew in {', '.join(f'{1e3 * each:.0f}' for each in times)} ms")
    assert len(taken) == 5

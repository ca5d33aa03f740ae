"""How long the arithmetic takes on sets of 300 parts and of 2000 nodes; run with --benchmark-enable."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from tests.circuit.networks import staged_set
from tracer.circuit.elements import Circuit
from tracer.circuit.expect import expect, expect_all
from tracer.circuit.network import build_network
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

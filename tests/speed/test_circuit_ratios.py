"""The room's arithmetic beside the plain way, in one run: ``pytest -s tests/speed/test_circuit_ratios.py``.

The plain way is `scipy.linalg`: one Cholesky factorisation of the dense conductance matrix for each network,
used for all ends, and for single faults a new solution for each of them.
"""

from __future__ import annotations

import time
from collections.abc import Callable
from dataclasses import replace
from typing import TypeVar

import numpy as np
import pytest
from numpy.typing import NDArray
from scipy.linalg import cho_factor, cho_solve

from tests.circuit.networks import staged_set
from tracer.circuit.alike import expect_in_every_setting
from tracer.circuit.elements import Bank, Circuit, Element, Setting
from tracer.circuit.network import Network, build_network
from tracer.circuit.points import terminal_points
from tracer.circuit.settings import every_setting
from tracer.circuit.solve import Ohms, resistance
from tracer.circuit.sweep import Corner

Result = TypeVar("Result")
PINS, TIMED = 300, 4
LEAST_WIRE, OPEN = 1e-3, 1e12


def switched_set() -> Circuit:
    """2000 nodes; two banks of eight positions, each position with a contact that feeds another anode."""
    circuit = staged_set(84)
    banks = tuple(Bank(name, tuple(f"{number}" for number in range(8))) for name in ("BAND", "INPUT"))
    contacts = [
        Element(
            f"S{place}.{number}",
            "contact",
            (("common", f"anode{8 * place + number}"), ("make", f"grid{20 + 3 * number + place}")),
            None,
            (("closed", f"{bank.name}:{number}"),),
        )
        for place, bank in enumerate(banks)
        for number in range(8)
    ]
    return replace(circuit, elements=(*circuit.elements, *contacts), banks=banks)


def seconds(ask: Callable[[], Result]) -> tuple[float, Result]:
    """Return the processor time that an answer took, and the answer."""
    before = time.process_time()
    found = ask()
    return time.process_time() - before, found


def by_matrix(network: Network, ohms: Ohms, start: int, ends: list[int]) -> NDArray[np.float64]:
    """Return Ω to each end by one dense factorisation; wires have a milliohm, what is open 1 TΩ."""
    siemens = 1.0 / np.clip(ohms, LEAST_WIRE, OPEN)
    size, graph = len(network.nodes), network.graph
    table = np.zeros((size, size))
    np.add.at(table, (graph.starts, graph.starts), siemens)
    np.add.at(table, (graph.ends, graph.ends), siemens)
    np.add.at(table, (graph.starts, graph.ends), -siemens)
    np.add.at(table, (graph.ends, graph.starts), -siemens)
    keep = np.flatnonzero(np.arange(size) != start)
    amperes = np.zeros((size - 1, len(ends)))
    rows = [end - (end > start) for end in ends]
    amperes[rows, range(len(ends))] = 1.0
    volts = cho_solve(cho_factor(table[np.ix_(keep, keep)]), amperes)
    return np.asarray(volts[rows, range(len(ends))])


def test_all_ends_of_a_network_at_once() -> None:
    circuit = switched_set()
    settings = list(every_setting(circuit))
    assert len(settings) == 64
    points = dict(terminal_points(circuit))
    ours = plain = 0.0
    for setting in settings[:: len(settings) // TIMED]:
        network = build_network(circuit, setting)
        assert len(network.graph.starts) == len(network.branches)
        start = network.number_of["HT"]
        ends = [network.number_of[node] for node in list(points.values())[:PINS]]
        for ohms in (network.low, network.high):
            spent, found = seconds(lambda o=ohms, n=network, s=start: Corner(n.graph, o).resistances_from(s))  # type: ignore[misc]
            ours += spent
            spent, dense = seconds(lambda o=ohms, n=network, s=start, e=ends: by_matrix(n, o, s, e))  # type: ignore[misc]
            plain += spent
            near = np.isfinite(found[ends]) & (found[ends] > 1e3) & (found[ends] < 1e8)
            assert near.sum() > PINS / 2
            assert found[ends][near] == pytest.approx(dense[near], rel=1e-2)
    print(f"\nall of {PINS} ends, {len(network.nodes)} nodes: {plain / ours:.0f} times as fast as one dense")
    print(f"factorisation for each network: {ours:.2f} s beside {plain:.2f} s for {2 * TIMED} networks")


def test_every_single_fault_at_once() -> None:
    network = build_network(staged_set(84))
    start, end = network.number_of["HT"], network.number_of["anode5"]
    ours, swept = seconds(lambda: Corner(network.graph, network.low).pair(start, end))
    chosen = np.linspace(0, len(network.branches) - 1, 60).astype(int).tolist()

    def one_by_one() -> list[float]:
        found = []
        for branch in chosen:
            ohms = network.low.copy()
            ohms[branch] = np.inf
            found.append(resistance(network.graph, ohms, start, end))
        return found

    spent, alone = seconds(one_by_one)
    plain = spent * len(network.branches) / len(chosen)
    assert swept.opened[chosen] == pytest.approx(np.array(alone), rel=1e-5)
    print(f"\n{len(network.branches)} single faults: {plain / ours:.0f} times as fast as one by one")


def test_settings_with_one_network_are_worked_out_once() -> None:
    circuit = switched_set()
    spare = replace(circuit, banks=(*circuit.banks, Bank("SPARE", ("A", "B", "C", "D"))))
    ends = [name for name, _ in terminal_points(circuit)][:3]
    small = replace(spare, banks=spare.banks[1:], elements=circuit.elements[:-16])
    many, found = seconds(lambda: expect_in_every_setting(small, "HT", ends))
    one, _ = seconds(lambda: expect_in_every_setting(replace(small, banks=()), "HT", ends))
    assert {each.words for each in found} == {""}
    assert sum(len(each.settings) for each in found) == 3 * 32
    print(f"\n32 settings of one network take {many / one:.1f} times as long as one")
    assert Setting() not in found[0].settings

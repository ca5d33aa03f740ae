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
from scipy.linalg import cholesky, solve_triangular

from tests.circuit.networks import staged_set
from tracer.circuit.alike import expect_in_every_setting
from tracer.circuit.elements import Bank, Circuit, Element, Setting
from tracer.circuit.network import Network, build_network
from tracer.circuit.points import terminal_points
from tracer.circuit.search import from_node
from tracer.circuit.settings import every_setting
from tracer.circuit.solve import Ohms, resistance
from tracer.circuit.sweep import Corner
from tracer.circuit.switched import networks_in

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


def seconds(ask: Callable[[], Result], times: int = 1) -> tuple[float, Result]:
    """Return the least processor time of several that an answer took, and the answer."""
    least = float("inf")
    for _ in range(times):
        before = time.process_time()
        found = ask()
        least = min(least, time.process_time() - before)
    return least, found


def unordered(network: Network) -> Network:
    """Return the network with nothing kept that was worked out from its graph."""
    network.graph.kept.clear()
    return network


def strewn_set(nodes: int) -> Network:
    """A network without wires: parts strewn between `nodes` nodes that lie near each other, and chassis."""
    random = np.random.default_rng(7)
    elements = []
    for number in range(1, nodes):
        near = number - int(random.integers(1, min(number, 12) + 1))
        ends = [f"N{near}" if near else "HT", f"N{number}"]
        if number % 5 == 0:
            elements.append((f"R{number}b", (ends[1], "chassis")))
        elements.append((f"R{number}", (ends[0], ends[1])))
    parts = tuple(
        Element(
            name, "resistor", (("1", one), ("2", other)), f"{random.integers(1, 1000)}k", (("tol", "10%"),)
        )
        for name, (one, other) in elements
    )
    return build_network(Circuit(parts, rails=("HT",)))


def by_matrix(network: Network, ohms: Ohms, start: int, ends: list[int]) -> NDArray[np.float64]:
    """Return Ω to each end by one dense factorisation; wires have a milliohm, what is open 1 TΩ.

    The ohms to an end are the squares of its solution with the triangular factor added up, so that only half
    of each solution is worked out.
    """
    siemens = 1.0 / np.clip(ohms, LEAST_WIRE, OPEN)
    size, graph = len(network.nodes), network.graph
    table = np.zeros((size, size))
    np.add.at(table, (graph.starts, graph.starts), siemens)
    np.add.at(table, (graph.ends, graph.ends), siemens)
    np.add.at(table, (graph.starts, graph.ends), -siemens)
    np.add.at(table, (graph.ends, graph.starts), -siemens)
    keep = np.flatnonzero(np.arange(size) != start)
    amperes = np.zeros((size - 1, len(ends)), order="F")
    amperes[[end - (end > start) for end in ends], range(len(ends))] = 1.0
    whole = np.asfortranarray(table[np.ix_(keep, keep)])
    factor = cholesky(whole, lower=True, overwrite_a=True, check_finite=False)
    half = solve_triangular(factor, amperes, lower=True, overwrite_b=True, check_finite=False)
    return np.asarray(np.einsum("ij,ij->j", half, half))


def shown(what: str, ours: float, plain: float) -> None:
    print(f"\n{what}: {plain / ours:.0f} times as fast as one dense factorisation for each network")
    print(f"  {1e3 * ours:.0f} ms beside {1e3 * plain:.0f} ms")


def alike_where_told(found: Ohms, dense: Ohms) -> None:
    near = np.isfinite(found) & (found > 1e3) & (found < 1e8)
    assert near.sum() > PINS / 2
    assert found[near] == pytest.approx(dense[near], rel=1e-2)


def test_all_ends_of_one_network() -> None:
    """The least and most ohms of 300 pins from the rail, as drawn with wires and without any."""
    switched = switched_set()
    drawn = build_network(switched, next(every_setting(switched)))
    pins = [drawn.number_of[node] for _, node in terminal_points(switched)][:PINS]
    strewn = strewn_set(2000)
    cases = {"drawn with wires": (drawn, pins), "without wires": (strewn, list(range(3, 3 + PINS)))}
    for name, (network, ends) in cases.items():
        assert len(network.nodes) >= 2000
        assert len(network.graph.starts) == len(network.branches)
        start, corners = network.number_of["HT"], (network.low, network.high)
        ours, found = seconds(lambda n=network, s=start: from_node([unordered(n)], s)[0], 5)  # type: ignore[misc]
        plain, dense = seconds(
            lambda n=network, c=corners, s=start, e=ends: [by_matrix(n, ohms, s, e) for ohms in c],  # type: ignore[misc]
            3,
        )
        for one, other in zip(found, dense, strict=True):
            alike_where_told(one[ends], other)
        shown(f"{PINS} ends, {len(network.nodes)} nodes {name}, low and high", ours, plain)


def test_all_ends_in_64_settings() -> None:
    circuit = switched_set()
    settings = list(every_setting(circuit))
    assert len(settings) == 64
    pins = list(terminal_points(circuit))[:PINS]
    making, networks = seconds(lambda: list(networks_in(circuit, settings)))
    first = networks[0]
    start, ends = first.number_of["HT"], [first.number_of[node] for _, node in pins]
    ours, found = seconds(lambda: from_node([unordered(each) for each in networks], start), 2)
    chosen = range(0, len(settings), len(settings) // TIMED)
    spent, dense = seconds(
        lambda: [[by_matrix(networks[at], o, start, ends) for o in _corners(networks[at])] for at in chosen]
    )
    for at, rows in zip(chosen, dense, strict=True):
        for row, ohms in zip(rows, found[at], strict=True):
            alike_where_told(ohms[ends], row)
    plain = spent * len(settings) / len(chosen)
    shown(f"{PINS} ends in {len(settings)} settings, low and high", ours, plain)
    print(f"  the networks themselves: {1e3 * making:.0f} ms")
    told, answers = seconds(lambda: expect_in_every_setting(circuit, "HT", [name for name, _ in pins]))
    assert sum(len(each.settings) for each in answers) == len(settings) * len(pins)
    print(f"  with shares, notes, probable range and settling time of every end: {told:.1f} s")


def _corners(network: Network) -> tuple[Ohms, Ohms]:
    return network.low, network.high


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

"""Resistance between two nodes: textbook networks, each with its published source (all from memory)."""

from __future__ import annotations

import itertools
import math

import numpy as np
import pytest

from tracer.circuit.solve import (
    Graph,
    between,
    flow,
    joined_groups,
    reduced,
    resistance,
    resistances_from,
    spread,
)


def equal(size: int, pairs: list[tuple[int, int]], ohms: float = 1.0) -> tuple[Graph, np.ndarray]:
    return Graph.of(size, pairs), np.full(len(pairs), ohms)


CUBE = [(a, a | bit) for a in range(8) for bit in (1, 2, 4) if not a & bit]


@pytest.mark.parametrize(("corner", "ohms"), [(0b111, 5 / 6), (0b011, 3 / 4), (0b001, 7 / 12)])
def test_cube_of_equal_resistors(corner: int, ohms: float) -> None:
    """E. Purcell, Electricity and Magnetism (1965), problem on the cube: 5/6, 3/4 and 7/12 of one edge."""
    assert resistance(*equal(8, CUBE), 0, corner) == pytest.approx(ohms, rel=1e-14)


def test_wheatstone_bridge_in_balance_carries_nothing_across() -> None:
    """C. Wheatstone, Phil. Trans. R. Soc. 133 (1843): with a/b = c/d no current crosses."""
    bridge = Graph.of(4, [(0, 1), (1, 3), (0, 2), (2, 3), (1, 2)])
    here = flow(bridge, np.array([120.0, 240.0, 500.0, 1000.0, 33.0]), 0, 3)
    assert here.ohms == pytest.approx(360.0 * 1500.0 / 1860.0, rel=1e-14)
    assert here.currents[4] == pytest.approx(0.0, abs=1e-15)


def test_wheatstone_bridge_out_of_balance() -> None:
    """By star-delta by hand: arms 1, 2 and 3, 1 Ω with 1 Ω across."""
    bridge = Graph.of(4, [(0, 1), (1, 3), (0, 2), (2, 3), (1, 2)])
    star = [1 * 3 / 5, 1 * 1 / 5, 3 * 1 / 5]  # the upper triangle's star: top, left, right
    left, right = star[1] + 2, star[2] + 1
    assert resistance(bridge, np.array([1.0, 2.0, 3.0, 1.0, 1.0]), 0, 3) == pytest.approx(
        star[0] + left * right / (left + right), rel=1e-14
    )


def test_star_and_delta_agree() -> None:
    """A. E. Kennelly, Electrical World and Engineer 34 (1899): a delta and its star, seen from any pair."""
    a, b, c = 4.7, 10.0, 33.0
    total = a * b + b * c + c * a
    star = Graph.of(4, [(0, 3), (1, 3), (2, 3)])
    delta = Graph.of(3, [(1, 2), (2, 0), (0, 1)])
    for one, other in itertools.combinations(range(3), 2):
        assert resistance(star, np.array([a, b, c]), one, other) == pytest.approx(
            resistance(delta, np.array([total / a, total / b, total / c]), one, other), rel=1e-14
        )


def test_ladder_tends_to_the_golden_ratio() -> None:
    """R. Feynman, Lectures on Physics II (1964), 22-6: the endless ladder of equal resistors, φ times one."""
    sections = 40
    pairs = [(0, 2)] + [(k, k + 1) for k in range(2, sections + 1)] + [(k, 1) for k in range(2, sections + 2)]
    golden = (1 + math.sqrt(5)) / 2
    assert resistance(*equal(sections + 2, pairs), 0, 1) == pytest.approx(golden, rel=1e-13)


@pytest.mark.parametrize("sections", [1, 2, 5, 12])
def test_ladder_of_some_sections_is_a_ratio_of_fibonacci_numbers(sections: int) -> None:
    """A. M. Morgan-Voyce, IRE Trans. Circuit Theory 6 (1959): F(2n+1)/F(2n) of one resistor."""
    fibonacci = [0, 1]
    while len(fibonacci) <= 2 * sections + 1:
        fibonacci.append(fibonacci[-1] + fibonacci[-2])
    pairs = [(0, 2)] + [(k, k + 1) for k in range(2, sections + 1)] + [(k, 1) for k in range(2, sections + 2)]
    expected = fibonacci[2 * sections + 1] / fibonacci[2 * sections]
    assert resistance(*equal(sections + 2, pairs), 0, 1) == pytest.approx(expected, rel=1e-14)


@pytest.mark.parametrize("size", [3, 4, 5, 8, 70])
def test_every_pair_of_a_full_mesh(size: int) -> None:
    """D. J. Klein and M. Randić, J. Math. Chem. 12 (1993): 2/n of one resistor in the complete graph."""
    assert resistance(
        *equal(size, list(itertools.combinations(range(size), 2))), 0, size - 1
    ) == pytest.approx(2 / size, rel=1e-13)


@pytest.mark.parametrize("size", [3, 6, 11])
def test_ring(size: int) -> None:
    """Klein and Randić (1993): k(n - k)/n round a ring of n."""
    graph, ohms = equal(size, [(k, (k + 1) % size) for k in range(size)])
    for k in range(1, size):
        assert resistance(graph, ohms, 0, k) == pytest.approx(k * (size - k) / size, rel=1e-14)


@pytest.mark.parametrize(
    ("name", "pairs", "size", "ohms"),
    [
        ("tetrahedron", list(itertools.combinations(range(4), 2)), 4, 1 / 2),
        ("octahedron", [p for p in itertools.combinations(range(6), 2) if sum(p) != 5], 6, 5 / 12),
        ("cube", CUBE, 8, 7 / 12),
    ],
)
def test_neighbours_in_platonic_bodies(
    name: str, pairs: list[tuple[int, int]], size: int, ohms: float
) -> None:
    """F. J. van Steenwijk, Am. J. Phys. 66 (1998): between neighbours, (n - 1) over the number of edges."""
    assert resistance(*equal(size, pairs), *pairs[0]) == pytest.approx(ohms, rel=1e-14), name


def test_milliohm_beside_22_megohms() -> None:
    graph = Graph.of(3, [(0, 1), (1, 2), (1, 2)])
    assert resistance(graph, np.array([22e6, 1e-3, 1e-3]), 1, 2) == 5e-4
    assert resistance(graph, np.array([22e6, 1e-3, 22e6]), 0, 2) == pytest.approx(22e6 + 1e-3, rel=1e-15)
    beside = Graph.of(2, [(0, 1), (0, 1)])
    assert resistance(beside, np.array([22e6, 1e-3]), 0, 1) == pytest.approx(
        1e-3 / (1 + 1e-3 / 22e6), rel=1e-15
    )


def test_a_milliohm_far_behind_megohms_is_not_lost() -> None:
    """A direct solve of node equations would subtract 1000.0000000001 from 1000 here."""
    graph = Graph.of(5, [(0, 1), (1, 2), (2, 3), (3, 4), (1, 4)])
    ohms = np.array([22e6, 1e-3, 1e-3, 1e-3, 22e6])
    assert resistance(graph, ohms, 2, 3) == pytest.approx(1e-3 / (1 + 1e-3 / (22e6 + 2e-3)), rel=1e-14)


def test_islands_are_open_and_a_node_is_joined_to_itself() -> None:
    graph = Graph.of(4, [(0, 1), (2, 3)])
    ohms = np.array([10.0, 10.0])
    assert resistance(graph, ohms, 0, 2) == math.inf
    assert resistance(graph, ohms, 1, 1) == 0.0
    assert resistance(Graph.of(2, []), np.array([]), 0, 1) == math.inf


def test_loops_of_nought_ohms_join() -> None:
    graph = Graph.of(5, [(0, 1), (1, 2), (2, 0), (2, 2), (2, 3), (3, 4), (4, 3)])
    ohms = np.array([0.0, 0.0, 0.0, 5.0, 7.0, 0.0, 0.0])
    assert resistance(graph, ohms, 0, 1) == 0.0
    assert resistance(graph, ohms, 0, 4) == 7.0
    assert joined_groups(graph, ohms).tolist() == [0, 0, 0, 3, 3]


def test_open_branches_are_left_out() -> None:
    graph = Graph.of(3, [(0, 1), (1, 2), (0, 2)])
    assert resistance(graph, np.array([1.0, math.inf, 3.0]), 0, 2) == 3.0
    assert resistance(graph, np.array([1.0, math.inf, math.inf]), 0, 2) == math.inf


def test_only_what_lies_between_the_leads_counts_as_on_the_way() -> None:
    graph = Graph.of(6, [(0, 1), (1, 2), (1, 3), (3, 4), (4, 1), (2, 5)])
    assert between(graph, np.ones(6, dtype=bool), 0, 2).tolist() == [True, True, False, False, False, False]
    here = flow(graph, np.array([1.0, 2.0, 9.0, 9.0, 9.0, 4.0]), 0, 2)
    assert here.ohms == 3.0
    assert here.currents.tolist() == [1.0, 1.0, 0.0, 0.0, 0.0, 0.0]


def test_current_has_the_sign_of_the_branch() -> None:
    assert flow(Graph.of(2, [(1, 0)]), np.array([5.0]), 0, 1).currents.tolist() == [-1.0]


def test_all_from_one_node_at_once() -> None:
    graph, ohms = equal(9, CUBE)
    assert resistances_from(graph, ohms, 0).tolist() == pytest.approx(
        [0, 7 / 12, 7 / 12, 3 / 4, 7 / 12, 3 / 4, 3 / 4, 5 / 6, math.inf]
    )
    whole = spread(graph, ohms, 0)
    assert whole.volts(7)[3] == pytest.approx(whole.volts(3)[7], rel=1e-13)


def test_very_large_and_very_small_values_stay_finite() -> None:
    graph = Graph.of(4, [(0, 1), (1, 2), (2, 3), (3, 0)])
    for ohms in ([1e-290, 1e290, 1e-290, 1e290], [1e-300, 1e300, 0.0, math.inf], [5e-324, 1.0, 1.0, 1.0]):
        for node in range(1, 4):
            assert not math.isnan(resistance(graph, np.array(ohms), 0, node))


@pytest.mark.filterwarnings("error")
def test_a_dense_piece_that_holds_no_kept_node_vanishes() -> None:
    size = 60
    mesh = list(itertools.combinations(range(size), 2))
    graph, ohms = equal(2 * size, mesh + [(a + size, b + size) for a, b in mesh])
    group, seen = reduced(graph, ohms, [0, 1])
    assert group.tolist() == list(range(2 * size))
    assert set(seen) == {0, 1}
    assert seen[0][1] == pytest.approx(size / 2, rel=1e-12)
    assert resistance(graph, ohms, 0, size) == math.inf

"""What a meter should show, given what the readings so far have left to each part.

What is expected from the print takes every part anywhere within its limits. Readings that passed pin some
parts closer; with these in place of their limits the same pair has a second, narrower figure. The two are
never mixed: a verdict goes by the print.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import replace

from tracer.circuit.branch import Branch
from tracer.circuit.elements import Circuit, Setting
from tracer.circuit.expect import expect_on
from tracer.circuit.network import Network, build_network
from tracer.circuit.results import Expectation, Meter, Pinned

__all__ = ["expect_given", "narrowed"]


def expect_given(
    circuit: Circuit,
    start: str,
    end: str,
    pinned: Iterable[Pinned],
    setting: Setting | None = None,
    meter: Meter | None = None,
) -> Expectation:
    """Return what a meter between two points should show if each pinned part has what the readings left it.

    Parameters
    ----------
    pinned : iterable of Pinned
        As `tracer.circuit.prove.prove` gives them.

    Raises
    ------
    UnknownPoint, SamePoint, UnknownPosition, BadValue, BadWiring
        As `tracer.circuit.expect.expect`.

    Examples
    --------
    >>> from tracer.circuit.wiring import parse_wiring
    >>> pair = parse_wiring("resistor R1: 1=A 2=B; 1k; tol=10%")
    >>> given = expect_given(pair, "A", "B", [Pinned("R1", 990.0, 1015.0, True)])
    >>> [round(ohms, 6) for ohms in (given.low, given.expected, given.high)]
    [990.0, 1000.0, 1015.0]
    """
    meter = meter or Meter()
    network = build_network(circuit, setting, meter)
    return expect_on(narrowed(network, pinned), circuit, start, end, meter)


def narrowed(network: Network, pinned: Iterable[Pinned]) -> Network:
    """Return a network whose pinned parts of one branch have what is left to them.

    That is what both the print and the readings allow; where they exclude each other, what the readings do.
    """
    left = {each.part: each for each in pinned}
    branches = tuple(
        _left(branch, left[branch.part])
        if branch.part in left and branch.name == branch.part and not branch.blocks
        else branch
        for branch in network.branches
    )
    return replace(network, branches=branches)


def _left(branch: Branch, pinned: Pinned) -> Branch:
    most = math.inf if pinned.high is None else pinned.high
    low, high = max(branch.low, pinned.low), min(branch.high, most)
    if low > high:
        low, high = pinned.low, most
    middle = branch.expected
    if middle is None:
        middle = math.sqrt(low * high) if low > 0.0 and high < math.inf else None
    return replace(
        branch, low=low, high=high, expected=None if middle is None else min(max(middle, low), high)
    )

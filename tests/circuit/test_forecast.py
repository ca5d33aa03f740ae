"""Many pairs with one branch changed, against the network made anew."""

from __future__ import annotations

import math

import numpy as np
import pytest

from tests.circuit.made_sets import made_set
from tracer.circuit.elements import Setting
from tracer.circuit.forecast import Pairs, forecast
from tracer.circuit.network import build_network
from tracer.circuit.results import Meter
from tracer.circuit.sweep import Corner


@pytest.mark.parametrize("seed", range(4))
@pytest.mark.parametrize("corner", ["low", "high"])
def test_a_changed_branch_reads_as_the_network_made_anew(seed: int, corner: str) -> None:
    network = build_network(made_set(seed, 1 + seed % 3), Setting(), Meter())
    # As everywhere, wires have no ohms at the high corner, so that nothing blurs.
    joints = (network.low == 0.0) & (network.high <= 1.0)
    ohms = network.low if corner == "low" else np.where(joints, 0.0, network.high)
    source = np.random.default_rng(seed)
    starts, ends = source.integers(0, network.graph.size, (2, 40))
    starts, ends = starts[starts != ends], ends[starts != ends]
    pairs = Pairs.of(Corner(network.graph, ohms), starts, ends)
    for number in source.choice(len(network.branches), 25, replace=False).tolist():
        nodes = int(network.graph.starts[number]), int(network.graph.ends[number])
        for value in (0.0, 470.0, 3.3e5, math.inf):
            changed = ohms.copy()
            changed[number] = value
            anew = Corner(network.graph, changed)
            wanted = [anew.resistance(*pair) for pair in zip(starts.tolist(), ends.tolist(), strict=True)]
            found = forecast(pairs, nodes, number, value)
            assert found == pytest.approx(np.array(wanted), rel=1e-4, abs=1e-3)

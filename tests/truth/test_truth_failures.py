"""Causes of failures are told as they were made."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace

import numpy as np
from another_sheet import finish
from another_sheets import walked
from failures import causes
from known import true_layers

from tracer.reader.layers import Layers
from tracer.trace.trace import trace
from tracer.training.truth import SheetTruth


def _floods(truth: SheetTruth, layers: Layers) -> Counter[str]:
    told = causes(truth, trace(layers, truth.image.shape))
    return Counter(each for each in told if each.startswith(("split", "merged", "lost")))


def test_a_wire_rubbed_out_is_a_split_and_two_wires_inked_together_are_a_merge() -> None:
    truth = finish(walked("push-pull amplifier"), 502)
    layers = true_layers(truth)
    before = _floods(truth, layers)
    assert before.total() <= 2
    rail = max(truth.conductors, key=lambda each: len(each.ends))
    x, y = (round(float(each)) for each in rail.points[np.argmax(rail.points[:, 0])])
    rubbed = layers.classes.copy()
    rubbed[y - 40 : y + 40, x - 60 : x + 60] = 0
    found = _floods(truth, replace(layers, classes=rubbed)) - before
    assert found == Counter(["split on plain wire", "lost on plain wire"])
    one, other = (truth.conductors[number].points[0] for number in (5, 6))
    inked = layers.classes.copy()
    for part in np.linspace(0, 1, 4000):
        px, py = (one + part * (other - one)).round().astype(int)
        inked[py - 1 : py + 2, px - 1 : px + 2] = 1
    after = _floods(truth, replace(layers, classes=inked)) - before
    assert any(each.startswith("merged") for each in after)

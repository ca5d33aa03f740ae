"""Scans of real sheets, kept outside the project: ``TRACER_SCANS`` names their folder.

Beside ``NAME.png`` a ``NAME.json`` holds labels made by eye: ``points`` as [name, x, y, conductor] and
``parts``
as [x0, y0, x1, y1, kind], page px. The scans are for measuring only; nothing is trained on them.
"""

from __future__ import annotations

import json
import os
from collections import defaultdict
from pathlib import Path

import pytest
from scoring import describe, score_points

from tracer.reader.read import read
from tracer.scan.open import open_page
from tracer.trace.mend import Body
from tracer.trace.trace import trace

FOLDER = os.environ.get("TRACER_SCANS", "")
LABELLED = sorted(Path(FOLDER).glob("*.json")) if FOLDER else []


@pytest.mark.skipif(not LABELLED, reason="TRACER_SCANS names no folder with labelled scans")
@pytest.mark.parametrize("labels", LABELLED, ids=lambda path: path.stem)
def test_labelled_scans_flood_clean(labels: Path) -> None:
    known = json.loads(labels.read_text(encoding="utf-8"))
    points: dict[int, list[tuple[float, float]]] = defaultdict(list)
    for _, x, y, conductor in known["points"]:
        points[conductor].append((float(x), float(y)))
    page = open_page(labels.parent / known["image"])
    layers = read(page)
    shape = page.grey.shape
    alone = score_points(trace(layers, (shape[0], shape[1])), points, within=2.0)
    bodies = [Body((x0, y0, x1, y1), kind) for x0, y0, x1, y1, kind in known["parts"]]
    helped = score_points(trace(layers, (shape[0], shape[1]), bodies=bodies), points, within=2.0)
    print("\n" + describe(labels.stem, [alone]) + "\n" + describe("  with bodies by hand", [helped]))
    assert alone.rate >= 0.85
    assert helped.rate >= 0.85

"""Scans of real sheets, kept outside the project: ``TRACER_SCANS`` names their folder (see `scans`)."""

from __future__ import annotations

import os
from pathlib import Path

import pytest
from known import points_of
from measuring import follow, measure
from printing import print_tables, summary
from scans import labelled_scan, labels_in
from scoring import score_points
from sheets import SheetOrder
from tables import weights_of

from tracer.reader.read import read
from tracer.scan.page import Page
from tracer.trace.mend import Body
from tracer.trace.trace import trace

FOLDER = os.environ.get("TRACER_SCANS", "")
LABELLED = labels_in(Path(FOLDER)) if FOLDER else []


@pytest.mark.skipif(not LABELLED, reason="TRACER_SCANS names no folder with labelled scans")
@pytest.mark.parametrize("labels", LABELLED, ids=lambda path: path.stem)
def test_labelled_scans_flood_clean(labels: Path) -> None:
    truth = labelled_scan(labels)
    figures = measure(truth, follow(truth, weights_of("installed"), letters=False), letters=False)
    print_tables(summary({SheetOrder("scans", labels.stem, 0, 0): figures}))
    assert figures.tallies["clean"].share >= 0.5


@pytest.mark.skipif(not LABELLED, reason="TRACER_SCANS names no folder with labelled scans")
@pytest.mark.parametrize("labels", LABELLED, ids=lambda path: path.stem)
def test_bodies_given_by_hand_do_no_harm(labels: Path) -> None:
    truth = labelled_scan(labels)
    height, width = truth.image.shape
    layers = read(Page(truth.image, labels, 1, None, "scan"), weights=weights_of("installed"))
    bodies = [Body((int(x0), int(y0), int(x1), int(y1)), part.kind)
              for part in truth.parts for x0, y0, x1, y1 in [part.box]]  # fmt: skip
    points = points_of(truth, along=True)
    alone = score_points(trace(layers, (height, width)), points, within=2.0)
    helped = score_points(trace(layers, (height, width), bodies=bodies), points, within=2.0)
    print(f"\n{labels.stem}: {alone.clean} clean of {alone.conductors}, {helped.clean} with bodies by hand")
    assert helped.clean >= 0.9 * alone.clean

"""Scans of real sheets with labels made by eye; they lie outside the project and nothing is trained on them.

Beside ``NAME.png`` a ``NAME.json`` holds ``image``, ``points`` as [name, x, y, conductor] and ``parts`` as
[x0, y0, x1, y1, kind], page px. What the eye could not decide is left out, and not every part is labelled.
"""

from __future__ import annotations

import json
from collections import defaultdict
from pathlib import Path

import numpy as np

from tracer.scan.open import open_page
from tracer.training.truth import Conductor, DrawnPart, SheetTruth

__all__ = ["labelled_scan", "labels_in"]

_CELL = 4


def labels_in(folder: Path) -> list[Path]:
    """List the labels of a folder."""
    return sorted(path for path in folder.glob("*.json") if path.with_suffix(".png").exists())


def labelled_scan(labels: Path) -> SheetTruth:
    """Open a scan with what is known of it."""
    known = json.loads(labels.read_text(encoding="utf-8"))
    grey = open_page(labels.parent / known["image"]).grey
    places: dict[int, list[tuple[float, float]]] = defaultdict(list)
    for _, x, y, conductor in known["points"]:
        places[conductor].append((float(x), float(y)))
    conductors = tuple(Conductor(number, (), np.array(points)) for number, points in sorted(places.items()))
    parts = tuple(
        DrawnPart(number, kind, kind, "", "", (float(x0), float(y0), float(x1), float(y1)), ())
        for number, (x0, y0, x1, y1, kind) in enumerate(known["parts"], start=1)
    )
    kinds = np.zeros((-(-grey.shape[0] // _CELL), -(-grey.shape[1] // _CELL)), np.uint8)
    return SheetTruth(grey, np.zeros_like(grey), kinds, ("none",), 0.0, conductors, parts, (), ())

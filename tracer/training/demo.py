"""The demo: its sheet drawn from the description and spoiled, and what a person would confirm on it.

``python -m tracer.training.demo --layout fixtures/demo/layout.json --to assets/demo`` makes them again.
"""

from __future__ import annotations

import argparse
import json
from pathlib import Path
from typing import Any

import numpy as np
from PIL import Image

from tracer.training.described import DescribedPart, DescribedSheet, draw_described
from tracer.training.spoil import spoil
from tracer.training.truth import SheetTruth

__all__ = ["confirmations", "main", "spoiled_demo"]

SPOILING = (2, 11)
"""Level and seed of the demo's scan: a fair photocopy, a little askew."""


def spoiled_demo(layout: Path) -> tuple[DescribedSheet, SheetTruth]:
    """Draw the described sheet and spoil it; the truth moves with the pixels."""
    drawn = draw_described(layout)
    level, seed = SPOILING
    return drawn, spoil(drawn.truth, level, seed)


def confirmations(description: dict[str, Any], drawn: DescribedSheet, scan: SheetTruth) -> dict[str, Any]:
    """What a person would confirm: boxes, kinds, references, values and terminals in pixels, no nodes.

    A hand is never exact: each terminal strays by up to 1 px and lies a little outside the body, and each
    box is drawn with a margin of half a stroke.
    """
    hand = np.random.default_rng(SPOILING[1])
    moved = {part.number: part for part in scan.parts}
    tags = [
        _tag(row, part, moved[part.drawn.number], scan.stroke, hand)
        for row, part in zip(description["symbols"], drawn.parts, strict=True)
    ]
    rails = [{"name": name} for name in description["rails"]]
    return {"tags": tags, "banks": description["banks"], "rails": rails}


def _tag(
    row: dict[str, Any], part: DescribedPart, moved: Any, stroke: float, hand: np.random.Generator
) -> dict[str, Any]:
    names = dict(part.names)
    x0, y0, x1, y1 = moved.box
    margin = stroke / 2
    given = row.get("tag", {})
    terminals = []
    for terminal in moved.terminals:
        if terminal.name in names:
            stray = hand.uniform(-1, 1, 2)
            x, y = moved.out(terminal.name, 1.5 * stroke) + stray
            terminals.append({"name": names[terminal.name], "x": round(float(x), 1), "y": round(float(y), 1)})
    tag: dict[str, Any] = {
        "box": [int(x0 - margin), int(y0 - margin), int(np.ceil(x1 + margin)), int(np.ceil(y1 + margin))],
        "kind": given.get("kind", moved.kind),
        "reference": row["reference"],
        "value": given.get("value", row.get("value") or None),
        "terminals": terminals,
    }
    if "options" in given:
        tag["options"] = given["options"]
    return tag


def main() -> None:
    """Write ``sheet.png`` and ``confirmations.json``."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--layout", type=Path, required=True)
    parser.add_argument("--to", type=Path, required=True)
    given = parser.parse_args()
    drawn, scan = spoiled_demo(given.layout)
    description = json.loads(given.layout.read_text(encoding="utf-8"))
    given.to.mkdir(parents=True, exist_ok=True)
    Image.fromarray(scan.image).save(given.to / "sheet.png", optimize=True, dpi=(200, 200))
    confirmed = confirmations(description, drawn, scan)
    lines = ",\n".join(f"  {json.dumps(tag)}" for tag in confirmed["tags"])
    rest = {key: value for key, value in confirmed.items() if key != "tags"}
    text = f'{{\n "tags": [\n{lines}\n ],\n {json.dumps(rest)[1:-1]}\n}}\n'
    (given.to / "confirmations.json").write_text(text, encoding="utf-8")


if __name__ == "__main__":
    main()

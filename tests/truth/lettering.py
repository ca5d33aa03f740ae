"""How well lettering finds its parts, on drawn sheets; and whether it knows how well.

``python tests/truth/lettering.py --sheets 6 --card assets/letters.json`` draws sheets that the training never
draws, spoils, reads and traces them, and writes the counts into the recogniser's card.
"""

from __future__ import annotations

import argparse
import json
import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise
from pathlib import Path
from typing import Any

import numpy as np
from counting import Tally
from measuring import match_parts
from scipy.optimize import isotonic_regression

from tracer.circuit.kinds import kinds
from tracer.reader.letters import read_lettering
from tracer.reader.read import read
from tracer.scan.page import Page
from tracer.trace.naming import name_proposals
from tracer.trace.sheet import Proposal, TracedSheet
from tracer.trace.trace import trace
from tracer.training.layout import draw_sheet
from tracer.training.sheet import SheetDrawing
from tracer.training.spoil import LEVELS, spoil
from tracer.training.truth import DrawnPart, SheetTruth

__all__ = ["Named", "Wanted", "calibration", "draw_lettered", "judge", "main", "summary"]

Shares = Sequence[tuple[float, float]]

FIRST_SEED = 31000
FIRST_FITTED = 51000
RATING = re.compile(
    r"(?<=\w)[ /]\d+ ?V\w?$", re.IGNORECASE
)  # what a capacitor stands is no part of its value
POINTS, LEAST = 12, 25  # of the fit at most, and names to each at least
SIZE = (1600, 1200)  # px
BINS = (0.0, 0.5, 0.6, 0.7, 0.8, 0.9, 0.95, 0.98, 1.01)


@dataclass(frozen=True)
class Wanted:
    """A part and what is lettered for it; empty where nothing is."""

    part: DrawnPart
    reference: str
    value: str


@dataclass(frozen=True)
class Named:
    """What a part should be given, what it was given, and how sure that is; `given` is None for nothing."""

    field: str
    wanted: str
    given: str | None
    sure: float

    @property
    def right(self) -> bool:
        return self.given is not None and _plain(self.given) == _plain(self.wanted)

    @property
    def wrong(self) -> bool:
        return self.given is not None and not self.right


def draw_lettered(seed: int) -> tuple[SheetTruth, dict[int, tuple[str, str]]]:
    """Draw a sheet; also what is lettered for each part, by its number: not every one has room for it."""
    drawn: list[str] = []
    lettered = SheetDrawing.text

    def spy(self: SheetDrawing, x: float, y: float, text: str, **more: Any) -> None:
        drawn.append(text)
        lettered(self, x, y, text, **more)

    SheetDrawing.text = spy  # type: ignore[method-assign]
    try:
        truth = draw_sheet(seed, *SIZE)
    finally:
        SheetDrawing.text = lettered  # type: ignore[method-assign]
    return truth, {part.number: _lettered(part, drawn) for part in truth.parts}


def _lettered(part: DrawnPart, drawn: Sequence[str]) -> tuple[str, str]:
    """Reference and value as far as they were drawn; a value comes right after its reference."""
    if not part.reference or part.reference not in drawn:
        return "", ""
    after = drawn.index(part.reference) + 1
    kind = kinds().get(part.kind)
    told = kind is not None and kind.unit is not None and drawn[after : after + 1] == [part.value]
    return part.reference, RATING.sub("", part.value) if told else ""


def judge(wanted: Sequence[Wanted], proposals: Sequence[Proposal]) -> Iterator[tuple[Named, ...]]:
    """Yield for each lettered part what came of its reference and value."""
    pairs = match_parts([one.part for one in wanted], proposals)
    found = {part.number: other for part, other in pairs}
    for one in wanted:
        if not one.reference:
            continue
        other = found.get(one.part.number)
        named = [Named("reference", one.reference, None, 0.0), Named("value", one.value, None, 0.0)]
        if other is not None:
            named = [
                Named("reference", one.reference, other.reference, other.reference_confidence),
                Named("value", one.value, other.value, other.value_confidence),
            ]
        yield tuple(each for each in named if each.wanted)


def _plain(text: str) -> str:
    return text.replace(" ", "").replace(",", ".").replace("µ", "u")


def summary(parts: Sequence[tuple[Named, ...]]) -> dict[str, Any]:
    """Count what is right and what is wrong, each with its interval."""
    both = Tally(sum(all(each.right for each in part) for part in parts), len(parts))
    figures: dict[str, Any] = {"parts all right": _told(both)}
    for field in ("reference", "value"):
        some = [each for part in parts for each in part if each.field == field]
        figures[f"{field}s right"] = _told(Tally(sum(each.right for each in some), len(some)))
        figures[f"{field}s wrong"] = sum(each.wrong for each in some)
    return figures


def _told(tally: Tally) -> dict[str, Any]:
    low, high = tally.interval
    return {"right": tally.right, "of": tally.of, "share": round(tally.share, 3),
            "interval": [round(low, 3), round(high, 3)]}  # fmt: skip


def calibration(named: Sequence[Named]) -> list[dict[str, Any]]:
    """Give the share that is right among what was proposed with a confidence in each bin."""
    table = []
    for low, high in pairwise(BINS):
        some = [each for each in named if each.given is not None and low <= each.sure < high]
        if some:
            mean = sum(each.sure for each in some) / len(some)
            table.append(
                {"from": low, "mean": round(mean, 3), **_told(Tally(sum(e.right for e in some), len(some)))}
            )
    return table


def fitted(named: Sequence[Named]) -> list[list[float]]:
    """Fit how sure a name is to the share that was right: rising, by least squares (pool adjacent violators).

    The points are the middles of groups of like size, each with the share of right ones in its stretch.
    """
    some = sorted((each.sure, each.right) for each in named if each.given is not None)
    groups = np.array_split(np.array(some, dtype=np.float64), max(2, min(POINTS, len(some) // LEAST)))
    means = np.array([group.mean(axis=0) for group in groups])
    weights = np.array([len(group) for group in groups])
    rising = isotonic_regression(means[:, 1], weights=weights).x
    return [[round(float(x), 3), round(float(y), 3)] for x, y in zip(means[:, 0], rising, strict=True)]


def _measured(seeds: range, shares: Shares) -> tuple[dict[str, Any], list[Named]]:
    figures: dict[str, Any] = {}
    every: list[Named] = []
    for level, name in enumerate(LEVELS):
        parts: list[tuple[Named, ...]] = []
        for seed in seeds:
            truth, lettered = draw_lettered(seed)
            moved = spoil(truth, level, seed)
            wanted = [Wanted(part, *lettered[part.number]) for part in moved.parts]
            parts += judge(wanted, _follow(moved, shares).proposals)
        figures[name] = summary(parts)
        every += [each for part in parts for each in part]
        print(name, json.dumps(figures[name]), flush=True)
    return figures, every


def _follow(truth: SheetTruth, shares: Shares) -> TracedSheet:
    page = Page(truth.image, Path("drawn.png"), 1, None, "drawn")
    layers = read(page)
    height, width = truth.image.shape
    return name_proposals(trace(layers, (height, width)), read_lettering(page, layers), shares=shares)


def main() -> None:
    """Fit how sure names are on some sheets, measure on others, print, and write both into the card."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--sheets", type=int, default=6, help="for each level of spoiling")
    parser.add_argument(
        "--fit", type=int, default=4, help="other sheets, to fit how sure names are; 0 keeps it"
    )
    parser.add_argument("--card", type=Path, required=True)
    options = parser.parse_args()
    card = json.loads(options.card.read_text("utf-8"))
    if options.fit:
        _, every = _measured(range(FIRST_FITTED, FIRST_FITTED + options.fit), ())
        card["naming_confidence"] = fitted(every)
    shares = [(gathered, share) for gathered, share in card.get("naming_confidence", ())]
    figures, every = _measured(range(FIRST_SEED, FIRST_SEED + options.sheets), shares)
    table = calibration(every)
    print(*table, sep="\n")
    told = {"sheets for each level": options.sheets, "by level": figures, "confidence": table}
    card["figures"] = {**card.get("figures", {}), "named_on_drawn_sheets": told}
    options.card.write_text(json.dumps(card, indent=1, ensure_ascii=False) + "\n", "utf-8")


if __name__ == "__main__":
    main()

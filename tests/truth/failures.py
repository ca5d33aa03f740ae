"""The commonest failures of the reader, told by cause and counted: ``python tests/truth/failures.py``.

Causes are told by what is known of the sheets: which part two merged conductors share, whether a split lies
at a crossing, at a body or on plain wire, which kind of part was lost or taken for another::

    python tests/truth/failures.py --group "another hand" --levels 2 3 --most 10
"""

from __future__ import annotations

import argparse
from collections import Counter
from collections.abc import Iterator, Sequence
from itertools import pairwise

import numpy as np
from known import points_of
from measuring import follow, match_parts
from scoring import Score, score_points
from sheets import SETS, SheetOrder, draw, orders
from tables import weights_of

from tracer.trace.flood import FloodIndex
from tracer.trace.sheet import TracedSheet
from tracer.training.truth import SheetTruth

__all__ = ["causes"]

_NEAR = 5.0  # strokes
_WITHIN = 2.5  # strokes, as `score_points` asks


def causes(truth: SheetTruth, sheet: TracedSheet, *, along: bool = True) -> Iterator[str]:
    """Name the cause of each wrong flood, each part lost, mistaken or invented, each word not read."""
    parts = [part for part in truth.parts if part.kind not in ("link", "wire", "bond")]
    matched = match_parts(parts, sheet.proposals)
    boxes = {part.number: other.box for part, other in matched}
    points = points_of(truth, along=along, read_as=boxes)
    score = score_points(sheet, points)
    yield from _merges(truth, score)
    yield from (f"split {_where_split(truth, sheet, score.traced[number])}" for number in score.split)
    index = FloodIndex(sheet)
    for number in score.missed:
        place = next(each for each in points[number] if index.conductor_at(*each, _WITHIN) is None)
        yield f"lost {_where(truth, place)}"
    found, used = set(boxes), {id(other) for _, other in matched}
    yield from (f"{part.kind} not found" for part in parts if part.number not in found)
    yield from (f"{part.kind} taken for {other.kind}" for part, other in matched if part.kind != other.kind)
    if any(part.terminals for part in parts):
        yield from (f"{each.kind} where there is none" for each in sheet.proposals if id(each) not in used)
    for part, other in matched:
        for field in ("reference", "value"):
            wanted, said = getattr(part, field), getattr(other, field)
            if wanted and wanted.replace(" ", "") != (said or "").replace(" ", ""):
                yield f"{field} {'read wrongly' if said else 'not read'}"


def _merges(truth: SheetTruth, score: Score) -> Iterator[str]:
    """One cause for each conductor too many on a traced one."""
    kinds = {part.number: part.kind for part in truth.parts}
    reached = {each.number: {end.part for end in each.ends} for each in truth.conductors}
    crossed = {frozenset(mark.conductors): mark.style for mark in truth.crossings}
    owners: dict[int, list[int]] = {}
    for number in score.merged:
        for each in score.traced[number]:
            owners.setdefault(each, []).append(number)
    for together in owners.values():
        for one, other in pairwise(together):
            shared = sorted(kinds[part] for part in reached[one] & reached[other] if part in kinds)
            style = crossed.get(frozenset((one, other)))
            if shared:
                yield f"merged through a {shared[0]}"
            else:
                yield f"merged at a {style} crossing" if style else "merged elsewhere"


def _where_split(truth: SheetTruth, sheet: TracedSheet, pieces: Sequence[int]) -> str:
    """Tell what lies where two pieces of a conductor come closest."""
    one, other = (_places(sheet, number) for number in pieces[:2])
    apart = np.hypot(one[:, None, 0] - other[None, :, 0], one[:, None, 1] - other[None, :, 1])
    first, second = np.unravel_index(int(apart.argmin()), apart.shape)
    return _where(truth, (one[first] + other[second]) / 2)


def _places(sheet: TracedSheet, conductor: int) -> np.ndarray[tuple[int, int], np.dtype[np.float64]]:
    lines = [np.asarray(s.line, np.float64) for s in sheet.segments if s.conductor == conductor]
    every = np.concatenate(lines)
    return every[:: max(1, len(every) // 1500)]


def _where(truth: SheetTruth, place: Sequence[float] | np.ndarray[tuple[int], np.dtype[np.float64]]) -> str:
    reach = _NEAR * max(truth.stroke, 2.0)
    for part in truth.parts:
        x0, y0, x1, y1 = part.box
        if x0 - reach <= place[0] <= x1 + reach and y0 - reach <= place[1] <= y1 + reach:
            return f"at a {part.kind}"
    for mark in truth.crossings:
        if np.hypot(mark.x - place[0], mark.y - place[1]) < reach:
            return f"at a {mark.style} crossing"
    return "on plain wire"


def main(arguments: Sequence[str] | None = None) -> None:
    """Run the command line."""
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    parser.add_argument("folder", nargs="?", default="installed")
    parser.add_argument("--set", choices=SETS, default="small", dest="which")
    parser.add_argument("--group", help="one group of sheets, or all")
    parser.add_argument("--levels", type=int, nargs="*", default=[0, 1, 2, 3])
    parser.add_argument("--most", type=int, default=10)
    options = parser.parse_args(arguments)
    wanted: list[SheetOrder] = [
        order
        for order in orders(options.which)
        if options.group in (None, order.group) and order.level in options.levels
    ]
    counts: dict[str, Counter[str]] = {}
    for order in wanted:
        truth = draw(order)
        sheet = follow(truth, weights_of(options.folder))
        found = causes(truth, sheet, along=order.group != "drawn")
        counts.setdefault(order.group, Counter()).update(found)
    for group, counter in counts.items():
        sheets = sum(order.group == group for order in wanted)
        print(f"\n{group}: {sheets} sheets, {sum(counter.values()) / sheets:.1f} failures a sheet")
        for cause, count in counter.most_common(options.most):
            print(f"  {count:5}  {cause}")


if __name__ == "__main__":
    main()

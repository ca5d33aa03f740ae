"""Reading and tracing a sheet whose every conductor and part is known, and counting what came out right."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Sequence
from pathlib import Path

from counting import SheetFigures, Tally
from known import points_of
from scoring import Score, score_points

from tracer.reader.letters import read_lettering
from tracer.reader.read import read
from tracer.reader.weights import Weights
from tracer.scan.page import Page
from tracer.trace.doubts import doubtful_joins
from tracer.trace.naming import name_proposals
from tracer.trace.sheet import JoinKind, Proposal, TracedSheet
from tracer.trace.trace import trace
from tracer.training.truth import DrawnPart, SheetTruth

__all__ = ["follow", "match_parts", "measure", "overlap"]

Box = Sequence[float]

_LEAST_OVERLAP = 0.3
_NEAR = 5.0  # stroke widths; a proposal's terminal farther from the true one is another
_DOUBTABLE = frozenset({JoinKind.JUNCTION, JoinKind.CROSSING, JoinKind.GAP})
_UNASKED = frozenset({"link", "wire", "bond"})


def follow(truth: SheetTruth, weights: Weights, *, letters: bool = True) -> TracedSheet:
    """Read and trace a picture, and name its parts by the lettering."""
    page = Page(truth.image, Path("drawn.png"), 1, None, "drawn")
    layers = read(page, weights=weights)
    height, width = truth.image.shape
    sheet = trace(layers, (height, width))
    return name_proposals(sheet, read_lettering(page, layers)) if letters else sheet


def measure(
    truth: SheetTruth, sheet: TracedSheet, *, along: bool = True, letters: bool = True
) -> SheetFigures:
    """Compare a traced sheet with the truth; `along` as in `known.points_of`.

    Where no part of the truth has a terminal, not every part is known, and no proposal is called false.
    """
    parts = [part for part in truth.parts if part.kind not in _UNASKED]
    matched = match_parts(parts, sheet.proposals)
    read_as = {part.number: other.box for part, other in matched}
    score = score_points(sheet, points_of(truth, along=along, read_as=read_as))
    lowest_wrong, lowest_clean = _lowest_scores(score, sheet)
    doubts = doubtful_joins(sheet)
    doubted = {sheet.segments[segment].conductor for join in doubts for segment in join.segments}
    tallies = {
        "clean": Tally(score.clean, score.conductors),
        "found": Tally(len(matched), len(parts)),
        "kind": Tally(sum(1 for part, other in matched if part.kind == other.kind), len(matched)),
        "proposals": Tally(len(matched), len(sheet.proposals)) if _all_known(parts) else Tally(),
        "terminals": _terminals(truth, parts, matched, score, sheet.stroke),
    }
    tallies["doubted"], tallies["doubted clean"] = _touched(score, doubted)
    if letters:
        named = {part.number: other for part, other in matched}
        for name, field in (("references", "reference"), ("values", "value")):
            asked = [part for part in parts if getattr(part, field)]
            right = sum(
                1
                for part in asked
                if part.number in named and _same(getattr(part, field), getattr(named[part.number], field))
            )
            tallies[name] = Tally(right, len(asked))
    return SheetFigures(
        tallies,
        len(score.split),
        len(score.merged),
        len(score.missed),
        score.mends,
        1,
        len(doubts),
        Counter((part.kind, other.kind) for part, other in matched),
        lowest_wrong,
        lowest_clean,
        tuple(round(join.score, 3) for join in sheet.joins if join.kind in _DOUBTABLE),
    )


def overlap(one: Box, other: Box) -> float:
    """Return what two boxes share as a part of what they cover together."""
    wide = min(one[2], other[2]) - max(one[0], other[0])
    high = min(one[3], other[3]) - max(one[1], other[1])
    shared = max(wide, 0.0) * max(high, 0.0)
    both = (one[2] - one[0]) * (one[3] - one[1]) + (other[2] - other[0]) * (other[3] - other[1]) - shared
    return shared / both if both > 0 else 0.0


def match_parts(
    parts: Sequence[DrawnPart], proposals: Sequence[Proposal]
) -> list[tuple[DrawnPart, Proposal]]:
    """Pair parts with proposals, the best overlap first, each once."""
    rows = [
        (overlap(part.box, other.box), i, j)
        for i, part in enumerate(parts)
        for j, other in enumerate(proposals)
    ]
    free_parts, free_proposals = set(range(len(parts))), set(range(len(proposals)))
    pairs = []
    for share, i, j in sorted(rows, reverse=True):
        if share <= _LEAST_OVERLAP:
            break
        if i in free_parts and j in free_proposals:
            free_parts.discard(i)
            free_proposals.discard(j)
            pairs.append((parts[i], proposals[j]))
    return pairs


def _terminals(
    truth: SheetTruth,
    parts: Sequence[DrawnPart],
    matched: Sequence[tuple[DrawnPart, Proposal]],
    score: Score,
    stroke: float,
) -> Tally:
    """Count the true terminals at which the proposal has one on the conductor that belongs there."""
    proposal_of = {part.number: other for part, other in matched}
    asked = {part.number for part in parts}
    right = of = 0
    for conductor in truth.conductors:
        for end in conductor.ends:
            if end.part not in asked:
                continue
            of += 1
            other, traced = proposal_of.get(end.part), score.traced.get(conductor.number)
            if other is None or not traced:
                continue
            reach = _NEAR * stroke
            right += any(
                abs(each.x - end.x) <= reach and abs(each.y - end.y) <= reach and each.conductor == traced[0]
                for each in other.terminals
            )
    return Tally(right, of)


def _lowest_scores(score: Score, sheet: TracedSheet) -> tuple[tuple[float, ...], tuple[float, ...]]:
    """Return the least join score on the floods of wrong conductors and of clean ones."""
    lowest: dict[int, float] = defaultdict(lambda: 1.0)
    for join in sheet.joins:
        if join.kind not in _DOUBTABLE:
            continue
        for segment in join.segments:
            number = sheet.segments[segment].conductor
            lowest[number] = min(lowest[number], join.score)
    wrong_numbers = {*score.split, *score.merged, *score.missed}
    wrong, clean = [], []
    for number, traced in score.traced.items():
        least = round(min(lowest[each] for each in traced), 3)
        (wrong if number in wrong_numbers else clean).append(least)
    wrong += [1.0] * sum(1 for number in score.missed if number not in score.traced)
    return tuple(wrong), tuple(clean)


def _touched(score: Score, doubted: set[int]) -> tuple[Tally, Tally]:
    """Count the wrong floods, and the clean ones, that lie on a doubted conductor."""
    wrong_numbers = {*score.split, *score.merged, *score.missed}
    touched = {number for number, traced in score.traced.items() if doubted & set(traced)}
    wrong = Tally(len(touched & wrong_numbers), len(wrong_numbers))
    return wrong, Tally(len(touched - wrong_numbers), score.clean)


def _all_known(parts: Sequence[DrawnPart]) -> bool:
    return any(part.terminals for part in parts)


def _same(wanted: str, read_as: str | None) -> bool:
    return read_as is not None and wanted.replace(" ", "") == read_as.replace(" ", "")

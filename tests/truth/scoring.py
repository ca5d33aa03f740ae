"""How many conductors a flood lights up exactly: no more than they are and no less.

A conductor is *clean* when all its points lie on one traced conductor on which no point of another
conductor lies. Else it is *missed* where a point has no traced conductor, *split* where its points lie on
several, *merged* where it shares a traced conductor with another.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from tracer.trace.flood import FloodIndex
from tracer.trace.sheet import TracedSheet

__all__ = ["Score", "describe", "score_points", "total"]

Point = tuple[float, float]


@dataclass(frozen=True)
class Score:
    """Counts of conductors by what a flood does on them; a conductor may be both split and merged.

    `traced` holds, for each conductor found at all, the traced conductors that its points lie on, the one
    with most points first.
    """

    conductors: int
    clean: int
    split: tuple[int, ...]
    merged: tuple[int, ...]
    missed: tuple[int, ...]
    traced: Mapping[int, tuple[int, ...]]

    @property
    def rate(self) -> float:
        return self.clean / self.conductors if self.conductors else 1.0

    @property
    def mends(self) -> int:
        """Joins and cuts by hand that put every conductor right, at the least."""
        owners = Counter(each for traced in self.traced.values() for each in traced)
        lost = sum(1 for number in self.missed if number not in self.traced)
        return (
            sum(len(traced) - 1 for traced in self.traced.values())
            + sum(count - 1 for count in owners.values())
            + lost
        )


def score_points(sheet: TracedSheet, points: Mapping[int, Sequence[Point]], within: float = 2.5) -> Score:
    """Score a tracing against points known to lie on each conductor, page px."""
    index = FloodIndex(sheet)
    found = {
        number: [index.conductor_at(x, y, within) for x, y in places] for number, places in points.items()
    }
    owners: dict[int, set[int]] = defaultdict(set)
    for number, traced in found.items():
        for each in traced:
            if each is not None:
                owners[each].add(number)
    missed = {number for number, traced in found.items() if None in traced}
    split = {number for number, traced in found.items() if len(set(traced) - {None}) > 1}
    merged = {
        number
        for number, traced in found.items()
        if any(len(owners[each]) > 1 for each in traced if each is not None)
    }
    clean = len(found) - len(missed | split | merged)
    most_first = {
        number: tuple(each for each, _ in Counter(t for t in traced if t is not None).most_common())
        for number, traced in found.items()
        if any(each is not None for each in traced)
    }
    return Score(
        len(found), clean, tuple(sorted(split)), tuple(sorted(merged)), tuple(sorted(missed)), most_first
    )


def total(scores: Iterable[Score]) -> tuple[int, int, int, int, int]:
    """Add up conductors, clean, split, merged and missed over sheets."""
    rows = [(s.conductors, s.clean, len(s.split), len(s.merged), len(s.missed)) for s in scores]
    sums = [sum(column) for column in zip(*rows, strict=True)] or [0] * 5
    return sums[0], sums[1], sums[2], sums[3], sums[4]


def describe(name: str, scores: Sequence[Score]) -> str:
    """Return one row of the table that the truth tests print."""
    conductors, clean, split, merged, missed = total(scores)
    rate = 100.0 * clean / conductors if conductors else 0.0
    return f"{name:28} {len(scores):4} {conductors:6} {rate:6.1f} % {split:5} {merged:6} {missed:6}"

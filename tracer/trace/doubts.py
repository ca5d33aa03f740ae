"""Which joins of a sheet a person should look at first."""

from __future__ import annotations

from collections import defaultdict

from tracer.trace.sheet import Join, JoinKind, TracedSheet

__all__ = ["doubtful_joins"]


def doubtful_joins(sheet: TracedSheet, most: int = 20, below: float = 0.99) -> tuple[Join, ...]:
    """Choose the joins whose look is worth most: the weakest place of each conductor that may be wrong.

    A conductor is as sure as all its joins together. The conductors that reach a part come first, the least
    sure of them first, each with its least sure join; then what else is least sure.

    Parameters
    ----------
    sheet : TracedSheet
    most : int
        How many joins at most.
    below : float
        A join with this score is sure.

    Returns
    -------
    tuple of Join
        The one to look at first comes first.
    """
    at_conductor: dict[int, list[Join]] = defaultdict(list)
    for join in sheet.joins:
        for conductor in _conductors(sheet, join):
            at_conductor[conductor].append(join)
    sure = {conductor: _all_right(joins) for conductor, joins in at_conductor.items()}
    serves = {
        conductor: any(join.kind is JoinKind.TERMINAL for join in joins)
        for conductor, joins in at_conductor.items()
    }
    chosen: dict[int, Join] = {}
    seen: set[int] = set()
    for conductor in sorted(sure, key=lambda number: (not serves[number], sure[number], number)):
        weakest = min(at_conductor[conductor], key=lambda join: (join.score, join.id))
        if serves[conductor] and conductor not in seen and weakest.score < below:
            chosen[weakest.id] = weakest
            seen |= _conductors(sheet, weakest)
    rest = sorted(
        (join for join in sheet.joins if join.score < below), key=lambda join: (join.score, join.id)
    )
    for join in rest:
        chosen.setdefault(join.id, join)
    return tuple(list(chosen.values())[:most])


def _conductors(sheet: TracedSheet, join: Join) -> set[int]:
    return {sheet.segments[number].conductor for number in join.segments}


def _all_right(joins: list[Join]) -> float:
    """Return the probability that all joins are right, were they independent."""
    sure = 1.0
    for join in joins:
        sure *= join.score
    return sure

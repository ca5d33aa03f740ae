"""Which joins of a sheet a person should look at first."""

from __future__ import annotations

from tracer.trace.flood_doubt import FloodModel, flood_evidence, flood_model, joins_of_conductors
from tracer.trace.sheet import Join, TracedSheet

__all__ = ["doubtful_joins"]

_LIKELY = 0.04  # a flood that is as likely as this to be wrong is looked at though each of its joins is sure


def doubtful_joins(
    sheet: TracedSheet, most: int = 20, below: float = 0.99, floods: FloodModel | None = None
) -> tuple[Join, ...]:
    """Choose the joins whose look is worth most: the weakest place of each conductor that may be wrong.

    The conductors come in the order of how likely their flood is wrong, each with its least sure join; then
    what else is least sure.

    Parameters
    ----------
    sheet : TracedSheet
    most : int
        How many joins at most.
    below : float
        A join with this score is sure.
    floods : FloodModel, optional
        How likely a flood is wrong; the installed one unless given.

    Returns
    -------
    tuple of Join
        The one to look at first comes first.
    """
    model = floods or flood_model()
    joins = joins_of_conductors(sheet)
    wrong = {number: float(model.wrong(row[None])[0]) for number, row in flood_evidence(sheet).items()}
    chosen: dict[int, Join] = {}
    seen: set[int] = set()
    for conductor in sorted(wrong, key=lambda number: (-wrong[number], number)):
        weakest = min(joins[conductor], key=lambda join: (join.score, join.id))
        if conductor not in seen and (weakest.score < below or wrong[conductor] >= _LIKELY):
            chosen[weakest.id] = weakest
            seen |= {sheet.segments[number].conductor for number in weakest.segments}
    rest = sorted(
        (join for join in sheet.joins if join.score < below), key=lambda join: (join.score, join.id)
    )
    for join in rest:
        chosen.setdefault(join.id, join)
    return tuple(list(chosen.values())[:most])

"""What was counted on one sheet, sums over sheets, and how sure a share is.

Shares come with Wilson's interval (Wilson 1927, "Probable inference, the law of succession, and statistical
inference"), which holds for small counts and for shares near 0 and 1.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from math import sqrt

__all__ = ["TALLIES", "SheetFigures", "Tally", "add", "wilson"]

TALLIES = {
    "clean": "conductors flooded cleanly",
    "found": "part bodies found (overlap > 0.3 of the union, one to one)",
    "kind": "kinds right, of the bodies found",
    "proposals": "proposals that are parts",
    "terminals": "terminals on the right conductor, of all parts",
    "references": "references read exactly, on the right part",
    "values": "values read exactly, on the right part",
    "doubted": "wrong floods that touch one of the joins to be looked at first (20 a sheet at most)",
    "doubted clean": "clean floods that touch one of them",
}

_SET_RIGHT = ("found", "kind", "proposals", "references", "values")


@dataclass(frozen=True, slots=True)
class Tally:
    """`right` of `of`."""

    right: int = 0
    of: int = 0

    def __add__(self, other: Tally) -> Tally:
        return Tally(self.right + other.right, self.of + other.of)

    @property
    def share(self) -> float:
        return self.right / self.of if self.of else 1.0

    @property
    def interval(self) -> tuple[float, float]:
        return wilson(self.right, self.of)


def wilson(right: int, of: int, z: float = 1.96) -> tuple[float, float]:
    """Return the interval that holds the true share in 95 of 100 cases.

    Examples
    --------
    >>> [round(edge, 3) for edge in wilson(81, 263)]  # the example of Newcombe (1998), table I
    [0.255, 0.366]
    """
    if not of:
        return 0.0, 1.0
    share = right / of
    middle = share + z * z / (2 * of)
    half = z * sqrt(share * (1 - share) / of + z * z / (4 * of * of))
    scale = 1 + z * z / of
    return max(0.0, (middle - half) / scale), min(1.0, (middle + half) / scale)


@dataclass(frozen=True)
class SheetFigures:
    """Counts of one sheet, or sums over several.

    Attributes
    ----------
    tallies : mapping
        By the names of `TALLIES`.
    split, merged, missed : int
        Conductors; one may be in two of them.
    mends : int
        Joins to make and cuts to set by hand until every conductor is right: one for each piece too many of
        a conductor, one for each conductor too many on a flood, one for each conductor not found at all.
    sheets : int
    doubts : int
        Joins to be looked at first.
    confusion : Counter
        Of (true kind, kind said) over the bodies found.
    lowest_wrong, lowest_clean : tuple of float
        For each conductor flooded wrongly, and cleanly: the least score of a
        junction, crossing or bridged gap on its flood, 1 if none.
    scores : tuple of float
        Of every junction, crossing and bridged gap.
    """

    tallies: Mapping[str, Tally]
    split: int = 0
    merged: int = 0
    missed: int = 0
    mends: int = 0
    sheets: int = 1
    doubts: int = 0
    confusion: Counter[tuple[str, str]] = field(default_factory=Counter)
    lowest_wrong: tuple[float, ...] = ()
    lowest_clean: tuple[float, ...] = ()
    scores: tuple[float, ...] = ()

    @property
    def mends_to_a_circuit(self) -> int:
        """All that a person sets right by hand until the circuit is the true one.

        `mends`, a box for each part not found, a kind for each wrong one, a word for each proposal that is no
        part, and each reference and value that was not read, once for every one.
        """
        wrong = [self.tallies[name] for name in _SET_RIGHT if name in self.tallies]
        return self.mends + sum(tally.of - tally.right for tally in wrong)


def add(figures: Iterable[SheetFigures]) -> SheetFigures:
    """Add up figures over sheets."""
    rows = list(figures)
    confusion: Counter[tuple[str, str]] = Counter()
    for row in rows:
        confusion += row.confusion
    return SheetFigures(
        {name: sum((row.tallies.get(name, Tally()) for row in rows), Tally()) for name in TALLIES},
        sum(row.split for row in rows),
        sum(row.merged for row in rows),
        sum(row.missed for row in rows),
        sum(row.mends for row in rows),
        sum(row.sheets for row in rows),
        sum(row.doubts for row in rows),
        confusion,
        tuple(score for row in rows for score in row.lowest_wrong),
        tuple(score for row in rows for score in row.lowest_clean),
        tuple(score for row in rows for score in row.scores),
    )

"""What the bench hands to those who draw, print and ask: frozen records, no behaviour beyond look-ups."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from tracer.circuit.elements import Circuit
from tracer.circuit.results import Cause, Expectation, NextReading, Proof, Verdict
from tracer.job.records import ReadingRecord
from tracer.trace.sheet import TracedSheet

__all__ = ["Bench", "Outcome", "Place", "PointPlace", "RailShare", "Standing", "ThenAndNow"]


@dataclass(frozen=True, slots=True, eq=False)
class Place:
    """Where an element lies on one sheet: a part's box, or the lines of a stretch of wire.

    Attributes
    ----------
    sheet : int
        The sheet's number in the job, from 1.
    box : (int, int, int, int) or None
        x0, y0, x1, y1, half-open, page px; None for a stretch of wire.
    segments : tuple of int
        Ids of the segments that the wire runs along, whole or in part.
    lines : tuple of (N, 2) float32
        The stretch's own centre lines, x then y, page px; one for each entry of `segments`.
    """

    sheet: int
    box: tuple[int, int, int, int] | None
    segments: tuple[int, ...] = ()
    lines: tuple[NDArray[np.float32], ...] = ()


@dataclass(frozen=True, slots=True)
class PointPlace:
    """Where a lead goes for a point: sheet number and page px."""

    sheet: int
    x: float
    y: float


@dataclass(frozen=True, slots=True, eq=False)
class Bench:
    """One job laid out for work: its circuit and where each piece of it is drawn.

    Attributes
    ----------
    circuit : Circuit
        All confirmed parts, the stretches of wire between them, banks and rails.
    sheets : mapping of int to TracedSheet
        By sheet number.
    places : mapping of str to tuple of Place
        By element reference. A part drawn in several pieces (the halves of a double triode) has several.
    point_places : mapping of str to PointPlace
        By point name: ``"R7.1"``, ``"V2.a"``, ``"V2.6"``, a rail's name, ``"chassis"``, a node's own name.
    conductor_nodes : mapping of (int, int) to tuple of str
        (sheet, conductor) to its nodes; a conductor that no confirmed part touches is not in it.
    warnings : tuple of str
        Sentences for the user.
    joins : tuple of (str, str, float)
        Pairs of nodes that the tracing was less than sure of joining or keeping apart, and how sure, 0 to 1.
    """

    circuit: Circuit
    sheets: Mapping[int, TracedSheet]
    places: Mapping[str, tuple[Place, ...]]
    point_places: Mapping[str, PointPlace]
    conductor_nodes: Mapping[tuple[int, int], tuple[str, ...]]
    warnings: tuple[str, ...] = ()
    joins: tuple[tuple[str, str, float], ...] = ()


@dataclass(frozen=True, slots=True)
class Outcome:
    """All that one reading brought: the record as stored, what was expected, and what follows."""

    record: ReadingRecord
    expectation: Expectation
    verdict: Verdict
    causes: tuple[Cause, ...]
    newly_carried: tuple[str, ...]
    proof: Proof
    next_reading: NextReading | None


@dataclass(frozen=True, slots=True)
class RailShare:
    """How much of one rail is carried: elements carried (or pinned), of how many an ohmmeter can carry."""

    rail: str
    carried: int
    total: int

    @property
    def share(self) -> float:
        """Return carried / total, 0 for a rail with nothing on it."""
        return self.carried / self.total if self.total else 0.0


@dataclass(frozen=True, slots=True)
class Standing:
    """How the job stands after all its readings that were not withdrawn.

    `counts` gives the number of elements by tint name; `skipped` the readings (by number) whose points
    the circuit no longer has, each with a sentence.
    """

    proof: Proof
    rails: tuple[RailShare, ...]
    counts: Mapping[str, int]
    skipped: tuple[tuple[int, str], ...] = ()


@dataclass(frozen=True, slots=True)
class ThenAndNow:
    """A reading's verdict on the circuit it was taken on, and on today's (None where the points are gone)."""

    record: ReadingRecord
    then: Verdict
    now: Verdict | None
    expected_then: Expectation | None
    expected_now: Expectation | None

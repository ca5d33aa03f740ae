"""The large capacitors of a job, to be bled before the leads touch the set."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from tracer.circuit.discharge import discharges
from tracer.circuit.elements import Circuit, Setting
from tracer.circuit.values import parse_printed
from tracer.errors import BadValue, TracerError
from tracer.job.records import Tag

__all__ = ["Reservoir", "reservoirs", "unbled"]

LARGE = 1e-6
"""From this many farads on a capacitor is listed (our own line)."""


@dataclass(frozen=True, slots=True)
class Reservoir:
    """A capacitor of 1 µF or more.

    Attributes
    ----------
    reference, value : str
        As confirmed; the value as printed.
    rated : str
        Its rated volts as printed, "" where the sheet gives none.
    """

    reference: str
    value: str
    rated: str


def reservoirs(tags: Iterable[Tag]) -> tuple[Reservoir, ...]:
    """Return the capacitors of 1 µF or more, the largest first; one without a readable value counts as large.

    Examples
    --------
    >>> first = Tag(1, (0, 0, 9, 9), "capacitor", "C9", "32u", (), (("rated", "450V"),))
    >>> other = Tag(1, (0, 0, 9, 9), "capacitor", "C3", ".05", ())
    >>> reservoirs([other, first])
    (Reservoir(reference='C9', value='32u', rated='450V'),)
    """
    found: list[tuple[float, Reservoir]] = []
    for tag in tags:
        if tag.kind == "capacitor":
            farads = _farads(tag.value)
            if farads >= LARGE:
                rated = dict(tag.options).get("rated", "")
                found.append((farads, Reservoir(tag.reference, tag.value or "?", rated)))
    return tuple(each for _, each in sorted(found, key=lambda pair: (-pair[0], pair[1].reference)))


def unbled(circuit: Circuit, setting: Setting) -> list[str]:
    """Return the large capacitors that no part bleeds under `setting`, plug out."""
    try:
        found = discharges(circuit, setting)
    except TracerError:
        return []
    return [each.part for each in found if each.seconds is None]


def _farads(value: str | None) -> float:
    if not value:
        return float("inf")
    try:
        return parse_printed(value, "farad").number
    except BadValue:
        return float("inf")

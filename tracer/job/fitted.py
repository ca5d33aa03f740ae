"""Values as fitted: what is in the set in place of what its sheet prints. The fitted value rules."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from tracer.job.edits import Change, next_id
from tracer.job.file import Job
from tracer.job.records import FittedValue, Tag, ValueSource

__all__ = ["MEASURED_TOLERANCE", "as_fitted", "fitted_changes", "fitted_values", "ruling"]

MEASURED_TOLERANCE = "2%"
"""How far a value measured out of circuit may be off where nothing else is written (our own line)."""


def fitted_values(job: Job) -> tuple[FittedValue, ...]:
    """Return every fitted value ever written, the oldest first; of one tag's the last rules."""
    rows = job.connection.execute('SELECT id, tag, value, tolerance, source, "when" FROM fitted ORDER BY id')
    return tuple(
        FittedValue(tag, value, ValueSource(source), when, tolerance, id)
        for id, tag, value, tolerance, source, when in rows
    )


def ruling(fitted: Iterable[FittedValue]) -> dict[int, FittedValue]:
    """Return by tag id the fitted value that rules; one with an empty value gives the print its rule back."""
    last = {each.tag: each for each in fitted}
    return {tag: each for tag, each in last.items() if each.value}


def as_fitted(tags: Iterable[Tag], fitted: Iterable[FittedValue]) -> tuple[Tag, ...]:
    """Return the tags with fitted values in place of printed ones; a note on the part tells of both.

    Examples
    --------
    >>> tag = Tag(1, (0, 0, 9, 9), "resistor", "R1", "470k", (), (("tol", "20%"),), id=4)
    >>> found = FittedValue(4, "512k", ValueSource.MEASURED, "1990-05-01T09:00:00+00:00")
    >>> (made,) = as_fitted([tag], [found])
    >>> made.value, dict(made.options)
    ('512k', {'tol': '2%', 'note': 'print 470k, 512k measured 1990-05-01'})
    """
    rules = ruling(fitted)
    return tuple(_fitted(tag, rules.get(tag.id)) if tag.id is not None else tag for tag in tags)


def fitted_changes(job: Job, new: Iterable[FittedValue]) -> list[Change]:
    """Return the changes that add `new`, for an edit of several things; ids are given here."""
    first = next_id(job.connection, "fitted")
    return [
        Change(
            "fitted",
            None,
            {
                "id": first + number,
                "tag": each.tag,
                "value": each.value,
                "tolerance": each.tolerance,
                "source": str(each.source),
                "when": each.when,
            },
        )
        for number, each in enumerate(new)
    ]


def _fitted(tag: Tag, found: FittedValue | None) -> Tag:
    if found is None:
        return tag
    options = dict(tag.options)
    tolerance = found.tolerance or (MEASURED_TOLERANCE if found.source is ValueSource.MEASURED else "")
    if tolerance:
        options["tol"] = tolerance
    options.setdefault("note", f"print {tag.value or 'none'}, {found.value} {found.source} {found.when[:10]}")
    return replace(tag, value=found.value, options=tuple(options.items()))

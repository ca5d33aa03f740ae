"""Values as a sheet means them, where its note says that its marks mean something else than usual."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import replace

from tracer.circuit.kinds import kinds
from tracer.circuit.values import format_value, parse_printed
from tracer.errors import BadValue
from tracer.job.records import Tag
from tracer.job.ways import SheetWays

__all__ = ["as_meant"]


def as_meant(tags: Iterable[Tag], ways: Mapping[int, SheetWays]) -> tuple[Tag, ...]:
    """Return the tags with their values in this program's own marks, by what was said of their sheets.

    Examples
    --------
    >>> tag = Tag(1, (0, 0, 9, 9), "resistor", "R1", "250M", ())
    >>> as_meant([tag], {1: SheetWays(m_is_thousand=True)})[0].value
    '250k'
    """
    return tuple(_meant(tag, ways.get(tag.sheet, SheetWays())) for tag in tags)


def _meant(tag: Tag, ways: SheetWays) -> Tag:
    unit = kinds()[tag.kind].unit if tag.kind in kinds() else None
    if not tag.value or unit is None or not (ways.m_is_thousand or ways.bare_is_micro):
        return tag
    try:
        meant = parse_printed(
            tag.value, unit, m_is_thousand=ways.m_is_thousand, bare_is_micro=ways.bare_is_micro
        )
    except BadValue:
        return tag
    try:
        if parse_printed(tag.value, unit).number == meant.number:
            return tag
    except BadValue:
        pass
    return replace(tag, value=format_value(meant.number, unit))
